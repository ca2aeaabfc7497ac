// J-STD-033 Table 4-1, bake at the user's site, as reprinted at eesemi.com/baketables.htm (read 2026-11-25);
// rows marked memory were not found in print. Columns there: "saturated at 30/85" and "floor life + 72 h at
// 30/60", which later revisions call overdue by more than, and by at most, 72 h. Hours; days of the print
// times 24. Body <= 1.4 mm, level 2a: two revisions disagree (5/3 h and 7/5 h at 125 degC); the longer, from
// memory, is kept.
#include <array>

#include "solder/moisture_tables.h"

namespace handlot::solder::tables {

namespace {
constexpr int d(int days) {
  return 24 * days;
}
constexpr Standing kRead = Standing::read;
constexpr Standing kMemory = Standing::memory;
}  // namespace

std::span<const UserBake> user_bakes() {
  static constexpr std::array<UserBake, 17> kTable{{
      {1.4, Level::l2a, 7, 5, 23, 13, d(9), d(7), kMemory},
      {1.4, Level::l3, 9, 7, 33, 23, d(13), d(9), kRead},
      {1.4, Level::l4, 11, 7, 37, 23, d(15), d(9), kRead},
      {1.4, Level::l5, 12, 7, 41, 24, d(17), d(10), kRead},
      {1.4, Level::l5a, 16, 10, 54, 24, d(22), d(10), kRead},
      {2.0, Level::l2, 18, 15, 63, d(2), d(25), d(20), kMemory},
      {2.0, Level::l2a, 21, 16, d(3), d(2), d(29), d(22), kRead},
      {2.0, Level::l3, 27, 17, d(4), d(2), d(37), d(23), kRead},
      {2.0, Level::l4, 34, 20, d(5), d(3), d(47), d(28), kRead},
      {2.0, Level::l5, 40, 25, d(6), d(4), d(57), d(35), kRead},
      {2.0, Level::l5a, 48, 40, d(8), d(6), d(79), d(56), kMemory},
      {4.5, Level::l2, 48, 48, d(10), d(7), d(79), d(67), kMemory},
      {4.5, Level::l2a, 48, 48, d(10), d(7), d(79), d(67), kMemory},
      {4.5, Level::l3, 48, 48, d(10), d(8), d(79), d(67), kMemory},
      {4.5, Level::l4, 48, 48, d(10), d(10), d(79), d(67), kMemory},
      {4.5, Level::l5, 48, 48, d(10), d(10), d(79), d(67), kMemory},
      {4.5, Level::l5a, 48, 48, d(10), d(10), d(79), d(67), kMemory},
  }};
  return kTable;
}

}  // namespace handlot::solder::tables
