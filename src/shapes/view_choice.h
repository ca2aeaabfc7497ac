// view_choice.h: from where the action can be seen. Private to the pictures.
#pragma once

#include <vector>

#include "shapes/picture.h"

namespace handlot::shapes {

/// A newcomer with the shift (mm) by which it is set off from its seat.
struct SetOff {
  std::size_t part;
  Vec3 shift;
};

/// The best of eight views: newcomers seen, their seats seen, the way in not seen end-on, the usual side
/// first. Returns the direction towards the eye.
Vec3 best_view(const Scene& scene, const PartSet& present, const std::vector<SetOff>& newcomers);

}  // namespace handlot::shapes
