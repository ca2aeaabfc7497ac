// statement.h: a prepared SQLite statement that closes itself, and SQLite's answers in our words. For ledger
// files only.
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

#include "core/diagnostic.h"

namespace handlot::record {

/// Thrown inside the layer, turned into a Diagnostic at its wall.
struct SqliteFault {
  int code;
  std::string text;
};

class Statement {
 public:
  Statement(sqlite3* db, std::string_view sql);
  ~Statement() { sqlite3_finalize(statement_); }
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  Statement& bind(int at, std::string_view text);
  Statement& bind(int at, std::int64_t number);
  Statement& bind(int at, std::optional<double> number);
  Statement& bind_blob(int at, std::string_view bytes);

  bool step();  ///< true while there is a row
  void reset();

  std::string text(int column) const;
  std::int64_t integer(int column) const;
  std::optional<double> real(int column) const;

 private:
  sqlite3* db_;
  sqlite3_stmt* statement_ = nullptr;
};

void run(sqlite3* db, const char* sql);

/// Full disk, read-only folder, damage: each with its own code and mend.
Diagnostic in_words(const SqliteFault& fault, const std::filesystem::path& file);

}  // namespace handlot::record
