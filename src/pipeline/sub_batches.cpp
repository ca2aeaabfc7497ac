#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

std::vector<int> sizes_in(const plan::Schedule& schedule, const StepId& step) {
  std::vector<const plan::Operation*> all;
  for (const plan::Operation& op : schedule.operations) {
    if (op.step == step) all.push_back(&op);
  }
  std::sort(all.begin(), all.end(), [](auto* a, auto* b) { return a->first_unit < b->first_unit; });
  std::vector<int> sizes;
  for (const plan::Operation* op : all) sizes.push_back(op->last_unit - op->first_unit + 1);
  return sizes;
}

std::string in_sizes(const std::vector<int>& sizes) {
  std::vector<std::string> words;
  for (const int size : sizes) words.push_back(std::to_string(size));
  return listed(words);
}

}  // namespace

void sub_batches_as_stated(const rules::Facts& facts, const plan::Plan& plan, std::vector<plan::Finding>& findings) {
  for (const plan::Step& step : plan.work.steps) {
    const job::Step& stated = *facts.job.step(step.id);
    const plan::Timing& t = step.timing;
    const std::vector<int> sizes = sizes_in(plan.schedule, step.id);
    if (stated.batch_min <= 1 || t.whole_lot || sizes.size() < 2) continue;
    const bool first = t.first_piece || t.first_alone, by_itself = first && !stated.first_piece;
    const bool short_of = std::any_of(sizes.begin() + (first ? 1 : 0), sizes.end(), [&](int size) { return size < t.batch_min; });
    if (!short_of && !by_itself) continue;
    const std::string asked = t.batch_min == t.batch_max ? std::to_string(t.batch_min) : t.batch_max == 0 ? fmt::format("{} and more", t.batch_min) : fmt::format("{} to {}", t.batch_min, t.batch_max);
    plan::Finding f;
    f.rule = RuleId("sub-batches");
    f.severity = plan::Severity::note;
    f.steps = {step.id};
    f.message = first ? fmt::format("'{}', in sub-batches of {}, goes as {}: unit 1 is its first piece and goes alone", step.id.text, asked, in_sizes(sizes))
                      : fmt::format("'{}' goes as {}: the lot of {} can't be cut into sub-batches of {}", step.id.text, in_sizes(sizes), plan.work.units, asked);
    f.mend = by_itself ? "write first-piece=\"no\" if the whole first sub-batch may go before it is looked at" : "make the lot larger or smaller, or allow other sizes in batch, if the smaller ones are in the way";
    f.place = stated.place;
    findings.push_back(std::move(f));
  }
}

}  // namespace handlot::pipeline
