// speed_schedules.cpp: how many of the published projects the engine closes, how fast, and how far from the
// best known the others end. Not a test: a full run takes hours. See README.md here.
//
//   speed_schedules --schedules ../shared/schedules [--sets j30,j60] [--seconds 10] [--every 8] [--from 0]
//                   [--baseline times.csv]       one line a case on stdout as it ends, the table after them
//   speed_schedules --data FILE                  the project as data for baseline.mzn
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <sstream>

#include "engine/project.h"

namespace {

using namespace handlot::engine;

struct Options {
  std::string schedules = "../shared/schedules";
  std::string sets = "j30,j60,j120,sm_j30,ubo20,ubo50,ubo100";
  double seconds = 10;
  int every = 1;
  int from = 0;
  std::string baseline;
  std::string data;
};

struct Case {
  std::string set, name;
};

struct Bounds {  // of makespan, as published; closed without upper bound = proven to have no schedule
  std::optional<int> lower, upper;
  bool impossible = false;
};

struct Rival {
  bool closed = false;
  double seconds = 0;
};

template <class Value>
using ByCase = std::map<std::pair<std::string, std::string>, Value>;

std::string read_file(const std::string& path) {
  std::ifstream in(path);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

std::vector<std::string> split(const std::string& line, char mark) {
  std::vector<std::string> parts;
  std::stringstream in(line);
  for (std::string part; std::getline(in, part, mark);) parts.push_back(part);
  return parts;
}

std::optional<int> number(const std::string& text) {
  return text.empty() || text.find_first_not_of("0123456789") != std::string::npos
             ? std::nullopt
             : std::optional(std::stoi(text));
}

ByCase<Bounds> read_best_known(const std::string& path) {
  ByCase<Bounds> best;
  std::stringstream in(read_file(path));
  for (std::string line; std::getline(in, line);) {
    const auto w = split(line, ',');
    if (w.size() < 3 || w[0] == "set") continue;
    best[{w[0], w[1]}] = {number(w[2]), w.size() > 3 ? number(w[3]) : std::nullopt, w[2] == "unsat"};
  }
  return best;
}

ByCase<Rival> read_baseline(const std::string& path) {  // set,instance,closed|open,seconds
  ByCase<Rival> times;
  std::stringstream in(read_file(path));
  for (std::string line; std::getline(in, line);) {
    const auto w = split(line, ',');
    if (w.size() == 4) times[{w[0], w[1]}] = {w[2] == "closed", std::stod(w[3])};
  }
  return times;
}

std::vector<Case> list_cases(const Options& o) {
  std::vector<Case> cases;
  for (const std::string& set : split(o.sets, ',')) {
    std::vector<std::string> names;
    for (const auto& file : std::filesystem::directory_iterator(o.schedules + "/" + set))
      names.push_back(file.path().stem().string());
    std::sort(names.begin(), names.end());
    for (std::size_t i = static_cast<std::size_t>(o.from); i < names.size();
         i += static_cast<std::size_t>(o.every))
      cases.push_back({set, names[i]});
  }
  return cases;
}

// What contradicts the published bounds or the instance itself. Nothing may.
std::string contradiction(const ProjectInstance& project, const ProjectAnswer& a, const Bounds& known) {
  if (!a.starts.empty() && !check_project(project, a.starts).empty()) return "schedule broken";
  if (known.impossible && !a.starts.empty()) return "a schedule where none is said to exist";
  if (a.status == Status::infeasible && known.upper) return "called impossible, but a schedule is known";
  if (!a.starts.empty() && known.lower && a.makespan < *known.lower) return "shorter than the lower bound";
  if (known.upper && a.lower_bound > *known.upper) return "bound above a known schedule";
  return "";
}

struct Totals {
  int cases = 0, closed = 0, open = 0, wrong = 0, rivals = 0, rival_closed = 0, closed_with_rival = 0;
  double seconds = 0, slowest = 0, gap = 0, log_ratio = 0;
};

void add(Totals& t, const ProjectAnswer& a, const Bounds& known, const Rival* rival) {
  const bool closed = a.status == Status::optimal || a.status == Status::infeasible;
  ++t.cases;
  t.closed += closed;
  t.seconds += a.cpu_seconds;
  t.slowest = std::max(t.slowest, a.cpu_seconds);
  if (a.status == Status::feasible && known.upper) {
    ++t.open;
    t.gap += 100.0 * (a.makespan - *known.upper) / *known.upper;
  }
  if (rival == nullptr) return;
  ++t.rivals;
  t.rival_closed += rival->closed;
  t.closed_with_rival += closed;
  // A clock tick under both keeps the quickest cases from deciding the mean.
  t.log_ratio += std::log(std::max(rival->seconds, 0.001) / std::max(a.cpu_seconds, 0.001));
}

void print_table(const std::map<std::string, Totals>& totals) {
  fmt::print("\n{:8} {:>5} {:>6} {:>8} {:>8} {:>12} {:>6}   {}\n", "set", "cases", "closed", "mean s",
             "most s", "open: gap %", "wrong", "baseline on the same cases");
  for (const auto& [set, t] : totals) {
    std::string rival = "not run";
    if (t.rivals > 0)
      rival = fmt::format("{} of {} closed (ours {}), geometric mean of times {:.1f} x ours", t.rival_closed,
                          t.rivals, t.closed_with_rival, std::exp(t.log_ratio / t.rivals));
    fmt::print("{:8} {:5} {:6} {:8.3f} {:8.2f} {:12.2f} {:6}   {}\n", set, t.cases, t.closed,
               t.seconds / t.cases, t.slowest, t.open > 0 ? t.gap / t.open : 0.0, t.wrong, rival);
  }
}

int run(const Options& o) {
  const auto best = read_best_known(o.schedules + "/best_known.csv");
  const auto rivals = o.baseline.empty() ? ByCase<Rival>{} : read_baseline(o.baseline);
  std::map<std::string, Totals> totals;
  constexpr const char* kWords[] = {"optimal", "feasible", "infeasible", "stopped"};
  for (const Case& c : list_cases(o)) {
    const auto rival = rivals.find({c.set, c.name});
    if (!o.baseline.empty() && rival == rivals.end()) continue;
    const std::string path = fmt::format("{}/{}/{}.txt", o.schedules, c.set, c.name);
    const auto project = read_project(read_file(path), path);
    if (!project) {
      for (const auto& d : project.error()) fmt::print(stderr, "{}", handlot::format(d));
      return 3;
    }
    const auto known = best.find({c.set, c.name});
    const Bounds bounds = known == best.end() ? Bounds{} : known->second;
    Limits limits;
    limits.cpu_seconds = o.seconds;
    const ProjectAnswer a = solve_project(*project, limits);
    const std::string wrong = contradiction(*project, a, bounds);
    add(totals[c.set], a, bounds, rival == rivals.end() ? nullptr : &rival->second);
    totals[c.set].wrong += !wrong.empty();
    fmt::print("{} {} {} {} {} {} {:.4f} {}\n", c.set, c.name, kWords[static_cast<int>(a.status)], a.makespan,
               a.lower_bound, a.conflicts, a.cpu_seconds, wrong);
    std::fflush(stdout);
  }
  print_table(totals);
  return std::any_of(totals.begin(), totals.end(), [](const auto& t) { return t.second.wrong > 0; }) ? 1 : 0;
}

// The names are those of baseline.mzn.
int print_data(const std::string& path) {
  const auto project = read_project(read_file(path), path);
  if (!project) return 3;
  std::int64_t horizon = 0;
  std::string durations, demands, from, to, lags;
  std::vector<int> longest;
  for (const auto& a : project->activities) longest.push_back(a.duration);
  for (const auto& l : project->lags) {
    auto& most = longest[static_cast<std::size_t>(l.from)];
    most = std::max(most, l.lag);
    from += fmt::format("{},", l.from + 1);
    to += fmt::format("{},", l.to + 1);
    lags += fmt::format("{},", l.lag);
  }
  for (const int most : longest) horizon += most;
  for (const auto& a : project->activities) {
    durations += fmt::format("{},", a.duration);
    demands += fmt::format("|{}", fmt::join(a.demand, ","));
  }
  fmt::print("n={0};K={1};H={2};m={3};cap=[{4}];d=[{5}];r=[{6}|];a=[{7}];b=[{8}];w=[{9}];sink={0};V=3;\n",
             project->activities.size(), project->capacity.size(), horizon, project->lags.size(),
             fmt::join(project->capacity, ","), durations, demands, from, to, lags);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  Options o;
  for (int i = 1; i + 1 < argc; i += 2) {
    const std::string flag = argv[i];
    const std::string value = argv[i + 1];
    if (flag == "--schedules") o.schedules = value;
    if (flag == "--sets") o.sets = value;
    if (flag == "--seconds") o.seconds = std::stod(value);
    if (flag == "--every") o.every = std::stoi(value);
    if (flag == "--from") o.from = std::stoi(value);
    if (flag == "--baseline") o.baseline = value;
    if (flag == "--data") o.data = value;
  }
  if (!o.data.empty()) return print_data(o.data);
  if (!std::filesystem::exists(o.schedules + "/best_known.csv")) {
    fmt::print(stderr, "no {}/best_known.csv: nothing to measure, skipped\n", o.schedules);
    return 0;
  }
  return run(o);
}
