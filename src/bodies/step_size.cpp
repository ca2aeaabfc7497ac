#include "bodies/step_size.h"

#include <algorithm>
#include <array>

namespace handlot::bodies {

std::optional<bool> size_agrees(const catalogue::Card& card, shapes::Vec3 size) {
  std::array<double, 3> stated{}, drawn{size.x, size.y, size.z};
  for (std::size_t i = 0; i < 3; ++i) {
    const auto side = card.get<Millimetres>(std::array{"length", "width", "height"}[i]);
    if (!side || card.kind != catalogue::CardKind::part) return std::nullopt;
    stated[i] = side->high.value;
  }
  std::sort(stated.begin(), stated.end());
  std::sort(drawn.begin(), drawn.end());
  constexpr double kOther = 3;  // [practice]: of the units of drawings only inch and cm are nearer, 2.54; leads and tails that are not drawn are one side, not three
  const auto all = [&](auto is) { return is(0) && is(1) && is(2); };
  const bool larger = all([&](std::size_t i) { return drawn[i] > kOther * stated[i]; }), smaller = all([&](std::size_t i) { return drawn[i] * kOther < stated[i]; });
  return !larger && !smaller;
}

}  // namespace handlot::bodies
