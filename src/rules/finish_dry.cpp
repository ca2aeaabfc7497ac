// A finish is dry before anything touches it, hard before anything presses on it, and ready for the next coat before that goes on.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/cure.h"
#include "rules/ground.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

const catalogue::Card* finish_of(const Facts& facts, const job::Step& step) {
  if (facts.process(step).word_or("class") != "finish") return nullptr;
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.find("dry") != nullptr || card.find("recoat") != nullptr) return &card;
  }
  return nullptr;
}

bool leaves_it_alone(const job::Step& later) {
  constexpr std::array<std::string_view, 7> kLeaving{"wipe-off", "dispose-rags", "unmask", "vent", "cure", "dry", "inspect"};
  return std::find(kLeaving.begin(), kLeaving.end(), later.process.text) != kLeaving.end();
}

/// A nut or a screw is drawn tight in the fitting, as its words say.
bool tightens(const job::Step& step) {
  constexpr std::array<std::string_view, 3> kWords{"tighten", "nut", "clamp"};
  return says_one_of(kWords, step_words(step));
}

/// Clamps, screws, wraps or rubs: on a film that is only dry it leaves its print.
bool presses(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 7> kPressing{"pack", "clamp", "screw", "press-fit", "snap", "close", "polish"};
  if (std::find(kPressing.begin(), kPressing.end(), step.process.text) != kPressing.end() || !step.holds.empty()) return true;
  return levels_film(facts, step) || (step.process.text == "fit" && tightens(step));
}

/// Coats that go over one another as coats of one finish do: film on film, what soaks in on oil.
bool builds_on(const catalogue::Card& under, const catalogue::Card& over) {
  return under.id == over.id || (film_card(under) ? film_card(over) : !film_card(over));
}

/// What the later step asks of the coat, and the figures of the card that say when, the fittest first.
struct Asked {
  std::string_view what;
  std::array<std::string_view, 4> figures;
};

Asked asked_of(const Facts& facts, const catalogue::Card& finish, const job::Step& later) {
  const catalogue::Card* over = finish_of(facts, later);
  if (over != nullptr && builds_on(finish, *over)) return {"takes the next coat", {"recoat", "dry"}};
  // A film without the figure is asked for the rest planned for it, once the order is known (finish-hard).
  if (over != nullptr) return {"takes another finish", {"hard", film_card(finish) ? "recoat" : "full", "recoat", "dry"}};
  const bool sticks = sticks_on(facts, later) || (later.process.text == "label" && !later.installs.empty());
  // Under a foot or a label the solvent that is still in the film has no way out.
  const bool hard = film_card(finish) && finish.find("hard") != nullptr && (presses(facts, later) || sticks);
  return hard ? Asked{sticks ? "is hard enough to be stuck on" : "is hard enough to be pressed on", {"hard"}} : Asked{"is dry to the touch", {"dry", "recoat"}};
}

/// A coat on a board bears its screws as soon as it is dry.
bool coats_a_board(const job::Step& step) { return step.process.text == "coat-board"; }

/// The boards that the parts sit on which the step works on.
std::set<PartId> under_the_hands(const Facts& facts, const job::Step& step) {
  const std::vector<PartId> bodies = bodies_of(facts, step);
  return {bodies.begin(), bodies.end()};
}

/// The last coat of film on what the later step works on.
bool last_coat(const Facts& facts, const KnownOrder& order, const job::Step& coat, const job::Step& later, const PartId& part) {
  return std::none_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const catalogue::Card* card = finish_of(facts, s);
    return card != nullptr && film_card(*card) && order.before(coat.id, s.id) && order.before(s.id, later.id) && worked_on(facts, s).contains(part);
  });
}

bool baked(const Facts& facts, const KnownOrder& order, const job::Step& coat, const job::Step& later) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return (s.process.text == "bake" || s.process.text == "cure-warm") && order.before(coat.id, s.id) && order.before(s.id, later.id);
  });
}

/// A bake listed between the two hardens the coat on the same part. Null: none.
const job::Step* bake_between(const Facts& facts, const job::Step& coat, const job::Step& later, const PartId& part) {
  if (&later < &coat) return nullptr;
  const auto found = std::find_if(&coat + 1, &later, [&](const job::Step& s) { return (s.process.text == "bake" || s.process.text == "cure-warm") && worked_on(facts, s).contains(part); });
  return found == &later ? nullptr : found;
}

/// What the coat goes on. A part that a step listed after it puts in lies in its bag meanwhile.
std::set<PartId> coated_by(const Facts& facts, const job::Step& coat) {
  std::set<PartId> coated = worked_on(facts, coat);
  std::erase_if(coated, [&](const PartId& part) {
    const job::Step* in = facts.job.installer(part);
    return in != nullptr && &coat < in && coat.on != part && !has(coat.touches, part);
  });
  return coated;
}

/// What the coat lies on, as the later step calls it: the subassembly that both are on, or the part.
const PartId& called(const Facts& facts, const job::Step& coat, const job::Step& later, const PartId& part) {
  const std::vector<PartId> around = facts.job.around(part);
  return later.on == coat.on && has(around, later.on) ? later.on : part;
}

const PartId* shared_part(const std::set<PartId>& coated, const std::set<PartId>& reached) {
  const auto found = std::find_if(coated.begin(), coated.end(), [&](const PartId& p) { return reached.contains(p); });
  return found == coated.end() ? nullptr : &*found;
}

}  // namespace

void finish_hard(const Facts& facts, const KnownOrder& order, const job::Step& coat, Yield& yield) {
  constexpr Duration kADay = hours(24);  // common practice, no source
  const catalogue::Card* finish = finish_of(facts, coat);
  const auto full = finish == nullptr ? std::nullopt : finish->get<Duration>("full");
  if (!full || !film_card(*finish) || coats_a_board(coat)) return;
  const auto hard = finish->get<Duration>("hard"), dry = finish->get<Duration>("dry");
  const std::set<PartId> coated = coated_by(facts, coat);
  for (const job::Step& later : facts.job.steps) {
    const catalogue::Card* over = finish_of(facts, later);
    const bool rubs = later.process.text == "polish" || levels_film(facts, later);
    const bool asks = over == nullptr ? presses(facts, later) : !builds_on(*finish, *over);
    // With the figure 'hard' the wait is a link of finish-dry; rubbing out wants the film shrunk as well.
    if (!asks || (hard && !rubs) || !order.before(coat.id, later.id)) continue;
    const std::set<PartId> reached = worked_on(facts, later);
    const PartId* part = shared_part(coated, reached);
    if (part == nullptr || !last_coat(facts, order, coat, later, *part) || baked(facts, order, coat, later)) continue;
    Duration rest = std::max(planned_rest(facts, order, coat, later), dry ? dry->high : Duration(0));
    if (hard) rest = std::max(rest, hard->high);
    if (rest >= full->high) continue;
    auto f = finding("finish-hard", rest < kADay ? plan::Severity::warn : plan::Severity::note, later,
                     fmt::format("{} {} {} on {} that is planned to rest for {} after {}, and is fully cured after {}", say(later), rubs ? "rubs" : over != nullptr ? "covers" : "presses on", finish->name, facts.name(called(facts, coat, later, *part)), in_words(rest), say(coat), in_words(full->high)),
                     hard ? "add a step of process dry between the two: a film that still shrinks sinks in after it was rubbed level" : fmt::format("add a step of process dry between the two, or write the figure 'hard' on the card '{}', when you have tried it", finish->id.text), full->source);
    f.parts = {*part};
    yield.findings.push_back(std::move(f));
    return;
  }
}

void finish_dry(const Facts& facts, const job::Step& coat, const job::Step& later, Yield& yield) {
  const catalogue::Card* finish = finish_of(facts, coat);
  if (finish == nullptr || leaves_it_alone(later) || facts.process(later).word_or("cure-needed", "handling") == "none") return;
  const std::set<PartId> coated = coated_by(facts, coat);
  std::set<PartId> reached = worked_on(facts, later);
  if (coats_a_board(coat)) reached.merge(under_the_hands(facts, later));
  const PartId* shared = shared_part(coated, reached);
  if (shared == nullptr) return;
  const Asked asked = asked_of(facts, *finish, later);
  const auto figure = std::find_if(asked.figures.begin(), asked.figures.end(), [&](std::string_view name) { return !name.empty() && finish->find(name) != nullptr; });
  const auto wait = figure == asked.figures.end() ? std::nullopt : finish->get<Duration>(*figure);
  if (!wait) return;
  plan::Constraint dry = before(coat, later, wait->high,
                                reason(plan::ReasonKind::clock, "finish-dry",
                                       fmt::format("{} on {} {} after {}", finish->name, facts.name(called(facts, coat, later, *shared)), asked.what, in_words(wait->high)),
                                       wait->source, wait->place));
  plan::Constraint sooner = before(later, coat, reason(plan::ReasonKind::listing, kListingRule, fmt::format("listed before {}", say(coat)), stated(), later.place));
  sooner.reason.builders_choice = true;
  std::vector<std::vector<plan::Constraint>> options{{dry}, {sooner}};
  if (const job::Step* bake = *figure == "hard" ? bake_between(facts, coat, later, *shared) : nullptr) {
    const auto hardened = [&](const job::Step& a, const job::Step& b) { return before(a, b, reason(plan::ReasonKind::clock, "finish-dry", fmt::format("{} hardens {} on {}", say(*bake), finish->name, facts.name(called(facts, coat, later, *shared))), practice(), bake->place)); };
    options.insert(options.begin(), {hardened(coat, *bake), hardened(*bake, later)});
  }
  if (&later < &coat) std::swap(options[0], options[1]);
  at_least_one(yield, kListingRule, std::move(options), fmt::format("{} before or after {}", say(later), say(coat)), later.place);
}

}  // namespace handlot::rules
