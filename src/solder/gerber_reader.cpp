#include "solder/gerber_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "core/text.h"

namespace handlot::solder::gerber {

namespace {

constexpr std::size_t kFaultsTold = 20;

/// One command, or all words between two percent signs.
struct Block {
  std::vector<std::string> words;
  std::vector<int> lines;
  bool extended = false;
};

struct Words {
  std::vector<Block> blocks;
  std::optional<int> unclosed;  ///< line where a word or block was never closed
};

Words words_of(std::string_view text) {
  Words out;
  Block block;
  std::string word;
  int line = 1, started = 1;
  for (const char c : text) {
    if (c == '\n') ++line;
    if (c == '\n' || c == '\r' || (c == ' ' && word.empty())) continue;
    if (c == '%') {
      if (block.extended && !block.words.empty()) out.blocks.push_back(block);
      block = Block{{}, {}, !block.extended};
      word.clear();
      started = line;
    } else if (c == '*') {
      block.words.push_back(word);
      block.lines.push_back(started);
      word.clear();
      if (!block.extended) {
        out.blocks.push_back(block);
        block = Block{};
      }
    } else {
      if (word.empty()) started = line;
      word += c;
    }
  }
  if (block.extended || !word.empty()) out.unclosed = started;
  return out;
}

struct Format {
  int whole = 0, decimals = 0;
  bool trailing_omitted = false;
  bool given = false;
};

struct State {
  Format format;
  double mm = 0;  ///< per unit; 0 = not said
  int aperture = 0;
  int mode = 1;  ///< G01, G02, G03
  bool single_quadrant = false;
  bool region = false;
  bool dark = true;
  Transform transform;
  bool mirror_x = false, mirror_y = false;
  double turn = 0, scale = 1;
  Point at;
  int operation = 0;
  std::string component, pin;
};

class Reader {
 public:
  Reader(std::string file, const GerberLimits& limits, double error)
      : file_(std::move(file)), limits_(limits), error_(error) {
    targets_.push_back({});
  }

  void read(const Block& block) {
    if (faults.size() >= kFaultsTold || done_) return;
    line_ = block.lines.front();
    if (block.extended) return extended(block);
    plain(block.words.front());
  }

  Result<Drawing> finish(std::optional<int> unclosed) {
    if (unclosed && !done_)
      fault("gerber-unclosed", "the last word of the file is not closed",
            "export the layer again; the file seems cut off", *unclosed);
    else if (!done_)
      drawing_.warnings.push_back(warning("gerber-no-end", {file_, line_, 0},
                                          "the file does not end with M02", "check that the file is whole"));
    if (state_.region)
      fault("gerber-open-region", "a region is begun and never ended", "export the layer again");
    if (targets_.size() > 1)
      fault("gerber-unclosed", "a block or a step-and-repeat is begun and never ended",
            "export the layer again");
    if (!faults.empty()) return fail(std::move(faults));
    drawing_.objects = std::move(targets_.front().objects);
    return std::move(drawing_);
  }

  Diagnostics faults;

 private:
  /// Where objects go: the image, a block aperture or a step-and-repeat.
  struct Target {
    std::vector<Object> objects;
    int block = 0;
    int nx = 1, ny = 1;
    double dx = 0, dy = 0;
    bool repeat = false;
  };

  void fault(const char* code, std::string text, std::string mend, int line = 0) {
    if (faults.size() < kFaultsTold)
      faults.push_back(error(code, {file_, line > 0 ? line : line_, 0}, std::move(text), std::move(mend)));
  }
  void warn(const char* code, std::string text, std::string mend) {
    for (const Diagnostic& d : drawing_.warnings)
      if (d.code == code && d.text == text) return;
    drawing_.warnings.push_back(warning(code, {file_, line_, 0}, std::move(text), std::move(mend)));
  }

  // ---- extended commands
  // --------------------------------------------------------------------------------------

  void extended(const Block& block) {
    const std::string& first = block.words.front();
    if (first.starts_with("AM")) return macro(block);
    for (std::size_t i = 0; i < block.words.size(); ++i) {
      line_ = block.lines[i];
      extended_word(block.words[i]);
    }
  }

  void extended_word(const std::string& w) {
    const std::string code = w.substr(0, 2);
    const std::string rest = w.size() > 2 ? w.substr(2) : "";
    if (code == "FS") return format(rest);
    if (code == "MO") return units(rest == "MM" ? 1.0 : rest == "IN" ? 25.4 : 0.0);
    if (code == "AD") return aperture(rest);
    if (code == "AB") return block_aperture(rest);
    if (code == "SR") return step_repeat(rest);
    if (code == "LP") return polarity(rest);
    if (code == "LM") return mirror(rest);
    if (code == "LR" || code == "LS") return turn_or_scale(code, rest);
    if (code == "TF" || code == "TA" || code == "TO" || code == "TD") return attribute(code, rest);
    if (code == "IP") {
      if (rest == "NEG")
        fault("gerber-negative-image",
              "the whole image is negative, so that its openings are what lies between",
              "export the layer as a positive image");
      return;
    }
    if (code == "OF" || code == "MI" || code == "SF" || code == "AS" || code == "IR")
      return old_image_word(code, rest);
    if (code == "IN" || code == "LN") return;
    fault("gerber-unknown-command", fmt::format("'{}' is no command of the format", w.substr(0, 40)),
          "export the layer again as RS-274X or X2");
  }

  void old_image_word(const std::string& code, const std::string& rest) {
    const bool idle = rest.empty() || rest == "A0B0" || rest == "A1.0B1.0" || rest == "A1B1" ||
                      rest == "AXBY" || rest == "0" || rest == "A0.0B0.0";
    if (idle)
      return warn("gerber-old-word", fmt::format("'{}' is an old word without effect here", code),
                  "none needed");
    fault("gerber-unknown-command",
          fmt::format("'{}{}' moves or turns the whole image, which the format gave up", code,
                      rest.substr(0, 30)),
          "export the layer again as RS-274X or X2");
  }

  void format(const std::string& rest) {
    // LAX36Y36: leading zeros omitted, absolute, 3 and 6 digits. T: trailing zeros omitted; I: incremental.
    const std::size_t x = rest.find('X');
    if (x == std::string::npos || x + 2 >= rest.size() ||
        !std::isdigit(static_cast<unsigned char>(rest[x + 1])) ||
        !std::isdigit(static_cast<unsigned char>(rest[x + 2]))) {
      return fault("gerber-no-format",
                   fmt::format("'FS{}' does not say how many digits numbers have", rest.substr(0, 30)),
                   "export the layer again");
    }
    state_.format = {rest[x + 1] - '0', rest[x + 2] - '0', rest.starts_with("T"), true};
    if (rest.substr(0, x).find('I') != std::string::npos) {
      fault("gerber-unknown-command", "coordinates are incremental, which the format gave up",
            "export the layer with absolute coordinates");
    }
    if (rest.starts_with("T"))
      warn("gerber-old-word", "trailing zeros are left out, which the format gave up", "none needed");
  }

  void units(double mm) {
    if (mm == 0) return fault("gerber-no-units", "the unit is neither MM nor IN", "export the layer again");
    state_.mm = mm;
  }

  void polarity(const std::string& rest) {
    if (rest != "D" && rest != "C")
      return fault("gerber-unknown-command",
                   fmt::format("polarity '{}' is neither D nor C", rest.substr(0, 10)),
                   "export the layer again");
    state_.dark = rest == "D";
  }

  void mirror(const std::string& rest) {
    if (rest != "N" && rest != "X" && rest != "Y" && rest != "XY")
      return fault("gerber-unknown-command", fmt::format("mirror '{}' is unknown", rest.substr(0, 10)),
                   "export the layer again");
    state_.mirror_x = rest.find('X') != std::string::npos;
    state_.mirror_y = rest.find('Y') != std::string::npos;
    set_transform();
  }

  void turn_or_scale(const std::string& code, const std::string& rest) {
    double value = 0;
    if (!decimal(rest, value) || (code == "LS" && value <= 0))
      return fault("gerber-bad-number", fmt::format("'{}{}' holds no number", code, rest.substr(0, 20)),
                   "export the layer again");
    (code == "LR" ? state_.turn : state_.scale) = value;
    set_transform();
  }

  void set_transform() {
    state_.transform =
        turned(state_.turn).after(scaled(state_.scale).after(mirrored(state_.mirror_x, state_.mirror_y)));
  }

  void attribute(const std::string& code, const std::string& rest) {
    std::vector<std::string> parts;
    std::size_t from = 0;
    while (from <= rest.size()) {
      const std::size_t comma = std::min(rest.find(',', from), rest.size());
      parts.push_back(rest.substr(from, comma - from));
      from = comma + 1;
    }
    if (code == "TF" && parts[0] == ".FileFunction")
      drawing_.function = rest.size() > parts[0].size() ? rest.substr(parts[0].size() + 1) : "";
    if (code == "TO" && parts[0] == ".C" && parts.size() > 1) state_.component = parts[1];
    if (code == "TO" && parts[0] == ".P" && parts.size() > 2)
      state_.component = parts[1], state_.pin = parts[2];
    if (code == "TD") {
      if (rest.empty() || parts[0] == ".C" || parts[0] == ".P") state_.component.clear(), state_.pin.clear();
    }
  }

  void macro(const Block& block) {
    Macro m;
    m.line = block.lines.front();
    m.statements.assign(block.words.begin() + 1, block.words.end());
    macros_[block.words.front().substr(2)] = std::move(m);
  }

  // ---- apertures
  // ----------------------------------------------------------------------------------------------

  bool decimal(std::string_view text, double& value) const {
    const auto [end, problem] =
        std::from_chars(text.data() + (text.starts_with("+") ? 1 : 0), text.data() + text.size(), value);
    return problem == std::errc() && end == text.data() + text.size() && std::isfinite(value);
  }

  std::optional<int> d_code(std::string_view text, std::size_t& used) const {
    int code = 0;
    if (text.empty() || text.front() != 'D') return std::nullopt;
    const auto [end, problem] = std::from_chars(text.data() + 1, text.data() + text.size(), code);
    if (problem != std::errc() || code < 10) return std::nullopt;
    used = static_cast<std::size_t>(end - text.data());
    return code;
  }

  void aperture(const std::string& rest) {
    std::size_t used = 0;
    const auto code = d_code(rest, used);
    if (!code)
      return fault("gerber-bad-aperture",
                   fmt::format("'AD{}' defines no aperture D10 or above", rest.substr(0, 30)),
                   "export the layer again");
    if (state_.mm == 0)
      return fault("gerber-no-units", "an aperture is defined before the unit is said (MO)",
                   "export the layer again");
    const std::size_t comma = std::min(rest.find(',', used), rest.size());
    const std::string name = rest.substr(used, comma - used);
    std::vector<double> values;
    if (comma < rest.size()) {
      std::size_t from = comma + 1;
      while (from <= rest.size()) {
        const std::size_t x = std::min(rest.find_first_of("Xx", from), rest.size());
        double value = 0;
        if (!decimal(std::string_view(rest).substr(from, x - from), value)) {
          return fault("gerber-bad-number",
                       fmt::format("aperture D{}: '{}' is no number", *code,
                                   rest.substr(from, std::min<std::size_t>(x - from, 20))),
                       "export the layer again");
        }
        values.push_back(value);
        from = x + 1;
      }
    }
    Aperture a;
    a.line = line_;
    if (!(name == "C" || name == "R" || name == "O" || name == "P" ? standard(a, name, values)
                                                                   : from_macro(a, name, values))) {
      return fault("gerber-bad-aperture",
                   fmt::format("aperture D{} of kind '{}' with {} cannot be drawn", *code, name.substr(0, 20),
                               counted(static_cast<long>(values.size()), "value", "values")),
                   "export the layer again");
    }
    drawing_.apertures[*code] = std::move(a);
  }

  bool standard(Aperture& a, const std::string& name, const std::vector<double>& v) {
    const double mm = state_.mm;
    const std::size_t n = v.size();
    if (n == 0 || v[0] < 0) return false;
    if (name == "C") {
      if (n > 3) return false;
      a.shape = Shape::circle, a.x = a.y = v[0] * mm, a.hole = n > 1 ? v[1] * mm : 0;
      a.rings = {circle({}, a.x, error_)};
    } else if (name == "P") {
      if (n < 2 || n > 5 || v[1] < 3 || v[1] > 12) return false;
      a.shape = Shape::polygon, a.x = a.y = v[0] * mm, a.corners = static_cast<int>(v[1]),
      a.turned = n > 2 ? v[2] : 0, a.hole = n > 3 ? v[3] * mm : 0;
      a.rings = {regular_polygon({}, a.x, a.corners, a.turned)};
    } else {
      if (n < 2 || n > 4 || v[1] < 0) return false;
      a.x = v[0] * mm, a.y = v[1] * mm, a.hole = n > 2 ? v[2] * mm : 0;
      a.shape = name == "R" ? Shape::rectangle : Shape::obround;
      a.rings = {name == "R" ? rectangle({}, a.x, a.y) : obround({}, a.x, a.y, error_)};
    }
    if (a.hole > 0) {
      const Ring hole = circle({}, a.hole, error_);
      a.rings.push_back(Ring(hole.rbegin(), hole.rend()));
    }
    return true;
  }

  bool from_macro(Aperture& a, const std::string& name, const std::vector<double>& values) {
    const auto found = macros_.find(name);
    if (found == macros_.end()) return false;
    auto rings = shape_of(found->second, values, state_.mm, error_, file_);
    if (!rings) {
      faults.insert(faults.end(), rings.error().begin(), rings.error().end());
      return true;  // told already
    }
    a.rings = std::move(*rings);
    return true;
  }

  void block_aperture(const std::string& rest) {
    if (rest.empty()) {
      if (targets_.size() < 2 || targets_.back().block == 0)
        return fault("gerber-unclosed", "a block is ended that was not begun", "export the layer again");
      Aperture a;
      a.is_block = true;
      a.line = line_;
      a.block = std::move(targets_.back().objects);
      const int code = targets_.back().block;
      targets_.pop_back();
      drawing_.apertures[code] = std::move(a);
      return;
    }
    std::size_t used = 0;
    const auto code = d_code(rest, used);
    if (!code)
      return fault("gerber-bad-aperture", "a block without a D code of 10 or above",
                   "export the layer again");
    if (targets_.size() > static_cast<std::size_t>(limits_.depth))
      return fault("gerber-too-many",
                   fmt::format("blocks lie more than {} deep in each other", limits_.depth),
                   "export the layer without nested blocks");
    targets_.push_back({});
    targets_.back().block = *code;
  }

  void step_repeat(const std::string& rest) {
    if (targets_.back().repeat) {
      const Target done = std::move(targets_.back());
      targets_.pop_back();
      for (int i = 0; i < done.nx; ++i) {
        for (int j = 0; j < done.ny; ++j) {
          for (const Object& o : done.objects)
            if (!place(o, shifted(i * done.dx, j * done.dy), true)) return;
        }
      }
    }
    if (rest.empty()) return;
    Target t;
    t.repeat = true;
    double x = 1, y = 1, i = 0, j = 0;
    for (std::size_t at = 0; at < rest.size();) {
      const std::size_t next = std::min(rest.find_first_of("XYIJ", at + 1), rest.size());
      double value = 0;
      if (!decimal(std::string_view(rest).substr(at + 1, next - at - 1), value))
        return fault("gerber-bad-number", fmt::format("'SR{}' holds no numbers", rest.substr(0, 30)),
                     "export the layer again");
      (rest[at] == 'X' ? x : rest[at] == 'Y' ? y : rest[at] == 'I' ? i : j) = value;
      at = next;
    }
    if (!(x >= 1 && y >= 1 && x * y <= limits_.objects))
      return fault("gerber-too-many", fmt::format("a step-and-repeat of {} by {}", number(x), number(y)),
                   "export the layer without it");
    t.nx = static_cast<int>(x), t.ny = static_cast<int>(y);
    t.dx = i * state_.mm, t.dy = j * state_.mm;
    targets_.push_back(std::move(t));
  }

  // ---- objects
  // ------------------------------------------------------------------------------------------------

  bool count_one() {
    if (++count_ <= limits_.objects) return true;
    if (!too_many_)
      fault("gerber-too-many", fmt::format("the layer has more than {} objects", limits_.objects),
            "check that this is a paste layer");
    too_many_ = true;
    return false;
  }

  /// Puts a moved copy down; `keep` = the polarity as it is, else turned about for a clear block.
  bool place(const Object& o, const Transform& transform, bool keep) {
    if (!count_one()) return false;
    Object copy = o;
    if (!keep) copy.patch.dark = !o.patch.dark;
    for (Ring& ring : copy.patch.rings) {
      for (Point& p : ring) p = transform(p);
      if (transform.xx * transform.yy - transform.xy * transform.yx < 0)
        std::reverse(ring.begin(), ring.end());
    }
    copy.scale *= transform.scale();
    targets_.back().objects.push_back(std::move(copy));
    return true;
  }

  Object object(std::vector<Ring> rings) const {
    Object o;
    o.patch = {std::move(rings), state_.dark};
    o.line = line_;
    o.aperture = state_.region ? 0 : state_.aperture;
    o.component = state_.component;
    o.pin = state_.pin;
    return o;
  }

  const Aperture* current() {
    const auto found = drawing_.apertures.find(state_.aperture);
    if (found != drawing_.apertures.end()) return &found->second;
    if (told_apertures_.insert({state_.aperture, true}).second) {
      fault("gerber-unknown-aperture",
            state_.aperture == 0 ? "something is drawn before an aperture is chosen"
                                 : fmt::format("aperture D{} is used and never defined", state_.aperture),
            "export the layer again");
    }
    return nullptr;
  }

  void flash(Point p) {
    const Aperture* a = current();
    if (!a) return;
    const Transform transform = shifted(p.x, p.y).after(state_.transform);
    if (a->is_block) {
      const std::vector<Object> parts = a->block;
      for (const Object& o : parts)
        if (!place(o, transform, state_.dark)) return;
      return;
    }
    Object o = object(a->rings);
    o.plain_flash = a->shape != Shape::other && a->hole == 0;
    place(o, transform, true);
  }

  void draw(Point to, Point offset) {
    std::vector<Point> path{state_.at};
    if (state_.mode == 1)
      path.push_back(to);
    else if (!arc(to, offset, path))
      return;
    if (state_.region) {
      contour_.insert(contour_.end(), path.begin() + 1, path.end());
      return;
    }
    const Aperture* a = current();
    if (!a) return;
    std::vector<Ring> rings;
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
      if (a->shape == Shape::circle && a->hole == 0) {
        rings.push_back(track(path[i], path[i + 1], a->x * state_.scale, error_));
      } else if (a->shape == Shape::rectangle && a->hole == 0) {
        rings.push_back(rectangle_track(path[i], path[i + 1], a->x * state_.scale, a->y * state_.scale));
      } else {
        return fault(
            "gerber-bad-aperture",
            fmt::format("a line is drawn with aperture D{}, which is neither a circle nor a rectangle",
                        state_.aperture),
            "export the layer with flashed pads");
      }
    }
    Object o = object(std::move(rings));
    if (count_one()) targets_.back().objects.push_back(std::move(o));
  }

  bool arc(Point to, Point offset, std::vector<Point>& path) {
    const Point from = state_.at;
    const bool clockwise = state_.mode == 2;
    std::vector<Point> centres;
    if (state_.single_quadrant) {
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
      if (state_.single_quadrant) {
        const double cross = (from.x - c.x) * (to.y - c.y) - (from.y - c.y) * (to.x - c.x);
        const double dot = (from.x - c.x) * (to.x - c.x) + (from.y - c.y) * (to.y - c.y);
        if ((clockwise ? cross > 1e-9 : cross < -1e-9) || dot < -1e-6)
          miss += 1e3;  // more than a quarter turn
      }
      if (miss < best) best = miss, centre = c;
    }
    const double r = std::hypot(from.x - centre.x, from.y - centre.y);
    if (r == 0 || best > std::max(0.02, 0.01 * r)) {
      fault("gerber-bad-arc", fmt::format("an arc's ends lie {} mm apart in radius", number(best, 4)),
            "export the layer again, with more digits");
      return false;
    }
    const auto points =
        arc_points(from, to, centre, clockwise, !state_.single_quadrant && from == to, error_);
    path.insert(path.end(), points.begin(), points.end());
    return true;
  }

  void close_contour() {
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

  // ---- plain commands
  // -----------------------------------------------------------------------------------------

  void plain(const std::string& w) {
    if (w.empty()) return;
    if (w.starts_with("G04")) {
      const std::size_t mark = w.find("#@! T");  // X2 attributes as comments
      if (mark != std::string::npos && w.size() > mark + 6)
        attribute(w.substr(mark + 4, 2), w.substr(mark + 6));
      return;
    }
    if (w == "M02" || w == "M00" || w == "M2") {
      done_ = true;
      return;
    }
    if (w == "M01") return;
    Point to = state_.at, offset;
    int operation = 0;
    bool moved = false;
    for (std::size_t i = 0; i < w.size();) {
      const char letter = w[i];
      const std::size_t next = std::min(w.find_first_not_of("+-0123456789.", i + 1), w.size());
      const std::string_view digits = std::string_view(w).substr(i + 1, next - i - 1);
      if (letter == 'G') {
        if (!g_code(digits)) return;
      } else if (letter == 'D') {
        int code = -1;
        std::from_chars(digits.data(), digits.data() + digits.size(), code);
        if (code >= 10)
          state_.aperture = code;
        else if (code >= 1 && code <= 3)
          operation = code;
        else
          return fault("gerber-unknown-command",
                       fmt::format("'{}' is no command of the format", w.substr(0, 40)),
                       "export the layer again");
      } else if (letter == 'X' || letter == 'Y' || letter == 'I' || letter == 'J') {
        double value = 0;
        if (!coordinate(digits, value)) return;
        (letter == 'X' ? to.x : letter == 'Y' ? to.y : letter == 'I' ? offset.x : offset.y) = value;
        moved = true;
      } else {
        return fault("gerber-unknown-command",
                     fmt::format("'{}' is no command of the format", w.substr(0, 40)),
                     "export the layer again as RS-274X or X2");
      }
      i = next;
    }
    if (operation == 0 && moved) {
      operation = state_.operation;
      warn("gerber-old-word", "a coordinate without D01, D02 or D03 repeats the last one", "none needed");
    }
    if (operation != 0) perform(operation, to, offset);
  }

  void perform(int operation, Point to, Point offset) {
    state_.operation = operation;
    if (operation == 3) {
      if (state_.region)
        return fault("gerber-open-region", "a flash within a region", "export the layer again");
      flash(to);
    } else if (operation == 1) {
      if (state_.region && contour_.empty()) contour_.push_back(state_.at);
      draw(to, offset);
    } else if (state_.region) {
      close_contour();
    }
    state_.at = to;
  }

  bool g_code(std::string_view digits) {
    int code = -1;
    std::from_chars(digits.data(), digits.data() + digits.size(), code);
    switch (code) {
      case 1:
      case 2:
      case 3:
        state_.mode = code;
        return true;
      case 36:
        state_.region = true;
        contour_.clear();
        return true;
      case 37:
        close_contour();
        state_.region = false;
        return true;
      case 54:
      case 55:
      case 90:
        return true;
      case 70:
        units(25.4);
        return true;
      case 71:
        units(1);
        return true;
      case 74:
        state_.single_quadrant = true;
        return true;
      case 75:
        state_.single_quadrant = false;
        return true;
      case 91:
        fault("gerber-unknown-command", "coordinates are incremental, which the format gave up",
              "export the layer with absolute coordinates");
        return false;
      default:
        fault("gerber-unknown-command", fmt::format("G{} is no command of the format", std::string(digits)),
              "export the layer again as RS-274X or X2");
        return false;
    }
  }

  bool coordinate(std::string_view digits, double& mm) {
    if (!state_.format.given)
      return fault("gerber-no-format", "a coordinate stands before the format (FS)",
                   "export the layer as RS-274X or X2"),
             false;
    if (state_.mm == 0)
      return fault("gerber-no-units", "a coordinate stands before the unit (MO)",
                   "export the layer as RS-274X or X2"),
             false;
    const bool negative = digits.starts_with("-");
    std::string plain(digits.substr(digits.starts_with("-") || digits.starts_with("+") ? 1 : 0));
    if (plain.empty() || plain.size() > 18 || plain.find_first_not_of("0123456789") != std::string::npos) {
      return fault("gerber-bad-number",
                   fmt::format("'{}' is no coordinate", std::string(digits).substr(0, 30)),
                   "export the layer again"),
             false;
    }
    const auto wanted = static_cast<std::size_t>(state_.format.whole + state_.format.decimals);
    if (state_.format.trailing_omitted && plain.size() < wanted) plain.append(wanted - plain.size(), '0');
    long long value = 0;
    std::from_chars(plain.data(), plain.data() + plain.size(), value);
    mm =
        (negative ? -1 : 1) * static_cast<double>(value) / std::pow(10.0, state_.format.decimals) * state_.mm;
    if (std::abs(mm) <= 2000) return true;
    return fault("gerber-bad-number", fmt::format("a coordinate of {} mm lies on no stencil", number(mm, 0)),
                 "check the unit and the number of digits"),
           false;
  }

  std::string file_;
  GerberLimits limits_;
  double error_;
  int line_ = 1;
  bool done_ = false;
  bool too_many_ = false;
  int count_ = 0;
  State state_;
  std::vector<Point> contour_;
  std::map<std::string, Macro> macros_;
  std::map<int, bool> told_apertures_;
  std::vector<Target> targets_;
  Drawing drawing_;
};

}  // namespace

Result<Drawing> read_drawing(std::string_view text, const std::string& file, const GerberLimits& limits,
                             double chord_error) {
  const Place place{file, 1, 0};
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos)
    return fail(error("gerber-empty", place, "the file is empty", "export the layer again"));
  if (text.find('\0') != std::string_view::npos || text.find('*') == std::string_view::npos) {
    return fail(error("gerber-not-gerber", place,
                      "this is not a Gerber file: it has no words that end in '*'",
                      "give the paste layer as RS-274X or X2"));
  }
  const Words words = words_of(text);
  Reader reader(file, limits, chord_error);
  for (const Block& block : words.blocks) {
    if (!block.words.empty()) reader.read(block);
  }
  if (reader.faults.size() >= kFaultsTold)
    reader.faults.back().notes.push_back({{}, "there may be more; the reader stopped here"});
  return reader.finish(words.unclosed);
}

}  // namespace handlot::solder::gerber
