// numbers.h: the names of a work looked up once, as its steps and resources are numbered.
#pragma once

#include <unordered_map>
#include <vector>

#include "plan/schedule.h"

namespace handlot::schedule {

/// Numbers of steps and resources are their places in the work. A name the work does not have gets the number
/// one past the last.
///
/// Given    the work outlives this and does not change.
class Numbers {
 public:
  explicit Numbers(const plan::Work& work);

  const plan::Work& work() const { return work_; }
  int step(const StepId& id) const;
  int resource(const ResourceId& id) const;

  struct Ends {
    int from = 0, to = 0;
  };
  /// Steps that each constraint joins.
  const std::vector<Ends>& constraints() const { return constraints_; }

  struct Used {
    int resource = 0;
    int until = -1;  ///< step at whose start it is given back; -1 = its own end
  };
  /// What each use of a step's timing names.
  const std::vector<Used>& uses(int step) const { return uses_[static_cast<std::size_t>(step)]; }
  /// Who may do a step: resource numbers.
  const std::vector<int>& people(int step) const { return people_[static_cast<std::size_t>(step)]; }
  /// Material family of a step, numbered from 1 as first met; 0 = none.
  int family(int step) const { return family_[static_cast<std::size_t>(step)]; }

 private:
  void add_step(const plan::Timing& timing);

  const plan::Work& work_;
  std::unordered_map<StepId, int> steps_;  // looked up, never walked
  std::unordered_map<ResourceId, int> resources_;
  std::unordered_map<std::string, int> families_;
  std::vector<Ends> constraints_;
  std::vector<std::vector<Used>> uses_;
  std::vector<std::vector<int>> people_;
  std::vector<int> family_;
};

}  // namespace handlot::schedule
