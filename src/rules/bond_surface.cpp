// Some adhesives do not hold on some materials, crack them, or corrode them.
#include <fmt/format.h>

#include "joints/bond.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void bond_surface(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const auto chemistry = joints::chemistry_named(adhesive.word_or("chemistry", "other")).value_or(joints::Chemistry::other);
  for (const PartId& part : joint.between) {
    const catalogue::Card* material = material_of(facts, part);
    if (material == nullptr) continue;
    const joints::SurfaceWord said = joints::affinity(chemistry, material->word_or("substrate", material->id.text));
    if (said.affinity == joints::Affinity::good) continue;
    if (said.affinity == joints::Affinity::corrodes && adhesive.word_or("by-product").find("acetic") == std::string::npos) continue;
    const bool primed = !joint.activator.empty() && (said.affinity == joints::Affinity::none || said.affinity == joints::Affinity::poor);
    if (primed) continue;
    const bool stops = said.affinity == joints::Affinity::none || said.affinity == joints::Affinity::never;
    auto f = finding("bond-surface", stops ? plan::Severity::stop : plan::Severity::warn, *glue,
                     fmt::format("bond '{}': {} on {} ({}): {}", joint.id.text, adhesive.name, facts.name(part), material->name, said.why),
                     "take another adhesive, a primer made for it, or a screw", said.cite.source());
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
