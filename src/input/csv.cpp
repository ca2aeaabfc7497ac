#include "input/csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cctype>

#include "core/encoding.h"
#include "input/file.h"

namespace handlot::input {

namespace {

std::string trimmed(const std::string& s) {
  const auto first = s.find_first_not_of(" \t\r");
  if (first == std::string::npos) return {};
  return s.substr(first, s.find_last_not_of(" \t\r") - first + 1);
}

/// What a spreadsheet's ="R1" says: a word that is kept as it stands.
std::string without_formula(const std::string& s) {
  const bool formula = s.size() > 3 && s.starts_with("=\"") && s.ends_with('"') && s.find('"', 2) == s.size() - 1;
  return formula ? trimmed(s.substr(2, s.size() - 3)) : s;
}

std::string small(std::string_view s) {
  std::string out(s);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

/// Cuts the whole text; quotes may hold delimiters and line ends.
Result<std::vector<CsvRow>> cut(const std::string& text, char delimiter, const std::string& file) {
  std::vector<CsvRow> rows;
  CsvRow row{1, {}};
  std::string field;
  int line = 1, quote_line = 0;
  bool quoted = false;
  const auto end_field = [&] {
    row.fields.push_back(without_formula(trimmed(field)));
    field.clear();
  };
  const auto end_row = [&] {
    end_field();
    const bool empty = std::all_of(row.fields.begin(), row.fields.end(), [](const std::string& f) { return f.empty(); });
    if (!empty && !row.fields.front().starts_with('#')) rows.push_back(row);
    row = {line + 1, {}};
  };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted) {
      if (c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
        field += '"';
        ++i;
      } else if (c == '"') {
        quoted = false;
      } else {
        field += c;
        if (c == '\n') ++line;
      }
    } else if (c == '"' && (trimmed(field).empty() || trimmed(field) == "=")) {  // ="R1": a spreadsheet's way to say that it is text
      quoted = true;
      quote_line = line;
      field.clear();
    } else if (c == delimiter) {
      end_field();
    } else if (c == '\n') {
      end_row();
      ++line;
    } else {
      field += c;
    }
  }
  if (quoted) return fail(error("csv-quote", {file, quote_line, 0}, "a quote is opened here and never closed", "close it, or take it out"));
  end_row();
  return rows;
}

}  // namespace

std::optional<std::size_t> Csv::column(std::initializer_list<std::string_view> names) const {
  for (std::string_view name : names) {
    for (std::size_t i = 0; i < head.size(); ++i) {
      if (small(head[i]) == name) return i;
    }
  }
  return std::nullopt;
}

namespace {

bool digits_only(std::string_view s) {
  return !s.empty() && s.find_first_not_of("0123456789") == std::string_view::npos;
}

/// The digits before and after the one comma of a plain number; nothing for what is none.
struct CommaNumber {
  std::string_view before, after;
};
std::optional<CommaNumber> comma_number(std::string_view field) {
  if (field.starts_with('-') || field.starts_with('+')) field.remove_prefix(1);
  const auto comma = field.find(',');
  if (comma == std::string_view::npos) return std::nullopt;
  const CommaNumber n{field.substr(0, comma), field.substr(comma + 1)};
  return digits_only(n.before) && digits_only(n.after) ? std::optional(n) : std::nullopt;
}

bool thousands(const CommaNumber& n) { return n.after.size() == 3 && n.before.size() <= 3 && n.before.front() != '0'; }

bool shows_decimal_commas(const Csv& csv) {
  if (csv.delimiter == ';') return true;
  for (const CsvRow& row : csv.rows) {
    for (const std::string& field : row.fields) {
      if (const auto n = comma_number(field); n && !thousands(*n)) return true;
    }
  }
  return false;
}

}  // namespace

bool Csv::may_be_thousands(std::string_view field) const {
  const auto n = comma_number(field);
  return n && thousands(*n) && !commas_are_decimal;
}

namespace {

/// No-break, narrow and figure blanks, as spreadsheets write them behind a word or between thousands.
std::string with_plain_blanks(std::string text) {
  for (const std::string_view blank : {"\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x87"}) {
    for (auto at = text.find(blank); at != std::string::npos; at = text.find(blank, at)) text.replace(at, blank.size(), " ");
  }
  return text;
}

}  // namespace

std::string table_text(std::string text) {
  text = from_utf16(text);
  std::string looked_at = text;
  if (encoding_fault(looked_at, {}) && text.find('\0') == std::string::npos) text = from_latin1(text);
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  // A line feed anywhere, and carriage returns are white space.
  if (text.find('\n') == std::string::npos) std::replace(text.begin(), text.end(), '\r', '\n');
  return with_plain_blanks(std::move(text));
}

Result<Csv> read_csv(std::string text, const std::string& file) {
  text = table_text(std::move(text));
  if (text.empty()) return fail(error("csv-empty", {file, 0, 0}, "the file is empty", "export it again"));
  if (auto fault = encoding_fault(text, file)) return fail(*fault);
  Csv best;
  best.file = file;
  std::size_t most = 0;
  for (char delimiter : {';', '\t', '|', ','}) {
    auto rows = cut(text, delimiter, file);
    if (!rows) return fail(rows.error());
    if (rows->empty()) return fail(error("csv-empty", {file, 0, 0}, "the table holds no row", "export it again"));
    if (rows->front().fields.size() <= most) continue;
    most = rows->front().fields.size();
    best.delimiter = delimiter;
    best.head = rows->front().fields;
    best.head_line = rows->front().line;
    best.rows.assign(rows->begin() + 1, rows->end());
  }
  Diagnostics faults;
  for (const CsvRow& row : best.rows) {
    if (row.fields.size() <= best.head.size()) continue;
    faults.push_back(error("csv-ragged", {file, row.line, 0}, fmt::format("this row has {} fields and the head {}", row.fields.size(), best.head.size()), "put fields that hold a delimiter between quotes"));
  }
  if (!faults.empty()) return fail(std::move(faults));
  best.commas_are_decimal = shows_decimal_commas(best);
  return best;
}

std::string head_word(std::string_view text) {
  std::string out = small(text);
  std::erase_if(out, [](unsigned char c) { return std::isalnum(c) == 0; });
  return out;
}

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines{""};
  for (const char c : text) {
    if (c == '\n') lines.emplace_back();
    else lines.back() += c;
  }
  return lines;
}

std::vector<std::string> words_of(const std::string& line) {
  std::vector<std::string> words{""};
  for (const char c : line) {
    if (c != ' ' && c != '\t' && c != '\r') words.back() += c;
    else if (!words.back().empty()) words.emplace_back();
  }
  if (words.back().empty()) words.pop_back();
  return words;
}

std::string uncommented(const std::string& line) {
  const auto mark = line.find_first_not_of(" \t");
  if (mark == std::string::npos || line[mark] != '#') return line;
  const auto first = line.find_first_not_of("# \t", mark);
  return first == std::string::npos ? std::string() : line.substr(first);
}

struct FoundHead {
  std::size_t line = 0;
  bool blanks = false;  ///< nothing but blanks between the columns
};

std::optional<FoundHead> find_head(const std::vector<std::string>& lines, const IsHead& is_head) {
  constexpr std::size_t kMostAbove = 40;
  for (std::size_t i = 0; i < std::min(lines.size(), kMostAbove); ++i) {
    const std::string line = uncommented(lines[i]);
    for (const char delimiter : {';', '\t', '|', ','}) {
      const auto rows = cut(line, delimiter, {});
      if (rows && rows->size() == 1 && rows->front().fields.size() > 1 && is_head(rows->front().fields)) return FoundHead{i, false};
    }
    if (is_head(words_of(line))) return FoundHead{i, true};
  }
  return std::nullopt;
}

/// Columns under one another, cut by tabs.
std::string tabbed(const std::string& line) {
  std::string out;
  for (const std::string& word : words_of(line)) out += (out.empty() ? "" : "\t") + word;
  return out;
}

}  // namespace

Result<Csv> read_table(std::string text, const std::string& file, const IsHead& is_head) {
  text = table_text(std::move(text));
  std::vector<std::string> lines = lines_of(text);
  const auto head = find_head(lines, is_head);
  if (!head) return read_csv(std::move(text), file);
  for (std::size_t i = 0; i < head->line; ++i) lines[i].clear();
  lines[head->line] = uncommented(lines[head->line]);
  std::string table;
  for (const std::string& line : lines) table += (head->blanks && !line.starts_with('#') ? tabbed(line) : line) + "\n";
  return read_csv(std::move(table), file);
}

std::optional<double> csv_number(std::string_view field) {
  std::string digits;
  for (char c : field) {
    if (c != ' ' && c != '\'') digits += c == ',' ? '.' : c;
  }
  double value = 0;
  const auto [end, code] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (digits.empty() || code != std::errc() || end != digits.data() + digits.size()) return std::nullopt;
  return value;
}

}  // namespace handlot::input
