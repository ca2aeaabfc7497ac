// The checker's half about people, stations and fixtures.
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <tuple>

#include "schedule/check_parts.h"

namespace handlot::schedule {

using plan::Operation;
using plan::Resource;
using plan::Use;

namespace {

/// So much of a resource from `from` to `to`.
struct Held {
  Instant from;
  Instant to;
  int count = 0;
  const Operation* by = nullptr;
};

/// When a share of `use` that belongs to `units` of `op` is free again.
Instant released(const CheckBench& bench, const Operation& op, const Use& use, int first_unit,
                 int last_unit) {
  Instant at = op.end + use.hold_after_end;
  if (!use.until_start_of) return at;
  for (int unit = first_unit; unit <= last_unit; ++unit) {
    const Operation* later = bench.operation(*use.until_start_of, unit);
    if (later != nullptr) at = std::max(at, later->start);
  }
  return at;
}

std::vector<Held> holdings(const CheckBench& bench, const Resource& resource) {
  std::vector<Held> held;
  for (const Operation& op : bench.schedule.operations) {
    for (const Use& use : bench.step(op.step)->timing.uses) {
      if (use.resource != resource.id) continue;
      const bool each = use.per_unit || resource.together;
      if (!each) {
        held.push_back({op.start, released(bench, op, use, op.first_unit, op.last_unit), use.count, &op});
        continue;
      }
      for (int unit = op.first_unit; unit <= op.last_unit; ++unit) {
        held.push_back({op.start, released(bench, op, use, unit, unit), use.count, &op});
      }
    }
  }
  return held;
}

/// What one operation asks for by itself, however short it is.
void check_needs(CheckBench& bench, const Resource& resource) {
  for (const Operation& op : bench.schedule.operations) {
    for (const Use& use : bench.step(op.step)->timing.uses) {
      if (use.resource != resource.id) continue;
      const bool each = use.per_unit || resource.together;
      const int count = use.count * (each ? op.last_unit - op.first_unit + 1 : 1);
      if (count > resource.capacity) {
        bench.report("schedule-resources", op,
                     fmt::format("needs {} of the {} {}", count, resource.capacity, resource.id.text));
      }
    }
  }
}

/// Most in use at once, asked at every start.
void check_capacity(CheckBench& bench, const Resource& resource, const std::vector<Held>& held) {
  for (const Held& at : held) {
    int in_use = 0;
    for (const Held& other : held) {
      if (other.from <= at.from && at.from < other.to) in_use += other.count;
    }
    if (in_use > resource.capacity && at.from < at.to) {
      bench.report(
          "schedule-resources", *at.by,
          fmt::format("needs {} when {} of {} are in use", resource.id.text, in_use, resource.capacity));
      return;
    }
  }
}

/// Holding nothing for no time meets nobody.
bool meet(const Held& a, const Held& b) {
  return a.from < a.to && b.from < b.to && a.from < b.to && b.from < a.to;
}

void check_together(CheckBench& bench, const std::vector<Held>& held) {
  for (const Held& a : held) {
    for (const Held& b : held) {
      if (a.by < b.by && meet(a, b) && a.from != b.from) {
        bench.report("schedule-together", *b.by,
                     fmt::format("meets {} without starting together", name_of(*a.by)));
        return;
      }
    }
  }
}

const std::string& family(const CheckBench& bench, const Operation& op) {
  return bench.step(op.step)->timing.material_family;
}

void check_families(CheckBench& bench, const Resource& resource, const std::vector<Held>& held) {
  if (resource.change_over.seconds == 0) return;
  for (const Held& a : held) {
    for (const Held& b : held) {
      const std::string& fa = family(bench, *a.by);
      const std::string& fb = family(bench, *b.by);
      if (!fa.empty() && !fb.empty() && fa < fb && meet(a, b)) {
        bench.report("schedule-families", *b.by,
                     fmt::format("meets {} on {}", name_of(*a.by), resource.id.text));
        return;
      }
    }
  }
}

/// Somebody is in the shop, or shuts it, at some moment from `first` to `by` that is no longer than `idle` before `by`.
bool can_be_switched_on(const plan::Work& work, Instant first, Instant by, Duration idle) {
  bool known = false;
  for (const plan::Interval& hours : work.hours) {
    if (hours.close <= hours.open || hours.close <= work.start) continue;
    known = true;
    const Instant last = std::min(by, hours.close);
    if (last >= hours.open && last >= first && by - last <= idle) return true;
  }
  return !known && by >= first;
}

void check_warmth(CheckBench& bench, const Resource& resource, std::vector<Held> held) {
  if (resource.warm_up.seconds == 0) return;
  std::sort(held.begin(), held.end(), [](const Held& a, const Held& b) { return a.from < b.from; });
  std::optional<Instant> last_use = resource.used_until;
  for (const Held& use : held) {
    if (use.to == use.from) continue;
    const bool stayed = last_use && use.from - *last_use <= resource.stays_warm;
    const Instant switched_on = std::max(last_use.value_or(bench.work.start), bench.work.start);
    if (!stayed && use.from - switched_on < resource.warm_up) {
      bench.report("schedule-warmth", *use.by, fmt::format("starts before {} is warm", resource.id.text));
      return;
    }
    if (!stayed && !can_be_switched_on(bench.work, switched_on, use.from + -resource.warm_up, resource.stays_warm)) {
      bench.report("schedule-warmth", *use.by, fmt::format("needs {} warm, and nobody is there to switch it on", resource.id.text));
      return;
    }
    last_use = std::max(last_use.value_or(use.to), use.to);
  }
}

/// Position in the order on a station: by start, then step as listed, then unit.
std::tuple<Instant, std::size_t, int> place_of(const CheckBench& bench, const Operation& op) {
  const auto step = static_cast<std::size_t>(bench.step(op.step) - bench.work.steps.data());
  return {op.start, step, op.first_unit};
}

bool uses(const CheckBench& bench, const Operation& op, const ResourceId& resource) {
  const auto& all = bench.step(op.step)->timing.uses;
  return std::any_of(all.begin(), all.end(), [&](const Use& use) { return use.resource == resource; });
}

}  // namespace

Duration change_over_of(const CheckBench& bench, const Operation& op) {
  const std::string& mine = family(bench, op);
  if (mine.empty()) return Duration(0);
  Duration sum{0};
  for (const Resource& resource : bench.work.resources) {
    if (resource.change_over.seconds == 0 || !uses(bench, op, resource.id)) continue;
    const Operation* before = nullptr;
    for (const Operation& other : bench.schedule.operations) {
      if (&other == &op || family(bench, other).empty() || !uses(bench, other, resource.id)) continue;
      if (place_of(bench, other) > place_of(bench, op)) continue;
      if (before == nullptr || place_of(bench, other) > place_of(bench, *before)) before = &other;
    }
    if (before != nullptr && family(bench, *before) != mine) sum += resource.change_over;
  }
  return sum;
}

void check_people(CheckBench& bench) {
  const auto& ops = bench.schedule.operations;
  for (const Operation& op : ops) {
    const auto& allowed = bench.step(op.step)->timing.people;
    if (op.people.size() != (op.hands_on.seconds > 0 ? 1U : 0U)) {
      bench.report("schedule-people", op, "needs exactly one person for hands-on work and none else");
      return;
    }
    for (const ResourceId& id : op.people) {
      const Resource* person = bench.resource(id);
      const bool pauses = bench.step(op.step)->timing.may_pause;
      const bool may = allowed.empty() || std::find(allowed.begin(), allowed.end(), id) != allowed.end();
      if (person == nullptr || person->kind != Resource::Kind::person || !may) {
        bench.report("schedule-people", op, fmt::format("cannot be done by '{}'", id.text));
      } else if (!pauses && std::any_of(person->away.begin(), person->away.end(), [&](const plan::Interval& away) { return op.start < away.close && away.open < op.hands_end; })) {
        bench.report("schedule-people", op, fmt::format("is done by '{}', who is away meanwhile", id.text));
      }
    }
  }
  for (const Operation& a : ops) {
    for (const Operation& b : ops) {
      if (&a < &b && !a.people.empty() && a.people == b.people && a.start < b.hands_end &&
          b.start < a.hands_end) {
        bench.report("schedule-people", b, fmt::format("has the hands that {} has", name_of(a)));
      }
    }
  }
}

void check_stations(CheckBench& bench) {
  for (const Resource& resource : bench.work.resources) {
    if (resource.kind == Resource::Kind::person) continue;
    const std::vector<Held> held = holdings(bench, resource);
    check_needs(bench, resource);
    check_capacity(bench, resource, held);
    if (resource.together) check_together(bench, held);
    check_families(bench, resource, held);
    check_warmth(bench, resource, held);
  }
}

}  // namespace handlot::schedule
