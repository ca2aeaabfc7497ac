#include <fmt/format.h>

#include <algorithm>

#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;

bool leaves_it_wet(const Facts& facts, const job::Step& step) {
  const catalogue::Card& process = facts.process(step);
  return process.word_or("class") == "finish" || process.word_or("surface-gives") == "wet";
}

/// The step that hands the part over to `dry`, if it does so wet.
plan::Step* wet_before(const Facts& facts, plan::Work& work, const plan::Step& dry) {
  const PartId& part = facts.job.step(dry.id)->on;
  plan::Step* last = nullptr;
  for (plan::Step& step : work.steps) {
    if (step.id == dry.id) break;
    if (facts.job.step(step.id)->on == part) last = &step;
  }
  if (last == nullptr || !leaves_it_wet(facts, *facts.job.step(last->id))) return nullptr;
  const bool linked = std::any_of(work.constraints.begin(), work.constraints.end(), [&](const plan::Constraint& c) {
    return c.from.step == last->id && c.to.step == dry.id && c.scope == plan::Scope::unit;
  });
  return linked ? last : nullptr;
}

/// Places that somebody counted, fewer than the lot asks for, of something that is not loaded and emptied as one.
const plan::Use* counted_place(const Facts& facts, const plan::Step& dry) {
  for (const plan::Use& use : dry.timing.uses) {
    const job::Station* station = facts.job.station(use.resource);
    const int wanted = use.count * (use.per_unit ? facts.job.units : 1);
    if (station != nullptr && station->capacity > 0 && station->capacity < wanted && !station->together && !use.until_start_of) return &use;
  }
  return nullptr;
}

bool fits(const Facts& facts, const plan::Step& wet, const plan::Use& use) {
  const plan::Timing& t = wet.timing;
  const int at_once = !use.per_unit ? 1 : t.whole_lot ? facts.job.units : std::min(facts.job.units, t.batch_min);
  return use.count * at_once <= facts.job.station(use.resource)->capacity &&
         std::none_of(t.uses.begin(), t.uses.end(), [&](const plan::Use& u) { return u.resource == use.resource; });
}

}  // namespace

void keep_places_to_dry(const Facts& facts, plan::Work& work) {
  for (const plan::Step& dry : work.steps) {
    if (dry.process != "dry") continue;
    const plan::Use* use = counted_place(facts, dry);
    plan::Step* wet = use == nullptr ? nullptr : wet_before(facts, work, dry);
    if (wet == nullptr || !fits(facts, *wet, *use)) continue;
    plan::Use kept = *use;
    kept.until_start_of = dry.id;
    wet->timing.uses.push_back(std::move(kept));
    wet->hints.push_back({RuleId("place-to-dry"), fmt::format("what is wet is laid down at once: its place for '{}' is free before this begins", dry.id.text), {"", "", Standing::practice}});
  }
}

}  // namespace handlot::pipeline
