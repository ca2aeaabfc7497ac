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
    auto f = finding("glue-on-fibre", plan::Severity::stop, step, fmt::format("{} brings instant glue to {}: natural fibre heats it to a burn or a fire", say(step), facts.name(part)), mend, source);
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
