#include "graph/chains.h"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/breadth_first_search.hpp>
#include <cassert>
#include <limits>
#include <map>

namespace handlot::graph {

namespace {

using Net = boost::adjacency_list<boost::vecS, boost::vecS, boost::directedS, boost::no_property,
                                  boost::property<boost::edge_index_t, std::size_t>>;

Net net_of(std::size_t n, const std::vector<Arc>& arcs) {
  Net net(n);
  for (std::size_t i = 0; i < arcs.size(); ++i) boost::add_edge(arcs[i].from, arcs[i].to, i, net);
  return net;
}

/// Remembers by which arc each step was first reached.
struct FirstArc : boost::default_bfs_visitor {
  explicit FirstArc(std::vector<std::size_t>& arc) : arc_of(&arc) {}
  void tree_edge(boost::graph_traits<Net>::edge_descriptor e, const Net& net) const {
    (*arc_of)[boost::target(e, net)] = boost::get(boost::edge_index, net, e);
  }
  std::vector<std::size_t>* arc_of;
};

std::vector<Arc> chain_in(const Net& net, const std::vector<Arc>& arcs, std::size_t a, std::size_t b) {
  constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();
  std::vector<std::size_t> arc_of(boost::num_vertices(net), kNone);
  boost::breadth_first_search(net, a, boost::visitor(FirstArc(arc_of)));
  std::vector<Arc> chain;
  for (std::size_t at = b; at != a;) {
    if (arc_of[at] == kNone) return {};
    chain.push_back(arcs[arc_of[at]]);
    at = chain.back().from;
  }
  std::reverse(chain.begin(), chain.end());
  return chain;
}

}  // namespace

std::vector<Arc> shortest_chain(std::size_t n, const std::vector<Arc>& arcs, std::size_t a, std::size_t b) {
  return chain_in(net_of(n, arcs), arcs, a, b);
}

std::vector<Arc> shortest_cycle(std::size_t n, const std::vector<Arc>& arcs) {
  const Net net = net_of(n, arcs);
  std::vector<Arc> best;
  for (const Arc& arc : arcs) {
    if (arc.from == arc.to) return {arc};
    std::vector<Arc> back = chain_in(net, arcs, arc.to, arc.from);
    if (back.empty()) continue;
    back.insert(back.begin(), arc);
    if (best.empty() || back.size() < best.size()) best = std::move(back);
  }
  return best;
}

namespace {

/// Of a link with an earliest and a latest end the one that the chain runs over.
plan::Constraint end_that_counts(plan::Constraint link, bool latest) {
  if (latest)
    link.min = Duration(0);
  else
    link.max.reset();
  return link;
}

}  // namespace

std::vector<plan::Constraint> lag_cycle(const std::vector<Node>& nodes, const std::vector<plan::Constraint>& links) {
  // Longest paths over the 2n events by Bellman-Ford; an arc that still lengthens after 2n rounds lies behind a cycle.
  struct Lag {
    std::size_t from, to;
    std::int64_t least;
    const plan::Constraint* link;  // null: a step's own length
  };
  std::map<StepId, std::size_t> number;
  std::vector<Lag> lags;
  for (std::size_t i = 0; i < nodes.size(); ++i) {
    number[nodes[i].step] = i;
    lags.push_back({2 * i, 2 * i + 1, nodes[i].shortest.seconds, nullptr});
  }
  const auto event = [&](const plan::Event& e) { return 2 * number.at(e.step) + (e.edge == plan::Edge::end ? 1 : 0); };
  for (const plan::Constraint& link : links) {
    lags.push_back({event(link.from), event(link.to), link.min.seconds, &link});
    if (link.max) lags.push_back({event(link.to), event(link.from), -link.max->seconds, &link});
  }
  const std::size_t events = 2 * nodes.size();
  std::vector<std::int64_t> time(events, 0);
  std::vector<const Lag*> by(events, nullptr);
  const Lag* last = nullptr;
  for (std::size_t round = 0; round <= events; ++round) {
    last = nullptr;
    for (const Lag& lag : lags) {
      if (time[lag.from] + lag.least <= time[lag.to]) continue;
      time[lag.to] = time[lag.from] + lag.least;
      by[lag.to] = &lag;
      last = &lag;
    }
    if (last == nullptr) return {};
  }
  std::size_t at = last->to;
  for (std::size_t i = 0; i < events; ++i) at = by[at]->from;  // now surely on the cycle
  std::vector<plan::Constraint> cycle;
  std::size_t walk = at;
  do {
    if (by[walk]->link != nullptr) cycle.push_back(end_that_counts(*by[walk]->link, by[walk]->from == event(by[walk]->link->to)));
    walk = by[walk]->from;
  } while (walk != at);
  std::reverse(cycle.begin(), cycle.end());
  return cycle;
}

}  // namespace handlot::graph
