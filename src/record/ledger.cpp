#include "record/ledger.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>

#include "record/statement.h"

namespace handlot::record {
namespace {

constexpr int kApplicationId = 0x68646C74;  // "hdlt"
constexpr int kVersion = 2;  // 2: lines keep what the plan said of them

constexpr const char* kSchema = R"sql(
  CREATE TABLE event(
    seq INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, unit INTEGER NOT NULL, step TEXT NOT NULL,
    item TEXT NOT NULL, text TEXT NOT NULL, value REAL, target TEXT NOT NULL, plan TEXT NOT NULL, screen TEXT NOT NULL,
    boot TEXT NOT NULL, boot_ms INTEGER NOT NULL, ran_ms INTEGER NOT NULL, wall_ms INTEGER NOT NULL,
    said TEXT NOT NULL DEFAULT '') STRICT;
  CREATE TABLE photo(name TEXT PRIMARY KEY, type TEXT NOT NULL, bytes BLOB NOT NULL) STRICT;
  CREATE TABLE beat(one INTEGER PRIMARY KEY CHECK(one = 1), boot TEXT NOT NULL, boot_ms INTEGER NOT NULL,
    ran_ms INTEGER NOT NULL, wall_ms INTEGER NOT NULL) STRICT;
  CREATE TABLE screen(token_hash TEXT PRIMARY KEY, label TEXT NOT NULL, may_write INTEGER NOT NULL,
    wall_ms INTEGER NOT NULL, withdrawn INTEGER NOT NULL) STRICT;
  CREATE TRIGGER event_stays BEFORE UPDATE ON event BEGIN SELECT RAISE(ABORT, 'a line is never changed'); END;
  CREATE TRIGGER event_keeps BEFORE DELETE ON event BEGIN SELECT RAISE(ABORT, 'a line is never deleted'); END;
  CREATE TRIGGER photo_stays BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
  CREATE TRIGGER photo_keeps BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'a photo is never deleted'); END;
)sql";

constexpr std::string_view kColumns =
    "seq, id, kind, unit, step, item, text, value, target, plan, screen, boot, boot_ms, ran_ms, wall_ms, said";
/// Of a record of version 1 that may only be read.
constexpr std::string_view kOldColumns =
    "seq, id, kind, unit, step, item, text, value, target, plan, screen, boot, boot_ms, ran_ms, wall_ms, ''";

/// A path as SQLite's URI names want it (RFC 3986: '%', '?' and '#' mean something there).
std::string uri(const std::filesystem::path& file, std::string_view query) {
  std::string out = "file:";
  for (const char c : std::filesystem::absolute(file).string())
    out += c == '%' ? "%25" : c == '?' ? "%3f" : c == '#' ? "%23" : std::string(1, c);
  return out.append(query);
}

std::int64_t pragma(sqlite3* db, const char* sql) {
  Statement statement(db, sql);
  return statement.step() ? statement.integer(0) : 0;
}

Event read_event(const Statement& row) {
  Event e;
  e.seq = row.integer(0);
  e.id = row.text(1);
  const auto kind = kind_of(row.text(2));
  if (!kind)
    throw SqliteFault{SQLITE_CORRUPT,
                      fmt::format("line {} is of a kind '{}' unknown here", e.seq, row.text(2))};
  e.kind = *kind;
  e.unit = static_cast<int>(row.integer(3));
  e.step = StepId(row.text(4));
  e.item = row.text(5);
  e.text = row.text(6);
  e.value = row.real(7);
  e.target = row.text(8);
  e.plan = row.text(9);
  e.screen = row.text(10);
  e.at = {row.text(11), row.integer(12), row.integer(13), row.integer(14)};
  e.said = row.text(15);
  return e;
}

/// Rolls back unless told that all went well.
class Transaction {
 public:
  explicit Transaction(sqlite3* db) : db_(db) { run(db, "BEGIN IMMEDIATE"); }
  ~Transaction() {
    if (!done_) sqlite3_exec(db_, "ROLLBACK", nullptr, nullptr, nullptr);
  }
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit() {
    run(db_, "COMMIT");
    done_ = true;
  }

 private:
  sqlite3* db_;
  bool done_ = false;
};

std::optional<Event> by_id(sqlite3* db, const std::string& id) {
  Statement find(db, fmt::format("SELECT {} FROM event WHERE id = ?", kColumns));
  find.bind(1, id);
  if (!find.step()) return std::nullopt;
  return read_event(find);
}

void insert(sqlite3* db, std::int64_t seq, const Event& e) {
  Statement add(db, fmt::format("INSERT INTO event({}) VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)", kColumns));
  add.bind(1, seq).bind(2, e.id).bind(3, word(e.kind)).bind(4, std::int64_t{e.unit}).bind(5, e.step.text);
  add.bind(6, e.item).bind(7, e.text).bind(8, e.value).bind(9, e.target).bind(10, e.plan).bind(11, e.screen);
  add.bind(12, e.at.boot).bind(13, e.at.boot_ms).bind(14, e.at.ran_ms).bind(15, e.at.wall_ms);
  add.bind(16, e.said);
  add.step();
}

void insert(sqlite3* db, const Photo& photo) {
  Statement add(db, "INSERT OR IGNORE INTO photo(name, type, bytes) VALUES(?,?,?)");
  add.bind(1, photo.name).bind(2, photo.type).bind_blob(3, photo.bytes);
  add.step();
}

}  // namespace

struct Ledger::Inside {
  std::filesystem::path file;
  sqlite3* db = nullptr;
  ~Inside() { sqlite3_close_v2(db); }

  /// Every call that touches SQLite goes through here: its faults become words.
  template <class Work>
  auto guarded(Work work) const -> Result<decltype(work())> {
    try {
      if constexpr (std::is_void_v<decltype(work())>) {
        work();
        return {};
      } else {
        return work();
      }
    } catch (const SqliteFault& fault) {
      return fail(in_words(fault, file));
    }
  }

  void open(Mode mode);
  void make_or_recognise(Mode mode);
};

void Ledger::Inside::open(Mode mode) {
  const int flags = mode == Mode::write ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE : SQLITE_OPEN_READONLY;
  std::error_code ignored;
  // A record in a folder that cannot be written has no log beside it to read: then it may be read as it lies.
  const bool lies_still = mode == Mode::read && !std::filesystem::exists(file.string() + "-wal", ignored);
  const std::string name = uri(file, lies_still ? "?immutable=1" : "");
  const int code = sqlite3_open_v2(name.c_str(), &db, flags | SQLITE_OPEN_URI, nullptr);
  if (code != SQLITE_OK) throw SqliteFault{code, db ? sqlite3_errmsg(db) : "out of memory"};
  sqlite3_extended_result_codes(db, 1);
  sqlite3_busy_timeout(db, 2000);
  run(db, "PRAGMA trusted_schema=OFF; PRAGMA cell_size_check=ON; PRAGMA foreign_keys=ON");
  make_or_recognise(mode);
  if (mode == Mode::write)
    run(db, "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA wal_autocheckpoint=400");
}

void Ledger::Inside::make_or_recognise(Mode mode) {
  const auto tables = pragma(db, "SELECT count(*) FROM sqlite_master");
  if (tables == 0 && mode == Mode::write) {
    Transaction all(db);
    run(db, kSchema);
    run(db,
        fmt::format("PRAGMA application_id={}; PRAGMA user_version={}", kApplicationId, kVersion).c_str());
    all.commit();
    return;
  }
  if (pragma(db, "PRAGMA application_id") != kApplicationId)
    throw SqliteFault{SQLITE_NOTADB, "another program's file"};
  if (mode == Mode::write && pragma(db, "PRAGMA user_version") == 1) {
    Transaction all(db);
    run(db, "ALTER TABLE event ADD COLUMN said TEXT NOT NULL DEFAULT ''; PRAGMA user_version=2");
    all.commit();
  }
}

Ledger::Ledger(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Ledger::Ledger(Ledger&&) noexcept = default;
Ledger& Ledger::operator=(Ledger&&) noexcept = default;
Ledger::~Ledger() = default;
const std::filesystem::path& Ledger::file() const {
  return inside_->file;
}

Result<Ledger> Ledger::open(const std::filesystem::path& file, Mode mode) {
  if (std::error_code ignored; std::filesystem::is_directory(file, ignored))
    return fail(error("record-folder", {file.string(), 0, 0}, "this is a folder, and a record is one file",
                      "name the file in it, such as lot.db"));
  auto inside = std::make_unique<Inside>();
  inside->file = file;
  auto opened = inside->guarded([&] { inside->open(mode); });
  if (!opened) return fail(opened.error());
  const auto version = inside->guarded([&] { return pragma(inside->db, "PRAGMA user_version"); });
  if (!version) return fail(version.error());
  if (*version > kVersion)
    return fail(
        error("record-later-version", {file.string(), 0, 0},
              fmt::format("the record is of version {}, this program reads version {}", *version, kVersion),
              "use the later program"));
  return Ledger(std::move(inside));
}

Result<std::vector<std::int64_t>> Ledger::append(std::span<const Event> lines,
                                                 std::span<const Photo> photos) {
  sqlite3* db = inside_->db;
  std::string clash;
  auto done = inside_->guarded([&] {
    std::vector<std::int64_t> numbers;
    Transaction all(db);
    std::int64_t next = pragma(db, "SELECT coalesce(max(seq), 0) + 1 FROM event");
    for (const Photo& photo : photos) insert(db, photo);
    for (const Event& line : lines) {
      if (const auto old = by_id(db, line.id)) {
        if (!same_words(*old, line)) clash = line.id;
        numbers.push_back(old->seq);
        continue;
      }
      insert(db, next, line);
      numbers.push_back(next++);
    }
    if (clash.empty()) all.commit();
    return numbers;
  });
  if (done && !clash.empty())
    return fail(error("record-id-clash", {},
                      fmt::format("line '{}' is in the record with other words", clash),
                      "send it under an id of its own"));
  return done;
}

Result<std::vector<Event>> Ledger::lines(std::int64_t from) const {
  return inside_->guarded([&] {
    std::vector<Event> out;
    // Room for all at once: lines are large, and growing by steps would move each of them.
    if (from == 1) out.reserve(static_cast<std::size_t>(pragma(inside_->db, "SELECT count(*) FROM event")));
    const auto columns = pragma(inside_->db, "PRAGMA user_version") < kVersion ? kOldColumns : kColumns;
    Statement rows(inside_->db, fmt::format("SELECT {} FROM event WHERE seq >= ? ORDER BY seq", columns));
    rows.bind(1, from);
    while (rows.step()) out.push_back(read_event(rows));
    return out;
  });
}

Result<std::optional<Photo>> Ledger::photo(const std::string& name) const {
  return inside_->guarded([&]() -> std::optional<Photo> {
    Statement row(inside_->db, "SELECT name, type, bytes FROM photo WHERE name = ?");
    row.bind(1, name);
    if (!row.step()) return std::nullopt;
    return Photo{row.text(0), row.text(1), row.text(2)};
  });
}

Result<std::optional<Stamp>> Ledger::last_stamp() const {
  return inside_->guarded([&]() -> std::optional<Stamp> {
    Statement row(inside_->db,
                  "SELECT boot, boot_ms, ran_ms, wall_ms FROM (SELECT boot, boot_ms, ran_ms, wall_ms, 1 AS "
                  "late FROM beat "
                  "UNION ALL SELECT * FROM (SELECT boot, boot_ms, ran_ms, wall_ms, 0 FROM event ORDER BY seq "
                  "DESC LIMIT 1)) "
                  "ORDER BY ran_ms DESC, late DESC LIMIT 1");
    if (!row.step()) return std::nullopt;
    return Stamp{row.text(0), row.integer(1), row.integer(2), row.integer(3)};
  });
}

Result<void> Ledger::beat(const Stamp& at) {
  return inside_->guarded([&] {
    run(inside_->db, "PRAGMA synchronous=NORMAL");
    {
      Statement put(inside_->db,
                    "INSERT OR REPLACE INTO beat(one, boot, boot_ms, ran_ms, wall_ms) VALUES(1,?,?,?,?)");
      put.bind(1, at.boot).bind(2, at.boot_ms).bind(3, at.ran_ms).bind(4, at.wall_ms);
      try {
        put.step();
      } catch (...) {
        sqlite3_exec(inside_->db, "PRAGMA synchronous=FULL", nullptr, nullptr, nullptr);
        throw;
      }
    }
    run(inside_->db, "PRAGMA synchronous=FULL");
  });
}

Result<std::vector<Screen>> Ledger::screens() const {
  return inside_->guarded([&] {
    std::vector<Screen> out;
    Statement rows(
        inside_->db,
        "SELECT token_hash, label, may_write, wall_ms, withdrawn FROM screen ORDER BY wall_ms, token_hash");
    while (rows.step())
      out.push_back(
          {rows.text(0), rows.text(1), rows.integer(2) != 0, rows.integer(3), rows.integer(4) != 0});
    return out;
  });
}

Result<void> Ledger::keep_screen(const Screen& screen) {
  return inside_->guarded([&] {
    Statement put(
        inside_->db,
        "INSERT OR REPLACE INTO screen(token_hash, label, may_write, wall_ms, withdrawn) VALUES(?,?,?,?,?)");
    put.bind(1, screen.token_hash).bind(2, screen.label).bind(3, std::int64_t{screen.may_write});
    put.bind(4, screen.wall_ms).bind(5, std::int64_t{screen.withdrawn});
    put.step();
  });
}

Result<void> Ledger::export_to(const std::filesystem::path& file) const {
  std::error_code ignored;
  if (std::filesystem::exists(file, ignored))
    return fail(
        error("record-export", {file.string(), 0, 0}, "there is a file of that name", "name a new file"));
  Inside other;
  other.file = file;
  auto copied = other.guarded([&] {
    Statement copy(inside_->db, "VACUUM INTO ?");
    copy.bind(1, file.string());
    copy.step();
  });
  if (!copied && copied.error().front().code != "record-disk-full")
    return fail(error("record-export", {file.string(), 0, 0}, "no file can be written there",
                      "name a file in a folder that is there and may be written"));
  if (!copied) return copied;
  return other.guarded([&] {
    other.open(Mode::write);
    run(other.db, "PRAGMA secure_delete=ON; DELETE FROM screen; VACUUM; PRAGMA journal_mode=DELETE");
  });
}

Result<std::int64_t> Ledger::import_from(const std::filesystem::path& file) {
  auto theirs = Ledger::open(file, Mode::read);
  if (!theirs) return fail(theirs.error());
  const auto ours_lines = lines();
  const auto their_lines = theirs->lines();
  if (!ours_lines) return fail(ours_lines.error());
  if (!their_lines) return fail(their_lines.error());
  const auto& a = *ours_lines;
  const auto& b = *their_lines;
  if (a.size() > b.size() || !std::equal(a.begin(), a.end(), b.begin()))
    return fail(error("record-not-a-continuation", {file.string(), 0, 0},
                      "the two records went different ways: one of them would lose lines",
                      "import into a folder without a record, and keep both"));
  std::vector<Photo> photos;
  for (auto line = b.begin() + static_cast<std::ptrdiff_t>(a.size()); line != b.end(); ++line) {
    if (line->kind != Kind::photo && line->kind != Kind::plan) continue;
    auto photo = theirs->photo(line->item);
    if (photo && *photo) photos.push_back(**photo);
  }
  const std::span<const Event> news(b.begin() + static_cast<std::ptrdiff_t>(a.size()), b.end());
  auto taken = append(news, photos);
  if (!taken) return fail(taken.error());
  return static_cast<std::int64_t>(taken->size());
}

Diagnostics Ledger::check() const {
  Diagnostics out;
  const Place place{inside_->file.string(), 0, 0};
  const auto damaged = [&](std::string text) {
    out.push_back(error("record-damaged", place, std::move(text),
                        "keep the file as it is, and go on from the last export"));
  };
  auto looked = inside_->guarded([&] {
    Statement integrity(inside_->db, "PRAGMA integrity_check");
    while (integrity.step())
      if (integrity.text(0) != "ok") damaged(integrity.text(0));
    if (pragma(inside_->db, "SELECT count(*) FROM event") !=
        pragma(inside_->db, "SELECT coalesce(max(seq), 0) FROM event"))
      damaged("a line is missing: the numbers are not one after the other");
    Statement photos(inside_->db,
                     "SELECT seq FROM event WHERE kind = 'photo' AND item NOT IN (SELECT name FROM photo)");
    while (photos.step()) damaged(fmt::format("the photo of line {} is missing", photos.integer(0)));
  });
  if (!looked) out.insert(out.end(), looked.error().begin(), looked.error().end());
  return out;
}

}  // namespace handlot::record
