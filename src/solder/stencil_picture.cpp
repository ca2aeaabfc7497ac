// The layer as a picture: doubtful openings hatched, numbered and listed.
#include <fmt/format.h>

#include <algorithm>

#include "core/svg.h"
#include "core/text.h"
#include "solder/stencil.h"

namespace handlot::solder {

namespace {

constexpr double kPictureWidth = 180, kTallest = 200, kEdge = 8, kLetters = 2.8;
constexpr std::size_t kMostRows = 24;

std::string path_of(const Opening& o, Point low, Point high, double scale, double top) {
  std::string d;
  const auto ring = [&](const Ring& r) {
    for (std::size_t i = 0; i < r.size(); ++i) {
      d += fmt::format("{}{} {}", i == 0 ? "M" : "L", svg_number(kEdge + (r[i].x - low.x) * scale),
                       svg_number(top + (high.y - r[i].y) * scale));
    }
    d += "Z";
  };
  ring(o.outline);
  for (const Ring& hole : o.holes) ring(hole);
  return d;
}

/// "U1.1 U1.2 and 6 more": as many as fit on a line; empty where the file names none.
std::string names_of(const Layer& layer, const std::vector<const OpeningCheck*>& alike) {
  constexpr std::size_t kLine = 100;
  std::string text;
  std::size_t told = 0;
  for (const OpeningCheck* c : alike) {
    const std::string name = name_of(layer.openings[c->opening]);
    if (name.empty() || text.size() + name.size() > kLine) break;
    text += (told++ == 0 ? "" : " ") + name;
  }
  return told == 0 || told == alike.size() ? text : text + fmt::format(" and {} more", alike.size() - told);
}

/// One line for each kind, and one with the names of those alike.
std::vector<std::string> listing(const Layer& layer, const std::vector<std::vector<const OpeningCheck*>>& doubtful) {
  std::vector<std::string> lines;
  for (std::size_t i = 0; i < doubtful.size(); ++i) {
    const auto& alike = doubtful[i];
    if (lines.size() + 2 > kMostRows) {
      lines.push_back(fmt::format("and {} more kinds", doubtful.size() - i));
      break;
    }
    lines.push_back(alike.size() == 1 ? fmt::format("{}. {}", i + 1, alike.front()->text) : fmt::format("{}. {} alike, {}", i + 1, alike.size(), alike.front()->kind));
    const std::string names = alike.size() == 1 ? "" : names_of(layer, alike);
    if (!names.empty()) lines.push_back("at " + names);
  }
  return lines;
}

}  // namespace

std::string stencil_picture(const Layer& layer, const StencilCheck& check, const StencilJob& job,
                            std::string_view title) {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  for (const Opening& o : layer.openings) {
    low.x = std::min(low.x, o.low.x), low.y = std::min(low.y, o.low.y);
    high.x = std::max(high.x, o.high.x), high.y = std::max(high.y, o.high.y);
  }
  if (layer.openings.empty()) low = {0, 0}, high = {10, 10};
  const double top = 20;
  const double scale = std::min((kPictureWidth - 2 * kEdge) / std::max(0.1, high.x - low.x),
                                kTallest / std::max(0.1, high.y - low.y));
  const auto doubtful = doubts_alike(layer, check);
  const double list_top = top + (high.y - low.y) * scale + 8;
  const std::vector<std::string> lines = listing(layer, doubtful);
  const double height = list_top + 4.2 * static_cast<double>(lines.size() + 2) + 4;
  SvgPicture svg(kPictureWidth, height, title,
                 fmt::format("{} openings, {} doubtful", layer.openings.size(), check.doubtful));
  svg.leaf("rect", {{"width", svg_number(kPictureWidth)}, {"height", svg_number(height)}, {"fill", "white"}});
  svg.open("defs").open("pattern", {{"id", "doubt"},
                                    {"width", "0.9"},
                                    {"height", "0.9"},
                                    {"patternUnits", "userSpaceOnUse"},
                                    {"patternTransform", "rotate(45)"}});
  svg.leaf("rect", {{"width", "0.9"}, {"height", "0.9"}, {"fill", "white"}})
      .leaf("rect", {{"width", "0.4"}, {"height", "0.9"}, {"fill", "black"}})
      .close()
      .close();
  svg.text(kEdge, 7, title, 4.2, "start", {{"font-weight", "bold"}});
  svg.text(
      kEdge, 12.5,
      fmt::format("foil {} mm, powder type {}: {}, {} doubtful (hatched and numbered)",
                  number(job.foil.value, 3), job.powder_type,
                  counted(static_cast<long>(layer.openings.size()), "opening", "openings"), check.doubtful),
      kLetters);
  for (const OpeningCheck& c : check.openings) {
    svg.leaf("path", {{"d", path_of(layer.openings[c.opening], low, high, scale, top)},
                      {"fill", c.doubtful() ? "url(#doubt)" : "#bbb"},
                      {"fill-rule", "evenodd"},
                      {"stroke", "#000"},
                      {"stroke-width", c.doubtful() ? "0.3" : "0.1"}});
  }
  for (std::size_t i = 0; i < doubtful.size(); ++i) {
    for (const OpeningCheck* c : doubtful[i]) {
      const Opening& o = layer.openings[c->opening];
      const double x = kEdge + (o.centre.x - low.x) * scale, y = top + (high.y - o.centre.y) * scale;
      const double up = (o.high.y - o.centre.y) * scale + 1;
      svg.text(x, y - up, std::to_string(i + 1), kLetters, "middle",
               {{"stroke", "white"}, {"stroke-width", "0.7"}, {"paint-order", "stroke"}});
    }
  }
  for (std::size_t i = 0; i < lines.size(); ++i)
    svg.text(lines[i].starts_with("at ") ? kEdge + 4 : kEdge, list_top + 4.2 * static_cast<double>(i + 1), lines[i], kLetters);
  return svg.finish();
}

}  // namespace handlot::solder
