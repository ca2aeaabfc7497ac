// literal.h: what the engine reasons about: bounds of whole-number variables.
#pragma once

#include <compare>
#include <cstdint>

namespace handlot::engine {

/// A whole-number variable of a Solver: a handle, valid for that solver only.
struct Var {
  std::int32_t index = -1;
  auto operator<=>(const Var&) const = default;
};

/// A variable seen from one side. View 2i is x, view 2i+1 is -x, so that every bound is a lower bound:
///
///     x >= 3   is   [view 2i   >=  3]
///     x <= 3   is   [view 2i+1 >= -3]
///
/// and every rule of propagation is written once.
using View = std::int32_t;
constexpr View rising(Var x) {
  return 2 * x.index;
}
constexpr View falling(Var x) {
  return 2 * x.index + 1;
}
constexpr View opposite(View v) {
  return v ^ 1;
}
constexpr Var variable(View v) {
  return Var{v >> 1};
}

/// "This view is at least `bound`": the only kind of atom there is. A Boolean is a variable of domain 0..1.
struct Literal {
  View view = 0;
  std::int32_t bound = 0;
  auto operator<=>(const Literal&) const = default;
};

constexpr Literal at_least(Var x, std::int32_t b) {
  return {rising(x), b};
}
constexpr Literal at_most(Var x, std::int32_t b) {
  return {falling(x), -b};
}
/// not (x >= b)  is  x <= b-1.
constexpr Literal operator~(Literal l) {
  return {opposite(l.view), 1 - l.bound};
}

/// Every solver makes variable 0 with domain {0}; these two speak of it.
inline constexpr Literal kAlways{0, 0};
inline constexpr Literal kNever{0, 1};

/// Bounds stay inside +-kFar, so that a sum of two of them cannot overflow.
inline constexpr std::int32_t kFar = 1'000'000'000;

}  // namespace handlot::engine
