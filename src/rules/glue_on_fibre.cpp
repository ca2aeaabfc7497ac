// Instant glue and natural fibre heat up together to burns or fire.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool opens_instant_glue(const Facts& facts, const job::Step& step) {
  const auto fluids = fluids_of(facts, step);
  return std::any_of(fluids.begin(), fluids.end(), [](const catalogue::Card* c) { return c->word_or("chemistry") == "cyanoacrylate"; });
}

/// Loose fibre draws the glue in and heats it; leather, cork and paper take a drop, and a puddle smokes on them too.
/// Source   a fixture time on leather and paper is printed: TDS401 (read); 100 mg a unit is common practice.
plan::Severity severity_on(const Facts& facts, const job::Step& step, const PartId& part) {
  constexpr Grams kPuddle{0.1};
  const catalogue::Card* material = material_of(facts, part);
  const std::string row = material == nullptr ? "" : material->word_or("substrate", material->id.text);
  if (row != "leather" && row != "cork" && row != "paper") return plan::Severity::stop;
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    if (fluid->word_or("chemistry") != "cyanoacrylate") continue;
    const auto mass = mass_used(facts, step, *fluid);
    if (!mass || *mass > kPuddle) return plan::Severity::warn;
  }
  return plan::Severity::note;
}

}  // namespace

void glue_on_fibre(const Facts& facts, const job::Step& step, Yield& yield) {
  if (!opens_instant_glue(facts, step)) return;
  std::set<PartId> reached;
  for (const job::Installs& i : step.installs) reached.insert(i.part);
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    reached.insert(joint.between.begin(), joint.between.end());
  }
  reached.insert(step.touches.begin(), step.touches.end());
  const Source source{"SDS3M", "reactivity, as quoted", Standing::read};
  const std::string mend = "take contact glue, epoxy or wood glue for fibre, and wipe with polyethylene";
  for (const PartId& part : reached) {
    if (!natural_fibre(facts, part)) continue;
    const plan::Severity severity = severity_on(facts, step, part);
    auto f = severity == plan::Severity::stop
                 ? finding("glue-on-fibre", severity, step, fmt::format("{} brings instant glue to {}: natural fibre heats it to a burn or a fire", say(step), facts.name(part)), mend, source)
                 : finding("glue-on-fibre", severity, step, fmt::format("{} brings instant glue to {}: a drop gets warm in it, a puddle hot enough to burn", say(step), facts.name(part)),
                           "put on single drops, keep fingers and cotton away, and wipe with polyethylene", source);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (!card.yes("natural-fibre")) continue;
    yield.findings.push_back(finding("glue-on-fibre", plan::Severity::stop, step, fmt::format("{} wipes instant glue with {}: natural fibre heats it to a burn or a fire", say(step), card.name), mend, source));
  }
}

}  // namespace handlot::rules
