// Openings of a layer: connected dark patches, with exact figures where one plain flash makes one.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>

#include "solder/gerber.h"
#include "solder/gerber_reader.h"

namespace handlot::solder {

std::string_view word(Shape shape) {
  switch (shape) {
    case Shape::circle:
      return "circle";
    case Shape::rectangle:
      return "rectangle";
    case Shape::obround:
      return "obround";
    case Shape::polygon:
      return "polygon";
    case Shape::other:
      return "other";
  }
  return "";
}

namespace {

using gerber::Aperture;
using gerber::Object;

struct Box {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  void see(Point p) {
    low.x = std::min(low.x, p.x), low.y = std::min(low.y, p.y);
    high.x = std::max(high.x, p.x), high.y = std::max(high.y, p.y);
  }
  bool meets(const Box& o) const {
    return low.x <= o.high.x && o.low.x <= high.x && low.y <= o.high.y && o.low.y <= high.y;
  }
};

Box box_of(const std::vector<Ring>& rings) {
  Box box;
  for (const Ring& ring : rings)
    for (const Point& p : ring) box.see(p);
  return box;
}

/// Objects by their boxes, for "which objects touch this island".
class Index {
 public:
  explicit Index(const std::vector<Object>& objects) {
    for (std::size_t i = 0; i < objects.size(); ++i) {
      entries_.push_back({box_of(objects[i].patch.rings), i});
      widest_ = std::max(widest_, entries_.back().box.high.x - entries_.back().box.low.x);
    }
    std::sort(entries_.begin(), entries_.end(),
              [](const Entry& a, const Entry& b) { return a.box.low.x < b.box.low.x; });
  }

  std::vector<std::size_t> meeting(const Box& box) const {
    std::vector<std::size_t> found;
    const auto from = std::lower_bound(entries_.begin(), entries_.end(), box.low.x - widest_,
                                       [](const Entry& e, double x) { return e.box.low.x < x; });
    for (auto e = from; e != entries_.end() && e->box.low.x <= box.high.x; ++e) {
      if (e->box.meets(box)) found.push_back(e->object);
    }
    std::sort(found.begin(), found.end());
    return found;
  }

 private:
  struct Entry {
    Box box;
    std::size_t object;
  };
  std::vector<Entry> entries_;
  double widest_ = 0;
};

Point centroid(const gerber::Island& island) {
  double area = 0, x = 0, y = 0;
  const auto add = [&](const Ring& ring) {
    for (std::size_t i = 0; i < ring.size(); ++i) {
      const Point& a = ring[i];
      const Point& b = ring[(i + 1) % ring.size()];
      const double cross = a.x * b.y - b.x * a.y;
      area += cross, x += (a.x + b.x) * cross, y += (a.y + b.y) * cross;
    }
  };
  add(island.outline);
  for (const Ring& hole : island.holes) add(hole);
  return {x / (3 * area), y / (3 * area)};
}

/// Corners without those that lie on a straight line.
Ring corners_of(const Ring& ring) {
  Ring out;
  const std::size_t n = ring.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Point& a = ring[(i + n - 1) % n];
    const Point& b = ring[i];
    const Point& c = ring[(i + 1) % n];
    const double cross = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
    if (std::abs(cross) >
        1e-6 * std::hypot(b.x - a.x, b.y - a.y) * std::max(1e-3, std::hypot(c.x - b.x, c.y - b.y)))
      out.push_back(b);
  }
  return out;
}

/// Length and width of the smallest box at any angle that has a side along an edge.
std::pair<double, double> own_box(const Ring& ring) {
  double best = 1e300;
  std::pair<double, double> sides{0, 0};
  const std::size_t step =
      std::max<std::size_t>(1, ring.size() / 180);  // a round outline needs no more directions
  for (std::size_t i = 0; i < ring.size(); i += step) {
    const Point& a = ring[i];
    const Point& b = ring[(i + 1) % ring.size()];
    const double l = std::hypot(b.x - a.x, b.y - a.y);
    if (l == 0) continue;
    const double ux = (b.x - a.x) / l, uy = (b.y - a.y) / l;
    double u0 = 1e300, u1 = -1e300, v0 = 1e300, v1 = -1e300;
    for (const Point& p : ring) {
      const double u = p.x * ux + p.y * uy, v = -p.x * uy + p.y * ux;
      u0 = std::min(u0, u), u1 = std::max(u1, u), v0 = std::min(v0, v), v1 = std::max(v1, v);
    }
    if ((u1 - u0) * (v1 - v0) < best)
      best = (u1 - u0) * (v1 - v0), sides = {std::max(u1 - u0, v1 - v0), std::min(u1 - u0, v1 - v0)};
  }
  return sides;
}

/// Exact figures of one plain flash.
void fill_plain(Opening& o, const Aperture& a, double scale) {
  constexpr double kPi = std::numbers::pi;
  const double x = a.x * scale, y = a.y * scale, l = std::max(x, y), w = std::min(x, y);
  o.shape = a.shape;
  switch (a.shape) {
    case Shape::circle:
      o.area = SquareMillimetres(kPi * x * x / 4), o.perimeter = Millimetres(kPi * x);
      break;
    case Shape::rectangle:
      o.area = SquareMillimetres(x * y), o.perimeter = Millimetres(2 * (x + y));
      break;
    case Shape::obround:
      o.area = SquareMillimetres((l - w) * w + kPi * w * w / 4),
      o.perimeter = Millimetres(2 * (l - w) + kPi * w);
      break;
    default: {
      const double n = a.corners, half = kPi / n;
      o.area = SquareMillimetres(n * x * x / 4 * std::sin(half) * std::cos(half)),
      o.perimeter = Millimetres(n * x * std::sin(half));
      o.width = o.length = Millimetres(x * std::cos(half));
      return;
    }
  }
  o.length = Millimetres(l), o.width = Millimetres(w);
}

/// `known_width`: of an equal shape seen before; the search for it is the dearest part.
void fill_measured(Opening& o, const gerber::Island& island, double accuracy,
                   std::optional<Millimetres> known_width) {
  double area = signed_area(island.outline), around = length(island.outline);
  for (const Ring& hole : island.holes) area += signed_area(hole), around += length(hole);
  o.area = SquareMillimetres(area), o.perimeter = Millimetres(around);
  const Ring corners = corners_of(island.outline);
  const auto [l, w] = own_box(corners.size() >= 3 ? corners : island.outline);
  o.length = Millimetres(l);
  const bool whole = island.holes.empty();
  if (whole && corners.size() == 4 && std::abs(l * w - area) < 1e-6 + 1e-4 * area) {
    o.shape = Shape::rectangle, o.width = Millimetres(w);
    return;
  }
  constexpr double kPi = std::numbers::pi;
  const double round = (l - w) * w + kPi * w * w / 4;
  if (whole && corners.size() > 10 && std::abs(area - round) < 0.005 * round &&
      std::abs(around - 2 * (l - w) - kPi * w) < 0.005 * around) {
    o.shape = l - w < 0.005 * l ? Shape::circle : Shape::obround, o.width = Millimetres(w);
    return;
  }
  o.shape = corners.size() <= 12 && whole ? Shape::polygon : Shape::other;
  o.width = known_width ? *known_width : Millimetres(gerber::widest_circle(island, accuracy));
}

using Widths = std::map<std::pair<std::size_t, double>, Millimetres>;

Opening make_opening(gerber::Island island, const gerber::Drawing& drawing, const Index& index,
                     double accuracy, Widths& widths) {
  Opening o;
  const Box box = box_of({island.outline});
  o.low = box.low, o.high = box.high;
  o.centre = centroid(island);
  const std::vector<std::size_t> makers = index.meeting(box);
  if (!makers.empty()) {
    const Object& first = drawing.objects[makers.front()];
    o.line = first.line;
    for (const std::size_t m : makers) {
      const Object& object = drawing.objects[m];
      if (!object.patch.dark || object.component.empty() || !o.component.empty()) continue;
      o.component = object.component, o.pin = object.pin;
    }
    if (makers.size() == 1 && first.aperture > 0) o.aperture = "D" + std::to_string(first.aperture);
    const Aperture* aperture = first.definition ? &drawing.definitions[*first.definition] : nullptr;
    if (aperture != nullptr) o.function = aperture->function;
    if (makers.size() == 1 && first.plain_flash && aperture != nullptr) {
      fill_plain(o, *aperture, first.scale);
    } else {
      const bool lone = makers.size() == 1 && first.flash && aperture != nullptr && !aperture->rings.empty();
      const auto key = std::pair{first.definition.value_or(0), first.scale};
      const auto seen = lone ? widths.find(key) : widths.end();
      fill_measured(o, island, accuracy, seen != widths.end() ? std::optional(seen->second) : std::nullopt);
      if (lone) widths[key] = o.width;
    }
  }
  o.outline = std::move(island.outline);
  o.holes = std::move(island.holes);
  return o;
}

std::vector<gerber::Island> islands_of(const std::vector<Object>& objects) {
  std::vector<gerber::Patch> patches;
  patches.reserve(objects.size());
  for (const Object& o : objects) patches.push_back(o.patch);
  return gerber::islands(patches);
}

void sort_by_place(std::vector<Opening>& openings) {
  std::sort(openings.begin(), openings.end(), [](const Opening& a, const Opening& b) {
    return a.centre.y != b.centre.y ? a.centre.y < b.centre.y : a.centre.x < b.centre.x;
  });
}

Layer layer_of(const gerber::Drawing& drawing, std::string_view file) {
  Layer layer;
  layer.file = std::string(file);
  layer.function = drawing.function;
  layer.objects = static_cast<int>(drawing.objects.size());
  layer.warnings = drawing.warnings;
  const Index index(drawing.objects);
  Widths widths;
  for (gerber::Island& island : islands_of(drawing.objects)) {
    if (signed_area(island.outline) < 1e-8) continue;  // a sliver of rounding
    layer.openings.push_back(make_opening(std::move(island), drawing, index, layer.chord_error.value, widths));
  }
  sort_by_place(layer.openings);
  return layer;
}

/// A flash, unless the file says that it is a track's end or text; or what is drawn for a pin, as a pad of a shape of its own is.
bool is_pad(const Object& o, const gerber::Drawing& drawing) {
  const std::string function = o.definition ? drawing.definitions[*o.definition].function : std::string();
  if (!o.patch.dark || function == "Conductor" || function == "NonConductor") return false;
  return o.flash || !o.pin.empty();
}

bool holds_centre(const Opening& island, const Opening& pad) {
  return island.low.x <= pad.centre.x && pad.centre.x <= island.high.x && island.low.y <= pad.centre.y && pad.centre.y <= island.high.y &&
         holds(island.outline, pad.centre);
}

/// Whether it says that it is copper; where it says nothing, whether an island joins pads that lie apart.
bool is_copper(const Layer& whole, const Layer& pads) {
  if (!whole.function.empty()) return whole.function.starts_with("Copper");
  if (static_cast<std::size_t>(pads.objects) == static_cast<std::size_t>(whole.objects)) return false;
  return std::any_of(whole.openings.begin(), whole.openings.end(), [&](const Opening& island) {
    return std::count_if(pads.openings.begin(), pads.openings.end(), [&](const Opening& pad) { return holds_centre(island, pad); }) > 1;
  });
}

/// Copper without a pad may be one drawn in a way of its own, or no pad at all.
void add_bare_copper(const Layer& whole, Layer& pads) {
  const std::size_t known = pads.openings.size();
  for (const Opening& island : whole.openings) {
    const auto of_it = [&](const Opening& pad) { return island.low.x <= pad.centre.x && pad.centre.x <= island.high.x && island.low.y <= pad.centre.y && pad.centre.y <= island.high.y; };
    if (std::any_of(pads.openings.begin(), pads.openings.begin() + static_cast<std::ptrdiff_t>(known), of_it)) continue;
    pads.openings.push_back(island);
    pads.openings.back().function = "Conductor";
  }
  sort_by_place(pads.openings);
}

}  // namespace

Result<Layer> read_gerber(std::string_view text, std::string_view file, const GerberLimits& limits) {
  const auto drawing = gerber::read_drawing(text, std::string(file), limits, Layer().chord_error.value);
  if (!drawing) return fail(drawing.error());
  return layer_of(*drawing, file);
}

Result<Layer> read_pads(std::string_view text, std::string_view file, const GerberLimits& limits) {
  auto drawing = gerber::read_drawing(text, std::string(file), limits, Layer().chord_error.value);
  if (!drawing) return fail(std::move(drawing.error()));
  Layer whole = layer_of(*drawing, file);
  std::erase_if(drawing->objects, [&](const Object& o) { return !is_pad(o, *drawing); });
  Layer pads = layer_of(*drawing, file);
  if (!is_copper(whole, pads)) return whole;
  add_bare_copper(whole, pads);
  return pads;
}

}  // namespace handlot::solder
