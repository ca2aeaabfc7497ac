// csv.h: tables as people export them: any of , ; tab | between fields, quotes, a byte-order mark.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"

namespace handlot::input {

struct CsvRow {
  int line = 0;  ///< of its first field, from 1
  std::vector<std::string> fields;  ///< white space around them taken off
};

struct Csv {
  std::string file;
  char delimiter = ',';
  int head_line = 1;
  std::vector<std::string> head;  ///< the first row that is neither empty nor a comment (#)
  std::vector<CsvRow> rows;

  /// The column by any of its names, without case; empty when there is none.
  std::optional<std::size_t> column(std::initializer_list<std::string_view> names) const;

  /// Whether "1,500" may be fifteen hundred as well as one and a half: one to three digits, a comma and three more, in a
  /// table that does not show by another number ("1,5"), nor by its delimiter ;, that its commas are decimal marks.
  bool may_be_thousands(std::string_view field) const;
  bool commas_are_decimal = false;  ///< as its numbers or its delimiter show
};

/// The text of a table as UTF-8 with line feeds: UTF-16 by its mark; bytes that are not UTF-8 are read as ISO 8859-1;
/// carriage returns alone end lines where there is no line feed. Blanks that don't break are plain ones.
std::string table_text(std::string text);

/// The text goes through table_text. The delimiter is the one that cuts the head into the most fields; ties: ; then tab, | and comma.
///
/// Errors   csv-empty, csv-quote (a quote that is never closed, with its line), csv-ragged (a row with more fields than the
///          head has), and those of encoding_fault (NUL bytes).
Result<Csv> read_csv(std::string text, const std::string& file);

/// Whether these fields, without white space around them, are the head of the table that is looked for.
using IsHead = std::function<bool(const std::vector<std::string>& fields)>;

/// The same of a table that stands under a title, whose head is a comment ("# Ref Val PosX"), or whose columns stand under one
/// another with nothing but blanks between: the head is the first of the first 40 lines that `is_head` knows. Where it
/// knows none, read_csv. Lines keep their numbers.
Result<Csv> read_table(std::string text, const std::string& file, const IsHead& is_head);

/// Letters and digits alone, small: "Reference(s)" is "references".
std::string head_word(std::string_view text);

/// "1,5" or "1.5" or "1 500"; empty for anything else.
std::optional<double> csv_number(std::string_view field);

}  // namespace handlot::input
