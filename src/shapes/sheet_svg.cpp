#include "shapes/sheet_svg.h"

#include <fmt/format.h>

#include <boost/geometry/algorithms/simplify.hpp>
#include <boost/geometry/geometries/register/linestring.hpp>
#include <boost/geometry/geometries/register/point.hpp>
#include <boost/geometry/strategies/strategies.hpp>
#include <cmath>
#include <iterator>

#include "core/svg.h"

BOOST_GEOMETRY_REGISTER_POINT_2D(handlot::shapes::Point2, double, boost::geometry::cs::cartesian, x, y)
BOOST_GEOMETRY_REGISTER_LINESTRING(handlot::shapes::Polygon)

namespace handlot::shapes {

namespace {

/// Two decimals without a minus zero and without trailing zeros.
std::string hundredths(long v) {
  const long whole = std::abs(v) / 100, rest = std::abs(v) % 100;
  std::string text = fmt::format("{}{}", v < 0 ? "-" : "", whole);
  if (rest % 10 != 0) return text + fmt::format(".{:02}", rest);
  return rest == 0 ? text : text + fmt::format(".{}", rest / 10);
}

std::string mm(double v) {
  return hundredths(std::lround(v * 100));
}

constexpr double kLineTolerance = 0.02;  ///< mm on paper: less than a seventh of the thinnest line

/// Without the points that the eye does not miss.
Polygon plainer(const Polygon& run) {
  Polygon out;
  boost::geometry::simplify(run, out, kLineTolerance);
  return out.size() < 2 ? run : out;
}

/// Steps from point to point in whole hundredths, so that nothing adds up.
std::string path(const std::vector<Polygon>& runs, bool closed) {
  std::string d;
  for (const Polygon& run : runs) {
    if (run.empty()) continue;
    long x = 0, y = 0;
    bool first = true;
    for (const Point2& p : plainer(run)) {
      const long to_x = std::lround(p.x * 100), to_y = std::lround(p.y * 100);
      if (first) {
        d += fmt::format("M{} {}l", mm(p.x), mm(p.y));
      } else if (to_x != x || to_y != y) {
        const std::string down = hundredths(to_y - y);
        d += fmt::format("{}{}{}{}", d.back() == 'l' ? "" : " ", hundredths(to_x - x), down.front() == '-' ? "" : " ", down);
      }
      x = to_x;
      y = to_y;
      first = false;
    }
    if (d.back() == 'l') d += "0 0";  // a dot
    if (closed) d += "Z";
  }
  return d;
}

}  // namespace

SheetSvg::SheetSvg(double width, double height, std::string_view title) {
  out_ = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" "
      "role=\"img\" font-family=\"B612, sans-serif\">\n<title>{2}</title>\n",
      mm(width), mm(height), xml_escaped(title));
}

void SheetSvg::runs(const std::vector<Polygon>& runs, std::string_view style) {
  if (runs.empty()) return;
  out_ +=
      fmt::format("<path fill=\"none\" stroke-linecap=\"round\" stroke-linejoin=\"round\" {} d=\"{}\"/>\n",
                  style, path(runs, false));
}

void SheetSvg::filled(const std::vector<Polygon>& runs, std::string_view style) {
  if (runs.empty()) return;
  out_ += fmt::format("<path fill-rule=\"nonzero\" stroke=\"none\" {} d=\"{}\"/>\n", style, path(runs, true));
}

void SheetSvg::line(Point2 a, Point2 b, std::string_view style) {
  out_ += fmt::format("<path fill=\"none\" stroke-linecap=\"round\" {} d=\"M{} {}L{} {}\"/>\n", style,
                      mm(a.x), mm(a.y), mm(b.x), mm(b.y));
}

void SheetSvg::arrow(Point2 from, Point2 to, std::string_view colour, double width) {
  const double dx = to.x - from.x, dy = to.y - from.y, far = std::hypot(dx, dy);
  if (far < 0.5) return;
  const double head = std::min(2.2, far * 0.6), ux = dx / far, uy = dy / far;
  const Point2 neck{to.x - ux * head * 0.8, to.y - uy * head * 0.8};
  line(from, neck, fmt::format("stroke=\"#fff\" stroke-width=\"{}\"", mm(width * 2.4)));
  line(from, neck, fmt::format("stroke=\"{}\" stroke-width=\"{}\"", colour, mm(width)));
  const Point2 left{to.x - ux * head - uy * head * 0.42, to.y - uy * head + ux * head * 0.42};
  const Point2 right{to.x - ux * head + uy * head * 0.42, to.y - uy * head - ux * head * 0.42};
  out_ += fmt::format("<path fill=\"{}\" stroke=\"#fff\" stroke-width=\"0.2\" d=\"{}\"/>\n", colour,
                      path({{to, left, right}}, true));
}

void SheetSvg::circle(Point2 at, double radius, std::string_view style) {
  out_ += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {}/>\n", mm(at.x), mm(at.y), mm(radius), style);
}

void SheetSvg::text(Point2 at, std::string_view words, double size, std::string_view anchor, bool heavy) {
  out_ += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{}\"{}>{}</text>\n", mm(at.x),
                      mm(at.y), mm(size), anchor, heavy ? " font-weight=\"bold\"" : "", xml_escaped(words));
}

std::string SheetSvg::done() && {
  return std::move(out_) + "</svg>\n";
}

double text_width(std::string_view words, double size) {
  std::size_t letters = 0;
  for (char c : words)
    if ((static_cast<unsigned char>(c) & 0xc0) != 0x80) ++letters;
  return static_cast<double>(letters) * size * 0.6;
}

std::vector<std::string> wrapped(std::string_view words, double size, double width, std::size_t lines) {
  std::vector<std::string> out{""};
  while (!words.empty()) {
    const std::size_t blank = words.find(' ');
    const std::string word(words.substr(0, blank));
    words = blank == std::string_view::npos ? std::string_view{} : words.substr(blank + 1);
    const std::string longer = out.back().empty() ? word : out.back() + " " + word;
    if (out.back().empty() || text_width(longer, size) <= width) {
      out.back() = longer;
    } else if (out.size() < lines) {
      out.push_back(word);
    } else {
      out.back() += "...";
      break;
    }
  }
  return out;
}

}  // namespace handlot::shapes
