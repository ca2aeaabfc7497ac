#include "engine/list_schedule.h"

#include <algorithm>
#include <numeric>

namespace handlot::engine {

namespace {
constexpr std::int32_t kPeople = 150;
constexpr std::int32_t kStandstill =
    30 * kPeople;  // children without gain after which a population is given up
std::size_t at(std::int32_t i) {
  return static_cast<std::size_t>(i);
}
}  // namespace

ListScheduler::ListScheduler(const ProjectInstance& p)
    : n_(static_cast<std::int32_t>(p.activities.size())), horizon_(0), tail_(n_, 0) {
  predecessors_.resize(n_);
  successors_.resize(n_);
  rank_.resize(n_, 0);
  waiting_.resize(n_, 0);
  for (const auto& a : p.activities) {
    durations_.add(a.duration);
    horizon_ += a.duration;
  }
  for (const auto& l : p.lags) {
    successors_[l.from].push_back({l.to, l.lag});
    predecessors_[l.to].push_back({l.from, l.lag});
    horizon_ += std::max(0, l.lag - durations_[l.from]);
  }
  lay_lanes(p);
  for (const auto& a : p.activities) {
    double share = 0;
    for (std::size_t k = 0; k < p.capacity.size(); ++k)
      if (p.capacity[k] > 0) share += static_cast<double>(a.demand[k]) / p.capacity[k];
    share_.add(share);
  }
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

void ListScheduler::lay_lanes(const ProjectInstance& p) {
  const auto count = static_cast<std::int32_t>(p.capacity.size());
  const bool small = std::all_of(p.capacity.begin(), p.capacity.end(), [](auto c) { return c < 0x8000; });
  const std::int32_t bits = small ? 16 : 32;
  const std::int32_t lanes = 64 / bits;
  words_ = (count + lanes - 1) / lanes;
  for (std::int32_t l = 1; l <= lanes; ++l) guards_ |= Lanes{1} << (l * bits - 1);
  const auto put = [&](Lanes* words, std::int32_t k, std::int32_t amount) {
    words[k / lanes] += static_cast<Lanes>(amount) << (k % lanes * bits);
  };
  whole_.resize(words_, guards_);
  demand_.resize(words_ * n_, 0);
  for (std::int32_t k = 0; k < count; ++k) {
    put(whole_.data(), k, p.capacity[at(k)]);
    for (std::int32_t i = 0; i < n_; ++i)
      put(demand_.data() + i * words_, k, durations_[i] > 0 ? p.activities[at(i)].demand[at(k)] : 0);
  }
  free_.resize((horizon_ + 1) * words_, 0);
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

ListScheduler::Order ListScheduler::by_tail(double noise, std::mt19937_64& random) {
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
  put_in_order(order, predecessors_, successors_);
  return order;
}

// The priority order, made to respect predecessors: of the activities whose predecessors are placed, the one
// that comes first in it.
void ListScheduler::put_in_order(Order& priority, const Links& before, const Links& after) {
  for (std::int32_t r = 0; r < n_; ++r) rank_[priority[at(r)]] = r;
  bool kept = true;
  for (std::int32_t i = 0; i < n_; ++i) {
    waiting_[i] = static_cast<std::int32_t>(before[i].size());
    for (const Link& l : before[i]) kept = kept && rank_[l.other] < rank_[i];
  }
  if (kept) return;
  const auto later = [&](std::int32_t a, std::int32_t b) { return rank_[a] > rank_[b]; };
  ready_.clear();
  for (std::int32_t i = 0; i < n_; ++i)
    if (waiting_[i] == 0) ready_.push_back(i);
  std::make_heap(ready_.begin(), ready_.end(), later);
  priority.clear();
  while (!ready_.empty()) {
    std::pop_heap(ready_.begin(), ready_.end(), later);
    const std::int32_t i = ready_.back();
    ready_.pop_back();
    priority.push_back(i);
    for (const Link& l : after[i]) {
      if (--waiting_[l.other] > 0) continue;
      ready_.push_back(l.other);
      std::push_heap(ready_.begin(), ready_.end(), later);
    }
  }
}

bool ListScheduler::room_for(const Lanes* demand, std::int32_t time) const {
  const Lanes* const free = free_.data() + time * words_;
  Lanes kept = guards_;
  for (std::int32_t w = 0; w < words_; ++w) kept &= free[w] - demand[w];
  return (kept & guards_) == guards_;
}

// A window is looked at from its end: whatever is in the way there, nothing before it need be looked at.
std::int32_t ListScheduler::first_fit(std::int32_t i, std::int32_t from) {
  const Lanes* const demand = demand_.data() + i * words_;
  const std::int32_t length = durations_[i];
  std::int32_t start = from;
  std::int32_t known = from;  // [start, known) is free
  for (std::int32_t t = start + length - 1; t >= known; --t) {
    if (room_for(demand, t)) continue;
    known = std::max(known, start + length);
    start = t + 1;
    t = start + length;
  }
  for (std::int32_t t = start; t < start + length; ++t)
    for (std::int32_t w = 0; w < words_; ++w) free_[t * words_ + w] -= demand[w];
  return start;
}

// Forwards: starts as early as can be. Backwards, time runs from the far end: what is placed is the distance
// of an activity's end from there, and a lag between starts has to be measured between ends.
void ListScheduler::place(const Order& order, const Links& before, bool forwards,
                          std::vector<std::int32_t>& starts) {
  for (std::int32_t w = 0; w < free_.count(); ++w) free_[w] = whole_[w % std::max(words_, 1)];
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
  Order order = priority;
  put_in_order(order, predecessors_, successors_);
  while (true) {
    place(order, predecessors_, true, starts);
    const std::int32_t end = makespan(starts);
    if (!best.starts.empty() && end >= best.makespan) break;
    best.order = order;
    best.starts = starts;
    best.makespan = end;
    by_end(starts, order);
    put_in_order(order, successors_, predecessors_);
    place(order, successors_, false, backward);
    by_end(backward, order);
    put_in_order(order, predecessors_, successors_);
  }
  std::stable_sort(best.order.begin(), best.order.end(),
                   [&](std::int32_t a, std::int32_t b) { return best.starts[at(a)] < best.starts[at(b)]; });
  return best;
}

std::vector<double> ListScheduler::crowding(const Plan& plan) const {
  std::vector<double> load(at(plan.makespan + 1), 0.0);
  const auto each_moment = [&](std::int32_t i, auto&& see) {
    for (std::int32_t t = plan.starts[at(i)]; t < plan.starts[at(i)] + durations_[i]; ++t) see(load[at(t)]);
  };
  for (std::int32_t i = 0; i < n_; ++i) each_moment(i, [&](double& l) { l += share_[i]; });
  std::vector<double> mean(at(n_), 0.0);
  for (std::int32_t i = 0; i < n_; ++i) {
    each_moment(i, [&](double l) { mean[at(i)] += l; });
    if (durations_[i] > 0) mean[at(i)] /= durations_[i];
  }
  return mean;
}

Breeding::Breeding(const ProjectInstance& project, std::uint64_t seed) : scheduler_(project), random_(seed) {}

std::int32_t Breeding::chance(std::int32_t below) {
  return static_cast<std::int32_t>(random_() % static_cast<std::uint64_t>(below));
}

bool Breeding::breed(std::int32_t count) {
  const std::int32_t before = best_.makespan;
  const bool first = people_.empty();
  for (std::int32_t c = 0; c < count; ++c) {
    if (since_better_ >= kStandstill) begin_anew();
    if (people_.size() >= at(kPeople)) {
      cross_two();
      continue;
    }
    people_.push_back(scheduler_.build(scheduler_.by_tail(people_.empty() ? 0.0 : 0.3, random_)));
    note(people_.back());
  }
  return first || best_.makespan < before;
}

// The best of the old population is married into the new one.
void Breeding::begin_anew() {
  since_better_ = 0;
  people_.clear();
  people_.push_back(best_);
}

void Breeding::cross_two() {
  std::int32_t mother = chance(kPeople);
  std::int32_t father = chance(kPeople - 1);
  father += father >= mother ? 1 : 0;
  const auto &m = people_[at(mother)], &f = people_[at(father)];
  ListScheduler::Plan child = scheduler_.build(chance(2) == 0 ? cross_peaks(m, f.order) : cross(m.order, f.order));
  note(child);
  const std::int32_t worse = people_[at(mother)].makespan > people_[at(father)].makespan ? mother : father;
  ++since_better_;
  if (child.makespan < people_[at(worse)].makespan) since_better_ = 0;
  if (child.makespan <= people_[at(worse)].makespan) people_[at(worse)] = std::move(child);
}

void Breeding::join(const std::vector<std::int32_t>& starts) {
  ListScheduler::Order order(starts.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(),
                   [&](std::int32_t a, std::int32_t b) { return starts[at(a)] < starts[at(b)]; });
  ListScheduler::Plan plan = scheduler_.build(order);
  note(plan);
  if (people_.size() < at(kPeople))
    people_.push_back(std::move(plan));
  else
    people_[at(joined_++ % kPeople)] = std::move(plan);
}

void Breeding::note(const ListScheduler::Plan& plan) {
  if (best_.starts.empty() || plan.makespan < best_.makespan) best_ = plan;
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
  disturb(child);
  return child;
}

void Breeding::disturb(ListScheduler::Order& child) {
  for (std::size_t i = 0; i + 1 < child.size(); ++i)
    if (chance(20) == 0) std::swap(child[i], child[i + 1]);
}

// Where the mother keeps her resources busiest her order is worth having: those activities, a quarter to three quarters of all,
// stay in their places, and the rest come in the father's order (the peaks of V. Valls, F. Ballestin, S. Quintanilla, "A hybrid
// genetic algorithm for the RCPSP", EJOR 185, 2008 [memory]).
ListScheduler::Order Breeding::cross_peaks(const ListScheduler::Plan& mother,
                                           const ListScheduler::Order& father) {
  const auto n = static_cast<std::int32_t>(father.size());
  const std::vector<double> crowding = scheduler_.crowding(mother);
  std::vector<double> sorted = crowding;
  const auto middle = sorted.begin() + n / 4 + chance(std::max(1, n / 2));
  std::nth_element(sorted.begin(), middle, sorted.end());
  ListScheduler::Order child(mother.order);
  std::vector<char> in(at(n), 0);
  for (const std::int32_t i : child) in[at(i)] = crowding[at(i)] > *middle ? 1 : 0;
  auto next = father.begin();
  for (std::int32_t& place : child) {
    if (in[at(place)]) continue;
    while (in[at(*next)]) ++next;
    place = *next++;
  }
  disturb(child);
  return child;
}

}  // namespace handlot::engine
