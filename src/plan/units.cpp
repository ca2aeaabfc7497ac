#include "plan/units.h"

#include "core/text.h"

namespace handlot::plan {

bool takes(const Operation& op, int unit) { return op.first_unit <= unit && unit <= op.last_unit && !op.without.contains(unit); }

std::vector<int> units_in(const Operation& op) {
  std::vector<int> units;
  for (int unit = op.first_unit; unit <= op.last_unit; ++unit) {
    if (takes(op, unit)) units.push_back(unit);
  }
  return units;
}

std::vector<std::pair<int, int>> stretches(const std::set<int>& units) {
  std::vector<std::pair<int, int>> out;
  for (const int unit : units) {
    if (out.empty() || out.back().second + 1 != unit) out.emplace_back(unit, unit);
    out.back().second = unit;
  }
  return out;
}

std::string spans(const std::set<int>& units) {
  std::vector<std::string> out;
  for (const auto& [first, last] : stretches(units)) out.push_back(first == last ? std::to_string(first) : std::to_string(first) + " to " + std::to_string(last));
  return listed(out);
}

std::string units_in_words(const std::vector<int>& units) { return (units.size() == 1 ? "unit " : "units ") + spans({units.begin(), units.end()}); }

}  // namespace handlot::plan
