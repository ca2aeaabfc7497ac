#include "engine/clash.h"

#include <algorithm>

namespace handlot::engine {

namespace {

// The wishes that are in `clash`, in the order of the wishes.
std::vector<Literal> in_order(std::span<const Literal> wishes, const std::vector<Literal>& clash) {
  std::vector<Literal> ordered;
  for (const Literal w : wishes)
    if (std::find(clash.begin(), clash.end(), w) != clash.end() &&
        std::find(ordered.begin(), ordered.end(), w) == ordered.end())
      ordered.push_back(w);
  return ordered;
}

}  // namespace

Clash smallest_clash(Solver& solver, std::span<const Literal> wishes, Limits limits) {
  const Stopwatch watch;
  Clash clash;
  const auto ask = [&](std::span<const Literal> some) {
    const Answer answer = solver.solve(
        some, {limits.conflicts - clash.effort.conflicts, limits.cpu_seconds - watch.cpu_seconds()});
    clash.effort.conflicts += answer.effort.conflicts;
    clash.effort.decisions += answer.effort.decisions;
    clash.effort.restarts += answer.effort.restarts;
    clash.effort.cpu_seconds = watch.cpu_seconds();
    return answer;
  };
  const Answer first = ask(wishes);
  if (first.status != Status::infeasible) return clash;
  clash.exists = true;
  clash.smallest = true;
  clash.literals = in_order(wishes, first.clash);
  for (std::size_t i = 0; i < clash.literals.size();) {
    std::vector<Literal> rest = clash.literals;
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(i));
    const Answer without = ask(rest);
    if (without.status == Status::infeasible) {
      const Literal here = clash.literals[i];
      clash.literals = in_order(wishes, without.clash);
      // Literals before i are known to be needed and stay: the new clash may have lost later ones too.
      i = 0;
      while (i < clash.literals.size() && std::find(wishes.begin(), wishes.end(), clash.literals[i]) <
                                              std::find(wishes.begin(), wishes.end(), here))
        ++i;
      continue;
    }
    if (!without.solved()) clash.smallest = false;
    ++i;
  }
  return clash;
}

}  // namespace handlot::engine
