// scan_code.h: the square code on each step that a phone's camera reads.
#pragma once

#include <string>
#include <vector>

namespace handlot::sheets {

/// Dark modules row by row, without the quiet margin of four modules that the drawer leaves.
/// Text too long for any code (beyond about 2300 bytes) gives none.
struct ScanCode {
  int size = 0;
  std::vector<bool> dark;
  bool at(int x, int y) const { return dark[static_cast<std::size_t>(y * size + x)]; }
};

ScanCode scan_code(const std::string& text);

/// SVG path of the dark modules in a box of `size` + 8 units: "M4 4h1v1h-1z...".
std::string scan_path(const ScanCode& code);

}  // namespace handlot::sheets
