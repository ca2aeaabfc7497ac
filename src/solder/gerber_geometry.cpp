#include "solder/gerber_geometry.h"

#include <polyclipping/clipper.hpp>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace handlot::solder {

double signed_area(const Ring& ring) {
  double sum = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point& a = ring[i];
    const Point& b = ring[(i + 1) % ring.size()];
    sum += a.x * b.y - b.x * a.y;
  }
  return sum / 2;
}

double length(const Ring& ring) {
  double sum = 0;
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Point& a = ring[i];
    const Point& b = ring[(i + 1) % ring.size()];
    sum += std::hypot(b.x - a.x, b.y - a.y);
  }
  return sum;
}

bool holds(const Ring& ring, Point p) {
  bool inside = false;
  for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    const Point& a = ring[i];
    const Point& b = ring[j];
    if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x) inside = !inside;
  }
  return inside;
}

namespace gerber {

namespace {

constexpr double kTau = 2 * std::numbers::pi;
constexpr double kUnit = 1e-6;  // mm: one step of the integer grid that polygons are united on

/// Corners for a whole turn so that chords stay within `error`: sagitta r (1 - cos(pi / n)).
int corners_for(double radius, double error) {
  if (radius <= error) return 8;
  const double half = std::acos(1 - error / radius);
  return std::clamp(static_cast<int>(std::ceil(std::numbers::pi / half)), 12, 4000);
}

/// Radius of the polygon whose area is that of the circle: errors of area cancel.
double even_radius(double radius, int corners) {
  const double step = kTau / corners;
  return radius * std::sqrt(step / std::sin(step));
}

ClipperLib::Path to_path(const Ring& ring) {
  ClipperLib::Path path;
  path.reserve(ring.size());
  for (const Point& p : ring) {
    path.emplace_back(static_cast<ClipperLib::cInt>(std::llround(p.x / kUnit)),
                      static_cast<ClipperLib::cInt>(std::llround(p.y / kUnit)));
  }
  return path;
}

Ring to_ring(const ClipperLib::Path& path) {
  Ring ring;
  ring.reserve(path.size());
  for (const auto& p : path)
    ring.push_back({static_cast<double>(p.X) * kUnit, static_cast<double>(p.Y) * kUnit});
  return ring;
}

ClipperLib::Paths to_paths(const Patch& patch) {
  ClipperLib::Paths paths;
  for (const Ring& ring : patch.rings) paths.push_back(to_path(ring));
  return paths;
}

/// Puts runs of one polarity down together: one union a run.
void put_down(const std::vector<Patch>& patches, ClipperLib::PolyTree& tree) {
  ClipperLib::Paths dark;
  for (std::size_t i = 0; i < patches.size();) {
    std::size_t end = i;
    ClipperLib::Paths run;
    while (end < patches.size() && patches[end].dark == patches[i].dark) {
      // Each patch by itself first: rings of one object must not cancel those of another.
      ClipperLib::Paths own = to_paths(patches[end]);
      if (own.size() > 1)
        ClipperLib::SimplifyPolygons(own, ClipperLib::pftNonZero);
      else if (!own.empty() && !ClipperLib::Orientation(own[0]))
        ClipperLib::ReversePath(own[0]);
      run.insert(run.end(), own.begin(), own.end());
      ++end;
    }
    ClipperLib::Clipper clipper;
    clipper.AddPaths(dark, ClipperLib::ptSubject, true);
    clipper.AddPaths(run, patches[i].dark ? ClipperLib::ptSubject : ClipperLib::ptClip, true);
    const auto type = patches[i].dark ? ClipperLib::ctUnion : ClipperLib::ctDifference;
    if (end == patches.size()) {
      clipper.Execute(type, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
      return;
    }
    ClipperLib::Paths out;
    clipper.Execute(type, out, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    dark = std::move(out);
    i = end;
  }
}

}  // namespace

Transform Transform::after(const Transform& f) const {
  return {xx * f.xx + xy * f.yx, xx * f.xy + xy * f.yy,      yx * f.xx + yy * f.yx,
          yx * f.xy + yy * f.yy, xx * f.dx + xy * f.dy + dx, yx * f.dx + yy * f.dy + dy};
}
double Transform::scale() const {
  return std::sqrt(std::abs(xx * yy - xy * yx));
}
Transform shifted(double dx, double dy) {
  return {1, 0, 0, 1, dx, dy};
}
Transform turned(double degrees) {
  const double a = degrees / 180 * std::numbers::pi;
  // Quarter turns exactly, so that squares stay squares.
  const double quarters = degrees / 90;
  if (quarters == std::round(quarters)) {
    const int q = ((static_cast<int>(std::round(quarters)) % 4) + 4) % 4;
    const double c = q == 0 ? 1 : q == 2 ? -1 : 0, s = q == 1 ? 1 : q == 3 ? -1 : 0;
    return {c, -s, s, c, 0, 0};
  }
  return {std::cos(a), -std::sin(a), std::sin(a), std::cos(a), 0, 0};
}
Transform scaled(double factor) {
  return {factor, 0, 0, factor, 0, 0};
}
Transform mirrored(bool x, bool y) {
  return {x ? -1.0 : 1.0, 0, 0, y ? -1.0 : 1.0, 0, 0};
}

Ring circle(Point centre, double diameter, double error) {
  const int n = corners_for(diameter / 2, error);
  const double r = even_radius(diameter / 2, n);
  Ring ring;
  for (int i = 0; i < n; ++i)
    ring.push_back({centre.x + r * std::cos(kTau * i / n), centre.y + r * std::sin(kTau * i / n)});
  return ring;
}

Ring rectangle(Point c, double w, double h) {
  return {{c.x - w / 2, c.y - h / 2},
          {c.x + w / 2, c.y - h / 2},
          {c.x + w / 2, c.y + h / 2},
          {c.x - w / 2, c.y + h / 2}};
}

Ring obround(Point c, double w, double h, double error) {
  const double d = std::min(w, h), half = (std::max(w, h) - d) / 2;
  return w >= h ? track({c.x - half, c.y}, {c.x + half, c.y}, d, error)
                : track({c.x, c.y - half}, {c.x, c.y + half}, d, error);
}

Ring regular_polygon(Point centre, double diameter, int corners, double degrees) {
  Ring ring;
  for (int i = 0; i < corners; ++i) {
    const double a = degrees / 180 * std::numbers::pi + kTau * i / corners;
    ring.push_back({centre.x + diameter / 2 * std::cos(a), centre.y + diameter / 2 * std::sin(a)});
  }
  return ring;
}

Ring track(Point a, Point b, double diameter, double error) {
  if (a == b) return circle(a, diameter, error);
  const int n = 2 * ((corners_for(diameter / 2, error) + 1) / 2);
  const double r = even_radius(diameter / 2, n);
  const double start = std::atan2(b.y - a.y, b.x - a.x) - std::numbers::pi / 2;
  Ring ring;
  for (int end = 0; end < 2; ++end) {
    const Point& c = end == 0 ? b : a;
    for (int i = 0; i <= n / 2; ++i) {
      const double angle = start + end * std::numbers::pi + kTau * i / n;
      // The straight flanks lie at the true radius.
      const double reach = i == 0 || i == n / 2 ? diameter / 2 : r;
      ring.push_back({c.x + reach * std::cos(angle), c.y + reach * std::sin(angle)});
    }
  }
  return ring;
}

Ring rectangle_track(Point a, Point b, double w, double h) {
  std::vector<Point> all;
  for (const Point& c : {a, b}) {
    for (const Point& p : rectangle(c, w, h)) all.push_back(p);
  }
  std::sort(all.begin(), all.end());
  Ring hull;  // monotone chain
  for (int pass = 0; pass < 2; ++pass) {
    const std::size_t base = hull.size();
    for (const Point& p : all) {
      while (hull.size() >= base + 2) {
        const Point& u = hull[hull.size() - 2];
        const Point& v = hull.back();
        if ((v.x - u.x) * (p.y - u.y) - (v.y - u.y) * (p.x - u.x) > 0) break;
        hull.pop_back();
      }
      hull.push_back(p);
    }
    hull.pop_back();
    std::reverse(all.begin(), all.end());
  }
  return hull;
}

std::vector<Point> arc_points(Point a, Point b, Point centre, bool clockwise, bool full, double error) {
  const double r =
      (std::hypot(a.x - centre.x, a.y - centre.y) + std::hypot(b.x - centre.x, b.y - centre.y)) / 2;
  const double from = std::atan2(a.y - centre.y, a.x - centre.x);
  double sweep = std::atan2(b.y - centre.y, b.x - centre.x) - from;
  if (clockwise)
    while (sweep >= -1e-12) sweep -= kTau;
  else
    while (sweep <= 1e-12) sweep += kTau;
  if (full) sweep = clockwise ? -kTau : kTau;
  const int n = std::max(2, static_cast<int>(std::ceil(corners_for(r, error) * std::abs(sweep) / kTau)));
  std::vector<Point> points;
  const double reach =
      even_radius(r, std::max(12, static_cast<int>(std::lround(n * kTau / std::abs(sweep)))));
  for (int i = 1; i < n; ++i) {
    const double angle = from + sweep * i / n;
    points.push_back({centre.x + reach * std::cos(angle), centre.y + reach * std::sin(angle)});
  }
  points.push_back(b);
  return points;
}

std::vector<Island> islands(const std::vector<Patch>& patches) {
  std::vector<Island> all;
  if (patches.empty()) return all;
  ClipperLib::PolyTree tree;
  put_down(patches, tree);
  for (ClipperLib::PolyNode* node = tree.GetFirst(); node; node = node->GetNext()) {
    if (node->IsHole()) continue;
    Island island;
    island.outline = to_ring(node->Contour);
    if (signed_area(island.outline) < 0) std::reverse(island.outline.begin(), island.outline.end());
    for (const ClipperLib::PolyNode* hole : node->Childs) {
      island.holes.push_back(to_ring(hole->Contour));
      if (signed_area(island.holes.back()) > 0)
        std::reverse(island.holes.back().begin(), island.holes.back().end());
    }
    all.push_back(std::move(island));
  }
  return all;
}

std::vector<Ring> united(const std::vector<Patch>& patches) {
  std::vector<Ring> rings;
  for (Island& island : islands(patches)) {
    rings.push_back(std::move(island.outline));
    for (Ring& hole : island.holes) rings.push_back(std::move(hole));
  }
  return rings;
}

double widest_circle(const Island& island, double accuracy) {
  ClipperLib::Paths paths{to_path(island.outline)};
  double reach = 0;
  for (const Ring& hole : island.holes) paths.push_back(to_path(hole));
  double low_x = 1e300, high_x = -1e300, low_y = 1e300, high_y = -1e300;
  for (const Point& p : island.outline) {
    low_x = std::min(low_x, p.x), high_x = std::max(high_x, p.x);
    low_y = std::min(low_y, p.y), high_y = std::max(high_y, p.y);
  }
  reach = std::min(high_x - low_x, high_y - low_y) / 2;
  // Shrunk by the radius of the largest circle, the island just vanishes.
  double low = 0, high = reach + accuracy;
  while (high - low > accuracy / 2) {
    const double middle = (low + high) / 2;
    ClipperLib::ClipperOffset offset(2.0, accuracy / 8 / kUnit);
    offset.AddPaths(paths, ClipperLib::jtRound, ClipperLib::etClosedPolygon);
    ClipperLib::Paths rest;
    offset.Execute(rest, -middle / kUnit);
    (rest.empty() ? high : low) = middle;
  }
  return low + high;
}

}  // namespace gerber
}  // namespace handlot::solder
