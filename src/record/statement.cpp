#include "record/statement.h"

#include <fmt/format.h>

namespace handlot::record {
namespace {

[[noreturn]] void raise(sqlite3* db, int code) {
  throw SqliteFault{code, db ? sqlite3_errmsg(db) : "out of memory"};
}

void must(sqlite3* db, int code) {
  if (code != SQLITE_OK) raise(db, code);
}

}  // namespace

Statement::Statement(sqlite3* db, std::string_view sql) : db_(db) {
  must(db, sqlite3_prepare_v2(db, sql.data(), static_cast<int>(sql.size()), &statement_, nullptr));
}

Statement& Statement::bind(int at, std::string_view text) {
  must(db_, sqlite3_bind_text64(statement_, at, text.data() ? text.data() : "", text.size(), SQLITE_TRANSIENT,
                                SQLITE_UTF8));
  return *this;
}

Statement& Statement::bind(int at, std::int64_t number) {
  must(db_, sqlite3_bind_int64(statement_, at, number));
  return *this;
}

Statement& Statement::bind(int at, std::optional<double> number) {
  must(db_, number ? sqlite3_bind_double(statement_, at, *number) : sqlite3_bind_null(statement_, at));
  return *this;
}

Statement& Statement::bind_blob(int at, std::string_view bytes) {
  must(db_, sqlite3_bind_blob64(statement_, at, bytes.data(), bytes.size(), SQLITE_TRANSIENT));
  return *this;
}

bool Statement::step() {
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  raise(db_, sqlite3_extended_errcode(db_));
}

void Statement::reset() {
  sqlite3_reset(statement_);
  sqlite3_clear_bindings(statement_);
}

std::string Statement::text(int column) const {
  const void* bytes = sqlite3_column_blob(statement_, column);
  const int size = sqlite3_column_bytes(statement_, column);
  if (!bytes) return {};
  return std::string(static_cast<const char*>(bytes), static_cast<std::size_t>(size));
}

std::int64_t Statement::integer(int column) const {
  return sqlite3_column_int64(statement_, column);
}

std::optional<double> Statement::real(int column) const {
  if (sqlite3_column_type(statement_, column) == SQLITE_NULL) return std::nullopt;
  return sqlite3_column_double(statement_, column);
}

void run(sqlite3* db, const char* sql) {
  if (sqlite3_exec(db, sql, nullptr, nullptr, nullptr) != SQLITE_OK) raise(db, sqlite3_extended_errcode(db));
}

Diagnostic in_words(const SqliteFault& fault, const std::filesystem::path& file) {
  const Place place{file.string(), 0, 0};
  switch (fault.code & 0xFF) {
    case SQLITE_FULL:
      return error("record-disk-full", place, "the disk is full: nothing was written",
                   "make room on the disk; the page keeps what was ticked");
    case SQLITE_READONLY:
    case SQLITE_PERM:
      return error(
          "record-read-only", place, "the record cannot be written here",
          "give this account the right to write the folder of the record; the page keeps what was ticked");
    case SQLITE_CANTOPEN:
      return error("record-open", place, "the record cannot be opened",
                   "see that the folder exists and may be read and written");
    case SQLITE_NOTADB:
      return error("record-not-ours", place, "this file is not a record of handlot",
                   "name another file, or move this one away");
    case SQLITE_CORRUPT:
      return error("record-damaged", place, fmt::format("the record is damaged: {}", fault.text),
                   "keep the file as it is, and go on from the last export");
    case SQLITE_IOERR:
      return error("record-disk-full", place, "the disk does not take the line: nothing was written",
                   "see whether the disk is full or worn; the page keeps what was ticked");
    default:
      return error("record-write", place, fmt::format("the record answers: {}", fault.text),
                   "try again; if it stays so, keep a copy of the file and report it");
  }
}

}  // namespace handlot::record
