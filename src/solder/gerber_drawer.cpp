#include "solder/gerber_drawer.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"

namespace handlot::solder::gerber {

void Drawer::fault(const char* code, std::string text, std::string mend, int at_line) {
  if (faults.size() < kFaultsTold)
    faults.push_back(error(code, {file_, at_line > 0 ? at_line : line, 0}, std::move(text), std::move(mend)));
}
void Drawer::warn(const char* code, std::string text, std::string mend) {
  for (const Diagnostic& d : drawing.warnings)
    if (d.code == code && d.text == text) return;
  drawing.warnings.push_back(warning(code, {file_, line, 0}, std::move(text), std::move(mend)));
}

void Drawer::set_transform() {
  state.transform =
      turned(state.turn).after(scaled(state.scale).after(mirrored(state.mirror_x, state.mirror_y)));
}

bool Drawer::count_one() {
  if (++count_ <= limits_.objects) return true;
  if (!too_many_)
    fault("gerber-too-many", fmt::format("the layer has more than {} objects", limits_.objects),
          "check that this is a paste layer");
  too_many_ = true;
  return false;
}

/// Puts a moved copy down; `keep` = the polarity as it is, else turned about for a clear block.
bool Drawer::place(const Object& o, const Transform& transform, bool keep) {
  if (!count_one()) return false;
  Object copy = o;
  if (!keep) copy.patch.dark = !o.patch.dark;
  for (Ring& ring : copy.patch.rings) {
    for (Point& p : ring) p = transform(p);
    if (transform.xx * transform.yy - transform.xy * transform.yx < 0) std::reverse(ring.begin(), ring.end());
  }
  copy.scale *= transform.scale();
  targets_.back().objects.push_back(std::move(copy));
  return true;
}

Object Drawer::object(std::vector<Ring> rings) const {
  Object o;
  o.patch = {std::move(rings), state.dark};
  o.line = line;
  o.aperture = state.region ? 0 : state.aperture;
  if (const auto found = drawing.apertures.find(o.aperture); found != drawing.apertures.end()) o.definition = found->second;
  o.component = state.component;
  o.pin = state.pin;
  return o;
}

const Aperture* Drawer::current() {
  const auto found = drawing.apertures.find(state.aperture);
  if (found != drawing.apertures.end()) return &drawing.definitions[found->second];
  if (told_apertures_.insert(state.aperture).second) {
    fault("gerber-unknown-aperture",
          state.aperture == 0 ? "something is drawn before an aperture is chosen"
                              : fmt::format("aperture D{} is used and never defined", state.aperture),
          "export the layer again");
  }
  return nullptr;
}

void Drawer::flash(Point p) {
  const Aperture* a = current();
  if (!a) return;
  const Transform transform = shifted(p.x, p.y).after(state.transform);
  if (a->is_block) {
    const std::vector<Object> parts = a->block;
    for (const Object& o : parts)
      if (!place(o, transform, state.dark)) return;
    return;
  }
  Object o = object(a->rings);
  o.flash = true;
  o.plain_flash = a->shape != Shape::other && a->hole == 0;
  place(o, transform, true);
}

void Drawer::draw(Point to, Point offset) {
  std::vector<Point> path{state.at};
  const bool no_length = state.single_quadrant && state.at == to;  // a full circle wants G75
  if (state.mode == 1 || no_length)
    path.push_back(to);
  else if (!arc(to, offset, path))
    return;
  if (state.region) {
    contour_.insert(contour_.end(), path.begin() + 1, path.end());
    return;
  }
  const Aperture* a = current();
  if (!a) return;
  std::vector<Ring> rings;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    if (a->shape == Shape::circle && a->hole == 0) {
      rings.push_back(track(path[i], path[i + 1], a->x * state.scale, error_));
    } else if (a->shape == Shape::rectangle && a->hole == 0) {
      rings.push_back(rectangle_track(path[i], path[i + 1], a->x * state.scale, a->y * state.scale));
    } else {
      return fault("gerber-bad-aperture",
                   fmt::format("a line is drawn with aperture D{}, which is neither a circle nor a rectangle",
                               state.aperture),
                   "export the layer with flashed pads");
    }
  }
  Object o = object(std::move(rings));
  if (count_one()) targets_.back().objects.push_back(std::move(o));
}

bool Drawer::arc(Point to, Point offset, std::vector<Point>& path) {
  const Point from = state.at;
  const bool clockwise = state.mode == 2;
  std::vector<Point> centres;
  if (state.single_quadrant) {
    for (const double sx : {1.0, -1.0})
      for (const double sy : {1.0, -1.0})
        centres.push_back({from.x + sx * std::abs(offset.x), from.y + sy * std::abs(offset.y)});
  } else {
    centres.push_back({from.x + offset.x, from.y + offset.y});
  }
  double best = 1e300;
  Point centre;
  for (const Point& c : centres) {
    const double r0 = std::hypot(from.x - c.x, from.y - c.y), r1 = std::hypot(to.x - c.x, to.y - c.y);
    double miss = std::abs(r0 - r1);
    if (state.single_quadrant) {
      const double cross = (from.x - c.x) * (to.y - c.y) - (from.y - c.y) * (to.x - c.x);
      const double dot = (from.x - c.x) * (to.x - c.x) + (from.y - c.y) * (to.y - c.y);
      if ((clockwise ? cross > 1e-9 : cross < -1e-9) || dot < -1e-6) miss += 1e3;  // more than a quarter turn
    }
    if (miss < best) best = miss, centre = c;
  }
  const double r = std::hypot(from.x - centre.x, from.y - centre.y);
  if (r == 0 || best > std::max(0.02, 0.01 * r)) {
    fault("gerber-bad-arc", fmt::format("an arc's ends lie {} mm apart in radius", number(best, 4)),
          "export the layer again, with more digits");
    return false;
  }
  const auto points = arc_points(from, to, centre, clockwise, !state.single_quadrant && from == to, error_);
  path.insert(path.end(), points.begin(), points.end());
  return true;
}

void Drawer::close_contour() {
  if (contour_.size() > 1) {
    const Point& a = contour_.front();
    const Point& b = contour_.back();
    if (std::hypot(a.x - b.x, a.y - b.y) > 1e-3)
      fault("gerber-open-region", "a region's outline does not come back to its start",
            "export the layer again");
    Ring ring(contour_.begin(), contour_.end() - 1);
    if (ring.size() >= 3) {
      if (signed_area(ring) < 0) std::reverse(ring.begin(), ring.end());
      Object o = object({std::move(ring)});
      if (count_one()) targets_.back().objects.push_back(std::move(o));
    }
  }
  contour_.clear();
}

void Drawer::begin_contour() {
  if (contour_.empty()) contour_.push_back(state.at);
}

void Drawer::begin_block(int code) {
  if (targets_.size() > static_cast<std::size_t>(limits_.depth)) {
    return fault("gerber-too-many", fmt::format("blocks lie more than {} deep in each other", limits_.depth),
                 "export the layer without nested blocks");
  }
  targets_.push_back({});
  targets_.back().block = code;
}

void Drawer::end_block() {
  if (targets_.size() < 2 || targets_.back().block == 0) {
    return fault("gerber-unclosed", "a block is ended that was not begun", "export the layer again");
  }
  Aperture a;
  a.is_block = true;
  a.line = line;
  a.block = std::move(targets_.back().objects);
  const int code = targets_.back().block;
  targets_.pop_back();
  drawing.define(code, std::move(a));
}

void Drawer::begin_repeat(double nx, double ny, double dx, double dy) {
  if (!(nx >= 1 && ny >= 1 && nx * ny <= limits_.objects)) {
    return fault("gerber-too-many", fmt::format("a step-and-repeat of {} by {}", number(nx), number(ny)),
                 "export the layer without it");
  }
  Target t;
  t.repeat = true;
  t.nx = static_cast<int>(nx), t.ny = static_cast<int>(ny);
  t.dx = dx, t.dy = dy;
  targets_.push_back(std::move(t));
}

void Drawer::end_repeat() {
  if (!targets_.back().repeat) return;
  const Target done = std::move(targets_.back());
  targets_.pop_back();
  for (int i = 0; i < done.nx; ++i) {
    for (int j = 0; j < done.ny; ++j) {
      for (const Object& o : done.objects) {
        if (!place(o, shifted(i * done.dx, j * done.dy), true)) return;
      }
    }
  }
}

}  // namespace handlot::solder::gerber
