#include "schedule/clash.h"

#include <algorithm>

#include "schedule/model.h"
#include "schedule/prove.h"

namespace handlot::schedule {

namespace {

using engine::Literal;
using engine::Status;

std::vector<std::vector<int>> possible(const std::vector<SizeChoice>& choices) {
  std::vector<std::vector<int>> sizes;
  for (const SizeChoice& choice : choices) sizes.push_back(choice.possible);
  return sizes;
}

/// The guards in `clash`, by number, ascending.
std::vector<std::size_t> numbers(const Model& model, const std::vector<Literal>& clash) {
  std::vector<std::size_t> out;
  for (std::size_t g = 0; g < model.guards().size(); ++g) {
    if (std::find(clash.begin(), clash.end(), model.guards()[g].holds) != clash.end()) out.push_back(g);
  }
  return out;
}

class Shrinking {
 public:
  Shrinking(Model& model, std::int64_t conflicts) : model_(model), left_(conflicts) {}

  /// Do these rules clash? `used` is made the part of them that does.
  bool clash(const std::vector<std::size_t>& rules, std::vector<std::size_t>& used) {
    std::vector<Literal> assume;
    for (const std::size_t g : rules) assume.push_back(model_.guards()[g].holds);
    const engine::Answer answer = model_.solver().solve(assume, {left_, 1e9});
    left_ -= answer.effort.conflicts;
    if (answer.status != Status::infeasible) return false;
    used = numbers(model_, answer.clash);
    return true;
  }

  /// Leaves out one rule after the other, for as long as the rest still clashes.
  std::vector<std::size_t> shrink(std::vector<std::size_t> rules) {
    for (std::size_t i = 0; i < rules.size() && left_ > 0;) {
      std::vector<std::size_t> without = rules, used;
      without.erase(without.begin() + static_cast<std::ptrdiff_t>(i));
      if (!clash(without, used)) {
        ++i;
        continue;
      }
      // What came before and was needed is needed still.
      rules = used;
      i = std::min(i, rules.size());
    }
    return rules;
  }

 private:
  Model& model_;
  std::int64_t left_;
};

/// The same rules in a shop that is always open: if they still clash, the hours are not to blame.
bool clash_without_hours(const plan::Work& work, const std::vector<SizeChoice>& choices,
                         const std::vector<std::size_t>& rules, std::int64_t conflicts) {
  plan::Work open = work;
  const Time horizon = horizon_of(work);
  open.hours = {{work.start, work.start + Duration(2 * horizon)}};
  Model model(open, {possible(choices), 2 * horizon, nullptr, {}, true}, 1);
  std::vector<std::size_t> used;
  return Shrinking(model, conflicts).clash(rules, used);
}

}  // namespace

std::vector<plan::Reason> smallest_clash(const plan::Work& work, const std::vector<SizeChoice>& choices,
                                         std::int64_t conflicts) {
  Model model(work, {possible(choices), horizon_of(work), nullptr, {}, true}, 1);
  Shrinking shrinking(model, conflicts);
  std::vector<std::size_t> rules, used;
  for (std::size_t g = 0; g < model.guards().size(); ++g) rules.push_back(g);
  if (!shrinking.clash(rules, used)) return {};
  used = shrinking.shrink(used);
  std::vector<plan::Reason> reasons;
  for (const std::size_t g : used) reasons.push_back(model.guards()[g].reason);
  if (clash_without_hours(work, choices, used, conflicts)) return reasons;
  plan::Reason hours;
  hours.rule = RuleId("schedule-hours");
  hours.text = "hands-on work lies in the shop hours";
  reasons.push_back(std::move(hours));
  return reasons;
}

}  // namespace handlot::schedule
