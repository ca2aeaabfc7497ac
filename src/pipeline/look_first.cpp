#include "pipeline/look_first.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "graph/order.h"
#include "rules/saying.h"

namespace handlot::pipeline {

namespace {

constexpr Duration kSoon = handlot::hours(1);  // nobody lets a lot wait longer for one look [practice]

using Steps = std::vector<const plan::Step*>;

std::vector<StepId> ids_of(const plan::Work& work) {
  std::vector<StepId> ids;
  for (const plan::Step& step : work.steps) ids.push_back(step.id);
  return ids;
}

/// Steps after `a` and before `b`.
Steps between(const plan::Work& work, const graph::Closure& order, const StepId& a, const StepId& b) {
  Steps out;
  for (const plan::Step& step : work.steps) {
    if (order.before(a, step.id) && order.before(step.id, b)) out.push_back(&step);
  }
  return out;
}

bool among(const Steps& steps, const StepId& id) {
  return std::any_of(steps.begin(), steps.end(), [&](const plan::Step* s) { return s->id == id; });
}

/// The first look at what the oven held.
const plan::Step* look_after(const rules::Facts& facts, const plan::Work& work, const graph::Closure& order, const plan::Step& oven) {
  const auto baked = rules::worked_on(facts, *facts.job.step(oven.id));
  for (const plan::Step& step : work.steps) {
    if (step.process != "inspect" || !order.before(oven.id, step.id)) continue;
    const auto seen = rules::worked_on(facts, *facts.job.step(step.id));
    if (std::any_of(seen.begin(), seen.end(), [&](const PartId& part) { return baked.contains(part); })) return &step;
  }
  return nullptr;
}

/// Why unit 1 can't be at the look before the others are in the oven; empty: it can.
std::string kept_by(const plan::Work& work, Steps way, const plan::Step& oven) {
  Duration waits{0};
  for (const plan::Step* step : way) {
    if (step->timing.whole_lot) return fmt::format("'{}' is done for the whole lot at once", step->id.text);
    if (step->timing.batch_min > 1) return fmt::format("'{}' takes no single unit", step->id.text);
    waits += step->timing.unattended;
  }
  way.push_back(&oven);
  for (const plan::Constraint& c : work.constraints) {
    if (!among(way, c.from.step) || !among(way, c.to.step)) continue;
    if (c.scope == plan::Scope::lot) return fmt::format("'{}' waits for all units of '{}'", c.to.step.text, c.from.step.text);
    if (!c.redundant) waits += std::max(Duration(0), c.min);
  }
  return waits > kSoon ? fmt::format("{} go by before it", in_words(waits)) : std::string();
}

}  // namespace

plan::Finding not_looked_at(const StepId& oven, const StepId& look, const std::string& why, std::string mend, const Place& place) {
  plan::Finding f;
  f.rule = RuleId("first-piece");
  f.severity = plan::Severity::note;
  f.steps = {oven, look};
  f.message = fmt::format("the others go into '{}' before unit 1 is looked at in '{}': {}", oven.text, look.text, why);
  f.mend = std::move(mend);
  f.source = rules::practice();
  f.place = place;
  return f;
}

std::vector<plan::LookFirst> looks_of(const rules::Facts& facts, const plan::Work& work, std::vector<plan::Finding>& findings) {
  std::vector<plan::LookFirst> looks;
  const graph::Closure order(ids_of(work), work.constraints);
  for (const plan::Step& oven : work.steps) {
    if (!oven.timing.first_piece || oven.process != "reflow") continue;
    const plan::Step* look = look_after(facts, work, order, oven);
    if (look == nullptr) continue;
    Steps way = between(work, order, oven.id, look->id);
    if (std::any_of(way.begin(), way.end(), [](const plan::Step* s) { return s->irreversible; })) continue;
    way.push_back(look);
    if (const std::string why = kept_by(work, way, oven); !why.empty()) {
      findings.push_back(not_looked_at(oven.id, look->id, why, fmt::format("look at unit 1 right after '{0}' before you go on, in a step of its own or by a <check> of '{0}'", oven.id.text), oven.place));
      continue;
    }
    plan::LookFirst first{look->id, oven.id, {}};
    first.reason.kind = plan::ReasonKind::test;
    first.reason.rule = RuleId("first-piece");
    first.reason.text = fmt::format("unit 1 is looked at before the others go into '{}'", oven.id.text);
    first.reason.source = rules::practice();
    first.reason.place = oven.place;
    looks.push_back(std::move(first));
  }
  return looks;
}

void send_first(plan::Work& work, const std::vector<plan::LookFirst>& looks, Ahead ahead) {
  for (plan::Step& step : work.steps) step.timing.first_alone = false;
  work.looks.clear();
  if (ahead == Ahead::not_at_all) return;
  work.looks = looks;
  const graph::Closure order(ids_of(work), work.constraints);
  for (const plan::LookFirst& l : looks) {
    const auto clocked = [&](const plan::Step& step) {
      return std::any_of(work.constraints.begin(), work.constraints.end(), [&](const plan::Constraint& c) {
        return c.max && c.to.step == l.repeat && (c.from.step == step.id || order.before(c.from.step, step.id)) && order.before(step.id, l.repeat);
      });
    };
    for (plan::Step& step : work.steps) {
      const bool behind = step.id == l.look || (order.before(l.repeat, step.id) && order.before(step.id, l.look));
      const bool alone = behind || (ahead == Ahead::from_paste && step.timing.batch_min <= 1 && clocked(step));
      if (alone && !step.timing.whole_lot) step.timing.first_alone = true;
    }
  }
}

}  // namespace handlot::pipeline
