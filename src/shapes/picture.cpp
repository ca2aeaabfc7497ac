#include "shapes/picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>

#include "core/text.h"
#include "shapes/hidden_lines.h"
#include "shapes/lens.h"
#include "shapes/paper.h"
#include "shapes/sheet_svg.h"
#include "shapes/view_choice.h"

namespace handlot::shapes {

namespace {

constexpr double kShortest = 0.25;  ///< mm on paper; shorter pieces are crumbs of touching round faces
constexpr std::string_view kThin = "stroke=\"#777\" stroke-width=\"0.18\"";
constexpr std::string_view kHeavy = "stroke=\"#000\" stroke-width=\"0.25\"";
constexpr std::string_view kFine = "stroke=\"#000\" stroke-width=\"0.14\"";
constexpr std::string_view kRim = "stroke=\"#000\" stroke-width=\"0.5\"";
constexpr std::string_view kTint = "fill=\"#f6e3b4\"";
constexpr std::string_view kWay = "#a4161a";

std::vector<Vec3> corners(const Box& box) {
  std::vector<Vec3> out;
  for (int k = 0; k < 8; ++k)
    out.push_back(
        {k & 1 ? box.high.x : box.low.x, k & 2 ? box.high.y : box.low.y, k & 4 ? box.high.z : box.low.z});
  return out;
}

/// How far newcomers are set off: far enough to be seen apart, not so far that the unit becomes small.
std::vector<SetOff> set_off(const Scene& scene, const StepPicture& what) {
  Box unit_box;
  for (std::size_t part : what.present.list()) unit_box.add(scene.body(part).box);
  std::vector<SetOff> out;
  for (const Newcomer& n : what.newcomers) {
    Vec3 shift;
    if (!unit_box.empty()) {
      const Vec3 own = scene.body(n.part).box.size(), whole = unit_box.size();
      const Vec3 d = unit(n.way.last);
      const double own_along = std::abs(d.x) * own.x + std::abs(d.y) * own.y + std::abs(d.z) * own.z;
      const double far = std::clamp(own_along * 1.1, 0.18 * length(whole), 0.45 * length(whole));
      shift = d * -(n.way.first ? n.way.last_travel.value : far);
      if (n.way.first) shift += unit(*n.way.first) * -(0.3 * length(whole));
    }
    out.push_back({n.part, shift});
  }
  return out;
}

struct CallOut {
  std::string name;
  std::vector<std::size_t> members;  ///< indices into the newcomers
  bool one_body = false;             ///< a subassembly: its parts are not counted
  Point2 anchor{};
};

std::vector<CallOut> call_outs(const Scene& scene, const std::vector<Newcomer>& newcomers) {
  std::map<std::string, CallOut> by_name;
  for (std::size_t i = 0; i < newcomers.size(); ++i) {
    const Part& part = scene.part(newcomers[i].part);
    const std::string name = !newcomers[i].called.empty() ? newcomers[i].called
                             : part.name.empty()          ? part.id.text
                                                          : part.name;
    CallOut& c = by_name[name];
    c.name = name;
    c.one_body = !newcomers[i].called.empty();
    c.members.push_back(i);
  }
  std::vector<CallOut> out;
  for (auto& [name, c] : by_name) out.push_back(std::move(c));
  return out;
}

/// Everything a step picture needs on its way to paper.
class StepDrawing {
 public:
  StepDrawing(const Scene& scene, const StepPicture& what)
      : scene_(scene), what_(what), off_(set_off(scene, what)), labels_(call_outs(scene, what.newcomers)) {
    paper_.view = seen_from(best_view(scene, what.present, off_));
    width_ = what.size.width.value;
    height_ = what.size.height.value;
    margin_ = std::min(width_ * 0.26, 26.0);
    left_ = right_ = margin_;
    fit(paper_, extent(), {left_, 3, width_ - right_, height_ - 3});
    share_labels();
    choose_lens();
    // A side without call-outs is given to the drawing.
    if (on_left_.empty()) left_ = 3;
    if (on_right_.empty()) right_ = 3;
    fit(paper_, extent(), {left_, 3, width_ - right_, height_ - 3});
  }

  std::string draw() {
    std::vector<std::string> names;
    for (const CallOut& c : labels_)
      names.push_back(c.members.size() > 1 && !c.one_body ? fmt::format("{} x{}", c.name, c.members.size())
                                                          : c.name);
    SheetSvg svg(width_, height_, names.empty() ? "the unit" : "new in this step: " + listed(names));
    lines(svg);
    arrows(svg);
    tool(svg);
    write_labels(svg);
    if (lens_) look_through(svg);
    return std::move(svg).done();
  }

 private:
  std::vector<Vec3> extent() const {
    std::vector<Vec3> points;
    const auto add = [&](const Body& body, Vec3 shift) {
      if (body.vertices.size() > 200) {
        for (std::size_t i = 0; i < body.vertices.size(); i += body.vertices.size() / 100)
          points.push_back(body.vertices[i] + shift);
        if (body.box.size().x * body.box.size().y * body.box.size().z > 0)
          for (const Vec3& c : corners(body.box))
            points.push_back((c + shift) * 0.999 + (body.box.middle() + shift) * 0.001);
        return;
      }
      for (const Vec3& v : body.vertices) points.push_back(v + shift);
    };
    for (std::size_t part : what_.present.list()) add(scene_.body(part), {});
    for (const SetOff& n : off_) {
      add(scene_.body(n.part), n.shift);
      // Its arrow ends near where its leading face will be.
      const Box& box = scene_.body(n.part).box;
      if (length(n.shift) > 1e-6) points.push_back(box.middle() - unit(n.shift) * (length(box.size()) * 0.3));
    }
    if (what_.tool_at && what_.tool_axis) points.push_back(*what_.tool_at);
    return points;
  }

  void lines(SheetSvg& svg) const {
    std::vector<Drawn> drawn;
    for (const SetOff& n : off_) drawn.push_back({&scene_.body(n.part), &scene_.edges(n.part), n.shift});
    for (std::size_t part : what_.present.list())
      drawn.push_back({&scene_.body(part), &scene_.edges(part), {}});
    for (std::size_t i = 0; i < off_.size(); ++i) {
      std::vector<Polygon> runs = shadow(drawn[i], paper_.view);
      for (Polygon& run : runs) put_on_paper(run);
      svg.filled(runs, kTint);
    }
    std::vector<SeenLine> thin, heavy, rim, fine;
    for (const SeenLine& l : seen_lines(drawn, paper_.view, std::max(0.06, 2.5 * scene_.deflection()))) {
      if (l.drawn >= off_.size()) {
        thin.push_back(l);
      } else if (small(l.drawn)) {
        (l.outline ? heavy : fine).push_back(l);
      } else {
        (l.outline ? rim : heavy).push_back(l);
      }
    }
    svg.runs(on_paper(thin), kThin);
    svg.runs(on_paper(fine), kFine);
    svg.runs(on_paper(heavy), kHeavy);
    svg.runs(on_paper(rim), kRim);
  }

  /// Heavy lines would drown a part this small.
  bool small(std::size_t newcomer) const {
    return length(scene_.body(off_[newcomer].part).box.size()) * paper_.scale < 9;
  }

  void put_on_paper(Polygon& run) const {
    for (Point2& p : run) p = paper_.at(p);
  }

  std::vector<Polygon> on_paper(const std::vector<SeenLine>& seen) const {
    std::vector<Polygon> runs;
    for (Polygon& run : chained(seen)) {
      put_on_paper(run);
      double far = 0;
      for (std::size_t i = 1; i < run.size(); ++i)
        far += std::hypot(run[i].x - run[i - 1].x, run[i].y - run[i - 1].y);
      if (far >= kShortest) runs.push_back(thinned(run));
    }
    return runs;
  }

  /// Without corners that move the line by less than a printer shows.
  static Polygon thinned(const Polygon& run) {
    Polygon out{run.front()};
    for (std::size_t i = 1; i + 1 < run.size(); ++i) {
      const Point2 a = out.back(), b = run[i], c = run[i + 1];
      const double off = std::abs((c.x - a.x) * (b.y - a.y) - (c.y - a.y) * (b.x - a.x));
      const double turn = (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y);
      if (off > 0.02 * std::hypot(c.x - a.x, c.y - a.y) || turn <= 0) out.push_back(b);
    }
    out.push_back(run.back());
    return out;
  }

  /// Of a subassembly the largest part has the arrow.
  bool leads(std::size_t newcomer) const {
    const std::string& called = what_.newcomers[newcomer].called;
    if (called.empty()) return true;
    const auto size = [&](std::size_t i) { return length(scene_.body(off_[i].part).box.size()); };
    for (std::size_t i = 0; i < off_.size(); ++i)
      if (i != newcomer && what_.newcomers[i].called == called &&
          (size(i) > size(newcomer) || (size(i) == size(newcomer) && i < newcomer)))
        return false;
    return true;
  }

  void arrows(SheetSvg& svg) const {
    for (std::size_t i = 0; i < off_.size(); ++i) {
      const Vec3 shift = off_[i].shift;
      if (length(shift) < 1e-6 || !leads(i)) continue;
      const Body& body = scene_.body(off_[i].part);
      const Way& way = what_.newcomers[i].way;
      const Vec3 d = unit(way.last);
      const Vec3 size = body.box.size();
      const double half = (std::abs(d.x) * size.x + std::abs(d.y) * size.y + std::abs(d.z) * size.z) / 2;
      const Vec3 seat = body.box.middle(), start = seat + shift;
      if (way.first) {
        const Vec3 turn = seat - d * way.last_travel.value;
        svg.line(paper_.at(start), paper_.at(turn), fmt::format("stroke=\"{}\" stroke-width=\"0.4\"", kWay));
        svg.arrow(paper_.at(turn), paper_.at(seat), kWay, 0.4);
        continue;
      }
      // From the leading face to just short of where that face will be.
      const Vec3 lead = start + d * half;
      svg.arrow(paper_.at(lead), paper_.at(lead + (seat - start) * 0.82), kWay, off_.size() > 8 ? 0.25 : 0.4);
    }
  }

  void tool(SheetSvg& svg) const {
    if (!what_.tool_at || !what_.tool_axis) return;
    const Point2 a = paper_.at(*what_.tool_at);
    Point2 b = paper_.at(*what_.tool_at + unit(*what_.tool_axis));
    double dx = b.x - a.x, dy = b.y - a.y;
    const double far = std::hypot(dx, dy);
    if (far < 1e-6) return;
    dx /= far, dy /= far;
    // To the edge of the paper, or far enough to be seen.
    double reach = 0.35 * height_;
    if (dy < 0) reach = std::min(reach, (a.y - 4) / -dy);
    if (dy > 0) reach = std::min(reach, (height_ - 4 - a.y) / dy);
    reach = std::max(reach, 2.0);
    b = {a.x + dx * reach, a.y + dy * reach};
    svg.line(a, b, "stroke=\"#1d3557\" stroke-width=\"0.3\" stroke-dasharray=\"3 0.8 0.6 0.8\"");
    if (!what_.tool_name.empty())
      svg.text({b.x + 1, b.y + (dy < 0 ? -0.6 : 3)}, what_.tool_name, kText, "start");
  }

  /// The place on paper where a newcomer is named.
  Point2 middle_of(std::size_t newcomer) const {
    const SetOff& n = off_[newcomer];
    return paper_.at(scene_.body(n.part).box.middle() + n.shift);
  }

  void share_labels() {
    std::vector<CallOut*>&left = on_left_, &right = on_right_;
    for (CallOut& c : labels_) {
      double mean = 0;
      for (std::size_t m : c.members) mean += middle_of(m).x / static_cast<double>(c.members.size());
      (mean < width_ / 2 ? left : right).push_back(&c);
    }
    const auto even = [&](std::vector<CallOut*>& many, std::vector<CallOut*>& few) {
      while (many.size() > few.size() + 2) {
        few.push_back(many.back());
        many.pop_back();
      }
    };
    even(left, right);
    even(right, left);
  }

  /// Parts of one name that are too small on paper to be told get a window in the column of their call-out.
  void choose_lens() {
    if (labels_.size() != 1 || labels_.front().one_body || what_.present.empty()) return;
    constexpr double kTiny = 5;  // mm on paper
    const std::size_t first = labels_.front().members.front();
    if (length(scene_.body(off_[first].part).box.size()) * paper_.scale < kTiny && !what_.newcomers[first].way.first) lens_ = first;
  }

  /// On the one that its call-out points at.
  void look_through(SheetSvg& svg) const {
    const bool left = !on_left_.empty();
    std::size_t which = *lens_;
    for (std::size_t m : labels_.front().members)
      if (left ? middle_of(m).x < middle_of(which).x : middle_of(m).x > middle_of(which).x) which = m;
    const double x = left ? kLens + 1 : width_ - kLens - 1;
    draw_lens(svg, scene_, what_.present, what_.newcomers[which], paper_.view,
              {{x, height_ - kLens - 1}, kLens, paper_.at(scene_.body(off_[which].part).box.middle())});
  }

  void write_labels(SheetSvg& svg) {
    side(svg, on_left_, true);
    side(svg, on_right_, false);
  }

  void side(SheetSvg& svg, std::vector<CallOut*>& labels, bool left) {
    const double edge = left ? margin_ - 3 : width_ - margin_ + 3;
    for (CallOut* c : labels) {
      c->anchor = middle_of(c->members.front());
      for (std::size_t m : c->members) {
        const Point2 p = middle_of(m);
        if (left ? p.x < c->anchor.x : p.x > c->anchor.x) c->anchor = p;
      }
    }
    std::stable_sort(labels.begin(), labels.end(),
                     [](const CallOut* a, const CallOut* b) { return a->anchor.y < b->anchor.y; });
    const double bottom = height_ - 6 - (lens_ ? 2 * kLens + 4 : 0);
    const double pitch =
        std::min(12.0, bottom / std::max<double>(static_cast<double>(labels.size()), 1));
    double y = 0;
    for (std::size_t i = 0; i < labels.size(); ++i) {
      const double room_below = static_cast<double>(labels.size() - 1 - i) * pitch;
      y = std::max(i == 0 ? 6.0 : y + pitch, std::min(labels[i]->anchor.y, bottom - room_below));
      label(svg, *labels[i], edge, y, left);
    }
  }

  void label(SheetSvg& svg, const CallOut& c, double edge, double y, bool left) const {
    const Point2 start{edge + (left ? 0.5 : -0.5), y - 0.9};
    svg.line(start, c.anchor, "stroke=\"#fff\" stroke-width=\"0.6\"");
    svg.line(start, c.anchor, "stroke=\"#333\" stroke-width=\"0.18\"");
    svg.circle(c.anchor, 0.45, "fill=\"#333\"");
    const std::string_view anchor = left ? "end" : "start";
    const bool many = c.members.size() > 1 && !c.one_body;
    const auto rows = wrapped(c.name, kText, margin_ - 4, many ? 2 : 3);
    double at = y;
    for (const std::string& row : rows) {
      svg.text({edge, at}, row, kText, anchor);
      at += kText * 1.2;
    }
    if (many) svg.text({edge, at + 0.4}, fmt::format("x{}", c.members.size()), kText * 1.25, anchor, true);
  }

  const Scene& scene_;
  const StepPicture& what_;
  std::vector<SetOff> off_;
  std::vector<CallOut> labels_;
  Paper paper_;
  double width_ = 0, height_ = 0, margin_ = 0, left_ = 0, right_ = 0;
  std::vector<CallOut*> on_left_, on_right_;
  static constexpr double kLens = 12;  ///< mm, radius
  std::optional<std::size_t> lens_;    ///< newcomer that is looked at
};

}  // namespace

namespace {

void write(std::string& out, Vec3 v) {
  fmt::format_to(std::back_inserter(out), "{} {} {};", v.x, v.y, v.z);
}

void write_part(std::string& out, const Scene& scene, std::size_t part) {
  const Part& p = scene.part(part);
  out += p.shape + "|" + p.name + "|" + p.id.text + "|";
  for (double v : p.at.turn) fmt::format_to(std::back_inserter(out), "{} ", v);
  write(out, p.at.shift);
}

std::string key_of(const Scene& scene, const StepPicture& what) {
  std::string text =
      fmt::format("picture 2 {} {} {}\n", what.size.width.value, what.size.height.value, scene.deflection());
  for (std::size_t part : what.present.list()) write_part(text, scene, part);
  text += '\n';
  for (const Newcomer& n : what.newcomers) {
    write_part(text, scene, n.part);
    write(text, n.way.last);
    if (n.way.first) write(text, *n.way.first);
    fmt::format_to(std::back_inserter(text), "{} {}\n", n.way.last_travel.value, n.called);
  }
  if (what.tool_at) write(text, *what.tool_at);
  if (what.tool_axis) write(text, *what.tool_axis);
  return content_key(text + what.tool_name);
}

}  // namespace

std::string picture(const Scene& scene, const StepPicture& what) {
  return StepDrawing(scene, what).draw();
}

std::string picture(const Scene& scene, const StepPicture& what, const Cache& cache) {
  const std::string key = key_of(scene, what);
  if (auto kept = cache.get("picture", key)) return *std::move(kept);
  std::string svg = picture(scene, what);
  cache.put("picture", key, svg);
  return svg;
}

}  // namespace handlot::shapes
