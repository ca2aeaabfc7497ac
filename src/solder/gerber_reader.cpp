#include "solder/gerber_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "core/text.h"
#include "solder/gerber_drawer.h"
#include "solder/gerber_words.h"

namespace handlot::solder::gerber {

namespace {

class Reader {
 public:
  Reader(const std::string& file, const GerberLimits& limits, double error) : pen_(file, limits, error) {}

  Diagnostics& faults() { return pen_.faults; }

  void read(const Block& block) {
    if (pen_.faults.size() >= kFaultsTold || done_ || no_units_) return;
    pen_.line = block.lines.front();
    if (block.extended) return extended(block);
    plain(block.words.front());
  }

  Result<Drawing> finish(std::optional<int> unclosed) {
    if (no_units_) return fail(std::move(pen_.faults));
    if (unclosed && !done_)
      pen_.fault("gerber-unclosed", "the last word of the file is not closed",
                 "export the layer again; the file seems cut off", *unclosed);
    else if (!done_)
      pen_.drawing.warnings.push_back(warning("gerber-no-end", {pen_.file(), pen_.line, 0},
                                              "the file does not end with M02",
                                              "check that the file is whole"));
    // A mask is drawn by its openings and says "negative" by custom: what it draws is what we read.
    if (negative_at_ && !pen_.drawing.function.starts_with("Soldermask")) negative_image(*negative_at_);
    if (pen_.state.region)
      pen_.fault("gerber-open-region", "a region is begun and never ended", "export the layer again");
    if (done_) pen_.end_repeat();  // old files leave the last one open
    if (pen_.nested())
      pen_.fault("gerber-unclosed", "a block or a step-and-repeat is begun and never ended",
                 "export the layer again");
    if (!pen_.faults.empty()) return fail(std::move(pen_.faults));
    pen_.drawing.objects = pen_.take_objects();
    return std::move(pen_.drawing);
  }

 private:
  void extended(const Block& block) {
    const std::string& first = block.words.front();
    if (first.starts_with("AM")) return macro(block);
    for (std::size_t i = 0; i < block.words.size(); ++i) {
      pen_.line = block.lines[i];
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
      if (rest == "NEG") negative_image(pen_.line);
      return;
    }
    if (code == "OF" || code == "MI" || code == "SF" || code == "AS" || code == "IR")
      return old_image_word(code, rest);
    if (code == "IN" || code == "LN") return;
    pen_.fault("gerber-unknown-command", fmt::format("'{}' is no command of the format", w.substr(0, 40)),
               "export the layer again as RS-274X or X2");
  }

  void negative_image(int line) {
    pen_.fault("gerber-negative-image",
               "the whole image is negative, so that its openings are what lies between",
               "export the layer as a positive image", line);
  }

  void old_image_word(const std::string& code, const std::string& rest) {
    const bool idle = rest.empty() || rest == "A0B0" || rest == "A1.0B1.0" || rest == "A1B1" ||
                      rest == "AXBY" || rest == "0" || rest == "A0.0B0.0";
    if (idle)
      return pen_.warn("gerber-old-word", fmt::format("'{}' is an old word without effect here", code),
                       "none needed");
    pen_.fault("gerber-unknown-command",
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
      return pen_.fault("gerber-no-format",
                        fmt::format("'FS{}' does not say how many digits numbers have", rest.substr(0, 30)),
                        "export the layer again");
    }
    pen_.state.format = {rest[x + 1] - '0', rest[x + 2] - '0', rest.starts_with("T"), true};
    if (rest.substr(0, x).find('I') != std::string::npos) {
      pen_.fault("gerber-unknown-command", "coordinates are incremental, which the format gave up",
                 "export the layer with absolute coordinates");
    }
    if (rest.starts_with("T"))
      pen_.warn("gerber-old-word", "trailing zeros are left out, which the format gave up", "none needed");
  }

  /// Nothing can be read without it, so nothing more is: each aperture and each flash would be told of the same fault.
  void without_units(const char* text, const char* mend) {
    pen_.fault("gerber-no-units", text, mend);
    no_units_ = true;
  }

  void units(double mm) {
    if (mm == 0)
      return pen_.fault("gerber-no-units", "the unit is neither MM nor IN", "export the layer again");
    pen_.state.mm = mm;
  }

  void polarity(const std::string& rest) {
    if (rest != "D" && rest != "C")
      return pen_.fault("gerber-unknown-command",
                        fmt::format("polarity '{}' is neither D nor C", rest.substr(0, 10)),
                        "export the layer again");
    pen_.state.dark = rest == "D";
  }

  void mirror(const std::string& rest) {
    if (rest != "N" && rest != "X" && rest != "Y" && rest != "XY")
      return pen_.fault("gerber-unknown-command", fmt::format("mirror '{}' is unknown", rest.substr(0, 10)),
                        "export the layer again");
    pen_.state.mirror_x = rest.find('X') != std::string::npos;
    pen_.state.mirror_y = rest.find('Y') != std::string::npos;
    pen_.set_transform();
  }

  void turn_or_scale(const std::string& code, const std::string& rest) {
    double value = 0;
    if (!decimal(rest, value) || (code == "LS" && value <= 0))
      return pen_.fault("gerber-bad-number", fmt::format("'{}{}' holds no number", code, rest.substr(0, 20)),
                        "export the layer again");
    (code == "LR" ? pen_.state.turn : pen_.state.scale) = value;
    pen_.set_transform();
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
      pen_.drawing.function = rest.size() > parts[0].size() ? rest.substr(parts[0].size() + 1) : "";
    if (code == "TF" && parts[0] == ".FilePolarity" && parts.size() > 1 && lower(parts[1]) == "negative")
      negative_at_ = pen_.line;
    if (code == "TA" && parts[0] == ".AperFunction") aperture_function_ = parts.size() > 1 ? parts[1] : "";
    if (code == "TO" && parts[0] == ".C" && parts.size() > 1) pen_.state.component = parts[1];
    if (code == "TO" && parts[0] == ".P" && parts.size() > 2)
      pen_.state.component = parts[1], pen_.state.pin = parts[2];
    if (code == "TD") {
      if (rest.empty() || parts[0] == ".AperFunction") aperture_function_.clear();
      if (rest.empty() || parts[0] == ".C" || parts[0] == ".P")
        pen_.state.component.clear(), pen_.state.pin.clear();
    }
  }

  void macro(const Block& block) {
    Macro m;
    m.line = block.lines.front();
    m.statements.assign(block.words.begin() + 1, block.words.end());
    macros_[block.words.front().substr(2)] = std::move(m);
  }

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
      return pen_.fault("gerber-bad-aperture",
                        fmt::format("'AD{}' defines no aperture D10 or above", rest.substr(0, 30)),
                        "export the layer again");
    if (pen_.state.mm == 0)
      return without_units("an aperture is defined before the unit is said (MO)", "export the layer again");
    const std::size_t comma = std::min(rest.find(',', used), rest.size());
    const std::string name = rest.substr(used, comma - used);
    std::vector<double> values;
    if (comma < rest.size()) {
      std::size_t from = comma + 1;
      while (from <= rest.size()) {
        const std::size_t x = std::min(rest.find_first_of("Xx", from), rest.size());
        double value = 0;
        if (!decimal(std::string_view(rest).substr(from, x - from), value)) {
          return pen_.fault("gerber-bad-number",
                            fmt::format("aperture D{}: '{}' is no number", *code,
                                        rest.substr(from, std::min<std::size_t>(x - from, 20))),
                            "export the layer again");
        }
        values.push_back(value);
        from = x + 1;
      }
    }
    Aperture a;
    a.line = pen_.line;
    a.function = aperture_function_;
    if (!(name == "C" || name == "R" || name == "O" || name == "P"
              ? make_standard(a, name, values, pen_.state.mm, pen_.error_of_chords())
              : from_macro(a, name, values))) {
      return pen_.fault(
          "gerber-bad-aperture",
          fmt::format("aperture D{} of kind '{}' with {} cannot be drawn", *code, name.substr(0, 20),
                      counted(static_cast<long>(values.size()), "value", "values")),
          "export the layer again");
    }
    pen_.drawing.define(*code, std::move(a));
  }

  bool from_macro(Aperture& a, const std::string& name, const std::vector<double>& values) {
    const auto found = macros_.find(name);
    if (found == macros_.end()) return false;
    auto rings = shape_of(found->second, values, pen_.state.mm, pen_.error_of_chords(), pen_.file());
    if (!rings) {
      pen_.faults.insert(pen_.faults.end(), rings.error().begin(), rings.error().end());
      return true;  // told already
    }
    a.rings = std::move(*rings);
    return true;
  }

  void block_aperture(const std::string& rest) {
    if (rest.empty()) return pen_.end_block();
    std::size_t used = 0;
    const auto code = d_code(rest, used);
    if (!code)
      return pen_.fault("gerber-bad-aperture", "a block without a D code of 10 or above",
                        "export the layer again");
    pen_.begin_block(*code);
  }

  void step_repeat(const std::string& rest) {
    pen_.end_repeat();
    if (rest.empty()) return;
    double x = 1, y = 1, i = 0, j = 0;
    for (std::size_t at = 0; at < rest.size();) {
      const std::size_t next = std::min(rest.find_first_of("XYIJ", at + 1), rest.size());
      double value = 0;
      if (!decimal(std::string_view(rest).substr(at + 1, next - at - 1), value)) {
        return pen_.fault("gerber-bad-number", fmt::format("'SR{}' holds no numbers", rest.substr(0, 30)),
                          "export the layer again");
      }
      (rest[at] == 'X' ? x : rest[at] == 'Y' ? y : rest[at] == 'I' ? i : j) = value;
      at = next;
    }
    if (x == 1 && y == 1) return;  // old files end a repeat so, or begin with it
    pen_.begin_repeat(x, y, i * pen_.state.mm, j * pen_.state.mm);
  }

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
    Point to = pen_.state.at;
    Point offset;
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
          pen_.state.aperture = code;
        else if (code >= 1 && code <= 3)
          operation = code;
        else
          return pen_.fault("gerber-unknown-command",
                            fmt::format("'{}' is no command of the format", w.substr(0, 40)),
                            "export the layer again");
      } else if (letter == 'X' || letter == 'Y' || letter == 'I' || letter == 'J') {
        double value = 0;
        if (!coordinate(digits, value)) return;
        (letter == 'X' ? to.x : letter == 'Y' ? to.y : letter == 'I' ? offset.x : offset.y) = value;
        moved = true;
      } else {
        return pen_.fault("gerber-unknown-command",
                          fmt::format("'{}' is no command of the format", w.substr(0, 40)),
                          "export the layer again as RS-274X or X2");
      }
      i = next;
    }
    if (operation == 0 && moved) {
      operation = pen_.state.operation;
      pen_.warn("gerber-old-word", "a coordinate without D01, D02 or D03 repeats the last one",
                "none needed");
    }
    if (operation != 0) perform(operation, to, offset);
  }

  void perform(int operation, Point to, Point offset) {
    pen_.state.operation = operation;
    if (operation == 3) {
      if (pen_.state.region)
        return pen_.fault("gerber-open-region", "a flash within a region", "export the layer again");
      pen_.flash(to);
    } else if (operation == 1) {
      if (pen_.state.region) pen_.begin_contour();
      pen_.draw(to, offset);
    } else if (pen_.state.region) {
      pen_.close_contour();
    }
    pen_.state.at = to;
  }

  bool g_code(std::string_view digits) {
    int code = -1;
    std::from_chars(digits.data(), digits.data() + digits.size(), code);
    switch (code) {
      case 0:
        pen_.state.mode = 1;
        pen_.warn("gerber-old-word", "G00 is an old word for a move", "none needed");
        return true;
      case 1:
      case 2:
      case 3:
        pen_.state.mode = code;
        return true;
      case 36:
        pen_.state.region = true;
        pen_.drop_contour();
        return true;
      case 37:
        pen_.close_contour();
        pen_.state.region = false;
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
        pen_.state.single_quadrant = true;
        return true;
      case 75:
        pen_.state.single_quadrant = false;
        return true;
      case 91:
        pen_.fault("gerber-unknown-command", "coordinates are incremental, which the format gave up",
                   "export the layer with absolute coordinates");
        return false;
      default:
        pen_.fault("gerber-unknown-command",
                   fmt::format("G{} is no command of the format", std::string(digits)),
                   "export the layer again as RS-274X or X2");
        return false;
    }
  }

  bool coordinate(std::string_view digits, double& mm) {
    if (!pen_.state.format.given)
      return pen_.fault("gerber-no-format", "a coordinate stands before the format (FS)",
                        "export the layer as RS-274X or X2"),
             false;
    if (pen_.state.mm == 0)
      return without_units("a coordinate stands before the unit (MO)", "export the layer as RS-274X or X2"),
             false;
    const bool negative = digits.starts_with("-");
    std::string plain(digits.substr(digits.starts_with("-") || digits.starts_with("+") ? 1 : 0));
    if (plain.empty() || plain.size() > 18 || plain.find_first_not_of("0123456789") != std::string::npos) {
      return pen_.fault("gerber-bad-number",
                        fmt::format("'{}' is no coordinate", std::string(digits).substr(0, 30)),
                        "export the layer again"),
             false;
    }
    const auto wanted = static_cast<std::size_t>(pen_.state.format.whole + pen_.state.format.decimals);
    if (pen_.state.format.trailing_omitted && plain.size() < wanted) plain.append(wanted - plain.size(), '0');
    long long value = 0;
    std::from_chars(plain.data(), plain.data() + plain.size(), value);
    mm = (negative ? -1 : 1) * static_cast<double>(value) / std::pow(10.0, pen_.state.format.decimals) *
         pen_.state.mm;
    if (std::abs(mm) <= 2000) return true;
    return pen_.fault("gerber-bad-number",
                      fmt::format("a coordinate of {} mm lies on no stencil", number(mm, 0)),
                      "check the unit and the number of digits"),
           false;
  }

  Drawer pen_;
  bool done_ = false, no_units_ = false;
  std::optional<int> negative_at_;    ///< line of the X2 word
  std::string aperture_function_;     ///< X2 .AperFunction of the apertures defined next
  std::map<std::string, Macro> macros_;
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
  if (reader.faults().size() >= kFaultsTold)
    reader.faults().back().notes.push_back({{}, "there may be more; the reader stopped here"});
  return reader.finish(words.unclosed);
}

}  // namespace handlot::solder::gerber
