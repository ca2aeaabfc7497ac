#include "solder/gerber_macro.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace handlot::solder::gerber {

namespace {

constexpr int kDeepest = 64;  // brackets within brackets

class Expression {
 public:
  Expression(std::string_view text, const std::map<int, double>& variables)
      : text_(text), variables_(variables) {}

  bool value(double& out) {
    out = sum(0);
    return good_ && at_ == text_.size() && std::isfinite(out);
  }

 private:
  bool take(char c) {
    if (at_ >= text_.size() || text_[at_] != c) return false;
    ++at_;
    return true;
  }

  double sum(int depth) {
    double left = product(depth);
    while (good_) {
      if (take('+'))
        left += product(depth);
      else if (take('-'))
        left -= product(depth);
      else
        break;
    }
    return left;
  }

  double product(int depth) {
    double left = factor(depth);
    while (good_) {
      if (take('x') || take('X'))
        left *= factor(depth);
      else if (take('/'))
        left /= factor(depth);
      else
        break;
    }
    return left;
  }

  double factor(int depth) {
    if (depth > kDeepest) return good_ = false, 0;
    if (take('-')) return -factor(depth + 1);
    if (take('+')) return factor(depth + 1);
    if (take('(')) {
      const double inner = sum(depth + 1);
      if (!take(')')) good_ = false;
      return inner;
    }
    const bool variable = take('$');
    double number = 0;
    const auto [end, problem] =
        std::from_chars(text_.data() + at_, text_.data() + text_.size(), number, std::chars_format::fixed);
    if (problem != std::errc()) return good_ = false, 0;
    at_ = static_cast<std::size_t>(end - text_.data());
    if (!variable) return number;
    const auto found = variables_.find(static_cast<int>(number));
    return found == variables_.end() ? 0 : found->second;  // an argument that is not given counts as 0
  }

  std::string_view text_;
  const std::map<int, double>& variables_;
  std::size_t at_ = 0;
  bool good_ = true;
};

std::string without_blanks(std::string_view text) {
  std::string out;
  for (const char c : text)
    if (c != ' ' && c != '\t' && c != '\r' && c != '\n') out += c;
  return out;
}

Ring moved(const Ring& ring, const Transform& transform) {
  Ring out;
  for (const Point& p : ring) out.push_back(transform(p));
  if (signed_area(out) < 0) out = Ring(out.rbegin(), out.rend());
  return out;
}

class Shaper {
 public:
  Shaper(double scale, double error) : scale_(scale), error_(error) {}

  /// Adds one primitive; false if its code or its number of values is wrong.
  bool add(int code, const std::vector<double>& v) {
    switch (code) {
      case 1:
        return v.size() >= 4 && v.size() <= 5 && v[1] >= 0 &&
               put(v[0], circle(at(v[2], v[3]), v[1] * scale_, error_), v.size() == 5 ? v[4] : 0);
      case 2:
      case 20:
        return v.size() == 7 && line(v);
      case 21:
        return v.size() == 6 && put(v[0], rectangle(at(v[3], v[4]), v[1] * scale_, v[2] * scale_), v[5]);
      case 22:
        return v.size() == 6 &&
               put(v[0], rectangle(at(v[3] + v[1] / 2, v[4] + v[2] / 2), v[1] * scale_, v[2] * scale_), v[5]);
      case 4:
        return outline(v);
      case 5:
        return v.size() == 6 && v[1] >= 3 && v[1] <= 12 &&
               put(v[0], regular_polygon(at(v[2], v[3]), v[4] * scale_, static_cast<int>(v[1]), 0), v[5]);
      case 6:
        return v.size() == 9 && moire(v);
      case 7:
        return v.size() == 6 && thermal(v);
      default:
        return false;
    }
  }

  std::vector<Ring> rings() const { return united(patches_); }

 private:
  Point at(double x, double y) const { return {x * scale_, y * scale_}; }

  bool put(double exposure, const Ring& ring, double degrees) {
    patches_.push_back({{moved(ring, turned(degrees))}, exposure != 0});
    return true;
  }

  bool line(const std::vector<double>& v) {
    const Point a = at(v[2], v[3]), b = at(v[4], v[5]);
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    if (length == 0) return true;
    const double nx = -(b.y - a.y) / length * v[1] * scale_ / 2,
                 ny = (b.x - a.x) / length * v[1] * scale_ / 2;
    return put(v[0], {{a.x + nx, a.y + ny}, {a.x - nx, a.y - ny}, {b.x - nx, b.y - ny}, {b.x + nx, b.y + ny}},
               v[6]);
  }

  bool outline(const std::vector<double>& v) {
    if (v.size() < 2 || !(v[1] >= 2 && v[1] <= 5000)) return false;
    const auto n = static_cast<std::size_t>(v[1]);
    if (v.size() != 2 + 2 * (n + 1) + 1) return false;
    Ring ring;
    for (std::size_t i = 0; i < n; ++i) ring.push_back(at(v[2 + 2 * i], v[3 + 2 * i]));
    return put(v[0], ring, v.back());
  }

  bool moire(const std::vector<double>& v) {
    double outer = v[2];
    for (int i = 0; i < static_cast<int>(v[5]) && i < 100 && outer > 0; ++i) {
      const double inner = outer - 2 * v[3];
      std::vector<Ring> rings{circle(at(v[0], v[1]), outer * scale_, error_)};
      if (inner > 0) {
        Ring hole = circle(at(v[0], v[1]), inner * scale_, error_);
        rings.push_back(Ring(hole.rbegin(), hole.rend()));
      }
      const Transform turn = turned(v[8]);
      for (Ring& ring : rings)
        for (Point& p : ring) p = turn(p);
      patches_.push_back({rings, true});
      outer = inner - 2 * v[4];
    }
    put(1, rectangle(at(v[0], v[1]), v[7] * scale_, v[6] * scale_), v[8]);
    return put(1, rectangle(at(v[0], v[1]), v[6] * scale_, v[7] * scale_), v[8]);
  }

  bool thermal(const std::vector<double>& v) {
    if (v[2] <= v[3] || v[4] < 0) return false;
    put(1, circle(at(v[0], v[1]), v[2] * scale_, error_), v[5]);
    if (v[3] > 0) put(0, circle(at(v[0], v[1]), v[3] * scale_, error_), v[5]);
    put(0, rectangle(at(v[0], v[1]), v[2] * 1.1 * scale_, v[4] * scale_), v[5]);
    return put(0, rectangle(at(v[0], v[1]), v[4] * scale_, v[2] * 1.1 * scale_), v[5]);
  }

  double scale_, error_;
  std::vector<Patch> patches_;
};

}  // namespace

Result<double> evaluate(std::string_view expression, const std::map<int, double>& variables,
                        const Place& place) {
  const std::string text = without_blanks(expression);
  double out = 0;
  if (!text.empty() && Expression(text, variables).value(out)) return out;
  return fail(error("gerber-macro-expression", place,
                    fmt::format("'{}' is not an expression", text.substr(0, 60)),
                    "use numbers, $1 to $n, + - x / and brackets"));
}

Result<std::vector<Ring>> shape_of(const Macro& macro, std::vector<double> arguments, double mm_per_unit,
                                   double tolerance, const std::string& file) {
  const Place place{file, macro.line, 0};
  std::map<int, double> variables;
  for (std::size_t i = 0; i < arguments.size(); ++i) variables[static_cast<int>(i) + 1] = arguments[i];
  Shaper shaper(mm_per_unit, tolerance);
  for (const std::string& raw : macro.statements) {
    const std::string statement = without_blanks(raw);
    if (statement.empty() || statement.front() == '0') continue;  // a comment
    if (statement.front() == '$') {
      const std::size_t equals = statement.find('=');
      int index = 0;
      const auto read =
          std::from_chars(statement.data() + 1, statement.data() + std::min(equals, statement.size()), index);
      if (equals == std::string::npos || read.ec != std::errc()) {
        return fail(error("gerber-bad-macro", place,
                          fmt::format("'{}' sets no variable", statement.substr(0, 60)),
                          "write $n=expression"));
      }
      auto value = evaluate(std::string_view(statement).substr(equals + 1), variables, place);
      if (!value) return fail(std::move(value.error()));
      variables[index] = *value;
      continue;
    }
    std::vector<double> values;
    std::size_t from = 0;
    while (from <= statement.size()) {
      const std::size_t comma = std::min(statement.find(',', from), statement.size());
      auto value = evaluate(std::string_view(statement).substr(from, comma - from), variables, place);
      if (!value) return fail(std::move(value.error()));
      values.push_back(*value);
      from = comma + 1;
    }
    const int code = static_cast<int>(values.front());
    values.erase(values.begin());
    if (!shaper.add(code, values)) {
      return fail(error(
          "gerber-bad-macro", place,
          fmt::format("primitive {} with {} values is not one that the format has", code, values.size()),
          "export the layer again; a macro of this kind cannot be drawn"));
    }
  }
  return shaper.rings();
}

}  // namespace handlot::solder::gerber
