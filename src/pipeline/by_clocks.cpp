#include "pipeline/by_clocks.h"

#include <algorithm>

#include "schedule/faults.h"

namespace handlot::pipeline {

std::vector<plan::Constraint> clocks_put_first(const plan::Work& work, const StepId& a, const StepId& b) {
  if (!schedule::faults(work).empty()) return {};
  plan::Work other_way = work;
  plan::Constraint turned;
  turned.from = {b, plan::Edge::end};
  turned.to = {a, plan::Edge::start};
  other_way.constraints.push_back(turned);
  std::vector<plan::Constraint> links;
  for (const plan::Reason& r : schedule::faults(other_way)) {
    const auto same = [&](const plan::Constraint& c) { return c.reason.rule == r.rule && c.reason.text == r.text; };
    const auto link = std::find_if(work.constraints.begin(), work.constraints.end(), same);
    if (link != work.constraints.end() && std::none_of(links.begin(), links.end(), same)) links.push_back(*link);
  }
  return links;
}

}  // namespace handlot::pipeline
