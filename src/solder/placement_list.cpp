#include "solder/placement_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <map>
#include <set>
#include <sstream>

#include "core/text.h"
#include "input/csv.h"

namespace handlot::solder {

namespace {

/// Small, with u for the micro sign and the Greek letter.
std::string plain(std::string_view s) {
  std::string out = lower(s);
  for (const std::string_view micro : {"\xC2\xB5", "\xCE\xBC"}) {
    for (auto at = out.find(micro); at != std::string::npos; at = out.find(micro)) out.replace(at, micro.size(), "u");
  }
  return out;
}

/// Letters and digits alone, small.
std::string bare(std::string_view s) {
  std::string out = plain(s);
  std::erase_if(out, [](unsigned char c) { return std::isalnum(c) == 0; });
  return out;
}

/// "90°", "90 deg": the number alone.
std::string_view without_degrees(std::string_view angle) {
  for (const std::string_view sign : {"\xC2\xB0", "\xC2\xBA", "degrees", "deg"}) {
    if (angle.ends_with(sign)) return angle.substr(0, angle.size() - sign.size());
  }
  return angle;
}

struct Unit {
  std::string_view word;
  double mm;
};
constexpr std::array kUnits{Unit{"millimetres", 1},    Unit{"millimeters", 1}, Unit{"mm", 1},   Unit{"um", 0.001}, Unit{"mils", 0.0254},
                            Unit{"mil", 0.0254},       Unit{"thou", 0.0254},   Unit{"inches", 25.4}, Unit{"inch", 25.4}, Unit{"in", 25.4}};

std::optional<double> unit_named(std::string_view word) {
  for (const Unit& u : kUnits) {
    if (u.word == word) return u.mm;
  }
  return std::nullopt;
}

/// The head's word without a unit that stands in it, and that unit.
struct Head {
  std::string name;
  std::optional<double> unit;
};

Head head_of(const std::string& text) {
  std::string name;
  std::optional<double> unit;
  std::string word;
  const auto flush = [&] {
    const auto named = unit_named(word);
    if (named && !name.empty()) {
      unit = named;
    } else {
      name += word;
    }
    word.clear();
  };
  for (const char c : plain(text)) {
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
      word += c;
    } else {
      flush();
    }
  }
  flush();
  return {name, unit};
}

/// "# unit: mm" somewhere before or between the rows, or "Units used: mil" above the head.
std::optional<double> unit_in_comments(const std::string& text, int head_line) {
  std::istringstream lines(text);
  int at = 0;
  for (std::string line; std::getline(lines, line);) {
    const std::string said = plain(line);
    const bool comment = ++at < head_line || said.find('#') != std::string::npos;
    if (!comment || said.find("unit") == std::string::npos) continue;
    std::string word;
    for (const char c : said + " ") {
      if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
        word += c;
        continue;
      }
      if (const auto unit = unit_named(word)) return unit;
      word.clear();
    }
  }
  return std::nullopt;
}

/// Words that people write for a part that stays off the board, letters and digits alone.
bool means_off(const std::string& word) {
  static constexpr std::array kWords{"dnp", "dnf", "dni", "dns", "nf", "np", "ns", "nofit", "nopop", "notfitted", "notplaced", "notpopulated", "notmounted", "notinstalled",
                                     "donotfit", "donotplace", "donotpopulate", "donotmount", "donotinstall", "donotstuff", "unfitted", "unpopulated", "omit", "omitted"};
  return std::find(kWords.begin(), kWords.end(), word) != kWords.end();
}
bool means_on(const std::string& word) {
  static constexpr std::array kWords{"fit", "fitted", "place", "placed", "populate", "populated", "mount", "mounted", "install", "installed", "stuff", "stuffed", "smd", "smt"};
  return std::find(kWords.begin(), kWords.end(), word) != kWords.end();
}
bool means_no(const std::string& word) { return word == "no" || word == "n" || word == "0" || word == "false"; }
bool means_yes(const std::string& word) { return word == "yes" || word == "y" || word == "1" || word == "true" || word == "x"; }

using Names = std::vector<std::string_view>;
const Names kRef{"ref", "refs", "reference", "references", "designator", "designators", "refdes", "name"};
const Names kX{"x", "midx", "centerx", "centrex", "posx", "xpos", "positionx"};
const Names kY{"y", "midy", "centery", "centrey", "posy", "ypos", "positiony"};

bool is_head(const std::vector<std::string>& fields) {
  const auto has = [&](const Names& names) {
    return std::any_of(fields.begin(), fields.end(), [&](const std::string& f) { return std::find(names.begin(), names.end(), head_of(f).name) != names.end(); });
  };
  return (has(kRef) || has({"part"})) && has(kX) && has(kY);
}

class Reader {
 public:
  Reader(const input::Csv& csv, std::optional<double> unit) : csv_(csv), unit_(unit) {}

  Result<PlacementList> read() {
    list_.file = csv_.file;
    find_columns();
    if (!faults_.empty()) return fail(std::move(faults_));
    for (const input::CsvRow& row : csv_.rows) part(row);
    if (faults_.empty() && list_.parts.empty()) fault("placement-empty", 0, "the placement list has no part that is fitted", "export it again");
    count_many();
    if (!faults_.empty()) return fail(std::move(faults_));
    if (!side_ && !mirror_) list_.notes.push_back("the placement list has no column for the side: all parts are taken to be on top");
    if (!turned_) list_.notes.push_back("the placement list has no column for the rotation: parts are drawn unturned");
    return std::move(list_);
  }

 private:
  struct Column {
    std::size_t at;
    std::optional<double> unit;
  };
  struct Many {
    std::size_t fault;    ///< by index
    int line;             ///< its own
    std::set<int> more;
  };

  void fault(const char* code, int line, std::string what, std::string mend) { faults_.push_back(make(code, line, std::move(what), std::move(mend))); }

  /// A fault that the next lines have too: the first is told, and of the others how many there are.
  void fault_of_many(const char* code, const std::string& kind, int line, std::string what, std::string mend) {
    const auto [at, fresh] = many_.emplace(code + kind, Many{faults_.size(), line, {}});
    if (fresh) return fault(code, line, std::move(what), std::move(mend));
    if (line != at->second.line) at->second.more.insert(line);
  }

  void count_many() {
    for (const auto& [kind, many] : many_) {
      if (!many.more.empty()) faults_[many.fault].text += fmt::format("; {} this fault", counted(static_cast<long>(many.more.size()), "more line has", "more lines have"));
    }
  }
  Diagnostic make(const char* code, int line, std::string what, std::string mend) const { return error(code, {csv_.file, line, 0}, std::move(what), std::move(mend)); }

  std::optional<Column> column(const Names& names) const {
    for (const std::string_view name : names) {
      for (std::size_t i = 0; i < csv_.head.size(); ++i) {
        const Head head = head_of(csv_.head[i]);
        if (head.name == name) return Column{i, head.unit};
      }
    }
    return std::nullopt;
  }

  void find_columns() {
    ref_ = column(kRef);
    x_ = column(kX);
    y_ = column(kY);
    unit_of_row_ = column({"unit", "units"});
    value_ = column(value_heads());
    package_ = column(package_heads());
    turned_ = column({"rotation", "rot", "angle", "turn", "turned"});
    side_ = column({"side", "layer"});
    if (!side_) mirror_ = column({"mirror", "mirrored"});
    part_ = column({"part", "partid", "jobpart"});
    if (!ref_) std::swap(ref_, part_);  // "Part, X, Y": the only name that a row has
    mark_ = column({"mark", "orientation"});
    fitted_ = column({"fitted", "fit", "populate", "populated"});
    left_out_ = column({"dnp", "dnf", "dni", "dns", "nofit", "notfitted", "donotplace", "donotfit", "donotpopulate"});
    std::vector<std::string> lacks;
    if (!ref_) lacks.push_back("the reference");
    if (!x_) lacks.push_back("x");
    if (!y_) lacks.push_back("y");
    if (!lacks.empty()) fault("placement-columns", csv_.head_line, fmt::format("the placement list has no column for {}: line {} is taken as its head, with {}", listed(lacks), csv_.head_line, head_words()), "name the columns ref, x, y (and value, package, rotation, side)");
  }

  std::string head_words() const {
    constexpr std::size_t kMost = 12;
    std::vector<std::string> words;
    for (const std::string& word : csv_.head) {
      if (words.size() < kMost) words.push_back(fmt::format("'{}'", word.substr(0, 30)));
    }
    return listed(words);
  }

  std::string field(const input::CsvRow& row, const std::optional<Column>& column) const { return column && column->at < row.fields.size() ? row.fields[column->at] : std::string(); }

  /// In mm.
  std::optional<double> length(const input::CsvRow& row, const Column& column, const std::string& ref) {
    const std::string text = field(row, column);
    const auto end = text.find_last_of("0123456789.");
    const std::string digits = end == std::string::npos ? text : text.substr(0, end + 1);
    const std::string suffix = end == std::string::npos ? std::string() : bare(text.substr(end + 1));
    if (csv_.may_be_thousands(digits)) {
      fault_of_many("csv-thousands", "", row.line, fmt::format("'{}' of {} may be a thousand or a decimal fraction", text, ref), "write it with a point, or without the comma");
      return std::nullopt;
    }
    const auto number = input::csv_number(digits);
    const std::string of_row = plain(field(row, unit_of_row_));
    if (suffix.empty() && !of_row.empty() && !unit_named(of_row)) {
      fault_of_many("placement-unit", of_row, row.line, fmt::format("'{}' of {} is no unit of length", of_row, ref), "write mm, um, mil or in");
      return std::nullopt;
    }
    std::optional<double> unit = !suffix.empty() ? unit_named(suffix) : !of_row.empty() ? unit_named(of_row) : column.unit ? column.unit : unit_;
    if (!number || !std::isfinite(*number) || (!suffix.empty() && !unit)) {
      fault_of_many("placement-number", suffix.empty() ? text : suffix, row.line, fmt::format("'{}' of {} is not a length", text, ref), "write a number, and its unit beside it or in the head");
      return std::nullopt;
    }
    if (!unit) {
      if (!unit_asked_) fault("placement-unit", row.line, "nothing says in which unit x and y are", "write 'x (mm)' and 'y (mm)' in the head, or a line '# unit: mm' above it");
      unit_asked_ = true;
      return std::nullopt;
    }
    constexpr double kFar = 2000;  // mm: no board a hand fills is larger
    if (std::abs(*number * *unit) > kFar) {
      fault_of_many("placement-number", "far", row.line, fmt::format("'{}' of {} lies {} mm away: no board is so large", text, ref, fmt::format("{:.0f}", std::min(1e12, std::abs(*number * *unit)))), "check the unit");
      return std::nullopt;
    }
    return *number * *unit;
  }

  std::optional<bool> bottom(const input::CsvRow& row, const std::string& ref) {
    if (mirror_) return mirrored(row, ref);
    if (!side_) return false;
    const std::string word = bare(field(row, side_));
    for (const std::string_view top : {"top", "t", "toplayer", "topside", "front", "f", "fcu", "upper", "component", "componentside"}) {
      if (word == top) return false;
    }
    for (const std::string_view low : {"bottom", "b", "bot", "bottomlayer", "bottomside", "back", "bcu", "lower", "solderside"}) {
      if (word == low) return true;
    }
    fault_of_many("placement-side", word, row.line, fmt::format("'{}' of {} is no side of a board", field(row, side_), ref), "write top or bottom");
    return std::nullopt;
  }

  /// What is seen in a mirror lies on the other side.
  std::optional<bool> mirrored(const input::CsvRow& row, const std::string& ref) {
    const std::string word = bare(field(row, mirror_));
    if (means_yes(word)) return true;
    if (means_no(word) || word.empty()) return false;
    fault_of_many("placement-side", word, row.line, fmt::format("'{}' of {} under '{}' does not say whether it lies on the bottom", field(row, mirror_), ref, csv_.head[mirror_->at]), "write yes or no");
    return std::nullopt;
  }

  /// Whether the part stays off the board; nothing where a mark says neither, which is told.
  std::optional<bool> not_fitted(const input::CsvRow& row, const std::string& ref) {
    const std::string fitted = field(row, fitted_), out = field(row, left_out_);
    const auto off = stays_off(fitted, out, field(row, value_));
    if (off) return off;
    return unknown_mark(row, stays_off(fitted, "", "") ? left_out_ : fitted_, ref);
  }

  std::optional<bool> unknown_mark(const input::CsvRow& row, const std::optional<Column>& column, const std::string& ref) {
    fault_of_many("placement-fitted", bare(field(row, column)), row.line, fmt::format("'{}' of {} under '{}' says neither that it is fitted nor that it is not", field(row, column), ref, csv_.head[column->at]), "write yes or no");
    return std::nullopt;
  }

  void part(const input::CsvRow& row) {
    ListedPart p;
    p.ref = field(row, ref_);
    p.line = row.line;
    if (p.ref.empty()) return fault_of_many("placement-columns", "", row.line, "this row has no reference", "write one, or take the row out");
    const auto off = not_fitted(row, p.ref);
    if (!off) return;
    if (*off) {
      ++list_.not_fitted;
      return;
    }
    const auto [at, fresh] = lines_.emplace(p.ref, row.line);
    if (!fresh) {
      faults_.push_back(make("placement-twice", row.line, fmt::format("'{}' stands in the placement list twice", p.ref), "take one of them out"));
      faults_.back().notes.push_back({{csv_.file, at->second, 0}, "the first stands here"});
      return;
    }
    const auto x = length(row, *x_, p.ref), y = length(row, *y_, p.ref);
    const auto low = bottom(row, p.ref);
    const std::string angle = field(row, turned_);
    const auto degrees = turned_ ? input::csv_number(without_degrees(angle)) : std::optional<double>(0.0);
    if (!degrees || !std::isfinite(*degrees) || std::abs(*degrees) > 3600) return fault_of_many("placement-number", "angle" + angle, row.line, fmt::format("'{}' of {} is not an angle", angle, p.ref), "write degrees, counter-clockwise");
    if (!x || !y || !low) return;
    p.centre = {*x, *y};
    p.turned = Degrees(*degrees);
    p.bottom = *low;
    p.value = field(row, value_);
    p.package = field(row, package_);
    p.part = field(row, part_);
    p.mark = field(row, mark_);
    list_.parts.push_back(std::move(p));
  }

  const input::Csv& csv_;
  std::optional<double> unit_;
  std::optional<Column> ref_, x_, y_, value_, package_, turned_, side_, mirror_, unit_of_row_, part_, mark_, fitted_, left_out_;
  std::map<std::string, int> lines_;
  std::map<std::string, Many> many_;
  bool unit_asked_ = false;
  PlacementList list_;
  Diagnostics faults_;
};

}  // namespace

const std::vector<std::string_view>& value_heads() {
  static const Names kHeads{"value", "val", "values", "partvalue", "comment", "wert", "werte", "valeur", "valor", "valore", "waarde"};
  return kHeads;
}

const std::vector<std::string_view>& package_heads() {
  static const Names kHeads{"package", "footprint", "case", "casecode", "pcbfootprint", "packagereference", "bauform", "empreinte", "boitier"};
  return kHeads;
}

std::optional<bool> stays_off(std::string_view fitted, std::string_view left_out, std::string_view value) {
  if (means_off(bare(value))) return true;
  const std::string in = bare(fitted), out = bare(left_out);
  const bool not_in = means_off(in) || means_no(in) || (in.empty() && !fitted.empty());  // "-"
  const bool is_out = means_off(out) || means_yes(out);
  if (!not_in && !in.empty() && !means_yes(in) && !means_on(in)) return std::nullopt;
  if (!is_out && !out.empty() && !means_no(out) && !means_on(out)) return std::nullopt;
  return not_in || is_out;
}

bool is_no_part(const ListedPart& row) {
  const auto digits = row.ref.find_first_of("0123456789");
  const std::string letters = bare(row.ref.substr(0, digits));
  if (letters == "fid" || letters == "fd" || letters == "tp" || letters == "mh") return true;
  const std::string says = bare(row.value) + " " + bare(row.package);
  for (const std::string_view word : {"fiducial", "testpoint", "mountinghole", "toolinghole"}) {
    if (says.find(word) != std::string::npos) return true;
  }
  return false;
}

Result<PlacementList> read_placement_list(const std::string& raw, const std::string& file) {
  const std::string text = input::table_text(raw);
  const auto csv = input::read_table(text, file, is_head);
  if (!csv) return fail(csv.error());
  return Reader(*csv, unit_in_comments(text, csv->head_line)).read();
}

}  // namespace handlot::solder
