// Several screws round one part are drawn down crosswise, and again after a day where the material creeps.
#include <fmt/format.h>

#include <algorithm>

#include "joints/torque.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool says(const job::Step& step, std::initializer_list<std::string_view> words) {
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& line) {
    return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return line.find(w) != std::string::npos; });
  });
}

}  // namespace

void screw_order(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::Installs& i : step.installs) {
    const job::Part* screw = facts.job.part(i.part);
    if (screw == nullptr || facts.card(screw->card).kind != catalogue::CardKind::screw) continue;
    const int count = i.count > 0 ? i.count : screw->count;
    if (count < 3 || screw->clamps.empty() || says(step, {"cross", "diagonal", "in turn", "opposite"})) continue;
    const bool soft = std::any_of(screw->clamps.begin(), screw->clamps.end(), [&](const PartId& p) {
      const catalogue::Card* m = material_of(facts, p);
      return marked(facts, p, "fragile") || (m != nullptr && (m->word_or("family") == "glass" || m->word_or("family") == "rubber"));
    });
    if (!soft) continue;
    auto f = finding("screw-order", plan::Severity::note, step, fmt::format("{} screws of {} hold something that breaks or squeezes", count, facts.name(screw->id)),
                     "write that they are drawn down crosswise, in two rounds", practice());
    f.parts = {screw->id};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
