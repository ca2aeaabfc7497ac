#include "schedule/reach.h"

#include "schedule/step_load.h"

namespace handlot::schedule {

namespace {

using plan::Edge;

std::size_t node(int step, Edge edge) {
  return 2 * static_cast<std::size_t>(step) + (edge == Edge::end ? 1 : 0);
}

}  // namespace

Reach::Reach(const plan::Work& work) : work_(work), numbers_(work), after_(2 * work.steps.size()) {
  for (const plan::Resource& r : work.resources) people_ += r.kind == plan::Resource::Kind::person ? 1 : 0;
  std::vector<std::vector<std::size_t>> next(after_.size());
  for (std::size_t s = 0; s < work.steps.size(); ++s) next[2 * s].push_back(2 * s + 1);
  for (std::size_t i = 0; i < work.constraints.size(); ++i) {
    const plan::Constraint& c = work.constraints[i];
    const auto [from, to] = numbers_.constraints()[i];
    if (c.min.seconds >= 0) next[node(from, c.from.edge)].push_back(node(to, c.to.edge));
  }
  for (std::size_t n = 0; n < after_.size(); ++n) {
    after_[n].assign(after_.size(), false);
    std::vector<std::size_t> open{n};
    while (!open.empty()) {
      const std::size_t now = open.back();
      open.pop_back();
      if (after_[n][now]) continue;
      after_[n][now] = true;
      open.insert(open.end(), next[now].begin(), next[now].end());
    }
  }
}

bool Reach::after(Edge a_edge, int a, Edge b_edge, int b) const {
  return after_[node(a, a_edge)][node(b, b_edge)];
}

Time Reach::hands_between(int from, Edge from_edge, int to, Edge to_edge, const Run& run) const {
  Time sum = 0;
  for (std::size_t s = 0; s < work_.steps.size(); ++s) {
    const int step = static_cast<int>(s);
    const plan::Timing& t = work_.steps[s].timing;
    const bool inside = after(from_edge, from, Edge::start, step) && after(Edge::end, step, to_edge, to);
    if (!inside || (step == from && from_edge == Edge::end) ||
        (step == to && to_edge == Edge::start))
      continue;
    // These units may share their operation with others; then it is only longer.
    sum += t.setup.seconds + (t.hands_on ? t.run.seconds * (t.run_per_unit ? run.size() : 1) : 0);
  }
  return sum;
}

}  // namespace handlot::schedule
