// Flux: what must come off, what must not be shut in, and nothing wet gets power.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/cell.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "solder/hand.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kResidue = "flux-residue";
constexpr std::string_view kDry = "dry-before-power";

bool washes(const job::Step& s) { return s.process.text == "clean-flux" || s.process.text == "wash"; }

/// A board by itself or in its subassembly; a whole device that is rinsed is another thing.
bool on_a_board(const Facts& facts, const job::Step& s) {
  return s.on.text != "unit" && board_of(facts, s.on) != nullptr;
}

/// Of the paste or the solder wire; of a flux card beside it, where that is the harsher one.
std::optional<solder::Flux> flux_of(const Facts& facts, const job::Step& step) {
  std::vector<std::string> words;
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.kind == catalogue::CardKind::paste || card.kind == catalogue::CardKind::solder) words.push_back(card.word_or("flux"));
    if (card.kind == catalogue::CardKind::flux) words.push_back(card.word_or("family") == "water" ? "water-soluble" : "rosin");
  }
  if (step.process.text == "reflow") {
    if (const auto* paste = paste_of(facts, step)) words.push_back(paste->word_or("flux"));
  }
  const auto has_word = [&](std::string_view w) { return std::find(words.begin(), words.end(), w) != words.end(); };
  if (has_word("water-soluble")) return solder::Flux::water_soluble;
  if (has_word("rosin")) return solder::Flux::rosin;
  if (has_word("no-clean")) return solder::Flux::no_clean;
  return std::nullopt;
}

/// Brushed or wiped by hand with what takes that flux off, round a part that bears no bath; a step of process 'clean' says so by
/// its solvent. Without a flux: with what takes any off.
bool wipes_flux(const Facts& facts, const job::Step& s, std::optional<solder::Flux> flux = std::nullopt) {
  if (s.process.text != "clean") return false;
  return std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& use) {
    const std::string removes = " " + facts.card(use.card).word_or("removes") + " ";
    const bool water = removes.find(" water-soluble-flux ") != std::string::npos, other = removes.find(" flux ") != std::string::npos;
    return !flux ? water || other : *flux == solder::Flux::water_soluble ? water : other;
  });
}

std::vector<const job::Step*> cleaners_after(const Facts& facts, const job::Step& solder_step) {
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    const bool cleans = washes(s) || wipes_flux(facts, s, flux_of(facts, solder_step)) || s.process.text == "degrease";
    const bool here = on_one_body(facts, s, solder_step) || std::any_of(s.touches.begin(), s.touches.end(), [&](const PartId& id) { return same_or_within(facts, id, solder_step.on); });
    if (cleans && here) found.push_back(&s);
  }
  return found;
}

/// Whether what the wash uses takes water-soluble flux off: water does, alcohol by itself does not. Without a material it is
/// taken to be right.
bool takes_water_soluble(const Facts& facts, const job::Step& wash) {
  bool wrong = false;
  for (const job::MaterialUse& use : wash.materials) {
    const std::string removes = facts.card(use.card).word_or("removes");
    if (removes.find("water-soluble-flux") != std::string::npos) return true;
    wrong = wrong || !removes.empty();
  }
  return !wrong;
}

/// Whether what the wash uses takes the resin of a no-clean or rosin flux off: alcohol does, water by itself does not.
bool takes_resin(const Facts& facts, const job::Step& wash) {
  bool wrong = false;
  for (const job::MaterialUse& use : wash.materials) {
    const std::string removes = " " + facts.card(use.card).word_or("removes") + " ";
    if (removes.find(" flux ") != std::string::npos) return true;
    wrong = wrong || removes.find(" water-soluble-flux ") != std::string::npos;
  }
  return !wrong;
}

plan::Constraint link(const job::Step& a, const job::Step& b, std::string_view rule, const std::string& text, const Source& source, const Place& place) {
  return before(a, b, reason(plan::ReasonKind::surface, rule, text, source, place));
}

/// Water-soluble flux is off the same day.
void must_come_off(const Facts& facts, const job::Step& step, Yield& yield) {
  const auto plan = solder::plan_cleaning(solder::Flux::water_soluble, false);
  const solder::Lag& lag = plan.lags.front();
  std::vector<std::vector<plan::Constraint>> options;
  for (const job::Step* wash : cleaners_after(facts, step)) {
    if (wash->process.text == "degrease" || !takes_water_soluble(facts, *wash)) continue;
    plan::Constraint c = link(step, *wash, kResidue, lag.text, lag.source, step.place);
    c.max = lag.at_most;
    c.clock = "water-soluble flux eats the board";
    c.if_late = "wash it now, with warm water, and look for green or white under the parts";
    options.push_back({std::move(c)});
  }
  if (options.empty()) {
    yield.findings.push_back(finding(kResidue, plan::Severity::stop, step, fmt::format("{} leaves water-soluble flux on the board, and no step washes it off: it corrodes", say(step)), "add a step of process 'wash' with water and one of process 'dry'; alcohol by itself does not take this flux off", lag.source));
    return;
  }
  prefer_listed(facts, options);
  at_least_one(yield, kResidue, std::move(options), fmt::format("which step washes the flux of {} off", say(step)), step.place);
}

/// What may clean the flux of `step` off: what is listed after it; a wash listed before it only if that has no soldering of its
/// own to clean up after, for then it is put where it stands for a reason.
std::vector<const job::Step*> cleaners_of(const Facts& facts, const job::Step& step) {
  std::vector<const job::Step*> found = cleaners_after(facts, step);
  std::erase_if(found, [&](const job::Step* clean) {
    if (&step < clean) return false;
    return std::any_of(facts.job.steps.data(), clean, [&](const job::Step& s) { return solders(s) && same_or_within(facts, s.on, clean->on); });
  });
  return found;
}

/// What is shut in under lacquer or resin.
bool shuts_in(const Facts& facts, const job::Step& s) { return facts.process(s).word_or("surface-needed") == "degreased" && (s.process.text == "coat-board" || s.process.text == "pot" || s.process.text == "lacquer"); }

/// A board that was cleaned and then soldered on once more bears flux on these joints only.
bool cleaned_once(const Facts& facts, const job::Step& step) {
  return std::any_of(facts.job.steps.data(), &step, [&](const job::Step& clean) {
    return washes(clean) && on_one_body(facts, clean, step) && std::any_of(facts.job.steps.data(), &clean, [&](const job::Step& s) { return solders(s) && on_one_body(facts, s, clean); });
  });
}

/// The oven has spent what a no-clean flux has in it, and some coats go over what is left.
bool coat_may_go_over(const Facts& facts, const job::Step& step, const job::Step& later) {
  return step.process.text == "reflow" && later.process.text == "coat-board" && flux_of(facts, step) == solder::Flux::no_clean;
}

plan::Finding shut_in(const Facts& facts, const job::Step& step, const job::Step& later, const job::Step* water) {
  if (water == nullptr && coat_may_go_over(facts, step, later)) {
    return finding("flux-shut-in", plan::Severity::undecided, later, fmt::format("{} goes over the no-clean residue of {}, and nothing says that this coat and this paste bear with one another", say(later), say(step)),
                   "ask the maker of the coat whether it goes over this residue, and waive it; or add a step of process 'clean-flux' and one of process 'dry' between", practice());
  }
  const bool few_joints = later.process.text == "pot" && step.process.text == "hand-solder" && (cleaned_once(facts, step) || !on_a_board(facts, step));
  const std::string but = water == nullptr ? "" : fmt::format(", {} washes it with water, which does not take its resin off", say(*water));
  const std::string harm = later.process.text == "pot" ? "the resin does not stick where it lies, and it creeps" : "under a film it draws water and creeps";
  return finding("flux-shut-in", few_joints ? plan::Severity::note : plan::Severity::warn, later, fmt::format("{} leaves flux{}, and {} shuts it in: {}", say(step), but, say(later), harm),
                 water == nullptr ? "add a step of process 'clean-flux' and one of process 'dry' between; round a part that bears no bath, one of process 'clean' that uses what takes the flux off" : "clean it off with alcohol or flux remover between", practice());
}

/// The part for which the cleaning is put before what is listed before it: it bears no washing, and comes on after. Null: none.
const job::Part* comes_after_bath(const Facts& facts, const KnownOrder& order, const job::Step& clean) {
  const auto found = std::find_if(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& part) {
    const std::string word = part.jig ? "" : facts.card(part.card).word_or("no-wash");
    const job::Step* in = word == "yes" || word == "bath" ? facts.job.installer(part.id) : nullptr;
    return in != nullptr && in < &clean && order.before(clean.id, in->id);
  });
  return found == facts.job.parts.end() ? nullptr : &*found;
}

/// The cleaning that is listed after the soldering and surely comes before it. Null: none, or another one may come after it.
const job::Step* cleaned_too_soon(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  const job::Step* moved = nullptr;
  for (const job::Step* clean : cleaners_after(facts, step)) {
    if (clean->process.text == "degrease") continue;
    if (!order.before(clean->id, step.id)) return nullptr;
    if (&step < clean) moved = clean;
  }
  return moved;
}

}  // namespace

void cleaned_after(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  // Water-soluble flux has a rule of its own.
  const auto flux = flux_of(facts, step);
  const job::Step* moved = solders(step) && flux != solder::Flux::water_soluble ? cleaned_too_soon(facts, order, step) : nullptr;
  const job::Part* part = moved == nullptr ? nullptr : comes_after_bath(facts, order, *moved);
  if (part == nullptr) return;
  // Where it cleans after another soldering it does its work; what is left of no-clean flux may stay then.
  const bool others = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &step && solders(s) && order.before(s.id, moved->id) && on_one_body(facts, s, *moved); });
  if (others && flux == solder::Flux::no_clean) return;
  auto f = finding("cleaned-after", others ? plan::Severity::note : plan::Severity::warn, step,
                   fmt::format("{} is listed after {} and comes before it, since {} bears no washing: the flux of {} stays", say(*moved), say(step), facts.name(part->id), say(step)),
                   fmt::format("solder {} in a step of its own after the cleaning, or clean round it by hand: a step of process 'clean' that uses what takes the flux off", facts.name(part->id)), practice());
  f.steps.push_back(moved->id);
  f.parts = {part->id};
  yield.findings.push_back(std::move(f));
}

void flux_residue(const Facts& facts, const job::Step& step, Yield& yield) {
  if (solders(step) && flux_of(facts, step) == solder::Flux::water_soluble) must_come_off(facts, step, yield);
}

void flux_shut_in(const Facts& facts, const job::Step& step, const job::Step& later, Yield& yield) {
  if (!solders(step) || !shuts_in(facts, later) || step.on.empty()) return;
  const bool board = of_a_board(facts, step);
  if (!same_or_within(facts, step.on, later.on) && !(board && on_one_body(facts, step, later))) return;
  const std::string text = fmt::format("{} leaves flux, and {} shuts it in", say(step), say(later));
  std::vector<std::vector<plan::Constraint>> options;
  const auto flux = flux_of(facts, step);
  const bool resin = board && (flux == solder::Flux::no_clean || flux == solder::Flux::rosin);
  const job::Step* water = nullptr;
  for (const job::Step* clean : cleaners_of(facts, step)) {
    // A whole device that is rinsed is another thing.
    if (clean == &later || (clean->on.text == "unit" && step.on.text != "unit")) continue;
    if (resin && !takes_resin(facts, *clean)) {
      water = clean;
      continue;
    }
    options.push_back({link(step, *clean, "flux-shut-in", text, practice(), step.place), link(*clean, later, "flux-shut-in", text, practice(), later.place)});
  }
  if (options.empty()) {
    if (&later < &step) return;  // covered first and soldered elsewhere after: the flux lies on top
    yield.findings.push_back(shut_in(facts, step, later, water));
    return;
  }
  options.push_back({link(later, step, "flux-shut-in", fmt::format("{} covers what {} does not touch any more", say(later), say(step)), practice(), step.place)});
  prefer_listed(facts, options);
  at_least_one(yield, "flux-shut-in", std::move(options), text, later.place);
}

void dry_before_power(const Facts& facts, const job::Step& wash, const job::Step& later, Yield& yield) {
  if ((!washes(wash) && !wipes_flux(facts, wash)) || !on_a_board(facts, wash) || !on_one_body(facts, wash, later)) return;
  const bool power = gets_power(later) || connects_a_cell(facts, later);
  const bool covers = later.process.text == "coat-board" || later.process.text == "pot";
  if (!power && !covers) return;
  const bool water = wash.process.text == "wash" || (wipes_flux(facts, wash) && takes_water_soluble(facts, wash));
  const solder::Lag lag = solder::plan_cleaning(water ? solder::Flux::water_soluble : solder::Flux::rosin, true).lags.back();
  const std::string text = fmt::format("the board is dry before {}: {}", power ? "it gets power" : "it is covered", lag.text);
  plan::Constraint dried = before(wash, later, lag.at_least, reason(plan::ReasonKind::surface, kDry, text, lag.source, later.place));
  dried.clock = "the washed board dries";
  // Tested and then washed is an order too, unless the file lists the wash first.
  if (&wash < &later) {
    yield.links.push_back(std::move(dried));
    return;
  }
  std::vector<std::vector<plan::Constraint>> options{{link(later, wash, kDry, fmt::format("{} is over before the board is wet", say(later)), lag.source, wash.place)}, {std::move(dried)}};
  at_least_one(yield, kDry, std::move(options), text, later.place);
}

}  // namespace handlot::rules
