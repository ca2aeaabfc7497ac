// step_size.h: whether a body from a file is of the size that its card states.
#pragma once

#include <optional>

#include "catalogue/card.h"
#include "shapes/vec.h"

namespace handlot::bodies {

/// Whether a drawn body is of the size of its card: false where all three sides are more than three times larger, or all
/// smaller, as they are in another unit.
///
/// Units    `size` in mm, along the axes of the drawing; the body may be drawn whichever way round.
/// Returns  nothing where the card does not state length, width and height.
std::optional<bool> size_agrees(const catalogue::Card& card, shapes::Vec3 size);

}  // namespace handlot::bodies
