#include "sheets/scan_code.h"

#include <fmt/format.h>

#include <qrcodegen/qrcodegen.hpp>

namespace handlot::sheets {

ScanCode scan_code(const std::string& text) {
  try {
    const auto code = qrcodegen::QrCode::encodeText(text.c_str(), qrcodegen::QrCode::Ecc::MEDIUM);
    ScanCode out{code.getSize(), {}};
    for (int y = 0; y < out.size; ++y) {
      for (int x = 0; x < out.size; ++x) out.dark.push_back(code.getModule(x, y));
    }
    return out;
  } catch (const qrcodegen::data_too_long&) {
    return {};
  }
}

std::string scan_path(const ScanCode& code) {
  constexpr int kQuiet = 4;
  std::string out;
  for (int y = 0; y < code.size; ++y) {
    for (int x = 0; x < code.size;) {
      int run = 0;
      while (x + run < code.size && code.at(x + run, y)) ++run;
      if (run > 0) out += fmt::format("M{} {}h{}v1h-{}z", x + kQuiet, y + kQuiet, run, run);
      x += run > 0 ? run : 1;
    }
  }
  return out;
}

}  // namespace handlot::sheets
