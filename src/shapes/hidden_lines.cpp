#include "shapes/hidden_lines.h"

#include <algorithm>
#include <cmath>
#include <unordered_map>

namespace handlot::shapes {

View seen_from(Vec3 towards_eye) {
  const Vec3 z = unit(towards_eye);
  const Vec3 x = unit(cross({0, 0, 1}, z));
  const Vec3 y = cross(z, x);
  return {{{x.x, x.y, x.z, y.x, y.y, y.z, z.x, z.y, z.z}, {}}};
}

std::vector<MeshEdge> edges_of(const Mesh& mesh) {
  std::vector<MeshEdge> edges;
  std::unordered_map<std::uint64_t, std::uint32_t> known;
  known.reserve(mesh.triangles.size() * 2);
  const auto key = [](std::uint32_t a, std::uint32_t b) {
    return (static_cast<std::uint64_t>(std::min(a, b)) << 32) | std::max(a, b);
  };
  for (std::uint32_t t = 0; t < mesh.triangles.size(); ++t)
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint32_t a = mesh.triangles[t][k], b = mesh.triangles[t][(k + 1) % 3];
      const auto [it, fresh] = known.try_emplace(key(a, b), static_cast<std::uint32_t>(edges.size()));
      if (fresh) {
        edges.push_back({a, b, t, t, false});
      } else {
        edges[it->second].right = t;
      }
    }
  for (const auto& s : mesh.sharp)
    if (const auto it = known.find(key(s[0], s[1])); it != known.end()) edges[it->second].sharp = true;
  return edges;
}

namespace {

struct Occluder {
  std::array<double, 3> x, y;
  double z0, sx, sy;  ///< depth = z0 + sx x + sy y
  double top;         ///< the nearest to the eye
};

struct Segment {
  double x0, y0, z0, x1, y1, z1;
  std::uint32_t drawn;
  bool outline;
};

/// Front triangles in cells of the paper.
class Depths {
 public:
  void add(Vec3 a, Vec3 b, Vec3 c) {
    const double d = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    if (d < 1e-9) return;
    Occluder o;
    o.x = {a.x, b.x, c.x}, o.y = {a.y, b.y, c.y};
    o.sx = ((b.z - a.z) * (c.y - a.y) - (b.y - a.y) * (c.z - a.z)) / d;
    o.sy = ((b.x - a.x) * (c.z - a.z) - (b.z - a.z) * (c.x - a.x)) / d;
    o.z0 = a.z - o.sx * a.x - o.sy * a.y;
    o.top = std::max({a.z, b.z, c.z});
    all_.push_back(o);
    x0_ = std::min({x0_, a.x, b.x, c.x}), x1_ = std::max({x1_, a.x, b.x, c.x});
    y0_ = std::min({y0_, a.y, b.y, c.y}), y1_ = std::max({y1_, a.y, b.y, c.y});
  }

  void settle() {
    if (all_.empty()) return;
    const double area = std::max((x1_ - x0_) * (y1_ - y0_), 1e-6);
    cell_ = std::max(std::sqrt(area / std::clamp<double>(static_cast<double>(all_.size()), 64, 16384)), 1e-6);
    columns_ = static_cast<int>((x1_ - x0_) / cell_) + 1;
    rows_ = static_cast<int>((y1_ - y0_) / cell_) + 1;
    std::vector<std::uint32_t> count(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1,
                                     0);
    for (const Occluder& o : all_) each_cell(o, [&](std::size_t cell) { ++count[cell + 1]; });
    for (std::size_t i = 1; i < count.size(); ++i) count[i] += count[i - 1];
    start_ = count;
    entries_.resize(count.back());
    for (std::uint32_t i = 0; i < all_.size(); ++i)
      each_cell(all_[i], [&](std::size_t cell) { entries_[count[cell]++] = i; });
    seen_.assign(all_.size(), 0);
  }

  /// The stretches of a segment, 0 to 1, that lie behind something by more than `hide`.
  void hidden(const Segment& s, double hide, std::vector<std::pair<double, double>>& out) {
    out.clear();
    ++stamp_;
    const int steps = std::max(1, static_cast<int>(std::hypot(s.x1 - s.x0, s.y1 - s.y0) / cell_));
    for (int i = 0; i < steps; ++i) {
      const double f0 = static_cast<double>(i) / steps, f1 = static_cast<double>(i + 1) / steps;
      const double ax = s.x0 + f0 * (s.x1 - s.x0), bx = s.x0 + f1 * (s.x1 - s.x0);
      const double ay = s.y0 + f0 * (s.y1 - s.y0), by = s.y0 + f1 * (s.y1 - s.y0);
      for (int r = row(std::min(ay, by)); r <= row(std::max(ay, by)); ++r)
        for (int c = column(std::min(ax, bx)); c <= column(std::max(ax, bx)); ++c)
          look(cell_at(c, r), s, hide, out);
    }
    std::sort(out.begin(), out.end());
  }

 private:
  int column(double x) const { return std::clamp(static_cast<int>((x - x0_) / cell_), 0, columns_ - 1); }
  int row(double y) const { return std::clamp(static_cast<int>((y - y0_) / cell_), 0, rows_ - 1); }
  std::size_t cell_at(int c, int r) const {
    return static_cast<std::size_t>(r) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(c);
  }

  /// Cells that a triangle meets: row by row, the columns between its edges.
  template <class F>
  void each_cell(const Occluder& o, F&& f) const {
    const auto [y_low, y_high] = std::minmax({o.y[0], o.y[1], o.y[2]});
    for (int r = row(y_low); r <= row(y_high); ++r) {
      const double low = y0_ + r * cell_, high = low + cell_;
      double x_low = 1e300, x_high = -1e300;
      for (std::size_t k = 0; k < 3; ++k) {
        const std::size_t l = (k + 1) % 3;
        const double ya = o.y[k], yb = o.y[l], xa = o.x[k], xb = o.x[l];
        if (std::max(ya, yb) < low || std::min(ya, yb) > high) continue;
        const auto at = [&](double y) {
          return yb == ya ? xa : xa + (xb - xa) * std::clamp((y - ya) / (yb - ya), 0.0, 1.0);
        };
        for (double x : {at(low), at(high), ya >= low && ya <= high ? xa : at(low),
                         yb >= low && yb <= high ? xb : at(high)}) {
          x_low = std::min(x_low, x);
          x_high = std::max(x_high, x);
        }
      }
      if (x_low > x_high) continue;
      for (int c = column(x_low); c <= column(x_high); ++c) f(cell_at(c, r));
    }
  }

  void look(std::size_t cell, const Segment& s, double hide, std::vector<std::pair<double, double>>& out) {
    for (std::uint32_t k = start_[cell]; k < start_[cell + 1]; ++k) {
      const std::uint32_t i = entries_[k];
      if (seen_[i] == stamp_) continue;
      seen_[i] = stamp_;
      const Occluder& o = all_[i];
      if (o.top <= std::min(s.z0, s.z1) + hide) continue;
      double from = 0, to = 1;
      if (!clip(o, s, hide, from, to)) continue;
      out.push_back({from, to});
    }
  }

  static bool clip(const Occluder& o, const Segment& s, double hide, double& from, double& to) {
    const auto keep = [&](double at0, double at1) {
      if (at0 < 0 && at1 < 0) return false;
      if (at0 < 0) from = std::max(from, at0 / (at0 - at1));
      if (at1 < 0) to = std::min(to, at0 / (at0 - at1));
      return from < to;
    };
    for (std::size_t k = 0; k < 3; ++k) {
      const std::size_t l = (k + 1) % 3;
      const double ex = o.x[l] - o.x[k], ey = o.y[l] - o.y[k];
      if (!keep(ex * (s.y0 - o.y[k]) - ey * (s.x0 - o.x[k]), ex * (s.y1 - o.y[k]) - ey * (s.x1 - o.x[k])))
        return false;
    }
    return keep(o.z0 + o.sx * s.x0 + o.sy * s.y0 - s.z0 - hide,
                o.z0 + o.sx * s.x1 + o.sy * s.y1 - s.z1 - hide) &&
           to - from > 1e-9;
  }

  std::vector<Occluder> all_;
  std::vector<std::uint32_t> start_, entries_, seen_;
  std::uint32_t stamp_ = 0;
  double x0_ = 1e300, x1_ = -1e300, y0_ = 1e300, y1_ = -1e300, cell_ = 1;
  int columns_ = 1, rows_ = 1;
};

/// A body's corners on paper and which of its triangles look at the eye.
struct Facing {
  std::vector<Vec3> at;
  std::vector<bool> front;
};

Facing facing(const Drawn& what, const View& view) {
  Facing f;
  f.at.reserve(what.body->vertices.size());
  for (const Vec3& v : what.body->vertices) f.at.push_back(view.to_view.direction(v + what.shift));
  f.front.reserve(what.body->mesh->triangles.size());
  for (const auto& t : what.body->mesh->triangles) {
    const Vec3 a = f.at[t[0]], b = f.at[t[1]], c = f.at[t[2]];
    f.front.push_back((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x) > 0);
  }
  return f;
}

void collect(const Drawn& what, const Facing& f, std::uint32_t drawn, std::vector<Segment>& segments) {
  for (const MeshEdge& e : *what.edges) {
    const bool left = f.front[e.left], right = f.front[e.right];
    const bool outline = left != right || e.left == e.right;
    if (!(left || right) || !(e.sharp || outline)) continue;
    const Vec3 a = f.at[e.from], b = f.at[e.to];
    segments.push_back({a.x, a.y, a.z, b.x, b.y, b.z, drawn, outline});
  }
}

/// What is left of a segment between the stretches that are hidden.
void keep_seen(const Segment& s, const std::vector<std::pair<double, double>>& hidden,
               std::vector<SeenLine>& lines) {
  const auto at = [&](double f) { return Point2{s.x0 + f * (s.x1 - s.x0), s.y0 + f * (s.y1 - s.y0)}; };
  double from = 0;
  const auto add = [&](double to) {
    if (to - from > 1e-6) lines.push_back({at(from), at(to), s.drawn, s.outline});
  };
  for (const auto& [h0, h1] : hidden) {
    if (h0 > from) add(h0);
    from = std::max(from, h1);
  }
  add(1);
}

}  // namespace

std::vector<SeenLine> seen_lines(std::span<const Drawn> what, const View& view, double hide) {
  Depths depths;
  std::vector<Segment> segments;
  for (std::uint32_t i = 0; i < what.size(); ++i) {
    const Facing f = facing(what[i], view);
    const auto& triangles = what[i].body->mesh->triangles;
    for (std::size_t t = 0; t < triangles.size(); ++t)
      if (f.front[t]) depths.add(f.at[triangles[t][0]], f.at[triangles[t][1]], f.at[triangles[t][2]]);
    collect(what[i], f, i, segments);
  }
  depths.settle();
  std::vector<SeenLine> lines;
  std::vector<std::pair<double, double>> hidden;
  for (const Segment& s : segments) {
    depths.hidden(s, hide, hidden);
    keep_seen(s, hidden, lines);
  }
  return lines;
}

std::vector<Polygon> shadow(const Drawn& what, const View& view) {
  const Facing f = facing(what, view);
  std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> next;
  std::vector<std::uint32_t> starts;
  for (const MeshEdge& e : *what.edges) {
    const bool left = f.front[e.left], right = f.front[e.right];
    if (left == right && e.left != e.right) continue;
    const std::uint32_t a = left ? e.from : e.to, b = left ? e.to : e.from;
    next[a].push_back(b);
    starts.push_back(a);
  }
  std::vector<Polygon> runs;
  for (std::uint32_t start : starts) {
    Polygon run;
    for (std::uint32_t at = start;;) {
      auto& out = next[at];
      if (out.empty()) break;
      run.push_back({f.at[at].x, f.at[at].y});
      const std::uint32_t to = out.back();
      out.pop_back();
      at = to;
    }
    if (run.size() > 2) runs.push_back(std::move(run));
  }
  return runs;
}

std::vector<Polygon> chained(std::span<const SeenLine> lines, double within) {
  const auto cell = [&](Point2 p) {
    return (static_cast<std::uint64_t>(std::llround(p.x / within)) << 32) ^
           (static_cast<std::uint64_t>(std::llround(p.y / within)) & 0xffffffffULL);
  };
  std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> ends;
  for (std::uint32_t i = 0; i < lines.size(); ++i) {
    ends[cell(lines[i].from)].push_back(i);
    ends[cell(lines[i].to)].push_back(i);
  }
  std::vector<bool> used(lines.size(), false);
  const auto follow = [&](Polygon& run) {
    for (bool again = true; again;) {
      again = false;
      for (std::uint32_t i : ends[cell(run.back())]) {
        if (used[i]) continue;
        const bool forward = cell(lines[i].from) == cell(run.back());
        used[i] = true;
        run.push_back(forward ? lines[i].to : lines[i].from);
        again = true;
        break;
      }
    }
  };
  std::vector<Polygon> runs;
  for (std::uint32_t i = 0; i < lines.size(); ++i) {
    if (used[i]) continue;
    used[i] = true;
    Polygon run{lines[i].from, lines[i].to};
    follow(run);
    std::reverse(run.begin(), run.end());
    follow(run);
    runs.push_back(std::move(run));
  }
  return runs;
}

}  // namespace handlot::shapes
