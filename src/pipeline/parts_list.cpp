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

std::vector<std::string> references_in(const std::string& cell) {
  std::vector<std::string> refs;
  std::string word;
  const auto flush = [&] {
    if (word.empty()) return;
    const auto expanded = job::expand_reference(word);
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

class Comparison {
 public:
  Comparison(const Facts& facts, const input::Csv& table, std::vector<plan::Finding>& findings) : facts_(facts), table_(table), findings_(findings) {}

  Diagnostics run() {
    refs_ = table_.column({"refs", "ref", "references", "reference", "designators", "designator", "refdes"});
    count_ = table_.column({"quantity", "qty", "count"});
    value_ = table_.column({"value", "val", "comment"});
    fitted_ = table_.column({"fitted", "fit", "populate", "populated"});
    left_out_ = table_.column({"dnp", "dnf", "dni", "do not place", "do not populate", "not fitted"});
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

  void line(const input::CsvRow& row) {
    const auto refs = references_in(field(row, refs_));
    if (refs.empty()) {
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
  const auto table = input::read_csv(std::move(*text), file->path);
  if (!table) return table.error();
  return Comparison(facts, *table, findings).run();
}

}  // namespace handlot::pipeline
