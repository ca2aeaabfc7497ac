// J-STD-033D Table 4-2, bake before dry packing, as reprinted at ox3.com/pages/baking (read 2026-11-25); rows
// marked memory were not found in print. Hours at 125 and 150 degC.
#include <array>

#include "solder/moisture_tables.h"

namespace handlot::solder::tables {

std::span<const DryPackBake> dry_pack_bakes() {
  constexpr Standing kRead = Standing::read, kMemory = Standing::memory;
  static constexpr std::array<DryPackBake, 17> kTable{{
      {1.4, Level::l2, 7, 3, kRead},
      {1.4, Level::l2a, 8, 4, kRead},
      {1.4, Level::l3, 16, 8, kRead},
      {1.4, Level::l4, 21, 10, kRead},
      {1.4, Level::l5, 24, 12, kRead},
      {1.4, Level::l5a, 28, 14, kRead},
      {2.0, Level::l2, 18, 9, kRead},
      {2.0, Level::l2a, 23, 11, kRead},
      {2.0, Level::l3, 43, 21, kRead},
      {2.0, Level::l4, 48, 24, kRead},
      {2.0, Level::l5, 48, 24, kMemory},
      {2.0, Level::l5a, 48, 24, kMemory},
      {4.5, Level::l2a, 48, 24, kMemory},
      {4.5, Level::l3, 48, 24, kMemory},
      {4.5, Level::l4, 48, 24, kMemory},
      {4.5, Level::l5, 48, 24, kMemory},
      {4.5, Level::l5a, 48, 24, kMemory},
  }};
  return kTable;
}

}  // namespace handlot::solder::tables
