// make_plan.h: from files to a plan. The only place that knows in which order the layers work.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "bodies/device.h"
#include "catalogue/catalogue.h"
#include "core/diagnostic.h"
#include "graph/order.h"
#include "job/job.h"
#include "plan/plan.h"

namespace handlot::pipeline {

/// CPU seconds after which the search ends whatever it has; far beyond what the counted limits below take, so that the same job
/// gives the same plan on a slow machine too.
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)  // twenty times as slow there
inline constexpr double kScheduleSeconds = 300;
#else
inline constexpr double kScheduleSeconds = 10;
#endif

struct Limits {
  int order_tries = 20000;       ///< choices tried before the order is given up
  double schedule_seconds = kScheduleSeconds;
  double schedule_gap = 0.0005;  ///< a finish so near to the bound is not worth a proof: 6 min of 9 days
  std::int64_t schedule_effort = 6000;    ///< conflicts
  std::int64_t schedule_raises = 4'000'000;  ///< bounds raised by the proof: about five seconds
  std::int64_t schedule_tries = 400;      ///< whole schedules placed by the serial search
  std::uint64_t seed = 1;
  /// For a builder who would rather wait: only the seconds end the search.
  static Limits of_seconds(double seconds);
};

struct Request {
  std::string job_file;
  std::vector<std::string> card_folders;  ///< ours first, the builder's own last
  Limits limits;
  bool want_schedule = true;
  bool want_pictures = true;
  bool want_costs = false;  ///< what other sub-batch sizes cost, and what would shorten the plan
  std::string geometry_cache;             ///< folder; empty = none
  std::function<void(std::string_view stage)> progress;  ///< may be empty
};

struct Outcome {
  plan::Plan plan;
  bool ordered = false;                ///< false: `contradiction` says why
  graph::Contradiction contradiction;
  bool order_stopped = false;          ///< the search for an order ended at its limit
  Diagnostics warnings;                ///< of cards and files; none stops the plan
  job::Job job;
  catalogue::Catalogue cards;
  bodies::Device device;               ///< empty: nothing is modelled
  /// True when a finding that is not waived stops the build, or there is no order or no schedule.
  bool stops() const;
};

/// Reads, asks every rule, orders, proves, schedules.
///
/// Errors   everything that is wrong with the files, at once. A job that reads well but can't be built comes back
///          as an Outcome with its reasons.
Result<Outcome> make_plan(const Request& request);

/// Card folders of a job: ours, then "parts" beside the job file if it is there, then those given.
std::vector<std::string> card_folders(const std::string& job_file, const std::vector<std::string>& given);

/// A folder, of this build alone, for what shapes cost much to find out: in $HANDLOT_CACHE, $XDG_CACHE_HOME/handlot or
/// ~/.cache/handlot; empty: none. Those of older builds are removed, but for four.
std::string cache_folder();

/// Where our own cards lie: beside the sources, or where they were installed.
std::string own_cards();

}  // namespace handlot::pipeline
