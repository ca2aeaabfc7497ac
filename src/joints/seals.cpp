#include "joints/seals.h"

#include <cassert>
#include <numbers>

namespace handlot::joints {

SqueezeWindow squeeze_window(SealKind kind) {
  const Source memory{"", "seal handbooks", Standing::memory};
  switch (kind) {
    case SealKind::face: return {0.10, 0.15, 0.30, 0.40, memory};
    case SealKind::radial: return {0.10, 0.10, 0.25, 0.40, memory};
    case SealKind::moving: break;
  }
  return {0.06, 0.08, 0.20, 0.30, memory};
}

double squeeze(Millimetres cord, Millimetres depth) {
  assert(cord.value > 0);
  return (cord - depth) / cord;
}

double groove_fill(Millimetres cord, Millimetres depth, Millimetres width) {
  assert(depth.value > 0 && width.value > 0);
  return std::numbers::pi / 4 * cord.value * cord.value / (depth.value * width.value);
}

double stretch(Millimetres inner, Millimetres over) {
  assert(inner.value > 0);
  return (over - inner) / inner;
}

}  // namespace handlot::joints
