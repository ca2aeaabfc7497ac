#include "sheets/svg_text.h"

#include <fmt/format.h>

#include "core/svg.h"
#include "sheets/wrap.h"

namespace handlot::sheets {

std::string svg_text(double x, double y, double size, std::string_view text, std::string_view colour,
                     bool bold) {
  if (text.empty()) return "";
  return fmt::format(
      R"(<text x="{:.1f}" y="{:.1f}" font-family="B612, Verdana, sans-serif" font-size="{:.1f}"{} fill="{}">{}</text>)",
      x, y, size, bold ? R"( font-weight="bold")" : "", colour, xml_escaped(text));
}

double text_width(std::string_view text, double size) {
  return 0.58 * size * static_cast<double>(columns(text));
}

std::string shortened(std::string_view text, double size, double width) {
  if (text_width(text, size) <= width) return std::string(text);
  std::string out(text);
  for (auto space = out.rfind(' '); space != std::string::npos && space > 0; space = out.rfind(' ')) {
    out.resize(space);
    out.resize(out.find_last_not_of(" ,;:") + 1);
    if (text_width(out, size) + text_width("..", size) <= width) return out + "..";
  }
  while (!out.empty() && text_width(out, size) + text_width("..", size) > width) {
    do {
      const bool tail = (static_cast<unsigned char>(out.back()) & 0xC0U) == 0x80U;
      out.pop_back();
      if (!tail) break;
    } while (!out.empty());
  }
  return out + "..";
}

}  // namespace handlot::sheets
