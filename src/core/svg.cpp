#include "core/svg.h"

#include <fmt/format.h>

#include <cassert>

#include "core/text.h"

namespace handlot {

std::string svg_number(double value) {
  return number(value, 3);
}

std::string xml_escaped(std::string_view text) {
  std::string safe;
  safe.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&apos;";
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x20 || c == '\n' || c == '\t') safe += c;
    }
  }
  return safe;
}

SvgPicture::SvgPicture(double width, double height, std::string_view title, std::string_view description) {
  body_ = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" "
      "font-family=\"B612, sans-serif\" role=\"img\">\n<title>{2}</title>\n<desc>{3}</desc>\n",
      svg_number(width), svg_number(height), xml_escaped(title), xml_escaped(description));
}

void SvgPicture::attributes(const SvgAttributes& attributes) {
  for (const auto& [name, value] : attributes) body_ += fmt::format(" {}=\"{}\"", name, xml_escaped(value));
}

SvgPicture& SvgPicture::open(std::string_view element, const SvgAttributes& given) {
  body_ += fmt::format("<{}", element);
  attributes(given);
  body_ += ">\n";
  open_.emplace_back(element);
  return *this;
}

SvgPicture& SvgPicture::close() {
  assert(!open_.empty());
  body_ += fmt::format("</{}>\n", open_.back());
  open_.pop_back();
  return *this;
}

SvgPicture& SvgPicture::leaf(std::string_view element, const SvgAttributes& given) {
  body_ += fmt::format("<{}", element);
  attributes(given);
  body_ += "/>\n";
  return *this;
}

SvgPicture& SvgPicture::line(double x1, double y1, double x2, double y2, std::string_view style) {
  return leaf("line", {{"x1", svg_number(x1)},
                       {"y1", svg_number(y1)},
                       {"x2", svg_number(x2)},
                       {"y2", svg_number(y2)},
                       {"style", std::string(style)}});
}

SvgPicture& SvgPicture::text(double x, double y, std::string_view words, double size, std::string_view anchor,
                             const SvgAttributes& more) {
  body_ +=
      fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\"", svg_number(x), svg_number(y), svg_number(size));
  if (anchor != "start") body_ += fmt::format(" text-anchor=\"{}\"", anchor);
  attributes(more);
  body_ += fmt::format(">{}</text>\n", xml_escaped(words));
  return *this;
}

std::string SvgPicture::finish() const {
  assert(open_.empty());
  return body_ + "</svg>\n";
}

}  // namespace handlot
