#include "graph/order.h"

#include <catch2/catch.hpp>
#include <algorithm>
#include <numeric>
#include <random>

using namespace handlot;
using namespace handlot::graph;
using plan::Choice;
using plan::Constraint;

namespace {

StepId step(int i) { return StepId(std::string(1, static_cast<char>('a' + i))); }

Constraint link(int a, int b, std::int64_t least = 0) {
  Constraint c;
  c.from = {step(a), plan::Edge::end};
  c.to = {step(b), plan::Edge::start};
  c.min = Duration(least);
  return c;
}

std::vector<Node> steps(int n) {
  std::vector<Node> nodes;
  for (int i = 0; i < n; ++i) nodes.push_back({step(i), Duration(60)});
  return nodes;
}

bool keeps(const std::vector<StepId>& order, const Constraint& c) {
  const auto a = std::find(order.begin(), order.end(), c.from.step), b = std::find(order.begin(), order.end(), c.to.step);
  return a < b;
}

bool keeps_all(const std::vector<StepId>& order, const std::vector<Constraint>& links, const std::vector<Choice>& choices) {
  for (const auto& c : links) {
    if (!keeps(order, c)) return false;
  }
  for (const auto& choice : choices) {
    bool any = false;
    for (const auto& option : choice.options) {
      any = any || std::all_of(option.begin(), option.end(), [&](const Constraint& c) { return keeps(order, c); });
    }
    if (!any) return false;
  }
  return true;
}

}  // namespace

TEST_CASE("the order keeps every link and otherwise the listing", "[graph]") {
  const auto nodes = steps(4);
  const std::vector<Constraint> links{link(3, 1)};
  const Answer answer = find_order(nodes, links, {}, 100);
  REQUIRE(answer.status == Answer::Status::found);
  CHECK(answer.order.sequence == std::vector<StepId>{step(0), step(2), step(3), step(1)});
}

TEST_CASE("a contradiction is shown as its shortest chain", "[graph]") {
  const auto nodes = steps(5);
  const std::vector<Constraint> links{link(0, 1), link(1, 2), link(2, 3), link(3, 0), link(3, 4), link(4, 2)};
  const Answer answer = find_order(nodes, links, {}, 100);
  REQUIRE(answer.status == Answer::Status::contradiction);
  CHECK(answer.contradiction.chain.size() == 3);
}

TEST_CASE("waits that do not fit into a latest end are a contradiction of lags", "[graph]") {
  const auto nodes = steps(3);
  Constraint latest = link(0, 2);
  latest.max = Duration(600);
  const std::vector<Constraint> links{link(0, 1, 400), link(1, 2, 300), latest};
  const Answer answer = find_order(nodes, links, {}, 100);
  REQUIRE(answer.status == Answer::Status::contradiction);
  CHECK(answer.contradiction.lags);
  CHECK(answer.contradiction.chain.size() == 3);
  Constraint stated = link(0, 2, 720), card = link(0, 2, 300);
  stated.max = Duration(1200);
  card.max = Duration(600);
  const Answer two = find_order(nodes, std::vector<Constraint>{stated, card}, {}, 100);
  REQUIRE(two.contradiction.chain.size() == 2);
  for (const Constraint& c : two.contradiction.chain) CHECK((c.max ? *c.max == Duration(600) : c.min == Duration(720)));  // the ends that clash
  latest.max = Duration(760);  // 400 + the step's own 60 + 300
  const std::vector<Constraint> fits{link(0, 1, 400), link(1, 2, 300), latest};
  CHECK(find_order(nodes, fits, {}, 100).status == Answer::Status::found);
}

TEST_CASE("a choice takes its preferred option unless that contradicts", "[graph]") {
  const auto nodes = steps(3);
  Choice choice;
  choice.options = {{link(1, 0)}, {link(0, 1)}};
  const std::vector<Choice> choices{choice};
  CHECK(find_order(nodes, {}, choices, 100).order.sequence.front() == step(1));
  const std::vector<Constraint> links{link(0, 2), link(2, 1)};
  const Answer other = find_order(nodes, links, choices, 100);
  REQUIRE(other.status == Answer::Status::found);
  CHECK(other.order.sequence == std::vector<StepId>{step(0), step(2), step(1)});
}

TEST_CASE("an option whose latest end can't be kept gives way to the next", "[graph]") {
  const auto nodes = steps(4);  // a, b: coats a day apart; c, d: their rags, put away within the hour
  const auto within = [](int a, int b) {
    Constraint c = link(a, b);
    c.from.edge = plan::Edge::end;
    c.max = Duration(3600);
    return c;
  };
  const std::vector<Constraint> links{link(0, 1, 86400)};
  Choice first, second;
  first.options = {{within(0, 2)}, {within(0, 3)}};
  second.options = {{within(1, 2)}, {within(1, 3)}};
  const std::vector<Choice> choices{first, second};
  const Answer answer = find_order(nodes, links, choices, 100);
  REQUIRE(answer.status == Answer::Status::found);
  CHECK(keeps(answer.order.sequence, within(0, 2)));
  CHECK(keeps(answer.order.sequence, within(1, 3)));
}

TEST_CASE("an option without a wait gives way where it closes a circle of waits", "[graph]") {
  const auto nodes = steps(3);  // a coat, what is pressed on when it is dry, the wipe ten minutes after the coat
  Constraint soon = link(0, 2);
  soon.max = Duration(600);
  const std::vector<Constraint> links{soon};
  Choice dry, wiped;
  dry.options = {{link(0, 1, 86400)}, {link(1, 0)}};
  wiped.options = {{link(1, 2)}, {link(2, 1, 86400)}};  // as listed: pressed on before the wipe
  const Answer answer = find_order(nodes, links, std::vector<Choice>{dry, wiped}, 100);
  REQUIRE(answer.status == Answer::Status::found);
  CHECK(answer.order.sequence == std::vector<StepId>{step(0), step(2), step(1)});
}

TEST_CASE("links that others imply are marked redundant, waits are kept", "[graph]") {
  const auto nodes = steps(3);
  const std::vector<Constraint> links{link(0, 1), link(1, 2), link(0, 2), link(0, 2, 3600), link(0, 2, 30)};
  const Answer answer = find_order(nodes, links, {}, 100);
  REQUIRE(answer.status == Answer::Status::found);
  int kept = 0;
  for (const auto& c : answer.order.constraints) kept += c.redundant ? 0 : 1;
  CHECK(kept == 3);  // a-b, b-c and the hour from a to c; 30 s are covered by the step of 60 s between
}

TEST_CASE("a stated order is no less of a reason where the listing implies it", "[graph]") {
  const auto nodes = steps(3);
  std::vector<Constraint> links{link(0, 1), link(1, 2), link(0, 2), link(0, 2)};
  for (int i : {0, 1, 3}) links[static_cast<std::size_t>(i)].reason.kind = plan::ReasonKind::listing;
  links[2].reason.builders_choice = true;
  const Answer answer = find_order(nodes, links, {}, 100);
  REQUIRE(answer.status == Answer::Status::found);
  for (const auto& c : answer.order.constraints) {
    const bool far = c.from.step == step(0) && c.to.step == step(2);
    CHECK(c.redundant == (far && c.reason.kind == plan::ReasonKind::listing));
  }
}

TEST_CASE("the search agrees with trying every order", "[graph][twin]") {
  std::mt19937 random(7);
  int found = 0, none = 0;
  for (int round = 0; round < 3000; ++round) {
    const int n = 2 + static_cast<int>(random() % 5);
    const auto pick = [&] { return static_cast<int>(random() % static_cast<unsigned>(n)); };
    std::vector<Constraint> links;
    std::vector<Choice> choices;
    for (auto k = random() % 4; k > 0; --k) {
      const int a = pick(), b = pick();
      if (a != b) links.push_back(link(a, b));
    }
    for (auto k = random() % 6; k > 0; --k) {
      Choice choice;
      for (auto o = 1 + random() % 3; o > 0; --o) {
        std::vector<Constraint> option;
        for (auto m = 1 + random() % 2; m > 0; --m) {
          const int a = pick(), b = pick();
          if (a != b) option.push_back(link(a, b));
        }
        if (!option.empty()) choice.options.push_back(option);
      }
      if (!choice.options.empty()) choices.push_back(choice);
    }
    std::vector<StepId> order;
    for (int i = 0; i < n; ++i) order.push_back(step(i));
    bool possible = false;
    do {
      possible = possible || keeps_all(order, links, choices);
    } while (!possible && std::next_permutation(order.begin(), order.end()));
    const Answer answer = find_order(steps(n), links, choices, 100000);
    INFO("round " << round);
    REQUIRE(answer.status == (possible ? Answer::Status::found : Answer::Status::contradiction));
    if (possible) {
      REQUIRE(keeps_all(answer.order.sequence, links, choices));
      ++found;
    } else {
      REQUIRE_FALSE(answer.contradiction.chain.empty());
      ++none;
    }
  }
  CHECK(found > 500);
  CHECK(none > 500);
}
