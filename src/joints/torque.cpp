#include "joints/torque.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr Cite kPocket{"TORQUE898", "tightening torques"};
constexpr Cite kStainless{"ANZOR", "90 % yield"};
constexpr std::array<std::string_view, 7> kSizes{"M1.6", "M2", "M2.5", "M3", "M4", "M5", "M6"};

struct Column {
  std::string_view strength;
  double friction;
  Cite cite;
  std::array<double, 7> torque;
};

constexpr std::array<Column, 11> kColumns{{
    {"4.8", 0, kPocket, {0.086, 0.17, 0.35, 0.61, 1.40, 2.95, 4.90}},
    {"5.8", 0, kPocket, {0.11, 0.22, 0.44, 0.77, 1.80, 3.60, 6.10}},
    {"8.8", 0, kPocket, {0.17, 0.35, 0.70, 1.20, 2.90, 5.70, 9.80}},
    {"10.9", 0, kPocket, {0.24, 0.49, 0.98, 1.70, 4.00, 8.10, 14.0}},
    {"12.9", 0, kPocket, {0.29, 0.58, 1.20, 2.10, 4.90, 9.70, 17.0}},
    {"A2-50", 0.1, kStainless, {0.1, 0.15, 0.25, 0.85, 0.8, 1.6, 2.8}},
    {"A2-50", 0.2, kStainless, {0.1, 0.25, 0.45, 1.0, 1.3, 2.4, 4.1}},
    {"A2-70", 0.1, kStainless, {0.1, 0.2, 0.45, 1.0, 1.7, 3.4, 5.9}},
    {"A2-70", 0.2, kStainless, {0.2, 0.3, 0.6, 1.1, 2.6, 5.1, 8.8}},
    {"A2-80", 0.1, kStainless, {0.2, 0.3, 0.6, 1.3, 2.3, 4.6, 8.0}},
    {"A2-80", 0.2, kStainless, {0.35, 0.4, 0.65, 1.6, 3.5, 6.9, 11.8}},
}};

constexpr std::size_t kRows = kColumns.size() * kSizes.size();

std::array<TorqueRow, kRows> unrolled() {
  std::array<TorqueRow, kRows> rows{};
  std::size_t at = 0;
  for (const Column& c : kColumns)
    for (std::size_t i = 0; i < kSizes.size(); ++i)
      rows[at++] = {kSizes[i], c.strength, c.friction, NewtonMetres(c.torque[i]), c.cite};
  return rows;
}

constexpr Cite kMem{"", "assembly guides", Standing::memory};
constexpr TorqueCap cap(std::string_view size, std::string_view parent, double least, double most, Cite cite) {
  return {size, parent, NewtonMetres(least), NewtonMetres(most), cite};
}
constexpr std::array kCaps{
    cap("M2", "brass", 0.12, 0.12, kMem),      cap("M2.5", "brass", 0.25, 0.25, kMem),
    cap("M3", "brass", 0.45, 0.45, kMem),      cap("M4", "brass", 1.0, 1.0, kMem),
    cap("M2", "insert", 0.10, 0.15, kMem),     cap("M2.5", "insert", 0.2, 0.3, kPractice),
    cap("M3", "insert", 0.4, 0.6, kMem),       cap("M4", "insert", 0.8, 1.2, kMem),
    cap("M2", "plastic", 0.1, 0.15, kMem),     cap("M2.5", "plastic", 0.2, 0.3, kMem),
    cap("M3", "plastic", 0.3, 0.5, kMem),      cap("M3", "nylon-screw", 0.1, 0.2, kMem),
};

bool stainless(std::string_view strength) { return strength.starts_with("A2") || strength.starts_with("A4"); }

const TorqueRow* row_for(std::string_view size, std::string_view strength) {
  const TorqueRow* found = nullptr;
  for (const TorqueRow& r : torque_table())
    if (r.size == size && r.strength == strength && (!found || r.torque < found->torque)) found = &r;
  return found;
}

}  // namespace

std::span<const TorqueRow> torque_table() {
  static const auto rows = unrolled();
  return rows;
}

std::vector<TorqueRow> torque_misprints(std::span<const TorqueRow> rows) {
  std::vector<TorqueRow> bad;
  const auto bigger = [](const TorqueRow& a, const TorqueRow& b) {
    const auto sa = find_size(a.size), sb = find_size(b.size);
    return sa && sb && sa->diameter > sb->diameter;
  };
  for (const TorqueRow& r : rows) {
    const bool contradicted = std::any_of(rows.begin(), rows.end(), [&](const TorqueRow& other) {
      return other.strength == r.strength && other.friction == r.friction && bigger(other, r) &&
             other.torque <= r.torque;
    });
    // Two equal cells at 0.1 N m are the table's rounding, not a misprint.
    const bool rounding = r.torque <= NewtonMetres(0.1);
    if (contradicted && !rounding) bad.push_back(r);
  }
  return bad;
}

std::span<const TorqueCap> torque_caps() { return kCaps; }

Result<TorqueAnswer> tightening_torque(std::string_view size, std::string_view strength, std::string_view parent) {
  TorqueAnswer answer;
  const bool suspect = size == "M3" && stainless(strength);
  const TorqueRow* row = row_for(suspect ? "M4" : size, strength);
  if (!row) {
    return fail(error("torque-unknown", {}, fmt::format("no torque is published for {} of class {}", size, strength),
                      "state the torque on the screw's card, with its source"));
  }
  answer.torque = suspect ? row->torque * std::pow(0.75, 3) : row->torque;
  answer.source = row->cite.source();
  answer.how = fmt::format("{} N m for class {}", number(answer.torque.value, 2), strength);
  if (suspect) answer.how += ", scaled from M4: the printed M3 row is a misprint (for class 50 it is larger than M4's)";
  for (const TorqueCap& c : kCaps) {
    if (c.size != size || c.parent != parent || c.most >= answer.torque) continue;
    answer.torque = c.most;
    answer.source = c.cite.source();
    answer.capped = true;
    answer.how = fmt::format("{} N m: {} takes no more", number(c.most.value, 2),
                             parent == "insert" ? "a brass insert in plastic" : parent);
  }
  return answer;
}

Megapascals implied_stress(const MetricSize& size, NewtonMetres torque, double nut_factor) {
  return Megapascals(torque.value * 1000 / (nut_factor * size.diameter) / size.stress_area);
}

Locking threadlocker_on(std::string_view material) {
  constexpr Cite kRead{"THREADLOCK", "uses"}, kTimes{"THREADLOCK", "fixture times", Standing::memory};
  constexpr std::array<std::string_view, 9> plastics{"abs", "pmma", "pc", "ps", "pla", "petg", "pa", "pom", "plastic"};
  constexpr std::array<std::string_view, 4> passive{"zinc", "anodised", "passivated", "nickel"};
  if (std::find(plastics.begin(), plastics.end(), material) != plastics.end())
    return {LockSpeed::never, {}, "threadlocker cracks or softens plastic, and does not cure on it", {"THREADLOCK", "plastics"}};
  if (std::find(passive.begin(), passive.end(), material) != passive.end())
    return {LockSpeed::slow, {}, "a passive surface: use an activator or wait longer", kPractice};
  if (material == "brass" || material == "copper") return {LockSpeed::fast, minutes(5), "", kTimes};
  if (material == "stainless") return {LockSpeed::slow, minutes(20), "stainless is slow", kTimes};
  if (material == "steel") return {LockSpeed::normal, minutes(10), "", kTimes};
  return {LockSpeed::slow, {}, "nothing is published for this surface", kRead};
}

bool cracked_by_threadlocker(std::string_view plastic) {
  constexpr std::array<std::string_view, 4> cracked{"abs", "pmma", "pc", "ps"};
  return std::find(cracked.begin(), cracked.end(), plastic) != cracked.end();
}

bool wants_retorque(std::string_view material) {
  constexpr std::array<std::string_view, 12> creep{"abs", "pla", "petg", "pa", "pom", "ps", "pmma",
                                                   "pc", "wood", "cork", "rubber", "silicone"};
  return std::find(creep.begin(), creep.end(), material) != creep.end();
}

}  // namespace handlot::joints
