// check_parts.h: what the pieces of the checker share. Nothing here comes from the solver.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "plan/reason.h"
#include "plan/schedule.h"

namespace handlot::schedule {

/// The work and the schedule looked up by id, and the findings so far.
class CheckBench {
 public:
  CheckBench(const plan::Work& work, const plan::Schedule& schedule);

  void report(const char* rule, const plan::Operation& op, const std::string& message);
  void report(const char* rule, const std::string& message);

  const plan::Step* step(const StepId& id) const;
  const plan::Resource* resource(const ResourceId& id) const;

  /// The operation that has `unit` of `step`; nullptr if there is none. Given  the units check found nothing.
  const plan::Operation* operation(const StepId& step, int unit) const;

  /// Operations of a step by unit, those of unknown steps left out.
  const std::vector<const plan::Operation*>& of(const StepId& step) const;

  const plan::Work& work;
  const plan::Schedule& schedule;
  std::vector<plan::Finding> findings;

 private:
  std::map<StepId, const plan::Step*> steps_;
  std::map<ResourceId, const plan::Resource*> resources_;
  std::map<StepId, std::vector<const plan::Operation*>> operations_;
  std::vector<const plan::Operation*> none_;
};

std::string name_of(const plan::Operation& op);  ///< "glue-feet (units 1 to 3)"

/// Each says what is broken; all but the first need its silence.
void check_units(CheckBench& bench);
void check_times(CheckBench& bench);
void check_people(CheckBench& bench);
void check_stations(CheckBench& bench);
void check_links(CheckBench& bench);
void check_sums(CheckBench& bench);

/// Change-over that an operation has in its hands-on time, as the order on its stations says.
Duration change_over_of(const CheckBench& bench, const plan::Operation& op);

}  // namespace handlot::schedule
