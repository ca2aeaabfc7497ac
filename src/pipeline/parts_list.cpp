#include "pipeline/parts_list.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "input/csv.h"
#include "input/file.h"
#include "input/pieces.h"
#include "pipeline/references.h"
#include "solder/package.h"
#include "solder/value.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;

/// A word without a digit ("Total") is no reference.
bool names_parts(const std::vector<std::string>& refs) {
  return std::any_of(refs.begin(), refs.end(), [](const std::string& r) { return r.find_first_of("0123456789") != std::string::npos; });
}

using Names = std::vector<std::string_view>;
const Names kRefs{"refs", "ref", "references", "reference", "designators", "designator", "refdes"};
const Names kCount{"quantity", "qty", "count"};
const Names kOther{"description", "item", "device", "dnp", "fitted"};

std::optional<std::size_t> column_of(const std::vector<std::string>& head, const Names& names) {
  for (const std::string_view name : names) {
    for (std::size_t i = 0; i < head.size(); ++i) {
      if (input::head_word(head[i]) == name) return i;
    }
  }
  return std::nullopt;
}

bool is_head(const std::vector<std::string>& fields) {
  const auto has = [&](const Names& names) { return column_of(fields, names).has_value(); };
  return has(kRefs) && (has(kCount) || has(solder::value_heads()) || has(solder::package_heads()) || has(kOther));
}

struct Columns {
  std::optional<std::size_t> refs, count, value, package, fitted, left_out;
};

std::string field(const input::CsvRow& row, const std::optional<std::size_t>& column) { return column && *column < row.fields.size() ? row.fields[*column] : std::string(); }

/// A column "part" whose cells are all references; where they are the maker's numbers, it is none.
std::optional<std::size_t> parts_as_references(const input::Csv& table) {
  const auto parts = column_of(table.head, {"part", "parts"});
  if (!parts) return std::nullopt;
  for (const input::CsvRow& row : table.rows) {
    const References cell = references_in(field(row, parts));
    if (!cell.unread.empty() || std::any_of(cell.refs.begin(), cell.refs.end(), [](const std::string& ref) { return job::expand_reference(ref).empty(); })) return std::nullopt;
  }
  return parts;
}

Columns columns_of(const input::Csv& table) {
  Columns c;
  c.refs = column_of(table.head, kRefs);
  if (!c.refs) c.refs = parts_as_references(table);
  c.count = column_of(table.head, kCount);
  c.value = column_of(table.head, solder::value_heads());
  c.package = column_of(table.head, solder::package_heads());
  c.fitted = column_of(table.head, {"fitted", "fit", "populate", "populated"});
  c.left_out = column_of(table.head, {"dnp", "dnf", "dni", "donotplace", "donotpopulate", "notfitted"});
  return c;
}

/// "3", "5x", "x5", "3 pcs".
std::optional<double> pieces_in(std::string cell) {
  if (lower(cell).starts_with("x")) cell.erase(0, 1);
  const auto end = cell.find_last_of("0123456789");
  if (end == std::string::npos) return std::nullopt;
  std::string unit = cell.substr(end + 1);
  unit.erase(0, std::min(unit.find_first_not_of(' '), unit.size()));
  if (!unit.empty() && !input::means_pieces(unit)) return std::nullopt;
  return input::csv_number(cell.substr(0, end + 1));
}

class Comparison {
 public:
  Comparison(const Facts& facts, const solder::PlacementList* places, const input::Csv& table, std::vector<plan::Finding>& findings) : facts_(facts), table_(table), findings_(findings) {
    if (places == nullptr) return;
    for (const solder::ListedPart& row : places->parts) placed_[row.ref] = &row;
  }

  Diagnostics run() {
    columns_ = columns_of(table_);
    if (!columns_.refs) return {error("parts-list-columns", {table_.file, table_.head_line, 0}, fmt::format("the parts list has no column for the references: line {} is taken as its head, with {}", table_.head_line, listed(table_.head)), "name the column refs")};
    for (const input::CsvRow& row : table_.rows) line(row);
    tell();
    return {};
  }

 private:
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
    References cell = references_in(field(row, columns_.refs));
    for (std::string& ref : cell.refs) ref = as_job_writes(facts_.job, ref);
    if (unread_.empty() && !cell.unread.empty()) unread_line_ = row.line;
    unread_.insert(unread_.end(), cell.unread.begin(), cell.unread.end());
    if (!names_parts(cell.refs)) {
      if (cell.unread.empty()) ++without_refs_;
      return;
    }
    if (stays_off(row)) {
      for (const std::string& ref : cell.refs) off_.emplace(ref, row.line);
      return;
    }
    for (const std::string& ref : cell.refs) {
      if (!listed_.emplace(ref, row.line).second) twice_.push_back(ref);
    }
    if (cell.unread.empty()) quantity(row, cell.refs);
    values(row, cell.refs);
    packages(row, cell.refs);
  }

  /// A mark that says neither is the placement list's to ask about: here the part counts as fitted.
  bool stays_off(const input::CsvRow& row) const { return solder::stays_off(field(row, columns_.fitted), field(row, columns_.left_out), field(row, columns_.value)).value_or(false); }

  void quantity(const input::CsvRow& row, const std::vector<std::string>& refs) {
    const std::string cell = field(row, columns_.count);
    const auto count = pieces_in(cell);
    const double of_unit = static_cast<double>(refs.size());
    if (!count && !input::head_word(cell).empty()) uncounted_.push_back(fmt::format("'{}' (line {})", cell, row.line));
    if (!count || *count == of_unit || *count == of_unit * facts_.job.units) return;
    say(plan::Severity::warn, fmt::format("the parts list counts {} of {} and names {}", number(*count), refs.front(), counted(static_cast<long>(refs.size()), "reference", "references")), "correct the quantity or the references", row.line);
  }

  /// References of a line that another list, or the card, has differently: one finding for each thing it says instead.
  void differing(const input::CsvRow& row, const std::vector<std::string>& refs, const std::string& ours, const auto& other, std::string_view mend) {
    std::map<std::string, std::vector<std::string>> others;
    for (const std::string& ref : refs) {
      if (const std::string theirs = other(ref); !theirs.empty()) others[theirs].push_back(ref);
    }
    for (const auto& [theirs, which] : others) say(plan::Severity::warn, fmt::format("{} {} {} in the parts list and {}", some_of(which), which.size() == 1 ? "is" : "are", ours, theirs), std::string(mend), row.line);
  }

  void values(const input::CsvRow& row, const std::vector<std::string>& refs) {
    const std::string value = field(row, columns_.value);
    const auto placed_as = [&](const std::string& ref) {
      const auto place = placed_.find(ref);
      return place != placed_.end() && solder::values_differ(ref, value, place->second->value) ? place->second->value + " in the placement list" : std::string();
    };
    differing(row, refs, value, placed_as, "look it up in the schematic, and correct the list that is wrong");
  }

  /// Against the placement list, and against the card of the part where that says nothing.
  void packages(const input::CsvRow& row, const std::vector<std::string>& refs) {
    const std::string package = field(row, columns_.package);
    const auto otherwise = [&](const std::string& ref) {
      const catalogue::Card* card = card_of(ref);
      const auto unit = card != nullptr && card->word_or("package-unit") == "metric" ? solder::CodeUnit::metric : solder::CodeUnit::inch;
      const auto place = placed_.find(ref);
      const std::string listed_as = place != placed_.end() ? place->second->package : std::string(), of_card = card != nullptr ? card->word_or("package") : std::string();
      if (!listed_as.empty()) return solder::packages_differ(package, listed_as, unit) ? listed_as + " in the placement list" : std::string();
      return solder::packages_differ(package, of_card, unit) ? fmt::format("{} by the card of its part", of_card) : std::string();
    };
    differing(row, refs, package, otherwise, "order the package that the pads are for, and correct the list or the card that is wrong");
  }

  const catalogue::Card* card_of(const std::string& ref) const {
    for (const job::Part& p : facts_.job.parts) {
      if (std::find(p.refs.begin(), p.refs.end(), ref) != p.refs.end()) return &facts_.card(p.card);
    }
    return nullptr;
  }

  void tell() {
    std::set<std::string> own;
    for (const job::Part& p : facts_.job.parts) own.insert(p.refs.begin(), p.refs.end());
    std::vector<std::string> strangers, missing;
    std::map<int, std::vector<std::string>> off;
    int stranger_line = table_.head_line;
    for (const auto& [ref, line] : listed_) {
      if (own.contains(ref)) continue;
      if (strangers.empty()) stranger_line = line;
      strangers.push_back(ref);
    }
    for (const std::string& ref : own) {
      if (listed_.contains(ref)) continue;
      if (const auto marked = off_.find(ref); marked != off_.end()) off[marked->second].push_back(ref);
      else missing.push_back(ref);
    }
    if (!twice_.empty()) say(plan::Severity::warn, fmt::format("{} {} in the parts list twice", listed(twice_), twice_.size() == 1 ? "stands" : "stand"), "take one of them out", listed_.at(twice_.front()));
    if (!strangers.empty()) say(plan::Severity::warn, fmt::format("{} of the parts list {} no part of the job", listed(strangers), strangers.size() == 1 ? "is" : "are"), "write refs=\"...\" into the parts, or mark the lines as not fitted", stranger_line);
    for (const auto& [line, refs] : off) say(plan::Severity::warn, fmt::format("{} {} marked as not fitted at line {} of the parts list, and the job places {}", some_of(refs), refs.size() == 1 ? "is" : "are", line, refs.size() == 1 ? "it" : "them"), "take the mark away, or the references out of the job's parts", line);
    tell_unread();
    if (!missing.empty()) say(plan::Severity::warn, fmt::format("{} of the job {} not in the parts list", listed(missing), missing.size() == 1 ? "is" : "are"), "compare the revisions of list and job", table_.head_line);
    if (without_refs_ > 0) say(plan::Severity::note, fmt::format("{} of the parts list {} no reference and {} not compared", counted(without_refs_, "line", "lines"), without_refs_ == 1 ? "has" : "have", without_refs_ == 1 ? "is" : "are"), "", table_.head_line);
  }

  void tell_unread() {
    if (!unread_.empty()) say(plan::Severity::undecided, fmt::format("'{}' of the parts list {} not understood and not compared", fmt::join(unread_, "', '"), unread_.size() == 1 ? "is" : "are"), "write R1-R3, or each reference", unread_line_);
    if (!uncounted_.empty()) say(plan::Severity::note, fmt::format("the quantity {} of the parts list is not read", some_of(uncounted_)), "write it as a number", table_.head_line);
  }

  const Facts& facts_;
  const input::Csv& table_;
  std::vector<plan::Finding>& findings_;
  Columns columns_;
  std::map<std::string, const solder::ListedPart*> placed_;  ///< by reference
  std::map<std::string, int> listed_, off_;                  ///< lines by reference
  std::vector<std::string> twice_, unread_, uncounted_;
  int without_refs_ = 0, unread_line_ = 0;
};

}  // namespace

Result<std::optional<input::Csv>> parts_list_of(const job::Job& job) {
  const job::ExtraFile* file = job.file_of("parts-list");
  if (file == nullptr) return std::optional<input::Csv>();
  auto text = input::read_text(file->path, 16u << 20);
  if (!text) return fail(text.error());
  auto table = input::read_table(std::move(*text), file->path, is_head);
  if (!table) return fail(table.error());
  return std::optional(std::move(*table));
}

Diagnostics compare_parts_list(const Facts& facts, const input::Csv& table, const solder::PlacementList* places, std::vector<plan::Finding>& findings) {
  return Comparison(facts, places, table, findings).run();
}

std::map<std::string, std::string> values_in(const job::Job& job, const input::Csv& table) {
  std::map<std::string, std::string> values;
  const Columns columns = columns_of(table);
  for (const input::CsvRow& row : table.rows) {
    for (const std::string& ref : references_in(field(row, columns.refs)).refs) values.emplace(as_job_writes(job, ref), field(row, columns.value));
  }
  return values;
}

}  // namespace handlot::pipeline
