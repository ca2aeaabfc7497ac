// A part that bears no bath or no coat (an open sensor, relay, potentiometer, sounder) comes on after it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/bath.h"
#include "rules/board_work.h"
#include "rules/drying.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "no-bath";

bool pours(const job::Step& step) { return step.process.text == "pot"; }

/// The word on a card that a step of this process would go against; empty: none.
std::string_view forbidden_by(const job::Step& step) {
  if (step.process.text == "wash" || step.process.text == "clean-flux" || in_a_bath(step)) return "no-wash";
  return step.process.text == "coat-board" || pours(step) ? "no-coat" : "";
}

/// Flux brushed off by hand stays at the joints.
bool by_hand(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kBaths{"dip", "bath", "immers", "ultraso", "soak", "under water", "rinse"};
  return step.process.text == "clean-flux" && !says_one_of(kBaths, step_words(step));
}

/// The card of the part goes against the step; `word` is what forbidden_by says of it.
bool bears_not(const Facts& facts, const PartId& part, const job::Step& step, std::string_view word) {
  return marked(facts, part, word) || (!by_hand(step) && facts.card_of(part).word_or(word) == "bath");
}

bool names(const Facts& facts, const std::vector<PartId>& ids, const PartId& part) {
  return std::any_of(ids.begin(), ids.end(), [&](const PartId& id) { return same_or_within(facts, id, part); });
}

/// The step masks the part from the coat: by its name, or with the whole board where it names no other part.
bool masks(const Facts& facts, const job::Step& mask, const job::Step& coat, const PartId& part) {
  if (same_or_within(facts, mask.on, part) || names(facts, mask.touches, part)) return true;
  return (mask.on == coat.on || facts.card_of(mask.on).yes("board")) && on_one_body(facts, mask, coat) && mask_covers(facts, mask, part);
}

/// The steps that mask something from coat or resin; a bath goes everywhere.
std::vector<const job::Step*> masks_against(const Facts& facts, const job::Step& coat) {
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text == "mask" && forbidden_by(coat) == "no-coat") found.push_back(&s);
  }
  return found;
}

std::string harm(const Facts& facts, const job::Step& bath, const PartId& part) {
  const std::string name = facts.name(part);
  if (pours(bath)) return fmt::format("{} pours resin round {}, which bears no coat", say(bath), name);
  if (forbidden_by(bath) == "no-coat") return fmt::format("{} coats {}, and {} bears no coat: it must not be on it yet", say(bath), facts.name(bath.on), name);
  return fmt::format("{} washes {}, and {} bears no washing: it must not be on it yet", say(bath), facts.name(bath.on), name);
}

std::string mend_for(const Facts& facts, const PartId& part, std::string_view word) {
  const std::string_view way = word == "no-wash" ? "clean by hand around it with a step of process 'clean' that uses what takes the flux off" : "mask it with a step of process 'mask'";
  return fmt::format("put {} on after it, or {}", facts.name(part), way);
}

void say_so(const Facts& facts, plan::Severity severity, const job::Step& bath, const PartId& part, std::string text, Yield& yield) {
  auto f = finding(kRule, severity, bath, std::move(text), mend_for(facts, part, forbidden_by(bath)), practice());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// What resin is said to run round or to hide lies in it; what only sits on such a board may stand out of it.
bool drowned(const Facts& facts, const job::Step& pot, const PartId& part) {
  if (!pours(pot)) return false;
  std::vector<PartId> around = facts.job.around(part);
  around.insert(around.begin(), part);
  return std::any_of(around.begin(), around.end(), [&](const PartId& id) { return has(pot.hides, id) || std::any_of(pot.bonds.begin(), pot.bonds.end(), [&](const JointId& j) { return has(facts.job.joint(j)->between, id); }); });
}

void poured_on(const Facts& facts, const job::Step& pot, const PartId& part, Yield& yield) {
  if (drowned(facts, pot, part)) {
    say_so(facts, plan::Severity::stop, pot, part, harm(facts, pot, part), yield);
    return;
  }
  const job::Part* board = board_under(facts, part, pot);
  if (board == nullptr || !has(bodies_of(facts, pot), board->id)) return;
  say_so(facts, plan::Severity::undecided, pot, part, fmt::format("nothing says whether the resin of {} reaches {}, which bears no coat", say(pot), facts.name(part)), yield);
}

/// The part sits on what is coated, or lies within it, and no step listed later puts it there.
bool on_it_by_then(const Facts& facts, const job::Step& coat, const PartId& part) {
  const std::vector<PartId> bodies = bodies_of(facts, coat);
  const job::Part* board = board_under(facts, part, coat);
  const job::Step* in = facts.job.installer(part);
  const bool within = (in == nullptr || in < &coat) && std::any_of(bodies.begin(), bodies.end(), [&](const PartId& id) { return same_or_within(facts, id, part); });
  return within || (board != nullptr && has(bodies, board->id));
}

/// Each is put into something else, and as listed they come together only after the bath.
bool meet_later(const Facts& facts, const std::vector<const job::Step*>& joins, const job::Step& bath, const PartId& part) {
  const bool put_on = std::any_of(joins.begin(), joins.end(), [&](const job::Step* s) { return same_or_within(facts, s->on, bath.on) || same_or_within(facts, s->on, part); });
  return !put_on && std::any_of(joins.begin(), joins.end(), [&](const job::Step* s) { return &bath < s; });
}

/// The bath first, and its drying too, unless the part is listed between the two.
std::vector<plan::Constraint> bath_first(const Facts& facts, const job::Step& bath, const job::Step& joins, const std::string& text) {
  const auto link = [&](const job::Step& from, std::string because) { return before(from, joins, reason(plan::ReasonKind::surface, kRule, std::move(because), practice(), bath.place)); };
  std::vector<plan::Constraint> way{link(bath, text)};
  const job::Step* dry = drying_of(facts, bath);
  const bool between = dry != nullptr && &bath < &joins && &joins < dry;
  if (dry != nullptr && dry != &joins && &bath < dry && !between && !said_to_follow(*dry, joins)) way.push_back(link(*dry, fmt::format("{} dries what {} wetted, and {} comes after that", say(*dry), say(bath), say(joins))));
  return way;
}

/// The oven that has soldered the part on by the time of the bath, as listed, where one step sets it into paste and nothing else brings
/// it there. Null: none.
const job::Step* soldered_on_by(const Facts& facts, const job::Step& bath, const PartId& part) {
  const job::Step* in = facts.job.installer(part);
  const std::vector<const job::Step*> joining = joining_steps(facts, part, bath.on);
  if (in == nullptr || in->process.text != "place" || joining != std::vector<const job::Step*>{in}) return nullptr;
  const std::vector<const job::Step*> ovens = ovens_after(facts, *in);
  return ovens.empty() || !(in < ovens.front() && ovens.front() < &bath) ? nullptr : ovens.front();
}

void bathed(const Facts& facts, const job::Step& bath, const PartId& part, Yield& yield) {
  const std::string text = harm(facts, bath, part);
  std::vector<std::vector<plan::Constraint>> options;
  bool own = false;
  const std::vector<const job::Step*> joining = joining_steps(facts, part, bath.on);
  if (!worked_on(facts, bath).contains(part) && meet_later(facts, joining, bath, part)) return;
  for (const job::Step* joins : joining) {
    own = own || joins == &bath;
    options.push_back(bath_first(facts, bath, *joins, text));
  }
  if (own) options.clear();
  if (options.empty() && !own && !same_or_within(facts, part, bath.on) && !worked_on(facts, bath).contains(part)) return;
  if (const job::Step* oven = soldered_on_by(facts, bath, part)) {
    const bool coats = bath.process.text == "coat-board";
    say_so(facts, plan::Severity::stop, bath, part, fmt::format("{} {} {}, which bears no {} and stands on the board since {}", say(bath), coats ? "covers" : "washes", facts.name(part), coats ? "coat" : "washing", say(*oven)), yield);
    return;
  }
  if (options.empty()) {
    say_so(facts, plan::Severity::stop, bath, part, text, yield);
    return;
  }
  // Two boards go together late: what is on its own board sooner is not what is washed.
  prefer_listed(facts, options);
  at_least_one(yield, kRule, std::move(options), text, bath.place);
}

/// Paint glues it fast; an arbor or a lever is often lacquered with its body, and its points oiled after.
bool runs_free(const Facts& facts, const PartId& part) { return facts.job.part(part)->motion == "slide" || ball_bearing(facts, part); }

/// A spray goes on all that stands on the face: glass, displays, contacts, bearings. Paper may be lacquered over, but not painted. A brush
/// goes round them.
bool sprayed_too(const Facts& facts, const job::Step& finish, const PartId& part) {
  constexpr std::array<std::string_view, 4> kByHand{"brush", "touch up", " rag", "swab"};
  constexpr std::array<std::string_view, 2> kPaint{"paint", "enamel"};
  constexpr std::array<std::string_view, 6> kMarks{"optical", "display", "board", "cell", "mains", "socket"};
  const job::Step* in = brings_in(facts, part);
  if (finish.process.text != "lacquer" || in == nullptr || in->on != finish.on || has(finish.touches, part) || says_one_of(kByHand, step_words(finish))) return false;
  const catalogue::Card* material = material_of(facts, part);
  const bool painted_paper = material != nullptr && material->id.text == "paper" && says_one_of(kPaint, step_words(finish));
  return painted_paper || runs_free(facts, part) || std::any_of(kMarks.begin(), kMarks.end(), [&](std::string_view m) { return marked(facts, part, m); });
}

/// Masks on the finished body, or on the part itself.
struct Taped {
  bool covered = false;             ///< one names the part, or nothing else
  const job::Step* other = nullptr; ///< one names other things
};

/// The mask speaks of a pocket or a thread, and the part was not put there.
bool masks_a_place(const Facts& facts, const job::Step& mask, const PartId& part) {
  constexpr std::array<std::string_view, 8> kPlaces{"pocket", "hole", "bore", "thread", "groove", "slot", "recess", "mortise"};
  const job::Step* in = facts.job.installer(part);
  const std::string words = step_words(mask), there = in == nullptr ? "" : step_words(*in);
  return !names_part(facts, words, part) && std::any_of(kPlaces.begin(), kPlaces.end(), [&](std::string_view place) { return says_noun(place, words) && !says_noun(place, there); });
}

/// Listed after `since` and before the finish; without it, anywhere.
Taped taped_from(const Facts& facts, const job::Step& finish, const PartId& part, const job::Step* since = nullptr) {
  Taped taped;
  for (const job::Step& mask : facts.job.steps) {
    if (mask.process.text != "mask" || (since != nullptr && (&mask < since || &finish < &mask))) continue;
    const bool on_body = same_or_within(facts, mask.on, finish.on), on_part = !on_body && same_or_within(facts, mask.on, part);
    if (on_part || has(mask.touches, part) || (on_body && mask.on == part) || (on_body && mask_covers(facts, mask, part) && !masks_a_place(facts, mask, part))) taped.covered = true;
    else if (on_body) taped.other = &mask;
  }
  return taped;
}

/// Where a mask names other things, the job is asked whether it covers the part too.
void spoilt_by(const job::Step& finish, const PartId& part, const Taped& taped, plan::Severity severity, std::string text, std::string mend, Yield& yield) {
  const bool asks = taped.other != nullptr;
  auto f = finding(kRule, asks ? plan::Severity::undecided : severity, finish, asks ? fmt::format("{}; {} masks other things", text, say(*taped.other)) : std::move(text), std::move(mend), practice());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// A finish of the body round a part that bears no coat or takes the spray too: it is there by the listing, and nothing says that it is masked.
void finished_around(const Facts& facts, const job::Step& finish, Yield& yield) {
  if (finish.on.empty() || finish.on.text == "unit") return;
  for (const job::Part& part : facts.job.parts) {
    const bool bears_none = marked(facts, part.id, "no-coat");
    if (part.jig || part.id == finish.on || (!bears_none && !sprayed_too(facts, finish, part.id))) continue;
    const std::vector<const job::Step*> joins = joining_steps(facts, part.id, finish.on);
    const bool there = std::any_of(joins.begin(), joins.end(), [&](const job::Step* s) { return s < &finish; });
    const Taped taped = taped_from(facts, finish, part.id);
    // Oil is wiped on: it gets at what is set in the wood, not at what lies deeper.
    const job::Step* in = facts.job.installer(part.id);
    const bool deep = finish.process.text == "oil" && (in == nullptr || in->on != finish.on);
    if (!there || taped.covered || deep || (!bears_none && covered_from(facts, finish))) continue;
    spoilt_by(finish, part.id, taped, plan::Severity::warn, fmt::format("{} coats {}, and {} on it {}", say(finish), facts.name(finish.on), facts.name(part.id), bears_none ? "bears no coat" : "takes the coat too: nothing masks it"), fmt::format("put {} on after it, or mask it first", facts.name(part.id)), yield);
  }
}

/// Felt, leather, cloth and paper drink oil and stain. Cork bears it.
bool drinks_oil(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  return natural_fibre(facts, part) && !wooden(facts, part) && !is_wire(facts, part) && (material == nullptr || material->id.text != "cork");
}

/// Set into what the finish goes on by a step listed before it, which leaves its seat no bare spot, and not said to be finished with the rest.
bool set_in_before(const Facts& facts, const job::Step& finish, const job::Part& part) {
  const job::Step* in = facts.job.installer(part.id);
  if (part.jig || in == nullptr || !(in < &finish) || in->on != finish.on || wooden(facts, part.id)) return false;
  return !has(finish.touches, part.id) && !marked(facts, part.id, "no-coat") && spared_for(facts, finish, *in, finish.on) != Spared::this_face;
}

/// Oil that is brushed on a body runs into what turns or slides in it, and into felt. Wood that moves is oiled with the rest.
void oiled_around(const Facts& facts, const job::Step& oil, Yield& yield) {
  for (const job::Part& part : facts.job.parts) {
    const bool drinks = drinks_oil(facts, part.id);
    if (!set_in_before(facts, oil, part) || !(marked(facts, part.id, "moving") || drinks)) continue;
    const Taped taped = taped_from(facts, oil, part.id, facts.job.installer(part.id));
    if (taped.covered) continue;
    spoilt_by(oil, part.id, taped, plan::Severity::warn, fmt::format("{} oils {} with {} {}", say(oil), facts.name(oil.on), facts.name(part.id), drinks ? "on it: it drinks the oil and stains" : "in it: oil runs into what moves, and gums there"),
              fmt::format("put {} {} after it, or mask it first; if it is oiled with the rest, write touches=\"{}\"", facts.name(part.id), drinks ? "on" : "in", part.id.text), yield);
  }
}

/// Said to go over all, or sprayed.
bool goes_over_all(const job::Step& coat) {
  constexpr std::array<std::string_view, 7> kAll{"all over", "everywhere", "the whole", "dip", "every face", "all faces", "spray"};
  return says_one_of(kAll, step_words(coat));
}

/// Said once, of the first coat that goes over it.
bool coated_since(const job::Step& in, const job::Step& coat) {
  constexpr std::array<std::string_view, 4> kCoats{"oil", "shellac", "lacquer", "wax"};
  return std::any_of(&in, &coat, [&](const job::Step& s) { return s.on == coat.on && std::find(kCoats.begin(), kCoats.end(), s.process.text) != kCoats.end(); });
}

/// Felt, leather and cloth go stiff and dark with a film and clog with wax. A brush and a cloth can be led round them, and wax does them
/// little harm: the job is asked. Paper is often lacquered over.
void coated_around_fibre(const Facts& facts, const job::Step& coat, Yield& yield) {
  for (const job::Part& part : facts.job.parts) {
    const catalogue::Card* material = material_of(facts, part.id);
    const bool fibre = drinks_oil(facts, part.id) && !(material != nullptr && material->id.text == "paper");
    if (!fibre || !set_in_before(facts, coat, part) || coated_since(*facts.job.installer(part.id), coat)) continue;
    const Taped taped = taped_from(facts, coat, part.id, facts.job.installer(part.id));
    if (taped.covered) continue;
    const bool wax = coat.process.text == "wax", sure = !wax && goes_over_all(coat);
    spoilt_by(coat, part.id, taped, sure ? plan::Severity::warn : plan::Severity::undecided, fmt::format("{} coats {} with {} on it, which {}{}", say(coat), facts.name(coat.on), facts.name(part.id), wax ? "clogs with wax and darkens" : "goes stiff and dark with the film", sure ? "" : ", and nothing says that it stays free"),
              fmt::format("put {0} on after it, mask it first, or say in a line that it is left free; if it is finished with the rest, write touches=\"{1}\"", facts.name(part.id), part.id.text), yield);
  }
}

}  // namespace

std::string way_round_bath(const Facts& facts, const plan::Constraint& link) {
  const job::Step *bath = facts.job.step(link.from.step), *joins = facts.job.step(link.to.step);
  if (link.reason.rule.text != kRule || bath == nullptr || joins == nullptr) return {};
  const std::string_view word = forbidden_by(*bath);
  for (const job::Part& part : facts.job.parts) {
    if (part.jig || !bears_not(facts, part.id, *bath, word)) continue;
    const auto joining = joining_steps(facts, part.id, bath->on);
    if (std::find(joining.begin(), joining.end(), joins) != joining.end()) return mend_for(facts, part.id, word);
  }
  return {};
}

void bears_no_bath(const Facts& facts, const job::Step& bath, Yield& yield) {
  constexpr std::array<std::string_view, 3> kFinishes{"lacquer", "shellac", "oil"};
  if (std::find(kFinishes.begin(), kFinishes.end(), bath.process.text) != kFinishes.end()) finished_around(facts, bath, yield);
  if (bath.process.text == "oil" && !bath.on.empty()) oiled_around(facts, bath, yield);
  if (film_process(bath.process.text) || bath.process.text == "wax") coated_around_fibre(facts, bath, yield);
  const std::string_view word = forbidden_by(bath);
  // A whole device that is rinsed outside is another thing.
  if (word.empty() || bath.on.empty() || bath.on.text == "unit") return;
  const std::vector<const job::Step*> masking = masks_against(facts, bath);
  for (const job::Part& part : facts.job.parts) {
    if (part.jig || !bears_not(facts, part.id, bath, word) || (bath.process.text == "coat-board" && spares(facts, bath, part.id))) continue;
    if (std::any_of(masking.begin(), masking.end(), [&](const job::Step* mask) { return masks(facts, *mask, bath, part.id); })) continue;
    const auto other = std::find_if(masking.begin(), masking.end(), [&](const job::Step* mask) { return on_one_body(facts, *mask, bath); });
    if (other != masking.end() && !drowned(facts, bath, part.id) && on_it_by_then(facts, bath, part.id)) {
      say_so(facts, plan::Severity::undecided, bath, part.id, fmt::format("{} masks for {}, and does not name {}, which bears no coat", say(**other), say(bath), facts.name(part.id)), yield);
    } else if (pours(bath)) {
      poured_on(facts, bath, part.id, yield);
    } else {
      bathed(facts, bath, part.id, yield);
    }
  }
}

}  // namespace handlot::rules
