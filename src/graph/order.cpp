#include "graph/order.h"

#include <algorithm>
#include <cassert>
#include <deque>
#include <limits>
#include <optional>
#include <queue>
#include <unordered_map>

#include "graph/chains.h"
#include "graph/reach.h"

namespace handlot::graph {

namespace {

using plan::Choice;
using plan::Constraint;

/// The links taken so far, with what they imply. Copied at each try.
struct State {
  Reach reach;
  std::vector<const Constraint*> taken;
  std::vector<std::size_t> open;  // choices not settled yet
  bool waits = false;             // a link came in since waits were last checked: one without a wait may close a circle of them too
};

enum class Standing { implied, possible, contradicted };

class Search {
 public:
  Search(std::span<const Node> nodes, std::span<const Constraint> links, std::span<const Choice> choices, int limit)
      : nodes_(nodes.begin(), nodes.end()), links_(links), choices_(choices), limit_(limit) {
    for (std::size_t i = 0; i < nodes_.size(); ++i) number_[nodes_[i].step] = i;
  }

  Answer run() {
    std::vector<const Constraint*> all;
    for (const Constraint& link : links_) all.push_back(&link);
    if (auto cycle = shortest_cycle(nodes_.size(), arcs_of(all)); !cycle.empty()) return contradiction(cycle);
    State state{Reach(nodes_.size()), {}, {}};
    for (const Constraint* link : all) take(state, *link);
    for (std::size_t c = 0; c < choices_.size(); ++c) state.open.push_back(c);
    if (settle(state)) return finish(state);
    Answer answer;
    answer.status = stopped_ ? Answer::Status::stopped : Answer::Status::contradiction;
    answer.contradiction = first_failure_.value_or(Contradiction{});
    return answer;
  }

 private:
  std::size_t at(const StepId& id) const { return number_.at(id); }

  std::vector<Arc> arcs_of(const std::vector<const Constraint*>& links) const {
    std::vector<Arc> arcs;
    for (const Constraint* link : links) {
      if (link->from.step != link->to.step) arcs.push_back({at(link->from.step), at(link->to.step), link});
    }
    return arcs;
  }

  void take(State& state, const Constraint& link) const {
    if (link.from.step != link.to.step) state.reach.add(at(link.from.step), at(link.to.step));
    state.taken.push_back(&link);
    state.waits = true;
  }

  Standing standing(const State& state, const std::vector<Constraint>& option) const {
    bool implied = true;
    for (const Constraint& link : option) {
      const std::size_t a = at(link.from.step), b = at(link.to.step);
      if (a == b || state.reach.leads(b, a)) return Standing::contradicted;
      implied = implied && state.reach.leads(a, b);
    }
    return implied ? Standing::implied : opposed(option) ? Standing::contradicted : Standing::possible;
  }

  /// An option whose own links run in a circle.
  bool opposed(const std::vector<Constraint>& option) const {
    if (option.size() < 2) return false;
    std::vector<const Constraint*> own;
    for (const Constraint& link : option) own.push_back(&link);
    return !shortest_cycle(nodes_.size(), arcs_of(own)).empty();
  }

  /// An implied option that asks for no wait has nothing to add.
  static bool says_nothing_more(const std::vector<Constraint>& option) {
    return std::all_of(option.begin(), option.end(), [](const Constraint& link) {
      return link.min.seconds == 0 && !link.max && link.scope == plan::Scope::unit;
    });
  }

  /// Takes whole options; false when the links of the option close a circle with what is taken already.
  bool take_option(State& state, const std::vector<Constraint>& option) const {
    for (const Constraint& link : option) {
      if (state.reach.leads(at(link.to.step), at(link.from.step))) return false;
      take(state, link);
    }
    return true;
  }

  /// Settles every choice that has an implied option or only one left, until nothing moves.
  bool propagate(State& state) {
    bool moved = true;
    while (moved) {
      moved = false;
      std::vector<std::size_t> still;
      for (std::size_t c : state.open) {
        const std::vector<Constraint>* only = nullptr;
        int possible = 0;
        bool implied = false;
        for (const auto& option : choices_[c].options) {
          const Standing s = standing(state, option);
          if (s == Standing::contradicted) continue;
          // An option that is implied settles the choice only when it adds no wait: another may wait less.
          if (s == Standing::implied && says_nothing_more(option)) {
            only = &option;
            implied = true;
            break;
          }
          ++possible;
          if (only == nullptr) only = &option;
        }
        if (only == nullptr) {
          note_failure(state, choices_[c]);
          return false;
        }
        if (implied) {
          moved = true;
        } else if (possible == 1) {
          if (!take_option(state, *only)) {
            note_failure(state, choices_[c]);
            return false;
          }
          moved = true;
        } else {
          still.push_back(c);
        }
      }
      state.open = std::move(still);
    }
    return true;
  }

  bool settle(State& state) {
    if (!propagate(state) || !waits_fit(state)) return false;
    if (state.open.empty()) return true;
    const Choice& choice = choices_[state.open.front()];
    for (const auto& option : choice.options) {
      if (standing(state, option) == Standing::contradicted) continue;
      if (++branches_ > limit_) {
        stopped_ = true;
        return false;
      }
      State next = state;
      next.open.erase(next.open.begin());
      if (take_option(next, option) && settle(next)) {
        state = std::move(next);
        return true;
      }
      if (stopped_) return false;
    }
    return false;
  }

  /// Latest ends that the waits taken so far can't keep show here, before more is built on them.
  bool waits_fit(State& state) {
    if (!state.waits) return true;
    state.waits = false;
    std::vector<Constraint> taken;
    for (const Constraint* link : state.taken) taken.push_back(*link);
    const auto cycle = lag_cycle(nodes_, taken);
    if (cycle.empty()) return true;
    if (!first_failure_) {
      first_failure_ = Contradiction{};
      first_failure_->chain = cycle;
      first_failure_->lags = true;
    }
    return false;
  }

  void note_failure(const State& state, const Choice& choice) {
    if (first_failure_) return;  // the first one lies nearest to what was given
    Contradiction c;
    c.choice = choice.text;
    for (const auto& option : choice.options) {
      std::vector<const Constraint*> with = state.taken;
      for (const Constraint& link : option) with.push_back(&link);
      std::vector<Constraint> chain;
      for (const Arc& arc : shortest_cycle(nodes_.size(), arcs_of(with))) chain.push_back(*arc.link);
      if (c.chain.empty() || (!chain.empty() && chain.size() < c.chain.size())) std::swap(c.chain, chain);
      if (!chain.empty()) c.further.push_back(std::move(chain));
    }
    first_failure_ = std::move(c);
  }

  Answer contradiction(const std::vector<Arc>& cycle) const {
    Answer answer;
    answer.status = Answer::Status::contradiction;
    for (const Arc& arc : cycle) answer.contradiction.chain.push_back(*arc.link);
    return answer;
  }

  Answer finish(const State& state) {
    Answer answer;
    for (const Constraint* link : state.taken) answer.order.constraints.push_back(*link);
    const auto cycle = lag_cycle(nodes_, answer.order.constraints);
    if (!cycle.empty()) {
      answer.status = Answer::Status::contradiction;
      answer.contradiction.chain = cycle;
      answer.contradiction.lags = true;
      return answer;
    }
    answer.order.branches = branches_;
    answer.order.sequence = sequence(state);
    sort_links(answer.order);
    mark_redundant(answer.order.constraints);
    return answer;
  }

  /// Predecessors first; among the steps that may come next, the one listed first.
  std::vector<StepId> sequence(const State& state) const {
    std::vector<std::size_t> waiting(nodes_.size(), 0);
    const auto arcs = arcs_of(state.taken);
    for (const Arc& arc : arcs) ++waiting[arc.to];
    std::vector<std::vector<std::size_t>> next(nodes_.size());
    for (const Arc& arc : arcs) next[arc.from].push_back(arc.to);
    std::priority_queue<std::size_t, std::vector<std::size_t>, std::greater<>> ready;
    for (std::size_t i = 0; i < nodes_.size(); ++i) {
      if (waiting[i] == 0) ready.push(i);
    }
    std::vector<StepId> order;
    while (!ready.empty()) {
      const std::size_t i = ready.top();
      ready.pop();
      order.push_back(nodes_[i].step);
      for (std::size_t j : next[i]) {
        if (--waiting[j] == 0) ready.push(j);
      }
    }
    assert(order.size() == nodes_.size());
    return order;
  }

  static void sort_links(Order& order) {
    std::unordered_map<StepId, std::size_t> position;
    for (std::size_t i = 0; i < order.sequence.size(); ++i) position[order.sequence[i]] = i;
    std::stable_sort(order.constraints.begin(), order.constraints.end(), [&](const Constraint& a, const Constraint& b) {
      return std::pair(position.at(a.to.step), position.at(a.from.step)) < std::pair(position.at(b.to.step), position.at(b.from.step));
    });
  }

  std::size_t event(const plan::Event& e) const { return 2 * at(e.step) + (e.edge == plan::Edge::end ? 1 : 0); }

  /// A link is redundant when other links and the steps' own lengths already keep its events that far apart.
  /// Weak reasons go first, so that a stated order falls away before the fact that makes it needless. What the listing alone
  /// implies is no less of a reason for it; but a wait that is over by then, unless the builder states it, is nobody's to watch.
  void mark_redundant(std::vector<Constraint>& links) const {
    std::vector<std::size_t> by_weakness(links.size());
    for (std::size_t i = 0; i < links.size(); ++i) by_weakness[i] = i;
    std::stable_sort(by_weakness.begin(), by_weakness.end(), [&](std::size_t a, std::size_t b) { return weakness(links[a]) > weakness(links[b]); });
    Waits waits(2 * nodes_.size());
    for (const Constraint& link : links) {
      if (link.scope == plan::Scope::unit) waits[event(link.from)].push_back({event(link.to), &link});
    }
    for (std::size_t i : by_weakness) {
      if (links[i].max || links[i].scope == plan::Scope::lot) continue;
      links[i].redundant = true;
      if (least_between(waits, links[i]) < links[i].min.seconds) links[i].redundant = false;
    }
  }

  static bool stands_beside_listing(const Constraint& link) { return !of_listing(link) && (link.min.seconds <= 0 || link.reason.builders_choice); }

  static bool of_listing(const Constraint& link) { return link.reason.kind == plan::ReasonKind::listing; }

  static int weakness(const Constraint& link) {
    if (of_listing(link)) return 3;
    if (link.reason.builders_choice) return 2;
    return link.min.seconds == 0 ? 1 : 0;
  }

  struct Wait {
    std::size_t to;
    const Constraint* link;
  };
  using Waits = std::vector<std::vector<Wait>>;  // by the event that they begin at

  /// The longest wait from link.from to link.to over the links not marked, those of the listing only where they may imply it, or a
  /// large negative number.
  std::int64_t least_between(const Waits& waits, const Constraint& link) const {
    constexpr std::int64_t kNever = std::numeric_limits<std::int64_t>::min() / 4;
    const bool beside_listing = stands_beside_listing(link);
    std::vector<std::int64_t> time(waits.size(), kNever);
    time[event(link.from)] = 0;
    std::deque<std::size_t> queue{event(link.from)};
    while (!queue.empty()) {
      const std::size_t here = queue.front();
      queue.pop_front();
      const auto reach_event = [&](std::size_t there, std::int64_t when) {
        if (when <= time[there]) return;
        time[there] = when;
        queue.push_back(there);
      };
      if (here % 2 == 0) reach_event(here + 1, time[here] + nodes_[here / 2].shortest.seconds);
      for (const Wait& wait : waits[here]) {
        if (!wait.link->redundant && !(beside_listing && of_listing(*wait.link))) reach_event(wait.to, time[here] + wait.link->min.seconds);
      }
    }
    return time[event(link.to)];
  }

  std::vector<Node> nodes_;
  std::span<const Constraint> links_;
  std::span<const Choice> choices_;
  std::unordered_map<StepId, std::size_t> number_;  // looked up, never walked
  int limit_;
  int branches_ = 0;
  bool stopped_ = false;
  std::optional<Contradiction> first_failure_;
};

}  // namespace

Answer find_order(std::span<const Node> nodes, std::span<const Constraint> links, std::span<const Choice> choices, int limit) {
  return Search(nodes, links, choices, limit).run();
}

Closure::Closure(std::span<const StepId> steps, std::span<const Constraint> links)
    : steps_(steps.begin(), steps.end()), links_(links.begin(), links.end()) {
  Reach reach(steps_.size());
  reach_.assign(steps_.size(), std::vector<bool>(steps_.size(), false));
  for (std::size_t i = 0; i < steps_.size(); ++i) number_[steps_[i]] = i;
  for (const Constraint& link : links_) {
    if (link.from.step != link.to.step) reach.add(index(link.from.step), index(link.to.step));
  }
  for (std::size_t a = 0; a < steps_.size(); ++a) {
    for (std::size_t b = 0; b < steps_.size(); ++b) reach_[a][b] = reach.leads(a, b);
  }
}

std::size_t Closure::index(const StepId& id) const {
  const auto found = number_.find(id);
  assert(found != number_.end());
  return found->second;
}

bool Closure::before(const StepId& a, const StepId& b) const { return reach_[index(a)][index(b)]; }

std::vector<Constraint> Closure::chain(const StepId& a, const StepId& b) const {
  std::vector<Arc> arcs;
  for (const Constraint& link : links_) arcs.push_back({index(link.from.step), index(link.to.step), &link});
  std::vector<Constraint> chain;
  for (const Arc& arc : shortest_chain(steps_.size(), arcs, index(a), index(b))) chain.push_back(*arc.link);
  return chain;
}

}  // namespace handlot::graph
