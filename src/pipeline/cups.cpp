// What is mixed at once is used up at once: the rest of a cup is lost, and every sub-batch that comes too late for one mixes another.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"
#include "schedule/faults.h"
#include "schedule/sizes.h"
#include "schedule/tasks.h"

namespace handlot::pipeline {

namespace {

constexpr double kRounding = 1e-6;  // of a cup

/// Work from one mixing on; without a schedule nothing is known of when.
struct Batch {
  int units = 1;
  std::optional<Instant> begins, hands_end;
};

std::vector<Batch> scheduled(const plan::Schedule& schedule, const StepId& step) {
  std::vector<Batch> all;
  for (const plan::Operation& op : schedule.operations) {
    if (op.step == step) all.push_back({op.last_unit - op.first_unit + 1, op.start, op.hands_end});
  }
  std::sort(all.begin(), all.end(), [](const Batch& a, const Batch& b) { return *a.begins < *b.begins; });
  return all;
}

/// As few as can be: the largest sub-batches that its own limits, stations and clamps let through.
std::vector<Batch> fewest(const plan::Work& work, std::size_t step) {
  const plan::Timing& timing = work.steps[step].timing;
  const bool sound = schedule::faults(work).empty();
  const int size = sound ? schedule::size_choices(work)[step].possible.back() : schedule::sizes_of(timing, work.units).back();
  std::vector<Batch> all;
  for (const schedule::Run& run : schedule::runs_of(timing, work.units, size)) all.push_back({run.size(), {}, {}});
  return all;
}

/// How many are mixed. A cup serves the sub-batches that it is enough for, as long as it stays workable.
int cups_for(const std::vector<Batch>& batches, double each, double cup, Duration life) {
  int cups = 0;
  double left = 0;
  std::optional<Instant> mixed;
  for (const Batch& batch : batches) {
    const double wanted = each * batch.units;
    if (mixed && *batch.hands_end <= *mixed + life && wanted <= left + cup * kRounding) {
      left -= wanted;
      continue;
    }
    const int more = std::max(1, static_cast<int>(std::ceil(wanted / cup - kRounding)));
    cups += more;
    left = more * cup - wanted;
    mixed = batch.begins;
  }
  return cups;
}

std::string cups_text(int cups, double grams) { return cups == 1 ? fmt::format("{} g", number(grams, 2)) : fmt::format("{} × {} g", cups, number(grams, 2)); }

void count_use(const rules::Facts& facts, const job::Step& step, const job::MaterialUse& use, const std::vector<Batch>& batches, plan::Step& out, plan::Plan& plan) {
  const int times = step.whole_lot ? 1 : facts.job.units;
  const double cup = use.at_once->value, lot = use.mass->value * times;
  const auto life = facts.card(use.card).get<Duration>("pot-life");
  const int cups = cups_for(batches, step.whole_lot ? use.mass->value / facts.job.units : use.mass->value, cup, life ? life->high : Duration(0));
  if (cups * cup <= lot * (1 + kRounding)) return;
  for (plan::KitRow& row : plan.kit) {
    if (row.id == use.card.text) row.lot += cups * cup - lot;
  }
  for (plan::StepMaterial& m : out.materials) {
    if (m.card == use.card) m.amount_lot = cups_text(cups, cup);
  }
}

}  // namespace

void count_cups(const rules::Facts& facts, plan::Plan& plan) {
  for (std::size_t i = 0; i < plan.work.steps.size(); ++i) {
    plan::Step& out = plan.work.steps[i];
    const job::Step& step = *facts.job.step(out.id);
    for (const job::MaterialUse& use : step.materials) {
      if (!use.at_once || !use.mass || use.at_once->value <= 0) continue;
      std::vector<Batch> batches = scheduled(plan.schedule, out.id);
      if (batches.empty()) batches = fewest(plan.work, i);
      count_use(facts, step, use, batches, out, plan);
    }
  }
}

}  // namespace handlot::pipeline
