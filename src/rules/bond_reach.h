// bond_reach.h: how far a bond runs along its parts: as they stand, else by their cards and by its area.
#pragma once

#include <array>
#include <optional>

#include "rules/rule.h"

namespace handlot::rules {

/// How far both parts lie beside or inside each other along the three axes that `part` was drawn in, and how large it is along them.
/// Of several bodies, the farthest.
/// Returns  empty where one of them is not modelled, or no two bodies lie within 1 mm.
struct Shared {
  std::array<Millimetres, 3> along, size;
};
std::optional<Shared> shared_by_shapes(const Facts& facts, const PartId& part, const PartId& other);

/// The longest way that the bond may run on a face so long and so wide: a patch of its area is taken as four times as long as wide at the
/// most [practice], unless the face is too narrow for that. The whole length where no area is known.
Millimetres reach_on_face(const job::Joint& joint, Millimetres length, Millimetres width);

/// The bond as far as it runs: round a ring or a frame it runs over the whole size, however little its area is, and then it is
/// answered without one. By the name of the part or its card; a bead of less than 1 mm all round is none [practice].
job::Joint as_it_runs(const Facts& facts, const job::Joint& joint);

}  // namespace handlot::rules
