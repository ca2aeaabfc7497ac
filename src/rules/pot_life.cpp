// A cup of mixed adhesive is used up before it goes off, and is not so large that it boils.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <span>

#include "core/text.h"
#include "joints/pot_life.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/sub_batch.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "pot-life";

/// Units that are worked one after the other from one cup: those of a sub-batch that can't be smaller, as far as the cup
/// goes. A larger cup alone says nothing: a rest stays in it.
int units_a_cup(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive) {
  if (!step.run_per_unit) return 1;
  const int together = step.whole_lot ? facts.job.units : std::min(step.batch_min, facts.job.units);
  for (const job::MaterialUse& use : step.materials) {
    const auto one = mass_used(facts, step, adhesive);
    if (use.card != adhesive.id || !use.at_once || !one || one->value <= 0) continue;
    return std::clamp(static_cast<int>(*use.at_once / *one + 1e-6), 1, together);
  }
  return 1;
}

std::optional<Grams> mixed_at_once(const job::Step& step, const catalogue::Card& adhesive) {
  std::optional<Grams> mass;
  for (const job::MaterialUse& use : step.materials) {
    if (use.card == adhesive.id && use.at_once) mass = use.at_once;
  }
  return mass;
}

bool mixed_elsewhere(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive) {
  return step.process.text != "mix" && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return s.process.text == "mix" && std::any_of(s.materials.begin(), s.materials.end(), [&](const auto& u) { return u.card == adhesive.id; });
  });
}

/// A cup that the job says nothing of, but that it may well mean.
struct Cup {
  int units = 1;
  Grams mass{0};
  Duration spread{0};
};

/// All units of a sub-batch that can't be smaller, where it has one set-up and so, maybe, one mixing; else one unit.
Cup likely_cup(const Facts& facts, const job::Step& step, Grams one) {
  const bool once = step.setup > Duration(0) || !step.run_per_unit || step.process.text == "mix";
  const int units = !once ? 1 : step.whole_lot ? facts.job.units : std::clamp(step.batch_min, 1, facts.job.units);
  return {units, one * units, step.run_per_unit ? step.run * units : step.run};
}

/// Of an adhesive with a pot life, used without a word of how much is mixed in one go.
void ask_for_cup(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, const joints::AdhesiveFigures& figures, const Source& source, Yield& yield) {
  const auto one = mass_used(facts, step, adhesive);
  if (!one) return;
  const Cup cup = likely_cup(facts, step, *one);
  const auto life = joints::pot_life(figures, cup.mass, facts.job.bench.temperature.value_or(figures.pot_temperature));
  const bool too_much = !life && life.error().front().code == "pot-mass-unknown";
  if (!too_much && (!life || cup.units == 1 || cup.spread <= life->life)) return;
  const std::string whose = cup.units > 1 ? fmt::format("one cup for the {} units of a sub-batch", cup.units) : "one cup for a unit";
  const std::string why = too_much ? life.error().front().text : fmt::format("{} take {}, and {} stays workable for {}", counted(cup.units, "unit", "units"), in_words(cup.spread), adhesive.name, in_words(life->life));
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, step, fmt::format("{} does not say how much is mixed at once; {}: {}", say(step), whose, why),
                                   "write mixed-at-once=\"...\" into its <uses>, as much as goes into one cup; several small cups are slower to go off than a large one", source));
}

/// Mixed once in the set-up, a cup serves the units of a sub-batch one after the other: no more are planned at one go than it stays
/// workable for, as far as the job lets them be fewer.
void cap_by_cup(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, Duration life, const Source& source, Yield& yield) {
  const auto one = mass_used(facts, step, adhesive), cup = mixed_at_once(step, adhesive);
  const bool from_one_cup = step.setup > Duration(0) && step.run_per_unit && !step.whole_lot;
  if (!from_one_cup || !one || !cup || one->value <= 0 || step.run <= Duration(0)) return;
  const int served = std::min(largest_sub_batch(facts, step), static_cast<int>(*cup / *one + 1e-6));
  const int in_time = std::max({1, step.batch_min, static_cast<int>(life.seconds / step.run.seconds)});
  if (served <= in_time) return;
  yield.at_most.push_back({step.id, in_time});
  yield.findings.push_back(finding(kRule, plan::Severity::note, step,
                                   fmt::format("{} takes {} for {} from one cup, and {} stays workable for {}: no more than {} at one go", say(step), in_words(step.run * served), counted(served, "unit", "units"), adhesive.name, in_words(life), counted(in_time, "unit is planned", "units are planned")),
                                   "mix a fresh cup for each, or take a slower adhesive", source));
}

/// What is poured is made for it, and its pot life tried on more than a glue's.
bool poured(const Facts& facts, const job::Step& step) {
  return step.process.text == "pot" || std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) { return facts.job.joint(id)->depth.has_value(); });
}

/// A pot life printed without a mass is that of some small cup. Silicone warms itself no more for being much.
void large_cup(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, const joints::AdhesiveFigures& figures, Grams cup, Yield& yield) {
  constexpr Grams kSmall{50};  // common practice, no source
  const Grams known = poured(facts, step) ? joints::kHotMix : kSmall;
  if (figures.pot_lives.back().mass.value > 0 || cup <= known || adhesive.word_or("chemistry") == "silicone") return;
  const bool hot = cup >= joints::kHotMix && adhesive.word_or("chemistry") == "epoxy";
  const auto printed = adhesive.get<Duration>("pot-life");
  yield.findings.push_back(finding(kRule, hot ? plan::Severity::warn : plan::Severity::undecided, step,
                                   hot ? fmt::format("{} mixes {} g of {} in one cup: so much heats itself, goes off early, and may melt the cup and burn skin", say(step), number(cup.value, 0), adhesive.name)
                                       : fmt::format("{} mixes {} g of {} in one cup, and its card prints {} of no mass: so much may heat itself and go off sooner", say(step), number(cup.value, 0), adhesive.name, in_words(printed->low)),
                                   fmt::format("split the mix into small cups, or pour it into a flat tray{}", hot ? "" : "; or write at-mass=\"... g\" at the pot life of the card, where the data sheet prints one"), hot ? Source{"PROMISE", "exotherm", Standing::read} : practice()));
}

void refused(const job::Step& step, const Diagnostic& why, const Source& source, Yield& yield) {
  const bool mass = why.code == "pot-mass-unknown";
  yield.findings.push_back(finding(kRule, mass ? plan::Severity::warn : plan::Severity::undecided, step, fmt::format("{}: {}", say(step), why.text), why.mend, source));
}

}  // namespace

void pot_life(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const catalogue::Card* adhesive : fluids_of(facts, step)) {
    const auto printed = adhesive->get<Duration>("pot-life");
    if (!printed || !adhesive->yes("two-part")) continue;
    const joints::AdhesiveFigures figures = adhesive_figures(*adhesive, {""});
    const bool elsewhere = mixed_elsewhere(facts, step, *adhesive);
    const auto at_once = mixed_at_once(step, *adhesive);
    if (!at_once && !elsewhere) ask_for_cup(facts, step, *adhesive, figures, printed->source, yield);
    const auto life = joints::pot_life(figures, at_once.value_or(figures.pot_lives.front().mass), facts.job.bench.temperature.value_or(figures.pot_temperature));
    if (!life) {
      refused(step, life.error().front(), printed->source, yield);
      continue;
    }
    if (at_once) large_cup(facts, step, *adhesive, figures, *at_once, yield);
    if (!elsewhere) cap_by_cup(facts, step, *adhesive, life->life, printed->source, yield);
    const int units = units_a_cup(facts, step, *adhesive);
    const Duration spread = step.run * units;
    if (elsewhere || spread <= life->life) continue;
    const std::string whose = units > 1 ? fmt::format("for the {} units of one cup", units) : step.run_per_unit ? "a unit" : "a sub-batch";
    // Part of the time goes before the mixing; only from twice the life on it can't have been meant so.
    const bool sure = spread > life->life * 2;
    yield.findings.push_back(finding(kRule, sure ? plan::Severity::warn : plan::Severity::note, step,
                                     fmt::format("{} takes {} {}, and {} stays workable for {}", say(step), in_words(spread), whose, adhesive->name, in_words(life->life)),
                                     "mix several small cups, take a slower adhesive, or make a step of its own of what comes before the glue", printed->source));
  }
}

namespace {

bool says_any(const job::Step& step, std::span<const std::string_view> words) {
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) { return says_one_of(words, lower(action)); });
}

/// The glue is spread in a step of its own.
bool spread_elsewhere(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return &s != &step && s.bonds.empty() && std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& u) { return u.card == adhesive.id; });
  });
}

/// A wait in the step's own words.
bool speaks_of_drying(const job::Step& step) {
  constexpr std::array<std::string_view, 6> kWords{"dry", "dries", "wait", "tack", "string", " min"};
  return says_any(step, kWords);
}

/// From the set-up to the end of the largest sub-batch: the glue of one unit dries while others are spread.
Duration longest_run(const Facts& facts, const job::Step& step) {
  return step.setup + run_of_largest(facts, step) + step.unattended;
}

/// It speaks of the drying, and is over before it: neither the plan nor the times of the sheet hold.
void dries_within(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, Duration least, const Source& source, Yield& yield) {
  const Duration takes = longest_run(facts, step);
  if (takes >= least) return;
  yield.findings.push_back(finding("open-time", plan::Severity::warn, step, fmt::format("{} takes {} in all, and {} dries for {} at the least before it is closed", say(step), in_words(takes), adhesive.name, in_words(least)),
                                   fmt::format("write the drying into it: unattended=\"{}\", or more of run", in_words(least)), source));
}

/// Contact glue sticks to itself, once its solvent has gone.
void both_faces(const Facts& facts, const job::Step& step, const catalogue::Card& adhesive, Yield& yield) {
  const auto open = *adhesive.get<Duration>("open-time");
  yield.hints.push_back({step.id, {RuleId("open-time"), fmt::format("Put {} on both faces, let it dry to the touch ({} to {}), then close: there is no second try", adhesive.name, in_words(open.low), in_words(open.high)), open.source}});
  if (std::max({step.run, step.setup, step.unattended}) >= open.low || spread_elsewhere(facts, step, adhesive)) return;
  if (speaks_of_drying(step)) return dries_within(facts, step, adhesive, open.low, open.source, yield);
  // Who speaks of both faces, or says nothing, may well know; who spreads one and presses on does not.
  constexpr std::array<std::string_view, 1> kBoth{"both"};
  const bool known = step.actions.empty() || says_any(step, kBoth);
  yield.findings.push_back(finding("open-time", known ? plan::Severity::note : plan::Severity::warn, step,
                                   fmt::format("{} closes {} wet: nothing in it waits the {} until it is touch-dry, and between two faces it does not dry", say(step), adhesive.name, in_words(open.low)),
                                   "say in the step that both faces are left until they are touch-dry, or spread in a step of its own with the wait", open.source));
}

/// Four feet of one bond are four joints, each closed before the glue goes on the next.
int pieces(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  int most = 1;
  for (const job::Installs& i : step.installs) {
    const job::Part* part = has(joint.between, i.part) ? facts.job.part(i.part) : nullptr;
    if (part != nullptr) most = std::max(most, i.count > 0 ? i.count : part->count);
  }
  return most;
}

/// Instant glue sets in seconds under the first part of a large face that is laid on it: common practice. What is run in at the edge of
/// a closed joint is another way.
void instant_glue_spread(const Facts& facts, const job::Step& step, Yield& yield) {
  constexpr SquareMillimetres kLarge{10000};
  constexpr std::array<std::string_view, 5> kRunIn{"wick", "run in", "run it in", "flow in", "capillar"};
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    const catalogue::Card& adhesive = facts.card(joint.adhesive);
    if (adhesive.word_or("chemistry") != "cyanoacrylate" || !joint.area || joint.area_from_shapes || says_any(step, kRunIn)) continue;
    const int count = pieces(facts, step, joint);
    const SquareMillimetres one = *joint.area * (1.0 / count);
    if (one <= kLarge) continue;
    yield.findings.push_back(finding("open-time", plan::Severity::warn, step,
                                     fmt::format("{} spreads {} over {} cm2: it sets before such a face is closed", say(step), adhesive.name, number(one.value / 100, 0)),
                                     "take a glue that stays open, such as wood glue, contact glue or a slow epoxy; or close the joint first and run thin instant glue in at its edge", practice()));
  }
}

}  // namespace

void open_time(const Facts& facts, const job::Step& step, Yield& yield) {
  instant_glue_spread(facts, step, yield);
  std::map<CardId, int> joints;
  for (const JointId& id : step.bonds) joints[facts.job.joint(id)->adhesive] += pieces(facts, step, *facts.job.joint(id));
  for (const auto& [id, count] : joints) {
    const catalogue::Card& adhesive = facts.card(id);
    const auto open = adhesive.get<Duration>("open-time");
    if (contact_glue(adhesive)) both_faces(facts, step, adhesive, yield);
    // Hot melt goes on drop by drop, contact glue waits, and a mixed glue has its pot life.
    const std::string chemistry = adhesive.word_or("chemistry");
    const bool skins = chemistry == "wood-glue" || chemistry == "polyurethane-moist" || chemistry == "silicone";
    if (!open || !skins || !step.run_per_unit || step.run <= open->low * 2 * count) continue;
    yield.findings.push_back(finding("open-time", plan::Severity::warn, step,
                                     fmt::format("{} takes {} a unit, and {} is closed within {} of being spread", say(step), in_words(step.run), adhesive.name, in_words(open->low)),
                                     "make steps of their own of what comes before the glue and after the closing, or take a glue that stays open longer", open->source));
  }
}

}  // namespace handlot::rules
