#include "schedule/numbers.h"

#include <algorithm>

namespace handlot::schedule {

Numbers::Numbers(const plan::Work& work) : work_(work) {
  for (std::size_t s = 0; s < work.steps.size(); ++s)
    steps_.try_emplace(work.steps[s].id, static_cast<int>(s));
  for (std::size_t r = 0; r < work.resources.size(); ++r)
    resources_.try_emplace(work.resources[r].id, static_cast<int>(r));
  for (const plan::Constraint& c : work.constraints)
    constraints_.push_back({step(c.from.step), step(c.to.step)});
  for (const plan::Step& s : work.steps) add_step(s.timing);
}

int Numbers::step(const StepId& id) const {
  const auto found = steps_.find(id);
  return found == steps_.end() ? static_cast<int>(work_.steps.size()) : found->second;
}

int Numbers::resource(const ResourceId& id) const {
  const auto found = resources_.find(id);
  return found == resources_.end() ? static_cast<int>(work_.resources.size()) : found->second;
}

void Numbers::add_step(const plan::Timing& timing) {
  std::vector<Used> uses;
  for (const plan::Use& use : timing.uses)
    uses.push_back({resource(use.resource), use.until_start_of ? step(*use.until_start_of) : -1});
  uses_.push_back(std::move(uses));
  std::vector<int> people;
  for (std::size_t r = 0; r < work_.resources.size(); ++r) {
    const plan::Resource& resource = work_.resources[r];
    const bool named = timing.people.empty() || std::find(timing.people.begin(), timing.people.end(),
                                                          resource.id) != timing.people.end();
    if (resource.kind == plan::Resource::Kind::person && named) people.push_back(static_cast<int>(r));
  }
  people_.push_back(std::move(people));
  const std::string& family = timing.material_family;
  family_.push_back(
      family.empty() ? 0
                     : families_.try_emplace(family, static_cast<int>(families_.size()) + 1).first->second);
}

}  // namespace handlot::schedule
