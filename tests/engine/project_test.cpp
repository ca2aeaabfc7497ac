#include "engine/project.h"

#include <fmt/format.h>
#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "engine/list_schedule.h"
#include "toy.h"

using namespace handlot::engine;
using handlot::engine::test::Dice;

namespace {

ProjectInstance random_project(Dice& dice, int tasks, bool with_maximum_lags) {
  ProjectInstance p;
  const int resources = dice.roll(1, 2);
  for (int k = 0; k < resources; ++k) p.capacity.push_back(dice.roll(2, 4));
  for (int i = 0; i < tasks; ++i) {
    ProjectInstance::Activity a{dice.roll(0, 4), {}};
    for (int k = 0; k < resources; ++k)
      a.demand.push_back(dice.roll(0, p.capacity[static_cast<std::size_t>(k)]));
    p.activities.push_back(a);
  }
  for (int e = 0; e < tasks; ++e) {
    const int i = dice.roll(0, tasks - 2);
    const int j = dice.roll(i + 1, tasks - 1);
    p.lags.push_back({i, j, dice.roll(0, 5)});
    if (with_maximum_lags && dice.roll(0, 1) == 1) p.lags.push_back({j, i, -dice.roll(2, 9)});
  }
  return p;
}

// The slow plain twin: every start of every activity, one after another, cut off only by what is already
// broken.
class Enumeration {
 public:
  explicit Enumeration(const ProjectInstance& p, int horizon) : p_(p), best(horizon + 1) { place(0); }

 private:
  const ProjectInstance& p_;
  std::vector<std::int32_t> starts_;

  bool fits(std::size_t i) const {
    for (const auto& l : p_.lags) {
      const auto from = static_cast<std::size_t>(l.from);
      const auto to = static_cast<std::size_t>(l.to);
      if (from <= i && to <= i && starts_[to] < starts_[from] + l.lag) return false;
    }
    for (std::size_t k = 0; k < p_.capacity.size(); ++k)
      for (std::int32_t t = starts_[i]; t < starts_[i] + p_.activities[i].duration; ++t) {
        int load = 0;
        for (std::size_t j = 0; j <= i; ++j)
          if (starts_[j] <= t && t < starts_[j] + p_.activities[j].duration)
            load += p_.activities[j].demand[k];
        if (load > p_.capacity[k]) return false;
      }
    return true;
  }
  void place(std::size_t i) {
    if (i == p_.activities.size()) {
      int end = 0;
      for (std::size_t j = 0; j < i; ++j) end = std::max(end, starts_[j] + p_.activities[j].duration);
      best = std::min(best, end);
      return;
    }
    for (std::int32_t s = 0; s + p_.activities[i].duration < best; ++s) {
      starts_.push_back(s);
      if (fits(i)) place(i + 1);
      starts_.pop_back();
    }
  }

 public:
  int best;
};

std::string file(const std::string& path) {
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

void compare(int tasks, bool with_maximum_lags, unsigned first_seed, unsigned count) {
  for (unsigned seed = first_seed; seed < first_seed + count; ++seed) {
    Dice dice(seed);
    const ProjectInstance p = random_project(dice, tasks, with_maximum_lags);
    const int horizon =
        5 * tasks;  // no lag or duration is above 5: nothing is to be gained by waiting longer
    const Enumeration twin(p, horizon);
    const ProjectAnswer a = solve_project(p, {}, seed);
    INFO("seed " << seed);
    if (twin.best > horizon) {
      REQUIRE(a.status == Status::infeasible);
      continue;
    }
    REQUIRE(a.status == Status::optimal);
    REQUIRE(check_project(p, a.starts).empty());
    REQUIRE(a.makespan == twin.best);
    REQUIRE(a.lower_bound == twin.best);
  }
}

}  // namespace

TEST_CASE("projects without maximum lags agree with enumeration", "[engine][twin]") {
  compare(5, false, 0, 150);
}
TEST_CASE("projects with maximum lags agree with enumeration", "[engine][twin]") {
  compare(4, true, 1000, 300);
}
TEST_CASE("larger projects agree with enumeration", "[engine][twin][slow]") {
  compare(6, false, 2000, 150);
  compare(5, true, 3000, 150);
}

TEST_CASE("every quick schedule is right, and none is shorter than the best", "[engine][property]") {
  int compared = 0;
  for (unsigned seed = 0; seed < 300; ++seed) {
    Dice dice(seed);
    const ProjectInstance p = random_project(dice, 7, false);
    if (!ListScheduler::fits(p)) continue;
    Breeding breeding(p, seed);
    breeding.breed(60);
    INFO("seed " << seed);
    REQUIRE(check_project(p, breeding.best().starts).empty());
    REQUIRE(breeding.best().makespan >= solve_project(p, {}).makespan);
    ++compared;
  }
  CHECK(compared > 200);
}

TEST_CASE("large amounts and many resources are placed as small ones and few are", "[engine][property]") {
  int compared = 0;
  for (unsigned seed = 0; seed < 60; ++seed) {
    Dice dice(seed);
    const ProjectInstance p = random_project(dice, 12, false);
    if (!ListScheduler::fits(p)) continue;
    ProjectInstance large = p;  // twenty thousand of everything, and every resource three times
    for (int copies = 0; copies < 2; ++copies) {
      large.capacity.insert(large.capacity.end(), p.capacity.begin(), p.capacity.end());
      for (std::size_t i = 0; i < p.activities.size(); ++i) {
        auto& demand = large.activities[i].demand;
        demand.insert(demand.end(), p.activities[i].demand.begin(), p.activities[i].demand.end());
      }
    }
    for (auto& c : large.capacity) c *= 20000;
    for (auto& a : large.activities)
      for (auto& d : a.demand) d *= 20000;
    Breeding few(p, seed), many(large, seed);
    few.breed(200);
    many.breed(200);
    REQUIRE(few.best().starts == many.best().starts);
    ++compared;
  }
  CHECK(compared > 40);
}

// TRUTH  best known bounds of PSPLIB (Kolisch, Sprecher 1997) and of ProGen/max (Kolisch, Schwindt, Sprecher
// 1999;
//        Franck, Neumann, Schwindt 2001) as collected in ../shared/schedules/best_known.csv. Whole numbers.
TEST_CASE("published projects are closed at their published optimum", "[engine][truth]") {
  const std::string top = fmt::format("{}/../shared/schedules", HANDLOT_TOP);
  if (!std::filesystem::exists(fmt::format("{}/best_known.csv", top))) {
    WARN("skipped: no " << top);
    return;
  }
  std::istringstream best(file(fmt::format("{}/best_known.csv", top)));
  int seen = 0;
  int closed = 0;
  for (std::string line; std::getline(best, line);) {
    std::replace(line.begin(), line.end(), ',', ' ');
    std::istringstream words(line);
    std::string set, name, lower, upper;
    words >> set >> name >> lower >> upper;
    const bool wanted =
        set == "ubo20" || (set == "j30" && name.ends_with("_1")) || (set == "sm_j30" && name.ends_with("7"));
    if (!wanted || (upper != lower && lower != "unsat")) continue;
    const auto project = read_project(file(fmt::format("{}/{}/{}.txt", top, set, name)), name);
    REQUIRE(project);
    const ProjectAnswer a = solve_project(*project, {2000});
    INFO(set << " " << name);
    ++seen;
    if (a.status == Status::stopped || a.status == Status::feasible) continue;
    ++closed;
    if (lower == "unsat") {
      CHECK(a.status == Status::infeasible);
    } else {
      CHECK(a.makespan == std::stoi(lower));
      CHECK(check_project(*project, a.starts).empty());
    }
  }
  CHECK(seen > 100);
  CHECK(closed * 10 >= seen * 9);
}

TEST_CASE("the same project and seed give the same answer, another limit another effort", "[engine]") {
  Dice dice(5);
  const ProjectInstance p = random_project(dice, 40, false);
  const ProjectAnswer a = solve_project(p, {500}, 3);
  const ProjectAnswer b = solve_project(p, {500}, 3);
  CHECK(a.starts == b.starts);
  CHECK(a.lower_bound == b.lower_bound);
  CHECK(a.conflicts == b.conflicts);
  CHECK(a.conflicts <= 500);
}

TEST_CASE("a stopped search says so, and what it has is right", "[engine]") {
  ProjectInstance
      p;  // twelve tasks of 3 for two hands of which each takes one: nothing is proven in no conflicts
  p.capacity = {5};
  for (int i = 0; i < 30; ++i) p.activities.push_back({3 + i % 4, {2 + i % 2}});
  const ProjectAnswer a = solve_project(p, {1});
  CHECK(a.status == Status::feasible);
  CHECK(check_project(p, a.starts).empty());
  CHECK(a.lower_bound <= a.makespan);
}

TEST_CASE("a ring of lags and a demand above capacity are answered at once", "[engine][errors]") {
  ProjectInstance ring;
  ring.activities = {{1, {}}, {1, {}}};
  ring.lags = {{0, 1, 5}, {1, 0, -4}};
  CHECK(solve_project(ring, {}).status == Status::infeasible);
  ProjectInstance greedy;
  greedy.capacity = {2};
  greedy.activities = {{1, {3}}};
  CHECK(solve_project(greedy, {}).status == Status::infeasible);
}

TEST_CASE("the checker names each fault", "[engine][errors]") {
  ProjectInstance p;
  p.capacity = {2};
  p.activities = {{3, {2}}, {3, {1}}};
  p.lags = {{0, 1, 3}};
  CHECK(check_project(p, {0, 3}).empty());
  CHECK(check_project(p, {0, 2}) == std::vector<std::string>{"activity 1 starts 2 after 0, not 3",
                                                             "resource 0 is asked for 3 of 2 at 2"});
  CHECK(check_project(p, {-1, 3}) == std::vector<std::string>{"activity 0 starts at -1, before 0"});
  CHECK(check_project(p, {0}) == std::vector<std::string>{"1 starts for 2 activities"});
}

TEST_CASE("a broken project file is answered with place and fault", "[engine][errors]") {
  const auto fault = [](const char* text) {
    const auto read = read_project(text, "p.txt");
    REQUIRE(!read);
    return describe(read.error()[0].place) + ": " + read.error()[0].text;
  };
  CHECK(read_project("1 1 0\n4\n3 2\n", "p.txt"));
  CHECK(fault("1 1 0\n4\n") == "p.txt:3: the file ends before a duration");
  CHECK(fault("1 1 0\nfour\n3 2\n") == "p.txt:2: a capacity is not a whole number from 0 to 1000000");
  CHECK(fault("1 0 1\n3\n0 1 2\n") ==
        "p.txt:3: the activity a lag goes to is not a whole number from 0 to 0");
  CHECK(fault("1 0 0\n3\n9\n") == "p.txt:3: there is more in the file than its first line says");
}
