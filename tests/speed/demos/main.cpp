// How well and how fast the demo jobs are scheduled, and how that grows with the lot.
//   speed_demos [seconds a schedule] [units...]
// CPU seconds of this process. The makespan is from the start of the plan; gap = (makespan - bound) / bound.
#include <fmt/format.h>

#include <cstdlib>
#include <ctime>
#include <limits>
#include <string>
#include <vector>

#include "core/text.h"
#include "pipeline/make_plan.h"
#include "schedule/check.h"
#include "schedule/solve.h"

using namespace handlot;

namespace {

double cpu_seconds() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

/// The same hours week after week, for lots that the job's own calendar is too short for.
void lengthen(plan::Work& work, int times) {
  const std::vector<plan::Interval> once = work.hours;
  if (once.empty()) return;
  constexpr std::int64_t kWeek = 604800;
  const std::int64_t weeks = ((once.back().close - once.front().open).seconds / kWeek + 1) * kWeek;
  for (int i = 1; i < times; ++i) {
    for (const plan::Interval& hours : once) {
      work.hours.push_back({hours.open + Duration(weeks * i), hours.close + Duration(weeks * i)});
    }
  }
}

void row(const std::string& name, plan::Work work, int units, double seconds) {
  work.units = units;
  lengthen(work, units > 20 ? 6 : 1);
  schedule::Limits limits;
  limits.seconds = seconds;
  limits.reliefs = false;
  limits.placements = std::numeric_limits<std::int64_t>::max();  // the seconds are what is asked about
  const double begun = cpu_seconds();
  double first = 0, last = 0;
  Duration best{0};
  const plan::Schedule made = schedule::solve(work, limits, 1, [&](const schedule::Progress& p) {
    if (best == Duration(0)) first = cpu_seconds() - begun;
    if (p.makespan != best) last = cpu_seconds() - begun;
    best = p.makespan;
  });
  const double gap = made.bound.seconds > 0
                         ? 100.0 * static_cast<double>((made.makespan - made.bound).seconds) /
                               static_cast<double>(made.bound.seconds)
                         : 0.0;
  fmt::print("{:18} {:5} {:6} {:10} {:>12} {:>12} {:6.2f} {:8.2f} {:8.2f} {:8.2f}  {}{}\n", name, units,
             made.operations.size(), plan::word(made.status), in_words(made.makespan), in_words(made.bound),
             gap, first, last, cpu_seconds() - begun, made.stopped_by,
             schedule::check(work, made).empty() ? "" : "  BREAKS A RULE");
}

}  // namespace

int main(int count, char** words) {
  const double seconds = count > 1 ? std::atof(words[1]) : 10;
  std::vector<int> units;
  for (int i = 2; i < count; ++i) units.push_back(std::atoi(words[i]));
  fmt::print("{:18} {:>5} {:>6} {:10} {:>12} {:>12} {:>6} {:>8} {:>8} {:>8}  stopped by\n", "job", "units",
             "ops", "status", "makespan", "bound", "gap %", "first s", "best s", "all s");
  for (const std::string name : {"tide-dial", "soil-probe", "crystal-receiver"}) {
    pipeline::Request request;
    request.job_file = "jobs/" + name + "/job.xml";
    request.card_folders = pipeline::card_folders(request.job_file, {});
    request.want_schedule = false;
    const auto outcome = pipeline::make_plan(request);
    if (!outcome) {
      fmt::print("{}: cannot be read here; run from the top of the checkout\n", name);
      continue;
    }
    const plan::Work& work = outcome->plan.work;
    row(name, work, work.units, seconds);
    for (const int n : units) row(name, work, n, seconds);
  }
  return 0;
}
