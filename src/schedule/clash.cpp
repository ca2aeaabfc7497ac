#include "schedule/clash.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "schedule/model.h"
#include "schedule/prove.h"
#include "schedule/size_search.h"

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
  Shrinking(Model& model, const engine::Limits& limits) : model_(model), left_(limits) {}

  /// Do these rules clash? `used` is made the part of them that does. No more than one part in `share` of what is left is spent.
  bool clash(const std::vector<std::size_t>& rules, std::vector<std::size_t>& used, int share = 1) {
    std::vector<Literal> assume;
    for (const std::size_t g : rules) assume.push_back(model_.guards()[g].holds);
    const engine::Answer answer = model_.solver().solve(assume, {left_.conflicts / share, left_.cpu_seconds / share, left_.raises / share});
    left_.conflicts -= answer.effort.conflicts;
    left_.raises -= answer.effort.raises;
    left_.cpu_seconds -= answer.effort.cpu_seconds;
    if (answer.status != Status::infeasible) return false;
    used = numbers(model_, answer.clash);
    return true;
  }

  /// Leaves out one rule after the other, for as long as the rest still clashes.
  std::vector<std::size_t> shrink(std::vector<std::size_t> rules) {
    for (std::size_t i = 0; i < rules.size() && !spent();) {
      std::vector<std::size_t> without = rules, used;
      without.erase(without.begin() + static_cast<std::ptrdiff_t>(i));
      // What can be kept without it is often hard to tell: the other rules are to have their turn all the same.
      if (!clash(without, used, kShare)) {
        ++i;
        continue;
      }
      // What came before and was needed is needed still.
      rules = used;
      i = std::min(i, rules.size());
    }
    return rules;
  }

  const engine::Limits& left() const { return left_; }
  bool spent() const { return left_.conflicts <= 0 || left_.raises <= 0 || left_.cpu_seconds <= 0; }

 private:
  static constexpr int kShare = 4;
  Model& model_;
  engine::Limits left_;
};

/// The same rules in a shop that is always open: if they still clash, the hours are not to blame.
bool clash_without_hours(const plan::Work& work, const std::vector<SizeChoice>& choices,
                         const std::vector<std::size_t>& rules, const engine::Limits& limits) {
  plan::Work open = work;
  const Time horizon = horizon_of(work);
  open.hours = {{work.start, work.start + Duration(2 * horizon)}};
  Model model(open, {possible(choices), 2 * horizon, nullptr, {}, true}, 1);
  std::vector<std::size_t> used;
  return Shrinking(model, limits).clash(rules, used);
}

/// Schedules that each trial of latest_ends_in_the_way may make.
constexpr std::int64_t kTrials = 30;

}  // namespace

plan::Reason with_figures(const plan::Constraint& c) {
  plan::Reason reason = c.reason;
  if (c.min.seconds <= 0 && !c.max) return reason;
  std::string asked = c.min.seconds > 0 ? fmt::format("at least {}", in_words(c.min)) : std::string();
  if (c.max) asked += fmt::format("{}at most {}", asked.empty() ? "" : " and ", in_words(*c.max));
  const auto edge = [](const plan::Event& e) { return fmt::format("{} of '{}'", e.edge == plan::Edge::start ? "start" : "end", e.step.text); };
  reason.text = fmt::format("{} from {} to {}: {}", asked, edge(c.from), edge(c.to), c.reason.text);
  return reason;
}

std::vector<plan::Reason> latest_ends_in_the_way(const plan::Work& work, const Limits& limits, std::uint64_t seed) {
  std::vector<plan::Reason> found;
  const engine::Stopwatch watch;
  for (std::size_t c = 0; c < work.constraints.size(); ++c) {
    if (!work.constraints[c].max || work.constraints[c].redundant) continue;
    Limits few = limits;
    few.seconds = limits.seconds - watch.cpu_seconds();
    few.placements = std::min(limits.placements, kTrials * work.units * static_cast<std::int64_t>(work.steps.size()));
    if (few.seconds <= 0) return found;
    plan::Work without = work;
    without.constraints[c].max.reset();
    if (without.constraints[c].min.seconds < 0) without.constraints.erase(without.constraints.begin() + static_cast<std::ptrdiff_t>(c));
    SizeSearch search(without, few, seed, kNever);
    search.run([](const Solution&) {});
    if (search.best()) found.push_back(with_figures(work.constraints[c]));
  }
  return found;
}

std::vector<plan::Reason> smallest_clash(const plan::Work& work, const std::vector<SizeChoice>& choices,
                                         const engine::Limits& limits) {
  Model model(work, {possible(choices), horizon_of(work), nullptr, {}, true}, 1);
  Shrinking shrinking(model, limits);
  std::vector<std::size_t> rules, used;
  for (std::size_t g = 0; g < model.guards().size(); ++g) rules.push_back(g);
  if (!shrinking.clash(rules, used)) return {};
  used = shrinking.shrink(used);
  std::vector<plan::Reason> reasons;
  for (const std::size_t g : used) reasons.push_back(model.guards()[g].reason);
  if (shrinking.spent() || clash_without_hours(work, choices, used, shrinking.left())) return reasons;
  plan::Reason hours;
  hours.rule = RuleId("schedule-hours");
  hours.text = "hands-on work lies in the shop hours";
  reasons.push_back(std::move(hours));
  return reasons;
}

}  // namespace handlot::schedule
