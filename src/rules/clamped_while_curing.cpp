// A clamp or jig is taken until the glue holds, or as long as the job says; it is not taken off before.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/cure.h"
#include "rules/lamp.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "clamped";

/// The step that takes the clamps off the bond, unit by unit: the first one listed after `step`; null: none.
const job::Step* taken_off(const Facts& facts, const job::Step& step, const JointId& bond) {
  const std::vector<PartId>& between = facts.job.joint(bond)->between;
  for (const job::Step* s = &step + 1; s != facts.job.steps.data() + facts.job.steps.size(); ++s) {
    if (s->process.text != "unclamp" || s->whole_lot) continue;
    if (std::any_of(between.begin(), between.end(), [&](const PartId& side) { return same_or_within(facts, s->on, side); })) return s;
  }
  return nullptr;
}

void until_it_holds(const Facts& facts, const job::Step& step, const job::Holds& hold, plan::Use& use, Yield& yield) {
  const auto time = cure_time(facts, *facts.job.joint(hold.until_joint), hold.until_cure);
  const job::Step* lamp = lamp_of(facts, *facts.job.joint(hold.until_joint), step);
  if (time) use.hold_after_end = time->wait;
  if (lamp != nullptr) use.until_start_of = lamp->id;
  if (const job::Step* off = taken_off(facts, step, hold.until_joint); off != nullptr && time) {
    use.until_start_of = off->id;
    use.hold_after_end = Duration(0);
    yield.links.push_back(before(lamp == nullptr ? step : *lamp, *off, time->wait, reason(plan::ReasonKind::process, kRule, fmt::format("the {} is held until {} takes it off", hold.fixture.text, say(*off)), time->source, hold.place)));
  }
  if (!time) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, step,
                                     fmt::format("how long {} is held is not known: no cure time of '{}'", hold.fixture.text, hold.until_joint.text),
                                     "write for=\"...\" in <holds>, or add the figure to the adhesive's card", practice()));
  }
}

/// Glue that slides or springs open until it has set. Silicone, tape and what a lamp hardens are held otherwise.
bool wants_holding(const std::string& chemistry) {
  constexpr std::array<std::string_view, 6> kHeld{"epoxy", "polyurethane", "polyurethane-moist", "acrylic", "wood-glue", "cyanoacrylate"};
  return std::find(kHeld.begin(), kHeld.end(), chemistry) != kHeld.end();
}

/// The longest of the stated times against what the bond needs until it can't be pushed apart. A third of it is too short
/// whatever margin lies in the figure; between, the builder may know better: common practice.
void held_too_short(const Facts& facts, const job::Step& step, Yield& yield) {
  Duration longest(0);
  for (const job::Holds& hold : step.holds) {
    if (!hold.for_time) return;
    longest = std::max(longest, *hold.for_time);
  }
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    const catalogue::Card& adhesive = facts.card(joint.adhesive);
    const std::string chemistry = adhesive.word_or("chemistry");
    const auto time = step.holds.empty() || !wants_holding(chemistry) ? std::nullopt : cure_time(facts, joint, job::Cure::fixture);
    const bool unstressed = chemistry == "wood-glue" && longest >= joints::kWoodClampLeast;
    if (!time || longest >= time->wait || unstressed) continue;
    const bool sure = longest * 3 < time->wait;
    yield.findings.push_back(finding(kRule, sure ? plan::Severity::stop : plan::Severity::warn, step,
                                     fmt::format("{} holds bond '{}' for {}, and {} takes {} to {} strength", say(step), id.text, in_words(longest), adhesive.name, in_words(time->wait), word(time->reached)),
                                     fmt::format("write until-joint=\"{}\" cure=\"{}\" in <holds>, or measured-{}=\"...\" in the bond", id.text, word(time->reached), word(time->reached)), time->source));
  }
}

/// In the words of the step: "Clamp it with four clamps", "Rub the block on".
bool says_held(const job::Step& step) {
  std::string text = step_words(step);
  for (const job::ToolUse& tool : step.tools) text += " " + lower(tool.name) + " " + tool.card.text;
  constexpr std::array<std::string_view, 11> kWords{"clamp", "cramp", "weight", "press", "tape", "strap", "band", "rub the", "vice", "vise", "wedge"};
  return says_one_of(kWords, text);
}

/// A dowel, a peg or a plug holds itself in its hole, and so does what is driven in: the hole presses.
bool holds_itself(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  constexpr std::array<std::string_view, 7> kPins{"dowel", "peg", "biscuit", "tenon", "plug", "spline", "wedge"};
  constexpr std::array<std::string_view, 8> kDriven{"tap", "drive", "driven", "hammer", "mallet", "knock", "push fit", "press fit"};
  const bool pinned = joint.between.size() == 2 && std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& side) {
    const std::string names = both_names(facts, side);
    return std::any_of(kPins.begin(), kPins.end(), [&](std::string_view pin) { return says_noun(pin, names); });
  });
  return pinned || says_one_word(kDriven, step_words(step));
}

/// Cloth, felt, paper and leather lie where they are rubbed down, and soak the glue up.
bool rubbed_down(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  constexpr std::array<std::string_view, 6> kWords{"rub", "rubbed", "smooth", "smoothed", "roller", "folder"};
  const bool fabric = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& p) { return natural_fibre(facts, p) && !wooden(facts, p); });
  return fabric && says_one_word(kWords, step_words(step));
}

/// Wood glue is strong only where it sets under pressure.
void not_held(const Facts& facts, const job::Step& step, Yield& yield) {
  if (!step.holds.empty() || says_held(step)) return;
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    const catalogue::Card& adhesive = facts.card(joint.adhesive);
    const bool elsewhere = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
      const bool here = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& side) { return same_or_within(facts, s.on, side); });
      return here && (s.process.text == "clamp" || s.process.text == "unclamp" || std::any_of(s.holds.begin(), s.holds.end(), [&](const job::Holds& h) { return h.until_joint == id; }));
    });
    const bool screwed = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) {
      const job::Part* part = facts.job.part(i.part);
      return part != nullptr && (!part->clamps.empty() || !part->presses.empty());
    });
    if (adhesive.word_or("chemistry") != "wood-glue" || elsewhere || screwed || rubbed_down(facts, step, joint) || holds_itself(facts, step, joint)) continue;
    yield.findings.push_back(finding(kRule, plan::Severity::warn, step, fmt::format("nothing holds bond '{}' while {} sets: wood glue is strong only under pressure", id.text, adhesive.name),
                                     fmt::format("add <holds fixture=\"...\" until-joint=\"{}\" cure=\"handling\"/>, or say in an action what presses it", id.text), {"TITEBOND", "clamp pressure", Standing::read}));
  }
}

}  // namespace

void clamped_while_curing(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::Holds& hold : step.holds) {
    plan::Use use;
    use.resource = hold.fixture;
    use.count = hold.count;
    use.per_unit = true;
    if (!hold.until_step.empty()) {
      use.until_start_of = hold.until_step;
      const job::Step& freed = *facts.job.step(hold.until_step);
      yield.links.push_back(before(step, freed, reason(plan::ReasonKind::process, kRule, fmt::format("the {} is held until {}", hold.fixture.text, say(freed)), stated(), hold.place)));
    } else if (hold.for_time) {
      use.hold_after_end = *hold.for_time;
    } else if (!hold.until_joint.empty()) {
      until_it_holds(facts, step, hold, use, yield);
    }
    yield.held.push_back({step.id, use});
  }
  held_too_short(facts, step, yield);
  not_held(facts, step, yield);
}

}  // namespace handlot::rules
