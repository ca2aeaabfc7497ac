// moisture_tables.h: the published tables behind moisture.h. Used by it only.
#pragma once

#include <span>

#include "solder/moisture.h"

namespace handlot::solder::tables {

/// One row of the user-site bake: hours by oven, for parts overdue by more than 72 h and by at most 72 h.
struct UserBake {
  double up_to_mm;
  Level level;
  int h125_long, h125_short;
  int h90_long, h90_short;
  int h40_long, h40_short;
  Standing standing;
};
std::span<const UserBake> user_bakes();

struct DryPackBake {
  double up_to_mm;
  Level level;
  int h125, h150;
  Standing standing;
};
std::span<const DryPackBake> dry_pack_bakes();

}  // namespace handlot::solder::tables
