#include "engine/list_schedule.h"

#include <algorithm>
#include <numeric>

namespace handlot::engine {

namespace {
constexpr std::int32_t kPeople = 40;
std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}
}  // namespace

ListScheduler::ListScheduler(const ProjectInstance& p)
    : n_(static_cast<std::int32_t>(p.activities.size())), horizon_(0), capacity_(p.capacity), tail_(n_, 0) {
  predecessors_.resize(n_);
  successors_.resize(n_);
  uses_.resize(n_);
  for (std::int32_t i = 0; i < n_; ++i) {
    const auto& a = p.activities[at(i)];
    durations_.add(a.duration);
    for (std::size_t k = 0; k < p.capacity.size(); ++k)
      if (a.demand[k] > 0 && a.duration > 0) uses_[i].push_back({static_cast<std::int32_t>(k), a.demand[k]});
    horizon_ += a.duration;
  }
  for (const auto& l : p.lags) {
    successors_[l.from].push_back({l.to, l.lag});
    predecessors_[l.to].push_back({l.from, l.lag});
    horizon_ += std::max(0, l.lag - durations_[l.from]);
  }
  for (std::size_t k = 0; k < capacity_.size(); ++k) load_.add(List<std::int32_t>(horizon_ + 1, 0));
  // Tails by relaxation: n rounds at most, as there is no cycle.
  for (std::int32_t i = 0; i < n_; ++i) tail_[i] = durations_[i];
  for (bool more = true; more;) {
    more = false;
    for (const auto& l : p.lags) {
      if (tail_[l.from] >= tail_[l.to] + l.lag) continue;
      tail_[l.from] = tail_[l.to] + l.lag;
      more = true;
    }
  }
}

bool ListScheduler::fits(const ProjectInstance& p) {
  std::vector<std::int32_t> waiting(p.activities.size(), 0);
  for (const auto& l : p.lags) {
    if (l.lag < 0) return false;
    ++waiting[at(l.to)];
  }
  for (const auto& a : p.activities)
    for (std::size_t k = 0; k < p.capacity.size(); ++k)
      if (a.duration > 0 && a.demand[k] > p.capacity[k]) return false;
  std::vector<std::int32_t> ready;
  for (std::size_t i = 0; i < waiting.size(); ++i)
    if (waiting[i] == 0) ready.push_back(static_cast<std::int32_t>(i));
  for (std::size_t r = 0; r < ready.size(); ++r)
    for (const auto& l : p.lags)
      if (l.from == ready[r] && --waiting[at(l.to)] == 0) ready.push_back(l.to);
  return ready.size() == waiting.size();
}

ListScheduler::Order ListScheduler::by_tail(double noise, std::mt19937_64& random) const {
  double longest = 1;
  for (const std::int32_t t : tail_) longest = std::max(longest, static_cast<double>(t));
  std::vector<std::pair<double, std::int32_t>> keyed;
  for (std::int32_t i = 0; i < n_; ++i) {
    const double share = static_cast<double>(random() >> 11) * 0x1p-53;
    keyed.push_back({-static_cast<double>(tail_[i]) + share * noise * longest, i});
  }
  std::sort(keyed.begin(), keyed.end());
  Order order;
  for (const auto& k : keyed) order.push_back(k.second);
  return in_order(order, predecessors_, successors_);
}

// The priority order, made to respect predecessors: of the activities whose predecessors are placed, the one
// that comes first in it.
ListScheduler::Order ListScheduler::in_order(const Order& priority, const Links& before,
                                             const Links& after) const {
  List<std::int32_t> rank(n_, 0);
  for (std::int32_t r = 0; r < n_; ++r) rank[priority[at(r)]] = r;
  List<std::int32_t> waiting(n_, 0);
  for (std::int32_t i = 0; i < n_; ++i) waiting[i] = static_cast<std::int32_t>(before[i].size());
  const auto later = [&](std::int32_t a, std::int32_t b) { return rank[a] > rank[b]; };
  std::vector<std::int32_t> ready;
  for (std::int32_t i = 0; i < n_; ++i)
    if (waiting[i] == 0) ready.push_back(i);
  std::make_heap(ready.begin(), ready.end(), later);
  Order order;
  while (!ready.empty()) {
    std::pop_heap(ready.begin(), ready.end(), later);
    const std::int32_t i = ready.back();
    ready.pop_back();
    order.push_back(i);
    for (const Link& l : after[i]) {
      if (--waiting[l.other] > 0) continue;
      ready.push_back(l.other);
      std::push_heap(ready.begin(), ready.end(), later);
    }
  }
  return order;
}

std::int32_t ListScheduler::first_fit(std::int32_t i, std::int32_t from) {
  std::int32_t start = from;
  for (std::int32_t t = from; t < start + durations_[i];) {
    bool free = true;
    for (const Use& u : uses_[i]) free = free && load_[u.resource][t] + u.demand <= capacity_[at(u.resource)];
    ++t;
    if (!free) start = t;
  }
  for (const Use& u : uses_[i])
    for (std::int32_t t = start; t < start + durations_[i]; ++t) load_[u.resource][t] += u.demand;
  return start;
}

// Forwards: starts as early as can be. Backwards, time runs from the far end: what is placed is the distance
// of an activity's end from there, and a lag between starts has to be measured between ends.
void ListScheduler::place(const Order& order, const Links& before, bool forwards,
                          std::vector<std::int32_t>& starts) {
  for (auto& row : load_) std::fill(row.begin(), row.end(), 0);
  for (const std::int32_t i : order) {
    std::int32_t from = 0;
    for (const Link& l : before[i]) {
      const std::int32_t gap = forwards ? l.lag : l.lag - durations_[i] + durations_[l.other];
      from = std::max(from, starts[at(l.other)] + gap);
    }
    starts[at(i)] = first_fit(i, from);
  }
}

std::int32_t ListScheduler::makespan(const std::vector<std::int32_t>& starts) const {
  std::int32_t end = 0;
  for (std::int32_t i = 0; i < n_; ++i) end = std::max(end, starts[at(i)] + durations_[i]);
  return end;
}

void ListScheduler::by_end(const std::vector<std::int32_t>& starts, Order& order) const {
  std::stable_sort(order.begin(), order.end(), [&](std::int32_t a, std::int32_t b) {
    return starts[at(a)] + durations_[a] > starts[at(b)] + durations_[b];
  });
}

ListScheduler::Plan ListScheduler::build(const Order& priority) {
  Plan best;
  std::vector<std::int32_t> starts(at(n_));
  std::vector<std::int32_t> backward(at(n_));
  Order order = in_order(priority, predecessors_, successors_);
  while (true) {
    place(order, predecessors_, true, starts);
    const std::int32_t end = makespan(starts);
    if (!best.starts.empty() && end >= best.makespan) break;
    best = {order, starts, end};
    by_end(starts, order);
    place(in_order(order, successors_, predecessors_), successors_, false, backward);
    by_end(backward, order);
    order = in_order(order, predecessors_, successors_);
  }
  std::stable_sort(best.order.begin(), best.order.end(),
                   [&](std::int32_t a, std::int32_t b) { return best.starts[at(a)] < best.starts[at(b)]; });
  return best;
}

Breeding::Breeding(const ProjectInstance& project, std::uint64_t seed) : scheduler_(project), random_(seed) {}

std::int32_t Breeding::chance(std::int32_t below) {
  return static_cast<std::int32_t>(random_() % static_cast<std::uint64_t>(below));
}

bool Breeding::breed(std::int32_t count) {
  const std::int32_t before = best_.makespan;
  const bool first = people_.empty();
  for (std::int32_t c = 0; c < count; ++c, ++made_) {
    if (made_ < kPeople) {
      enter(scheduler_.build(scheduler_.by_tail(made_ == 0 ? 0.0 : 0.3, random_)));
      continue;
    }
    // Parents: each the better of two drawn.
    const auto draw = [&] { return std::min(chance(kPeople), chance(kPeople)); };
    const auto& mother = people_[at(draw())].order;
    const auto& father = people_[at(draw())].order;
    enter(scheduler_.build(cross(mother, father)));
  }
  return first || best_.makespan < before;
}

void Breeding::join(const std::vector<std::int32_t>& starts) {
  ListScheduler::Order order(starts.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::int32_t a, std::int32_t b) { return starts[at(a)] < starts[at(b)]; });
  enter(scheduler_.build(order));
}

// The population is kept best first; a newcomer no better than the worst, or a twin of a member, stays out.
void Breeding::enter(ListScheduler::Plan plan) {
  if (best_.starts.empty() || plan.makespan < best_.makespan) best_ = plan;
  for (const auto& p : people_)
    if (p.makespan == plan.makespan && p.starts == plan.starts) {
      if (people_.size() < at(kPeople)) break;  // the first comers may be twins: there is no one else
      return;
    }
  const auto place = std::upper_bound(people_.begin(), people_.end(), plan,
                                      [](const auto& a, const auto& b) { return a.makespan < b.makespan; });
  people_.insert(place, std::move(plan));
  if (people_.size() > at(kPeople)) people_.pop_back();
}

// Two cuts: the mother's order up to the first and after the second, the father's in between; then a few
// neighbours swapped.
ListScheduler::Order Breeding::cross(const ListScheduler::Order& mother, const ListScheduler::Order& father) {
  const auto n = static_cast<std::int32_t>(mother.size());
  std::int32_t a = chance(n);
  std::int32_t b = chance(n);
  if (a > b) std::swap(a, b);
  ListScheduler::Order child(mother.begin(), mother.begin() + a);
  std::vector<char> in(at(n), 0);
  for (const std::int32_t i : child) in[at(i)] = 1;
  for (const std::int32_t i : father) {
    if (static_cast<std::int32_t>(child.size()) >= b) break;
    if (!in[at(i)]) child.push_back(i), in[at(i)] = 1;
  }
  for (const std::int32_t i : mother)
    if (!in[at(i)]) child.push_back(i);
  for (std::int32_t i = 0; i + 1 < n; ++i)
    if (chance(20) == 0) std::swap(child[at(i)], child[at(i + 1)]);
  return child;
}

}  // namespace handlot::engine
