#include "shapes/lens.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace handlot::shapes {

namespace {

/// The pieces of a run that lie in a circle.
std::vector<Polygon> in_circle(const Polygon& run, Point2 centre, double radius) {
  std::vector<Polygon> pieces;
  Polygon piece;
  const auto end = [&] {
    if (piece.size() > 1) pieces.push_back(std::move(piece));
    piece.clear();
  };
  for (std::size_t i = 0; i + 1 < run.size(); ++i) {
    const Point2 a = run[i], b = run[i + 1];
    const double dx = b.x - a.x, dy = b.y - a.y, fx = a.x - centre.x, fy = a.y - centre.y;
    const double aa = dx * dx + dy * dy, bb = fx * dx + fy * dy, cc = fx * fx + fy * fy - radius * radius;
    const double root = bb * bb - aa * cc;
    const double t0 = aa > 0 && root > 0 ? std::max(0.0, (-bb - std::sqrt(root)) / aa) : 1;
    const double t1 = aa > 0 && root > 0 ? std::min(1.0, (-bb + std::sqrt(root)) / aa) : 0;
    if (t0 >= t1) {
      end();
      continue;
    }
    const auto at = [&](double t) { return Point2{a.x + dx * t, a.y + dy * t}; };
    if (t0 > 0) end();
    if (piece.empty()) piece.push_back(at(t0));
    piece.push_back(at(t1));
    if (t1 < 1) end();
  }
  end();
  return pieces;
}

/// What the lens shows: a ball about the seat and the newcomer before it.
struct Region {
  Vec3 centre, shift;
  double radius = 0;
};

Region region_of(const Scene& scene, const Newcomer& newcomer) {
  const Box& box = scene.body(newcomer.part).box;
  const Vec3 d = unit(newcomer.way.last), size = box.size();
  const double along = std::abs(d.x) * size.x + std::abs(d.y) * size.y + std::abs(d.z) * size.z;
  Region r;
  r.shift = d * -(along + 0.5 * length(size));
  r.centre = box.middle() + r.shift * 0.5;
  r.radius = length(r.shift) / 2 + 0.9 * length(size);
  return r;
}

std::vector<Drawn> near_by(const Scene& scene, const PartSet& present, const Newcomer& newcomer, const Region& region) {
  std::vector<Drawn> drawn{{&scene.body(newcomer.part), &scene.edges(newcomer.part), region.shift}};
  const Box reach = Box{region.centre, region.centre}.grown(region.radius);
  for (std::size_t part : present.list())
    if (part != newcomer.part && scene.body(part).box.meets(reach))
      drawn.push_back({&scene.body(part), &scene.edges(part), {}});
  return drawn;
}

}  // namespace

void draw_lens(SheetSvg& svg, const Scene& scene, const PartSet& present, const Newcomer& newcomer, const View& view,
               const LensPlace& place) {
  const Region region = region_of(scene, newcomer);
  const std::vector<Drawn> drawn = near_by(scene, present, newcomer, region);
  Paper paper{view, place.radius / region.radius, 0, 0};
  const Vec3 middle = view.to_view.direction(region.centre);
  paper.dx = place.centre.x - middle.x * paper.scale;
  paper.dy = place.centre.y + middle.y * paper.scale;
  const auto on_paper = [&](const std::vector<SeenLine>& seen) {
    std::vector<Polygon> runs;
    for (Polygon& run : chained(seen)) {
      for (Point2& p : run) p = paper.at(p);
      for (Polygon& piece : in_circle(run, place.centre, place.radius)) runs.push_back(std::move(piece));
    }
    return runs;
  };
  // From the spot in the picture to the window; the window covers what lies under it.
  const double dx = place.centre.x - place.looks_at.x, dy = place.centre.y - place.looks_at.y;
  const double far = std::max(std::hypot(dx, dy), 1e-6);
  constexpr double kSpot = 2.2;  // mm
  svg.circle(place.looks_at, kSpot, "fill=\"none\" stroke=\"#1d3557\" stroke-width=\"0.25\"");
  svg.line({place.looks_at.x + dx / far * kSpot, place.looks_at.y + dy / far * kSpot},
           {place.centre.x - dx / far * place.radius, place.centre.y - dy / far * place.radius},
           "stroke=\"#1d3557\" stroke-width=\"0.2\"");
  svg.circle(place.centre, place.radius, "fill=\"#fff\" stroke=\"#1d3557\" stroke-width=\"0.3\"");
  std::vector<Polygon> tint;
  for (Polygon& run : shadow(drawn.front(), view)) {
    for (Point2& p : run) p = paper.at(p);
    tint.push_back(std::move(run));
  }
  svg.filled(tint, "fill=\"#f6e3b4\"");
  std::vector<SeenLine> thin, heavy;
  for (const SeenLine& l : seen_lines(drawn, view, std::max(0.06, 2.5 * scene.deflection())))
    (l.drawn == 0 ? heavy : thin).push_back(l);
  svg.runs(on_paper(thin), "stroke=\"#777\" stroke-width=\"0.18\"");
  svg.runs(on_paper(heavy), "stroke=\"#000\" stroke-width=\"0.35\"");
  const Vec3 seat = scene.body(newcomer.part).box.middle();
  svg.arrow(paper.at(seat + region.shift * 0.62), paper.at(seat), "#a4161a", 0.4);
}

}  // namespace handlot::shapes
