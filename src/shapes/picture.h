// picture.h: line drawings of a step and of a kit row, as SVG.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "shapes/blocking.h"
#include "shapes/cache.h"
#include "shapes/order.h"

namespace handlot::shapes {

struct PictureSize {
  Millimetres width{90}, height{70};
};

/// A part that arrives in this step, with the way it goes in.
struct Newcomer {
  std::size_t part = 0;
  Way way;
  std::string called;  ///< for the call-out; empty = the part's own name. A subassembly's parts share one.
};

struct StepPicture {
  PartSet present;  ///< already in
  std::vector<Newcomer> newcomers;
  std::optional<Vec3> tool_at, tool_axis;  ///< mm; unit, outwards
  std::string tool_name;
  PictureSize size;
};

/// The step: what is in drawn thin and grey, newcomers heavy, tinted and set off along the way they go in, an
/// arrow for each group, a call-out with name and count ("screw M2x6", "x4") on a line to the nearest of
/// them, the tool's axis. The view is chosen among eight so that the newcomers and their seats are seen.
/// Returns    SVG 1.1, one line an element; same input, same bytes. Colours read in black print.
/// Cost       46 parts under 40 ms.
std::string picture(const Scene& scene, const StepPicture& what);

/// The same, kept in the cache by content: parts are known by Part::shape, which must then be set for every
/// part drawn.
std::string picture(const Scene& scene, const StepPicture& what, const Cache& cache);

/// One part alone for the kit list, as large as the paper lets it be: small beside others, so nothing is written on it.
/// Its title says `name` and the overall sizes.
std::string kit_picture(const Mesh& mesh, const std::string& name,
                        PictureSize size = {Millimetres(22), Millimetres(15)});

}  // namespace handlot::shapes
