#include "pipeline/parts_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "input/csv.h"
#include "input/file.h"
#include "solder/placement_list.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;

/// "R1\u20138" and "C1..C9" as "R1-R8" and "C1-C9".
std::string plain_range(std::string word) {
  for (const std::string_view dash : {"\xE2\x80\x90", "\xE2\x80\x91", "\xE2\x80\x92", "\xE2\x80\x93", "\xE2\x80\x94", "\xE2\x88\x92", "\xE2\x80\xA6", "...", ".."}) {
    if (const auto at = word.find(dash); at != std::string::npos) word.replace(at, dash.size(), "-");
  }
  const auto dash = word.find('-'), digits = word.find_first_of("0123456789");
  const bool short_end = dash != std::string::npos && digits != 0 && digits < dash && dash + 1 < word.size() && word.find_first_not_of("0123456789", dash + 1) == std::string::npos;
  return short_end ? word.substr(0, dash + 1) + word.substr(0, digits) + word.substr(dash + 1) : word;
}

std::vector<std::string> references_in(const std::string& cell) {
  std::vector<std::string> refs;
  std::string word;
  const auto flush = [&] {
    if (word.empty()) return;
    const auto expanded = job::expand_reference(plain_range(word));
    if (expanded.empty()) refs.push_back(word);
    refs.insert(refs.end(), expanded.begin(), expanded.end());
    word.clear();
  };
  for (const char c : cell) {
    if (c == ' ' || c == ',' || c == ';' || c == '\n' || c == '\r' || c == '\t') flush();
    else word += c;
  }
  flush();
  return refs;
}

/// A word without a digit ("Total") is no reference.
bool names_parts(const std::vector<std::string>& refs) {
  return std::any_of(refs.begin(), refs.end(), [](const std::string& r) { return r.find_first_of("0123456789") != std::string::npos; });
}

using Names = std::vector<std::string_view>;
const Names kRefs{"refs", "ref", "references", "reference", "designators", "designator", "refdes"};
const Names kCount{"quantity", "qty", "count"};
const Names kOther{"value", "val", "comment", "description", "footprint", "package", "item", "device", "dnp", "fitted"};

std::optional<std::size_t> column_of(const std::vector<std::string>& head, const Names& names) {
  for (const std::string_view name : names) {
    for (std::size_t i = 0; i < head.size(); ++i) {
      if (input::head_word(head[i]) == name) return i;
    }
  }
  return std::nullopt;
}

bool is_head(const std::vector<std::string>& fields) { return column_of(fields, kRefs) && (column_of(fields, kCount) || column_of(fields, kOther)); }

class Comparison {
 public:
  Comparison(const Facts& facts, const input::Csv& table, std::vector<plan::Finding>& findings) : facts_(facts), table_(table), findings_(findings) {}

  Diagnostics run() {
    refs_ = column_of(table_.head, kRefs);
    if (!refs_) refs_ = parts_as_references();
    count_ = column_of(table_.head, kCount);
    value_ = column_of(table_.head, {"value", "val", "comment"});
    fitted_ = column_of(table_.head, {"fitted", "fit", "populate", "populated"});
    left_out_ = column_of(table_.head, {"dnp", "dnf", "dni", "donotplace", "donotpopulate", "notfitted"});
    if (!refs_) return {error("parts-list-columns", {table_.file, table_.head_line, 0}, fmt::format("the parts list has no column for the references: line {} is taken as its head, with {}", table_.head_line, listed(table_.head)), "name the column refs")};
    for (const input::CsvRow& row : table_.rows) line(row);
    tell();
    return {};
  }

 private:
  std::string field(const input::CsvRow& row, const std::optional<std::size_t>& column) const { return column && *column < row.fields.size() ? row.fields[*column] : std::string(); }

  void say(plan::Severity severity, std::string message, std::string mend, int line) {
    plan::Finding f;
    f.rule = RuleId("parts-list");
    f.severity = severity;
    f.message = std::move(message);
    f.mend = std::move(mend);
    f.source = {"", fmt::format("{}, line {}", table_.file, line), Standing::stated};
    f.place = {table_.file, line, 0};
    findings_.push_back(std::move(f));
  }

  /// A column "part" whose cells are all references; where they are the maker's numbers, it is none.
  std::optional<std::size_t> parts_as_references() const {
    const auto parts = column_of(table_.head, {"part", "parts"});
    if (!parts) return std::nullopt;
    for (const input::CsvRow& row : table_.rows) {
      for (const std::string& ref : references_in(field(row, parts))) {
        if (job::expand_reference(ref).empty()) return std::nullopt;
      }
    }
    return parts;
  }

  void line(const input::CsvRow& row) {
    const auto refs = references_in(field(row, refs_));
    if (!names_parts(refs)) {
      ++without_refs_;
      return;
    }
    if (stays_off(row)) return;
    for (const std::string& ref : refs) {
      if (!listed_.emplace(ref, row.line).second) twice_.push_back(ref);
    }
    quantity(row, refs);
  }

  /// A mark that says neither is the placement list's to ask about: here the part counts as fitted.
  bool stays_off(const input::CsvRow& row) const { return solder::stays_off(field(row, fitted_), field(row, left_out_), field(row, value_)).value_or(false); }

  void quantity(const input::CsvRow& row, const std::vector<std::string>& refs) {
    const auto count = count_ ? input::csv_number(field(row, count_)) : std::nullopt;
    const double of_unit = static_cast<double>(refs.size());
    if (!count || *count == of_unit || *count == of_unit * facts_.job.units) return;
    say(plan::Severity::warn, fmt::format("the parts list counts {} of {} and names {}", number(*count), refs.front(), counted(static_cast<long>(refs.size()), "reference", "references")), "correct the quantity or the references", row.line);
  }

  void tell() {
    std::set<std::string> own;
    for (const job::Part& p : facts_.job.parts) own.insert(p.refs.begin(), p.refs.end());
    std::vector<std::string> strangers, missing;
    int stranger_line = table_.head_line;
    for (const auto& [ref, line] : listed_) {
      if (own.contains(ref)) continue;
      if (strangers.empty()) stranger_line = line;
      strangers.push_back(ref);
    }
    for (const std::string& ref : own) {
      if (!listed_.contains(ref)) missing.push_back(ref);
    }
    if (!twice_.empty()) say(plan::Severity::warn, fmt::format("{} {} in the parts list twice", listed(twice_), twice_.size() == 1 ? "stands" : "stand"), "take one of them out", listed_.at(twice_.front()));
    if (!strangers.empty()) say(plan::Severity::warn, fmt::format("{} of the parts list {} no part of the job", listed(strangers), strangers.size() == 1 ? "is" : "are"), "write refs=\"...\" into the parts, or mark the lines as not fitted", stranger_line);
    if (!missing.empty()) say(plan::Severity::warn, fmt::format("{} of the job {} not in the parts list", listed(missing), missing.size() == 1 ? "is" : "are"), "compare the revisions of list and job", table_.head_line);
    if (without_refs_ > 0) say(plan::Severity::note, fmt::format("{} of the parts list {} no reference and {} not compared", counted(without_refs_, "line", "lines"), without_refs_ == 1 ? "has" : "have", without_refs_ == 1 ? "is" : "are"), "", table_.head_line);
  }

  const Facts& facts_;
  const input::Csv& table_;
  std::vector<plan::Finding>& findings_;
  std::optional<std::size_t> refs_, count_, value_, fitted_, left_out_;
  std::map<std::string, int> listed_;
  std::vector<std::string> twice_;
  int without_refs_ = 0;
};

}  // namespace

Diagnostics add_parts_list(const Facts& facts, std::vector<plan::Finding>& findings) {
  const job::ExtraFile* file = facts.job.file_of("parts-list");
  if (file == nullptr) return {};
  auto text = input::read_text(file->path, 16u << 20);
  if (!text) return text.error();
  const auto table = input::read_table(std::move(*text), file->path, is_head);
  if (!table) return table.error();
  return Comparison(facts, *table, findings).run();
}

}  // namespace handlot::pipeline
