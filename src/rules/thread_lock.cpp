// Threadlocker goes on metal threads, and by the metal it is fast, slow or needs an activator.
#include <fmt/format.h>

#include <algorithm>

#include "joints/torque.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool opens_threadlocker(const Facts& facts, const job::Step& step) {
  const auto fluids = fluids_of(facts, step);
  return std::any_of(fluids.begin(), fluids.end(), [](const catalogue::Card* c) { return c->word_or("chemistry") == "anaerobic"; });
}

std::string thread_material(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr) return {};
  if (material->id.text == "zinc-plated") return "zinc";
  return material->word_or("family") == "plastic" ? "plastic" : material->word_or("substrate", material->id.text);
}

}  // namespace

void thread_lock(const Facts& facts, const job::Step& step, Yield& yield) {
  if (!opens_threadlocker(facts, step)) return;
  std::set<PartId> threads;
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part == nullptr || facts.card(part->card).kind != catalogue::CardKind::screw) continue;
    threads.insert(part->id);
    if (!part->into.empty() && part->into_kind != "insert" && part->into_kind != "nut") threads.insert(part->into);
    threads.insert(part->clamps.begin(), part->clamps.end());
  }
  for (const PartId& part : threads) {
    const std::string material = thread_material(facts, part);
    if (material.empty()) continue;
    const joints::Locking said = joints::threadlocker_on(material);
    if (said.speed == joints::LockSpeed::never) {
      auto f = finding("thread-lock", plan::Severity::stop, step, fmt::format("{} puts threadlocker beside {}: {}", say(step), facts.name(part), said.why),
                       "lock with a nylon-ringed nut, a spring washer or a dab of paint", said.cite.source());
      f.parts = {part};
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace handlot::rules
