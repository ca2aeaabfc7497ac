// Quick driver while the engine grows.
#include <fmt/format.h>

#include <fstream>
#include <iostream>
#include <sstream>

#include "engine/project.h"

using namespace handlot::engine;
int main(int argc, char** argv) {
  const double seconds = std::stod(argv[1]);
  for (int i = 2; i < argc; ++i) {
    std::ifstream f(argv[i]);
    std::stringstream s;
    s << f.rdbuf();
    auto p = read_project(s.str(), argv[i]);
    if (!p) {
      fmt::print("{}\n", handlot::format(p.error()[0]));
      return 1;
    }
    Limits l;
    l.cpu_seconds = seconds;
    const ProjectAnswer a = solve_project(*p, l, 1);
    std::string broken;
    if (!a.starts.empty())
      for (auto& b : check_project(*p, a.starts)) broken += b + "; ";
    const char* names[] = {"optimal", "feasible", "infeasible", "stopped"};
    fmt::print("{} {} {} {} {} {:.4f} {}\n", argv[i], names[int(a.status)], a.makespan, a.lower_bound,
               a.conflicts, a.cpu_seconds, broken);
    std::fflush(stdout);
  }
}
