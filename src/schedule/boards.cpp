#include "schedule/boards.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace handlot::schedule {

namespace {

constexpr double kTolerance_mm = 1e-6;

/// Boards of one length in a row.
int in_row(double room_mm, double board_mm, double spacing_mm) {
  if (room_mm + kTolerance_mm < board_mm) return 0;
  return static_cast<int>(std::floor((room_mm + spacing_mm + kTolerance_mm) / (board_mm + spacing_mm)));
}

int grid(double width, double depth, double board_w, double board_d, double spacing) {
  return in_row(width, board_w, spacing) * in_row(depth, board_d, spacing);
}

/// Columns of upright boards from the left, turned ones to the right of them.
int two_blocks(double width, double depth, double board_w, double board_d, double spacing) {
  int most = 0;
  for (int columns = 0; columns <= in_row(width, board_w, spacing); ++columns) {
    const double left = width - columns * (board_w + spacing);
    most = std::max(most,
                    columns * in_row(depth, board_d, spacing) + grid(left, depth, board_d, board_w, spacing));
  }
  return most;
}

}  // namespace

int boards_that_fit(Millimetres tray_width, Millimetres tray_depth, Millimetres board_width,
                    Millimetres board_depth, Millimetres spacing, bool may_turn) {
  assert(board_width.value > 0 && board_depth.value > 0 && spacing.value >= 0);
  const double w = tray_width.value, d = tray_depth.value, bw = board_width.value, bd = board_depth.value;
  if (!may_turn) return grid(w, d, bw, bd, spacing.value);
  return std::max({two_blocks(w, d, bw, bd, spacing.value), two_blocks(w, d, bd, bw, spacing.value),
                   two_blocks(d, w, bd, bw, spacing.value), two_blocks(d, w, bw, bd, spacing.value)});
}

}  // namespace handlot::schedule
