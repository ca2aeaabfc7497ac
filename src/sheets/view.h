// view.h: look-ups into a plan and its recurring phrases, so that every page says a thing in the same words.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"
#include "sheets/clock.h"

namespace handlot::sheets {

/// Given    the plan outlives the view.
class View {
 public:
  explicit View(const plan::Plan& plan);

  const plan::Plan& plan() const { return plan_; }
  const Clock& clock() const { return clock_; }

  const plan::Step* step(const StepId& id) const;                                 ///< null when there is none
  const std::vector<const plan::Operation*>& operations(const StepId& id) const;  ///< by first unit
  std::string name(
      const StepId& id) const;  ///< "120 Glue the feet"; the id itself when there is no such step
  std::string number(const StepId& id) const;               ///< "120"
  std::string names(const std::vector<StepId>& ids) const;  ///< "110 Drill, 120 Glue the feet"
  std::string resource(const ResourceId& id) const;         ///< its name
  int lot() const { return plan_.head.lot; }
  std::string unit(int unit) const;  ///< "3", with its serial: "3 (TD-003)"

 private:
  const plan::Plan& plan_;
  Clock clock_;
  std::map<StepId, const plan::Step*> steps_;
  std::map<StepId, std::vector<const plan::Operation*>> operations_;
  std::map<ResourceId, std::string> resources_;
};

std::string capital(std::string text);            ///< first letter large
std::string sentence(const std::string& text);    ///< capital and full stop, unless there is one
std::string units_in_short(const plan::Operation& op);  ///< "3", "1-3, 5-6"
std::string upper(std::string_view text);

}  // namespace handlot::sheets
