#include "solder/places_on_paste.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>

#include "core/text.h"

namespace handlot::solder {

namespace {

constexpr std::size_t kFewest = 4;     // parts: of fewer, more than one way may fit
constexpr double kMostFit = 0.75;      // of the parts: the list is right, whatever the others are
constexpr double kExplained = 0.9;     // of the parts that another way must fit
constexpr int kBetterBy = 2;           // parts that it must fit more

/// A way to read the list: what its x and y were to be.
struct Way {
  double xx, xy, yx, yy;
  PlacesFault::Kind kind;
  std::string_view cause;  ///< empty: honest
  bool shrinks;
  Point operator()(Point p) const { return {xx * p.x + xy * p.y, yx * p.x + yy * p.y}; }
};

constexpr auto kMirrored = PlacesFault::Kind::mirrored, kScaled = PlacesFault::Kind::scaled;
constexpr std::array kWays{Way{1, 0, 0, 1, kMirrored, "", false},
                           Way{0, -1, 1, 0, kMirrored, "", false},
                           Way{-1, 0, 0, -1, kMirrored, "", false},
                           Way{0, 1, -1, 0, kMirrored, "", false},
                           Way{-1, 0, 0, 1, kMirrored, "x counts the other way: the list is mirrored left to right", false},
                           Way{1, 0, 0, -1, kMirrored, "y counts the other way: the list is mirrored top to bottom", false},
                           Way{0, 1, 1, 0, kMirrored, "x and y are swapped", false},
                           Way{0, -1, -1, 0, kMirrored, "x and y are swapped, and both count the other way", false},
                           Way{25.4, 0, 0, 25.4, kScaled, "they are inches that are read as millimetres", false},
                           Way{1 / 25.4, 0, 0, 1 / 25.4, kScaled, "they are millimetres that are read as inches", true},
                           Way{0.0254, 0, 0, 0.0254, kScaled, "they are mils that are read as millimetres", true}};

double middle_of(std::vector<double> values) {
  const auto m = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), m, values.end());
  return *m;
}

Point operator+(Point a, Point b) { return {a.x + b.x, a.y + b.y}; }
Point operator-(Point a, Point b) { return {a.x - b.x, a.y - b.y}; }

Point middle_of(const std::vector<Point>& points) {
  std::vector<double> x, y;
  for (const Point p : points) x.push_back(p.x), y.push_back(p.y);
  return {middle_of(std::move(x)), middle_of(std::move(y))};
}

struct Fit {
  const Way* way = nullptr;
  Point shift;
  std::size_t count = 0;
};

/// The openings that carry one part's name.
struct Own {
  std::vector<const Opening*> openings;
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  Point centre() const { return {(low.x + high.x) / 2, (low.y + high.y) / 2}; }
  bool holds(Point p) const {
    constexpr double kOver = 0.5;  // mm
    return p.x >= low.x - kOver && p.x <= high.x + kOver && p.y >= low.y - kOver && p.y <= high.y + kOver;
  }
  /// Whether half a turn brings them onto themselves: then the part's middle is theirs.
  bool symmetric() const {
    return openings.size() > 1 && std::all_of(openings.begin(), openings.end(), [&](const Opening* a) {
      const Point twin = centre() + centre() - a->centre;
      return std::any_of(openings.begin(), openings.end(), [&](const Opening* b) { return std::hypot(b->centre.x - twin.x, b->centre.y - twin.y) < 0.05 && std::abs(a->area.value - b->area.value) < 0.05 * a->area.value; });
    });
  }
};
using ByName = std::map<std::string, Own>;

ByName by_name(const Layer& paste) {
  ByName all;
  for (const Opening& o : paste.openings) {
    if (o.component.empty()) continue;
    Own& own = all[lower(o.component)];
    own.openings.push_back(&o);
    own.low = {std::min(own.low.x, o.low.x), std::min(own.low.y, o.low.y)};
    own.high = {std::max(own.high.x, o.high.x), std::max(own.high.y, o.high.y)};
  }
  return all;
}

struct Named {
  const Placement* part;
  const Own* own;
};

Fit fit_names(const std::vector<Named>& parts, const Way& way) {
  std::vector<Point> off;
  for (const Named& n : parts) off.push_back(n.own->centre() - way(n.part->centre));
  Fit fit{&way, middle_of(off), 0};
  fit.count = static_cast<std::size_t>(std::count_if(parts.begin(), parts.end(), [&](const Named& n) { return n.own->holds(way(n.part->centre) + fit.shift); }));
  return fit;
}

/// Middles between two openings alike, as between the pads of a chip or the rows of leads, by x.
std::vector<Point> middles(const Layer& paste) {
  constexpr double kApart = 6;  // mm
  std::vector<const Opening*> by_x;
  for (const Opening& o : paste.openings) by_x.push_back(&o);
  std::sort(by_x.begin(), by_x.end(), [](const Opening* a, const Opening* b) { return a->centre < b->centre; });
  std::vector<Point> found;
  for (std::size_t i = 0; i < by_x.size(); ++i) {
    for (std::size_t k = i + 1; k < by_x.size() && by_x[k]->centre.x - by_x[i]->centre.x <= kApart; ++k) {
      const Opening &a = *by_x[i], &b = *by_x[k];
      const bool alike = std::abs(a.area.value - b.area.value) < 0.03 * a.area.value && std::abs((a.length - b.length).value) < 0.03 * a.length.value;
      if (alike && std::abs(a.centre.y - b.centre.y) <= kApart) found.push_back({(a.centre.x + b.centre.x) / 2, (a.centre.y + b.centre.y) / 2});
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

bool near_one(const std::vector<Point>& sorted, Point p) {
  constexpr double kNear = 0.3;  // mm
  for (auto at = std::lower_bound(sorted.begin(), sorted.end(), Point{p.x - kNear, -1e300}); at != sorted.end() && at->x <= p.x + kNear; ++at) {
    if (std::hypot(at->x - p.x, at->y - p.y) <= kNear) return true;
  }
  return false;
}

/// The shift that most parts agree on, by counting in cells; or none at all, where that does as well.
Fit fit_middles(const std::vector<Placement>& parts, const std::vector<Point>& spots, const Way& way) {
  constexpr double kCell = 0.5;  // mm
  constexpr std::size_t kPairs = 60'000;
  const std::size_t stride = std::max<std::size_t>(1, parts.size() * spots.size() / kPairs);
  std::map<std::pair<long, long>, std::vector<Point>> cells;
  for (std::size_t i = 0; i < parts.size(); i += stride) {
    for (const Point spot : spots) {
      const Point off = spot - way(parts[i].centre);
      cells[{std::lround(off.x / kCell), std::lround(off.y / kCell)}].push_back(off);
    }
  }
  Fit best{&way, {}, 0};
  const auto look = [&](Point shift) {
    const auto count = static_cast<std::size_t>(std::count_if(parts.begin(), parts.end(), [&](const Placement& p) { return near_one(spots, way(p.centre) + shift); }));
    if (count > best.count) best.shift = shift, best.count = count;
  };
  look({});
  std::vector<const std::vector<Point>*> fullest;
  for (const auto& [cell, offs] : cells) fullest.push_back(&offs);
  constexpr std::size_t kLooked = 12;
  const auto end = fullest.begin() + static_cast<std::ptrdiff_t>(std::min(kLooked, fullest.size()));
  std::partial_sort(fullest.begin(), end, fullest.end(), [](const auto* a, const auto* b) { return a->size() != b->size() ? a->size() > b->size() : a->front() < b->front(); });
  for (auto at = fullest.begin(); at != end; ++at) look(middle_of(**at));
  return best;
}

struct Best {
  Fit honest, other;
};

Best best_of(const auto& fit_by, bool shrinking_too) {
  Best best;
  for (const Way& way : kWays) {
    if (way.shrinks && !shrinking_too) continue;  // all parts on one spot lie over some middle
    const Fit fit = fit_by(way);
    Fit& kept = way.cause.empty() ? best.honest : best.other;
    if (kept.way == nullptr || fit.count > kept.count) kept = fit;
  }
  return best;
}

bool explains(const Best& best, std::size_t of) { return static_cast<double>(best.other.count) >= kExplained * static_cast<double>(of) && best.other.count >= best.honest.count + kBetterBy; }

PlacesFault explained(const Best& best, std::size_t of, std::string_view where) {
  return {best.other.way->kind, {}, fmt::format("the places of the list fit {} of {} parts {}, and {} where {}", best.honest.count, of, where, best.other.count == of ? "all of them" : fmt::format("{}", best.other.count), best.other.way->cause),
          "look two parts up in the layout, and export the list again with x and y as seen from above, in a unit that it names"};
}

std::vector<PlacesFault> strays_of(const std::vector<Named>& parts, const Fit& fit, const ByName& names) {
  std::vector<std::string> over_others, beside;
  for (const Named& n : parts) {
    const Point p = (*fit.way)(n.part->centre) + fit.shift;
    if (n.own->holds(p)) continue;
    const bool other = std::any_of(names.begin(), names.end(), [&](const auto& entry) { return &entry.second != n.own && entry.second.holds(p); });
    if (other) over_others.push_back(n.part->part);
    else if (n.own->symmetric()) beside.push_back(n.part->part);
  }
  std::vector<PlacesFault> faults;
  const auto say = [&](std::vector<std::string> refs, std::string_view what) {
    if (refs.empty()) return;
    const std::string text = fmt::format("{} of the placement list {} {}, and the other parts fit", listed(refs), refs.size() == 1 ? "lies" : "lie", what);
    faults.push_back({PlacesFault::Kind::strays, std::move(refs), text, "look the line up in the layout, and compare the revisions of list and paste layer"});
  };
  say(std::move(over_others), "over stencil openings of another part");
  say(std::move(beside), "beside the stencil openings of that name");
  return faults;
}

}  // namespace

std::vector<PlacesFault> places_on_paste(const std::vector<Placement>& parts, const Layer& paste) {
  const ByName names = by_name(paste);
  std::vector<Named> named;
  for (const Placement& p : parts) {
    if (const auto own = names.find(lower(p.part)); own != names.end()) named.push_back({&p, &own->second});
  }
  const auto most = [](std::size_t count, std::size_t of) { return static_cast<double>(count) >= kMostFit * static_cast<double>(of); };
  if (named.size() >= kFewest) {
    const Best best = best_of([&](const Way& way) { return fit_names(named, way); }, true);
    if (most(best.honest.count, named.size())) return strays_of(named, best.honest, names);
    if (explains(best, named.size())) return {explained(best, named.size(), "with stencil openings of their name")};
    if (best.honest.count * 2 >= named.size()) return strays_of(named, best.honest, names);
    return {{PlacesFault::Kind::apart, {}, fmt::format("only {} of {} parts of the placement list lie over the stencil openings of their names, wherever its origin is", best.honest.count, named.size()), "compare the revisions of list and paste layer, and the unit and the axes of the list"}};
  }
  const auto spots = middles(paste);
  if (!names.empty() || parts.size() < kFewest || spots.empty()) return {};
  const Best best = best_of([&](const Way& way) { return fit_middles(parts, spots, way); }, false);
  if (most(best.honest.count, parts.size()) || !explains(best, parts.size())) return {};
  return {explained(best, parts.size(), "with the stencil openings")};
}

}  // namespace handlot::solder
