#include "joints/screws.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr std::array<MetricSize, 7> kSizes{{
    {"M1.6", 1.6, 0.35, 1.27, 1.221, 1.25, 1.7, 1.8, 2.0, 3.0, 3.14, 1.6, 1.5, 0, 0, 0, 0, 0, 3.2, 1.3, 3.0, 3.0, 3.2,
     1.3, 1.7, 4.0, 0.3},
    {"M2", 2, 0.4, 2.07, 1.567, 1.60, 2.2, 2.4, 2.6, 3.8, 3.98, 2.0, 1.5, 0, 0, 0, 4.0, 1.6, 4.0, 1.6, 3.8, 3.8, 4.0,
     1.6, 2.2, 5.0, 0.3},
    {"M2.5", 2.5, 0.45, 3.39, 2.013, 2.05, 2.7, 2.9, 3.1, 4.5, 4.68, 2.5, 2.0, 0, 0, 0, 5.0, 2.1, 5.0, 2.1, 4.7, 4.7,
     5.0, 2.0, 2.7, 6.0, 0.5},
    {"M3", 3, 0.5, 5.03, 2.459, 2.50, 3.2, 3.4, 3.6, 5.5, 5.68, 3.0, 2.5, 5.7, 1.65, 2.0, 5.6, 2.4, 5.6, 2.4, 5.5, 5.6,
     5.5, 2.4, 3.2, 7.0, 0.5},
    {"M4", 4, 0.7, 8.78, 3.242, 3.30, 4.3, 4.5, 4.8, 7.0, 7.22, 4.0, 3.0, 7.6, 2.2, 2.5, 8.0, 3.1, 8.0, 3.1, 8.40, 7.5,
     7.0, 3.2, 4.3, 9.0, 0.8},
    {"M5", 5, 0.8, 14.2, 4.134, 4.20, 5.3, 5.5, 5.8, 8.5, 8.72, 5.0, 4.0, 9.5, 2.75, 3.0, 9.5, 3.7, 9.5, 3.7, 9.30, 9.2,
     8.0, 4.7, 5.3, 10.0, 1.0},
    {"M6", 6, 1.0, 20.1, 4.917, 5.00, 6.4, 6.6, 7.0, 10.0, 10.22, 6.0, 5.0, 10.5, 3.3, 4.0, 12.0, 4.6, 12.0, 4.6, 11.30,
     11.0, 10.0, 5.2, 6.4, 12.0, 1.6},
}};

constexpr std::array kSocketLengths{2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0};
constexpr std::array kPanLengths{3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 20.0, 25.0, 30.0};
constexpr double kHair = 1e-9;

}  // namespace

std::span<const MetricSize> metric_sizes() { return kSizes; }

std::optional<MetricSize> find_size(std::string_view name) {
  for (const MetricSize& s : kSizes)
    if (s.name == name) return s;
  return std::nullopt;
}

Millimetres clearance_hole(const MetricSize& size, HoleFit fit) {
  switch (fit) {
    case HoleFit::fine: return Millimetres(size.hole_fine);
    case HoleFit::medium: return Millimetres(size.hole_medium);
    case HoleFit::coarse: return Millimetres(size.hole_coarse);
  }
  return Millimetres(size.hole_medium);
}

Millimetres countersink(const MetricSize& size) {
  return Millimetres(std::max(size.countersunk_iso, size.countersunk_din));
}

std::string_view word(Parent parent) {
  switch (parent) {
    case Parent::steel: return "steel";
    case Parent::brass: return "brass";
    case Parent::aluminium: return "aluminium";
    case Parent::plastic: return "plastic";
    case Parent::plastic_forming: return "plastic, thread-forming";
    case Parent::wood: return "wood";
  }
  return "";
}

Millimetres least_engagement(const MetricSize& size, Parent parent) {
  switch (parent) {
    case Parent::steel: return Millimetres(1.0 * size.diameter);
    case Parent::brass: return Millimetres(1.5 * size.diameter);
    case Parent::aluminium:
    case Parent::plastic: return Millimetres(2.0 * size.diameter);
    case Parent::plastic_forming: return Millimetres(2.3 * size.diameter);
    case Parent::wood: return Millimetres(4.0 * size.diameter);
  }
  return Millimetres(2.0 * size.diameter);
}

Millimetres engagement_by_area(const MetricSize& size) {
  const double area = std::numbers::pi / 4 * std::pow(size.diameter - 0.938194 * size.pitch, 2);
  return Millimetres(2 * area / (0.5 * std::numbers::pi * (size.diameter - 0.64952 * size.pitch)));
}

StackAnswer check_stack(const MetricSize& size, Millimetres length, const Stack& stack) {
  StackAnswer answer;
  const Millimetres reach_least = length - stack.grip - stack.grip_tolerance;
  const Millimetres reach_most = length - stack.grip + stack.grip_tolerance;
  answer.engaged_least = std::clamp(reach_least, Millimetres(0), stack.depth);
  answer.engaged_most = std::clamp(reach_most, Millimetres(0), stack.depth);
  const Millimetres rule = least_engagement(size, stack.parent);
  answer.shallow = stack.depth.value + kHair < rule.value;
  answer.wanted = std::min(rule, stack.depth);
  if (reach_most.value > (stack.depth + stack.beyond).value + kHair) {
    answer.verdict = StackAnswer::Verdict::bottoms;
  } else if (answer.engaged_least.value + kHair < answer.wanted.value) {
    answer.verdict = StackAnswer::Verdict::too_short;
  }
  return answer;
}

std::span<const double> nominal_lengths(LengthSeries series) {
  if (series == LengthSeries::socket) return kSocketLengths;
  return kPanLengths;
}

Result<Millimetres> nominal_length(const MetricSize& size, const Stack& stack, LengthSeries series) {
  double longest_short = 0;
  for (const double length : nominal_lengths(series)) {
    const StackAnswer answer = check_stack(size, Millimetres(length), stack);
    if (answer.verdict == StackAnswer::Verdict::good) return Millimetres(length);
    if (answer.verdict == StackAnswer::Verdict::bottoms) {
      return fail(error("screw-no-length", {},
                        fmt::format("no nominal {} fits a grip of {} mm: {} mm is too short and {} mm bottoms",
                                    size.name, number(stack.grip.value, 2), number(longest_short, 1), number(length, 1)),
                        "deepen the hole, or change the grip with a washer"));
    }
    longest_short = length;
  }
  return fail(error("screw-no-length", {},
                    fmt::format("no nominal {} is long enough for a grip of {} mm", size.name,
                                number(stack.grip.value, 2)),
                    "thin the parts clamped, or take another screw"));
}

bool look_alike(const ScrewName& a, const ScrewName& b) {
  if (a.id == b.id || a.head != b.head) return false;
  const double apart = std::abs((a.length - b.length).value);
  if (a.size == b.size) return apart > kHair && apart <= 2 + kHair;
  const auto index = [](const std::string& name) {
    for (std::size_t i = 0; i < kSizes.size(); ++i)
      if (kSizes[i].name == name) return static_cast<int>(i);
    return -10;
  };
  return std::abs(index(a.size) - index(b.size)) == 1 && apart <= kHair;
}

std::vector<std::size_t> crosswise(std::span<const PlanePoint> at) {
  std::vector<std::size_t> order;
  if (at.empty()) return order;
  std::vector<bool> used(at.size(), false);
  order.push_back(0), used[0] = true;
  while (order.size() < at.size()) {
    const PlanePoint last = at[order.back()];
    std::size_t best = at.size();
    double farthest = -1;
    for (std::size_t i = 0; i < at.size(); ++i) {
      const double d = std::hypot(at[i].x - last.x, at[i].y - last.y);
      if (!used[i] && d > farthest + kHair) farthest = d, best = i;
    }
    order.push_back(best), used[best] = true;
  }
  return order;
}

}  // namespace handlot::joints
