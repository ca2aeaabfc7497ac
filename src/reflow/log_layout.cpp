#include "reflow/log_layout.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <map>

#include "core/text.h"

namespace handlot::reflow::text {

namespace {

constexpr std::size_t kSample = 300;  // lines that the layout is found from

bool is_time_like(std::string_view field, char decimal) {
  double value = 0;
  std::string_view suffix;
  return number_with_suffix(field, decimal, value, suffix) || clock(field) || is_date(field);
}

/// Fields that are numbers, clocks or dates.
std::size_t typed_fields(const std::vector<std::string_view>& fields, char decimal) {
  std::size_t typed = 0;
  for (const std::string_view field : fields) typed += is_time_like(field, decimal) ? 1u : 0u;
  return typed;
}

struct Try {
  Dialect dialect;
  std::size_t rows = 0;  ///< lines of the usual number of fields that hold data
  std::size_t fields = 0;
  double typed_share = 0;    ///< of the fields of those lines
  std::vector<char> is_row;  ///< by line of the sample
};

Try try_dialect(const std::vector<std::string_view>& sample, Dialect dialect, std::size_t least_typed) {
  std::vector<std::string_view> fields;
  std::map<std::size_t, std::size_t> counts;  // fields -> lines
  std::vector<std::pair<std::size_t, std::size_t>> each;
  for (const std::string_view line : sample) {
    split(line, dialect.delimiter, fields);
    const std::size_t typed = typed_fields(fields, dialect.decimal);
    each.emplace_back(fields.size(), typed);
    if (typed >= least_typed) ++counts[fields.size()];
  }
  Try result;
  result.dialect = dialect;
  for (const auto& [size, count] : counts) {
    if (count > result.rows) result.rows = count, result.fields = size;
  }
  std::size_t typed_total = 0;
  for (const auto& [size, typed] : each) {
    const bool row = typed >= least_typed && size == result.fields;
    result.is_row.push_back(row ? 1 : 0);
    if (row) typed_total += typed;
  }
  if (result.rows > 0) {
    result.typed_share = static_cast<double>(typed_total) / static_cast<double>(result.rows * result.fields);
  }
  return result;
}

std::optional<Try> best_dialect(const std::vector<std::string_view>& sample, const LoggerMemory& said) {
  std::optional<Try> best;
  for (const char delimiter : {'\t', ';', ',', '|', ' '}) {
    for (const char decimal : {'.', ','}) {
      if (said.decimal_mark && *said.decimal_mark != decimal) continue;
      Try t = try_dialect(sample, {delimiter, decimal}, said.period ? 1 : 2);
      if (t.rows == 0) continue;
      // A row counts by how much of it makes sense; the earlier dialect wins a tie.
      const auto worth = [](const Try& x) { return static_cast<double>(x.rows) * x.typed_share; };
      if (!best || worth(t) > worth(*best) * 1.02) best = std::move(t);
    }
  }
  return best;
}

/// The first line that starts a run of data rows (one good row may be a line of talk with figures in it).
std::size_t first_data_row(const std::vector<char>& is_row) {
  for (std::size_t i = 0; i < is_row.size(); ++i) {
    std::size_t run = 0;
    while (i + run < is_row.size() && run < 3 && is_row[i + run]) ++run;
    if (run == 3 || (run > 0 && i + run == is_row.size())) return i;
  }
  for (std::size_t i = 0; i < is_row.size(); ++i)
    if (is_row[i]) return i;
  return is_row.size();
}

bool unit_like(std::string_view field) {
  return field.empty() || time_unit(field) || temperature_unit(field) || field == "%" ||
         lower(field) == "ts" || lower(field) == "rn" || lower(field) == "w" || lower(field) == "hh:mm:ss";
}

bool process_like(std::string_view field) {
  const std::string w = lower(field);
  for (const char* s : {"", "smp", "avg", "min", "max", "std", "tot"})
    if (w == s) return true;
  return false;
}

/// Joins "Temp (C)" that a blank delimiter has torn apart.
std::vector<std::string> rejoined(const std::vector<std::string_view>& fields) {
  std::vector<std::string> joined;
  for (const std::string_view field : fields) {
    if (!joined.empty() && !field.empty() && (field.front() == '(' || field.front() == '[')) {
      joined.back() += " " + std::string(field);
    } else {
      joined.emplace_back(field);
    }
  }
  return joined;
}

struct Heads {
  std::vector<std::string> names;
  std::vector<std::string> units;
  std::size_t line = 0;  ///< index
};

/// Looks upward from the first row for units, process words and names.
std::optional<Heads> find_heads(const std::vector<std::string_view>& lines, std::size_t first_row,
                                std::size_t fields, char delimiter) {
  Heads heads;
  std::vector<std::string_view> parts;
  const std::size_t top = first_row > 6 ? first_row - 6 : 0;
  for (std::size_t i = first_row; i-- > top;) {
    if (trimmed(lines[i]).empty()) continue;
    std::string_view line = lines[i];
    if (line.front() == '#' || line.front() == '%') line.remove_prefix(1);
    split(line, delimiter, parts);
    std::vector<std::string> names =
        delimiter == ' ' ? rejoined(parts) : std::vector<std::string>(parts.begin(), parts.end());
    const bool same = names.size() == fields || (names.size() == fields + 1 && names.back().empty()) ||
                      names.size() + 1 == fields;
    if (!same) {
      if (i + 1 == first_row || heads.units.empty()) heads.names = names, heads.line = i;
      break;
    }
    if (std::all_of(names.begin(), names.end(), process_like)) continue;
    if (heads.units.empty() && std::all_of(names.begin(), names.end(), unit_like)) {
      heads.units = names;
      continue;
    }
    heads.names = names;
    heads.line = i;
    return heads;
  }
  if (heads.names.empty()) return std::nullopt;
  return heads;
}

bool has_word(const std::string& name, std::initializer_list<const char*> words) {
  return std::any_of(words.begin(), words.end(),
                     [&](const char* w) { return name.find(w) != std::string::npos; });
}
bool is_word(const std::string& name, std::initializer_list<const char*> words) {
  return std::any_of(words.begin(), words.end(), [&](const char* w) { return name == w; });
}

bool time_name(const std::string& name) {
  return is_word(name, {"t", "s", "sec", "seconds", "ms", "millis", "min", "minutes", "timestamp", "ts"}) ||
         has_word(name, {"time", "elapsed", "clock", "uhrzeit", "zeit"});
}

/// Fills kind and role of one column from its name and unit.
void classify_column(Column& column) {
  const std::string name = lower(column.heading.name);
  const bool temperature = temperature_unit(column.heading.unit).has_value();
  if (time_unit(column.heading.unit) && !temperature) {
    column.kind = Column::Kind::time;
    return;
  }
  if (has_word(name, {"date", "datum"}) && !has_word(name, {"time"})) {
    column.kind = Column::Kind::date;
    return;
  }
  if (!temperature && time_name(name)) {
    column.kind = Column::Kind::time;
    return;
  }
  if (has_word(name, {"record", "index", "count", "state", "phase", "mode", "power", "duty", "heat", "fan",
                      "output", "coldj", "cold j", "cold_j", "cjc", "ramp", "humid", "volt", "batt"}) ||
      is_word(name, {"n", "no", "nr", "#", "rh", "pwm", "cj"}) || column.heading.unit == "%" ||
      column.heading.unit == "W") {
    column.kind = Column::Kind::other;
    column.role = ChannelRole::other;
    column.named = true;
    return;
  }
  column.named = true;
  if (is_word(name, {"set", "sp", "target", "wanted", "soll"}) ||
      has_word(name, {"setpoint", "set point", "set_point", "set curve", "set_curve", "settemp", "set temp",
                      "set_temp", "target", "sollwert", "solltemp", "sollkurve", "soll "})) {
    column.role = ChannelRole::set_curve;
  } else if (has_word(name, {"board", "pcb"})) {
    column.role = ChannelRole::board;
  } else if (has_word(name, {"control", "regulat", "actual", "thermostat"}) || name == "input") {
    column.role = ChannelRole::control;
  } else if (name == "air" ||
             has_word(name, {"air ", "_air", " air", "air_", "chamber", "ambient", "oven"})) {
    column.role = ChannelRole::air;
  } else {
    column.named = false;
  }
  const bool sounds = has_word(name, {"temp", "tc", "thermo", "probe", "sensor", "chan", "corner", "centre",
                                      "center", "edge"}) ||
                      (name.size() <= 4 && (name.starts_with("t") || name.starts_with("ch")));
  if (temperature || sounds || column.named) column.kind = Column::Kind::temperature;
}

Diagnostic clash(const std::string& file, std::size_t line) {
  return error("log-comma-clash", {file, static_cast<int>(line) + 1, 0},
               "the comma stands both between columns and within numbers",
               "export with semicolons between columns, or with decimal points");
}

/// Applies what a person said of the columns. Errors: log-unknown-column.
Diagnostics apply_said(Layout& layout, const std::vector<ChannelSays>& said, const std::string& file,
                       std::size_t line) {
  Diagnostics faults;
  std::vector<std::string> names;
  for (const Column& c : layout.columns) names.push_back(c.heading.raw);
  for (const ChannelSays& says : said) {
    bool found = false;
    for (Column& column : layout.columns) {
      if (lower(column.heading.raw) != lower(says.column) && lower(column.heading.name) != lower(says.column))
        continue;
      found = true;
      column.role = says.role;
      column.named = false;
      column.kind = says.role == ChannelRole::other ? Column::Kind::other : Column::Kind::temperature;
    }
    if (found) continue;
    const auto close = closest(says.column, names);
    faults.push_back(
        error("log-unknown-column", {file, static_cast<int>(line) + 1, 0},
              fmt::format("the log has no column '{}'", says.column),
              close ? fmt::format("write '{}'", *close) : fmt::format("choose from {}", listed(names))));
  }
  return faults;
}

/// Without headings: what the fields of the first row are.
void classify_by_content(Layout& layout, std::string_view row) {
  std::vector<std::string_view> fields;
  split(row, layout.dialect.delimiter, fields);
  bool timed = false;
  for (std::size_t i = 0; i < fields.size(); ++i) {
    Column& column = layout.columns[i];
    double value = 0;
    std::string_view suffix;
    if (is_date(fields[i])) {
      column.kind = Column::Kind::date;
    } else if (clock(fields[i])) {
      column.kind = Column::Kind::time;
      timed = true;
    } else if (number_with_suffix(fields[i], layout.dialect.decimal, value, suffix)) {
      column.kind = !timed && i == 0 ? Column::Kind::time : Column::Kind::temperature;
      timed = timed || i == 0;
    }
  }
}

}  // namespace

namespace {

void name_columns(Layout& layout, const std::optional<Heads>& heads) {
  layout.columns.resize(layout.fields);
  for (std::size_t i = 0; i < layout.fields; ++i) {
    const std::string raw = heads && i < heads->names.size() && !heads->names[i].empty()
                                ? heads->names[i]
                                : fmt::format("column {}", i + 1);
    layout.columns[i].heading = heading(raw);
    if (heads && i < heads->units.size() && !heads->units[i].empty()) {
      layout.columns[i].heading.unit = heads->units[i];
      layout.columns[i].heading.name = raw;
    }
    layout.signature += (i > 0 ? "|" : "") + raw;
  }
}

/// "Sample", "No.", "#" or nothing at all: a number that each row is given, which is no time.
bool counter_name(std::string name) {
  if (name.ends_with('.')) name.pop_back();
  return is_word(name, {"n", "no", "nr", "#", "number", "row", "point", "points", "scan", "entry", "id", "rec", "column 1"}) ||
         has_word(name, {"sample", "reading", "record", "index", "count", "messwert", "messung"});
}

/// True if the first column numbers the rows: its name says so, and each row has one more than the row before.
bool counts_rows(const Layout& layout, const std::vector<std::string_view>& lines) {
  const Column& first = layout.columns.front();
  if (first.kind == Column::Kind::time || !layout.has_header || !counter_name(lower(first.heading.name))) return false;
  std::vector<std::string_view> fields;
  std::optional<double> last;
  std::size_t rows = 0, steps = 0;
  for (std::size_t i = layout.first_row; i < lines.size() && rows < kSample; ++i) {
    split(lines[i], layout.dialect.delimiter, fields);
    double value = 0;
    if (fields.empty() || !figure(fields.front(), layout.dialect.decimal, value)) continue;
    steps += last && value == *last + 1 ? 1u : 0u;
    last = value;
    ++rows;
  }
  return steps * 10 >= rows * 9;  // rows may be missing
}

/// The first amount of time in `text`: "2 s", "(s): 2", "00:00:02".
std::optional<Seconds> amount_of_time(std::string_view text) {
  const std::size_t digit = text.find_first_of("0123456789");
  if (digit == std::string_view::npos) return std::nullopt;
  const std::size_t end = std::min(text.find_first_not_of("0123456789.,:", digit), text.size());
  std::string written(text.substr(digit, end - digit));
  while (!written.empty() && std::ispunct(static_cast<unsigned char>(written.back()))) written.pop_back();
  if (const auto read = clock(written); read && read->parts == 3) return Seconds(read->seconds);
  const auto word_in = [](std::string_view from) {
    const std::size_t start = from.find_first_not_of(" \t,;:=()[]\"");
    if (start == std::string_view::npos) return std::string_view();
    return from.substr(start, std::min(from.find_first_of(" \t,;:=()[]\"", start), from.size()) - start);
  };
  auto unit = time_unit(word_in(text.substr(end)));
  if (!unit) unit = time_unit(word_in(text.substr(0, digit)));
  double value = 0;
  std::replace(written.begin(), written.end(), ',', '.');
  if (!unit || !figure(written, '.', value)) return std::nullopt;
  return Seconds(value * seconds_per(*unit));
}

/// How far apart the rows are, as a line over the table tells it: "Interval: 2 s". Nothing where two lines differ.
std::optional<Seconds> told_period(const std::vector<std::string_view>& lines, std::size_t first_row) {
  constexpr double kLongest = 60;  // s [practice]: an interval between calibrations or reports is longer
  std::optional<Seconds> told;
  for (std::size_t i = 0; i < first_row; ++i) {
    const std::string line = lower(lines[i]);
    if (has_word(line, {"calib", "control", "report"})) continue;
    std::size_t at = line.find("interval");
    if (at != std::string::npos) at += 8;
    else if (has_word(line, {"sampl", "logg", "scan", "record"})) {
      at = line.find("period");
      if (at != std::string::npos) at += 6;
    }
    if (at == std::string::npos) continue;
    const auto period = amount_of_time(std::string_view(line).substr(at));
    if (!period || period->value <= 0 || period->value > kLongest) continue;
    if (told && *told != *period) return std::nullopt;
    told = period;
  }
  return told;
}

/// Rows that the log numbers but does not time: a person or a line over the table says how far apart they are.
void choose_period(Layout& layout, const std::vector<std::string_view>& lines, const LoggerMemory& said,
                   std::vector<Assumption>& assumptions) {
  const bool counter = counts_rows(layout, lines);
  if (said.period) layout.period = said.period;
  else if (counter && !layout.time) layout.period = told_period(lines, layout.first_row);
  if (!layout.period) return;
  if (layout.time) {
    layout.columns[*layout.time].kind = Column::Kind::other;
    layout.columns[*layout.time].role = ChannelRole::other;
  }
  layout.time = counter ? std::optional<std::size_t>(0) : std::nullopt;
  layout.date.reset();
  if (counter) layout.columns[0].kind = Column::Kind::time;
  assumptions.push_back({fmt::format("rows are {} s apart", number(layout.period->value, 3)),
                         said.period ? "it was said so" : "a line over the table says so"});
}

/// Chooses the one time column and the one date column.
void choose_time(Layout& layout, const std::vector<std::string_view>& lines, std::vector<Assumption>& assumptions,
                 bool period_said) {
  const std::string_view row = lines[layout.first_row];
  std::vector<std::string_view> fields;
  split(row, layout.dialect.delimiter, fields);
  fields.resize(layout.fields);
  for (std::size_t i = 0; i < layout.columns.size(); ++i) {
    Column& column = layout.columns[i];
    if (column.kind == Column::Kind::date && !layout.date && is_date(fields[i])) {
      layout.date = i;
    } else if (column.kind == Column::Kind::date && !layout.time && clock(fields[i])) {
      column.kind = Column::Kind::time;
      layout.time = i;
    } else if (column.kind == Column::Kind::time && !layout.time && !is_date(fields[i])) {
      layout.time = i;
    } else if (column.kind == Column::Kind::time && layout.time) {
      column.kind = Column::Kind::other;
      assumptions.push_back(
          {fmt::format("column '{}' is not read", column.heading.raw),
           fmt::format("the time is taken from '{}'", layout.columns[*layout.time].heading.raw)});
    }
  }
  // What the cells say counts for more than a head that says nothing: "rec", "mm:ss".
  for (std::size_t i = 0; !layout.time && i < layout.columns.size(); ++i) {
    if (!clock(fields[i])) continue;
    layout.columns[i].kind = Column::Kind::time;
    layout.time = i;
    assumptions.push_back({fmt::format("column '{}' is the time", layout.columns[i].heading.raw), "its cells are clocks"});
  }
  double value = 0;
  if (!layout.time && !period_said && layout.has_header && !counts_rows(layout, lines) && figure(fields[0], layout.dialect.decimal, value) &&
      layout.columns[0].kind == Column::Kind::other && layout.columns[0].role == ChannelRole::unknown) {
    layout.columns[0].kind = Column::Kind::time;
    layout.time = 0;
    assumptions.push_back(
        {fmt::format("column '{}' is the time", layout.columns[0].heading.raw), "it is the first"});
  }
}

}  // namespace

Result<Layout> find_layout(const std::vector<std::string_view>& lines, std::string_view file_name,
                           const LoggerMemory& said, std::vector<Assumption>& assumptions) {
  const std::string file(file_name);
  std::vector<std::string_view> sample;
  std::vector<std::size_t> at;
  for (std::size_t i = 0; i < lines.size() && sample.size() < kSample; ++i) {
    if (trimmed(lines[i]).empty()) continue;
    sample.push_back(lines[i]);
    at.push_back(i);
  }
  const auto best = best_dialect(sample, said);
  if (!best || best->rows < 2) {
    return fail(
        error("log-no-table", {file, 1, 0}, "no table of times and temperatures was found",
              "give a row for each reading: a time, then temperatures, with one mark between columns"));
  }
  Layout layout;
  layout.dialect = best->dialect;
  layout.fields = best->fields;
  const std::size_t first = first_data_row(best->is_row);
  layout.first_row = at[first];
  const auto heads = find_heads(lines, layout.first_row, layout.fields, layout.dialect.delimiter);
  if (heads && heads->names.size() != layout.fields) {
    const std::size_t n = heads->names.size();
    if (layout.dialect.delimiter == ',' && n >= 2 && (layout.fields == 2 * n || layout.fields + 1 == 2 * n)) {
      return fail(clash(file, layout.first_row));
    }
  }
  layout.has_header =
      heads && (heads->names.size() == layout.fields || heads->names.size() == layout.fields + 1 ||
                heads->names.size() + 1 == layout.fields);
  name_columns(layout, layout.has_header ? heads : std::nullopt);
  if (!layout.has_header) {
    classify_by_content(layout, lines[layout.first_row]);
    assumptions.push_back(
        {"columns have no names", "no row of headings was found; they are called by number"});
  } else {
    for (Column& column : layout.columns) classify_column(column);
  }
  choose_time(layout, lines, assumptions, said.period.has_value());
  choose_period(layout, lines, said, assumptions);
  Diagnostics faults =
      apply_said(layout, said.channels, file, layout.first_row > 0 ? layout.first_row - 1 : 0);
  if (!faults.empty()) return fail(std::move(faults));
  if (!layout.time && !layout.period) {
    return fail(error("log-no-time", {file, static_cast<int>(layout.first_row) + 1, 0},
                      counts_rows(layout, lines) ? fmt::format("no column holds the time; '{}' numbers the rows", layout.columns[0].heading.raw)
                                                 : "no column holds the time",
                      "name the time column 'time (s)', or say how far apart the rows are: handlot profile --every \"2 s\" (--remember keeps it)"));
  }
  const bool any = std::any_of(layout.columns.begin(), layout.columns.end(),
                               [](const Column& c) { return c.kind == Column::Kind::temperature; });
  if (!any) {
    std::vector<std::string> names;
    for (const Column& c : layout.columns) names.push_back(c.heading.raw);
    return fail(error("log-no-temperature", {file, static_cast<int>(layout.first_row) + 1, 0},
                      fmt::format("none of the columns {} is known to be a temperature", listed(names)),
                      "say which column is what, for example --channel NAME=board"));
  }
  return layout;
}

}  // namespace handlot::reflow::text
