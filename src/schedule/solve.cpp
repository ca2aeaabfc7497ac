#include "schedule/solve.h"

#include <fmt/format.h>

#include <algorithm>
#include <ctime>
#include <optional>

#include "schedule/bounds.h"
#include "schedule/faults.h"
#include "schedule/serial.h"
#include "schedule/size_search.h"
#include "schedule/sizes.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

namespace {

plan::Schedule refused(const plan::Work& work, std::vector<plan::Reason> clash) {
  plan::Schedule out;
  out.status = plan::Schedule::Status::infeasible;
  out.start = out.finish = work.start;
  out.clash = std::move(clash);
  return out;
}

}  // namespace

plan::Schedule solve(const plan::Work& work, const Limits& limits, std::uint64_t seed, const Tell& tell) {
  if (auto clash = faults(work); !clash.empty()) return refused(work, std::move(clash));
  const Duration bound = lower_bounds(work).front().makespan;
  SizeSearch search(work, limits, seed, bound);
  search.run([&](Duration makespan) {
    if (tell) tell({makespan, bound});
  });
  plan::Schedule out;
  out.start = out.finish = work.start;
  if (search.best()) {
    out = in_words(work, search.best()->set, search.best()->placement);
    out.status = out.makespan <= bound ? plan::Schedule::Status::optimal : plan::Schedule::Status::feasible;
    out.batches = search.batch_costs();
  }
  out.bound = bound;
  if (out.status != plan::Schedule::Status::optimal) out.stopped_by = search.stopped_by();
  return out;
}

}  // namespace handlot::schedule
