// lens.h: a round window that shows a small newcomer and its seat enlarged. Private to the pictures.
#pragma once

#include "shapes/paper.h"
#include "shapes/picture.h"
#include "shapes/sheet_svg.h"

namespace handlot::shapes {

struct LensPlace {
  Point2 centre;      ///< mm on paper
  double radius = 0;  ///< mm
  Point2 looks_at;    ///< mm on paper: where it is in the picture
};

/// Draws what is near the seat of the newcomer as `view` sees it, the newcomer set off by about its own height.
void draw_lens(SheetSvg& svg, const Scene& scene, const PartSet& present, const Newcomer& newcomer, const View& view,
               const LensPlace& place);

}  // namespace handlot::shapes
