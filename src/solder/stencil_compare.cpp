// A paste layer against the board's pads, and a revision against the one before.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "core/text.h"
#include "solder/stencil.h"

namespace handlot::solder {

std::string_view word(Mismatch::Kind kind) {
  switch (kind) {
    case Mismatch::Kind::shifted:
      return "shifted";
    case Mismatch::Kind::missing:
      return "missing";
    case Mismatch::Kind::extra:
      return "extra";
    case Mismatch::Kind::larger:
      return "larger";
    case Mismatch::Kind::smaller:
      return "smaller";
    case Mismatch::Kind::moved:
      return "moved";
    case Mismatch::Kind::resized:
      return "resized";
    case Mismatch::Kind::added:
      return "added";
    case Mismatch::Kind::removed:
      return "removed";
  }
  return "";
}

namespace {

constexpr std::size_t kMostPairs = 300'000;  // votes for an offset; more pads than that are sampled

struct Spot {
  Point at;
  double area = 0;
};

bool alike(const Spot& a, const Spot& b) {
  return a.area > 0.35 * b.area && a.area < 2.0 * b.area;
}

/// The offset that most pairs of like size agree on, and how many do.
struct Vote {
  Point offset;
  int agree = 0;
};

Vote vote(const std::vector<Spot>& a, const std::vector<Spot>& b) {
  constexpr double kBin = 0.1;  // mm
  const std::size_t stride = std::max<std::size_t>(1, a.size() * b.size() / kMostPairs);
  std::map<std::pair<long, long>, int> bins;
  for (std::size_t i = 0; i < a.size(); i += stride) {
    for (const Spot& other : b) {
      if (!alike(a[i], other)) continue;
      ++bins[{std::lround((a[i].at.x - other.at.x) / kBin), std::lround((a[i].at.y - other.at.y) / kBin)}];
    }
  }
  Vote best;
  double nearest = 1e300;
  for (const auto& [bin, count] : bins) {
    // Neighbouring bins count too: the true offset may lie on an edge between them.
    int sum = 0;
    for (long dx = -1; dx <= 1; ++dx) {
      for (long dy = -1; dy <= 1; ++dy) {
        const auto found = bins.find({bin.first + dx, bin.second + dy});
        if (found != bins.end()) sum += found->second;
      }
    }
    const double far = std::hypot(static_cast<double>(bin.first), static_cast<double>(bin.second));
    if (sum > best.agree || (sum == best.agree && far < nearest)) {
      best = {{static_cast<double>(bin.first) * kBin, static_cast<double>(bin.second) * kBin}, sum};
      nearest = far;
    }
  }
  return best;
}

/// Nearest spots by a coarse grid.
class Grid {
 public:
  explicit Grid(const std::vector<Spot>& spots) : spots_(spots) {
    for (std::size_t i = 0; i < spots.size(); ++i) cells_[cell(spots[i].at)].push_back(i);
  }
  std::optional<std::size_t> nearest(Point p, double reach) const {
    std::optional<std::size_t> best;
    double distance = reach;
    const auto [cx, cy] = cell(p);
    const long r = static_cast<long>(std::ceil(reach / kCell));
    for (long x = cx - r; x <= cx + r; ++x) {
      for (long y = cy - r; y <= cy + r; ++y) {
        const auto found = cells_.find({x, y});
        if (found == cells_.end()) continue;
        for (const std::size_t i : found->second) {
          const double d = std::hypot(spots_[i].at.x - p.x, spots_[i].at.y - p.y);
          if (d < distance || (d == distance && best && i < *best)) distance = d, best = i;
        }
      }
    }
    return best;
  }

 private:
  static constexpr double kCell = 1.0;
  static std::pair<long, long> cell(Point p) {
    return {std::lround(std::floor(p.x / kCell)), std::lround(std::floor(p.y / kCell))};
  }
  const std::vector<Spot>& spots_;
  std::map<std::pair<long, long>, std::vector<std::size_t>> cells_;
};

double middle_of(std::vector<double> values) {
  const auto m = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), m, values.end());
  return *m;
}

/// The offset to a hundredth of what the votes give: middle of the differences of nearest like pairs.
Point refined(const std::vector<Spot>& a, const std::vector<Spot>& b, Point rough) {
  const Grid grid(b);
  std::vector<double> dx, dy;
  for (const Spot& s : a) {
    const auto near = grid.nearest({s.at.x - rough.x, s.at.y - rough.y}, 0.5);
    if (!near || !alike(s, b[*near])) continue;
    dx.push_back(s.at.x - b[*near].at.x);
    dy.push_back(s.at.y - b[*near].at.y);
  }
  if (dx.empty()) return rough;
  return {middle_of(dx), middle_of(dy)};
}

std::vector<Spot> spots_of(const Layer& layer) {
  std::vector<Spot> spots;
  for (const Opening& o : layer.openings) spots.push_back({o.centre, o.area.value});
  return spots;
}

std::vector<Spot> mirrored(std::vector<Spot> spots) {
  for (Spot& s : spots) s.at.x = -s.at.x;
  return spots;
}

bool inside(const Pad& pad, Point p, double margin) {
  const double a = pad.turned.value / 180 * std::numbers::pi;
  const double dx = p.x - pad.centre.x, dy = p.y - pad.centre.y;
  const double u = dx * std::cos(a) + dy * std::sin(a), v = -dx * std::sin(a) + dy * std::cos(a);
  return std::abs(u) <= pad.length.value / 2 + margin && std::abs(v) <= pad.width.value / 2 + margin;
}

std::string place(Point p) {
  return fmt::format("{}, {}", number(p.x, 2), number(p.y, 2));
}

std::string name_of(const Pad& pad) {
  if (pad.part.empty()) return "the pad at " + place(pad.centre);
  return pad.pin.empty() ? pad.part : pad.part + "." + pad.pin;
}

std::string offset_text(Point o) {
  return fmt::format("{} mm in x and {} mm in y", number(o.x, 3), number(o.y, 3));
}

}  // namespace

Comparison compare_with_pads(const Layer& paste, const std::vector<Pad>& pads, const CompareLimits& limits) {
  Comparison out;
  std::vector<Spot> wanted;
  std::vector<std::size_t> index;
  for (std::size_t i = 0; i < pads.size(); ++i) {
    if (!pads[i].pasted) continue;
    wanted.push_back({pads[i].centre, pads[i].length.value * pads[i].width.value});
    index.push_back(i);
  }
  std::vector<Spot> found = spots_of(paste);
  if (wanted.empty() || found.empty()) {
    out.text = wanted.empty() ? "the board has no pads that want paste" : "the paste layer has no openings";
    return out;
  }
  const Vote straight = vote(found, wanted), turned = vote(mirrored(found), wanted);
  out.mirrored = turned.agree > straight.agree && turned.agree > static_cast<int>(wanted.size()) / 2;
  if (out.mirrored) found = mirrored(std::move(found));
  const Point offset = refined(found, wanted, out.mirrored ? turned.offset : straight.offset);
  const bool off = std::hypot(offset.x, offset.y) >= limits.shift.value;
  out.offset = off ? offset : Point{};
  // Each opening goes to the pad that holds its centre, or to the nearest of like size within half a
  // millimetre.
  std::vector<std::vector<std::size_t>> of_pad(pads.size());
  const Grid grid(wanted);
  for (std::size_t k = 0; k < found.size(); ++k) {
    const Point p{found[k].at.x - out.offset.x, found[k].at.y - out.offset.y};
    std::optional<std::size_t> pad;
    double best = 1e300;
    for (std::size_t i = 0; i < pads.size(); ++i) {
      const double d = std::hypot(pads[i].centre.x - p.x, pads[i].centre.y - p.y);
      if (d < best && inside(pads[i], p, 0.02)) best = d, pad = i;
    }
    if (!pad) {
      const auto near = grid.nearest(p, 0.5);
      if (near && alike(found[k], wanted[*near])) pad = index[*near];
    }
    if (pad && pads[*pad].pasted) {
      of_pad[*pad].push_back(k);
      ++out.matched;
      continue;
    }
    out.mismatches.push_back(
        {Mismatch::Kind::extra, k, pad, p, Millimetres(0), 1,
         pad ? fmt::format("an opening over {}, which wants no paste", name_of(pads[*pad]))
             : fmt::format("an opening at {} over no pad", place(p))});
  }
  for (const std::size_t i : index) {
    const Pad& pad = pads[i];
    if (of_pad[i].empty()) {
      if (pad.may_be_bare) continue;
      out.mismatches.push_back({Mismatch::Kind::missing, std::nullopt, i, pad.centre, Millimetres(0), 0,
                                fmt::format("no opening over {}", name_of(pad))});
      continue;
    }
    double area = 0, x = 0, y = 0;
    for (const std::size_t k : of_pad[i])
      area += found[k].area, x += found[k].area * found[k].at.x, y += found[k].area * found[k].at.y;
    const Point centre{x / area - out.offset.x, y / area - out.offset.y};
    const double shift = std::hypot(centre.x - pad.centre.x, centre.y - pad.centre.y);
    const double ratio = area / (pad.length.value * pad.width.value);
    const std::size_t first = of_pad[i].front();
    if (shift > limits.shift.value) {
      out.mismatches.push_back(
          {Mismatch::Kind::shifted, first, i, pad.centre, Millimetres(shift), ratio,
           fmt::format("the paste of {} lies {} mm off its pad", name_of(pad), number(shift, 3))});
    }
    if (ratio < limits.smaller || ratio > limits.larger) {
      const bool small = ratio < limits.smaller;
      out.mismatches.push_back(
          {small ? Mismatch::Kind::smaller : Mismatch::Kind::larger, first, i, pad.centre, Millimetres(0),
           ratio,
           fmt::format("the paste of {} covers {} % of its pad", name_of(pad), number(100 * ratio, 0))});
    }
  }
  if (out.matched * 2 < static_cast<int>(std::min(wanted.size(), found.size()))) {
    out.text =
        fmt::format("only {} of {} fit any pad: the layer seems to be another board's, or its other side's",
                    out.matched, counted(static_cast<long>(found.size()), "opening", "openings"));
  } else if (out.mirrored || off) {
    out.text = out.mirrored ? "the layer fits the board only when mirrored left to right" : "";
    if (off)
      out.text += (out.text.empty() ? "the whole layer lies " : "; and lies ") + offset_text(out.offset) +
                  " from the board's pads";
  }
  return out;
}

std::optional<BarePads> bare_pads(const Comparison& c, const std::vector<Pad>& pads) {
  constexpr int kNamed = 5;
  BarePads bare;
  std::vector<const Pad*> missing;
  for (const Mismatch& m : c.mismatches) {
    if (m.kind == Mismatch::Kind::missing && m.other) missing.push_back(&pads[*m.other]);
  }
  // Round ones may be holes and vias: what is surely a pad is named first.
  std::stable_partition(missing.begin(), missing.end(), [](const Pad* pad) { return !pad->round; });
  std::vector<std::string> names;
  for (const Pad* pad : missing) {
    bare.all_round = bare.all_round && pad->round;
    if (++bare.count <= kNamed) names.push_back(name_of(*pad));
  }
  if (bare.count == 0) return std::nullopt;
  const auto more = bare.count - static_cast<int>(names.size());
  bare.text = bare.count == 1 ? "no opening over " + names.front() : fmt::format("no opening over {} pads: {}", bare.count, listed(names)) + (more > 0 ? fmt::format(" and {} more", more) : "");
  return bare;
}

Comparison compare_revisions(const Layer& now, const Layer& before, const CompareLimits& limits) {
  Comparison out;
  const std::vector<Spot> a = spots_of(now), b = spots_of(before);
  if (a.empty() || b.empty()) {
    out.text = "one of the layers has no openings";
    return out;
  }
  const Point offset = refined(a, b, vote(a, b).offset);
  if (std::hypot(offset.x, offset.y) >= limits.same_size.value) out.offset = offset;
  std::vector<char> taken(b.size(), 0);
  const Grid grid(b);
  const auto add = [&](Mismatch::Kind kind, std::optional<std::size_t> k, std::optional<std::size_t> other,
                       Point at, double distance, double ratio, std::string text) {
    out.mismatches.push_back({kind, k, other, at, Millimetres(distance), ratio, std::move(text)});
  };
  std::vector<std::size_t> alone;
  for (std::size_t k = 0; k < a.size(); ++k) {
    const Point p{a[k].at.x - out.offset.x, a[k].at.y - out.offset.y};
    const auto near = grid.nearest(p, 0.02);
    if (!near || taken[*near]) {
      alone.push_back(k);
      continue;
    }
    taken[*near] = 1;
    ++out.matched;
    const Opening& n = now.openings[k];
    const Opening& o = before.openings[*near];
    const double change =
        std::max(std::abs((n.length - o.length).value), std::abs((n.width - o.width).value));
    if (change > limits.same_size.value) {
      add(Mismatch::Kind::resized, k, *near, p, 0, n.area.value / o.area.value,
          fmt::format("the opening at {} was {} x {} mm and is {} x {} mm", place(p),
                      number(o.length.value, 3), number(o.width.value, 3), number(n.length.value, 3),
                      number(n.width.value, 3)));
    }
  }
  for (const std::size_t k : alone) {
    const Point p{a[k].at.x - out.offset.x, a[k].at.y - out.offset.y};
    std::optional<std::size_t> from;
    double best = 2.0;  // mm: further than that it is another opening
    for (std::size_t i = 0; i < b.size(); ++i) {
      const double d = std::hypot(b[i].at.x - p.x, b[i].at.y - p.y);
      if (!taken[i] && d < best && alike(a[k], b[i])) best = d, from = i;
    }
    if (from) {
      taken[*from] = 1;
      add(Mismatch::Kind::moved, k, *from, p, best, a[k].area / b[*from].area,
          fmt::format("the opening at {} has moved by {} mm to {}", place(b[*from].at), number(best, 3),
                      place(p)));
    } else {
      add(Mismatch::Kind::added, k, std::nullopt, p, 0, 1, fmt::format("the opening at {} is new", place(p)));
    }
  }
  for (std::size_t i = 0; i < b.size(); ++i) {
    if (!taken[i])
      add(Mismatch::Kind::removed, std::nullopt, i, b[i].at, 0, 0,
          fmt::format("the opening at {} is gone", place(b[i].at)));
  }
  if (out.offset != Point{}) out.text = "the whole layer has moved by " + offset_text(out.offset);
  return out;
}

}  // namespace handlot::solder
