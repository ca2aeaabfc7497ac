#include <catch2/catch.hpp>

#include <sqlite3.h>
#include <sys/resource.h>

#include <csignal>
#include <filesystem>
#include <fstream>

#include "record/bench_hand.h"
#include "record/ledger.h"
#include "support/folder.h"

using namespace handlot::record;
using sample::Hand;
namespace fs = std::filesystem;

namespace {

std::vector<Event> some_lines(int n) {
  Hand hand;
  for (int i = 0; i < n; ++i) hand.write(Kind::note, 1, "solder", "", {}, "note " + std::to_string(i));
  return hand.lines;
}

Ledger open_new(const Folder& folder, const char* name = "record.db") {
  auto ledger = Ledger::open(folder.path / name, Ledger::Mode::write);
  REQUIRE(ledger);
  return std::move(*ledger);
}

std::string code_of(const handlot::Diagnostics& all) {
  return all.empty() ? "" : all[0].code;
}

}  // namespace

TEST_CASE("what is appended comes back the same", "[record][ledger]") {
  Folder folder;
  Hand hand;
  hand.done(1, "test");
  hand.write(Kind::value, 2, "test", "current", 20.125);
  {
    Ledger ledger = open_new(folder);
    const auto numbers = ledger.append(hand.lines);
    REQUIRE(numbers);
    CHECK(numbers->front() == 1);
  }
  Ledger ledger = open_new(folder);
  CHECK(*ledger.lines() == hand.lines);
  CHECK(ledger.last_stamp()->value() == hand.lines.back().at);
  CHECK(ledger.check().empty());
}

TEST_CASE("the same id is applied once, and with other words refused whole", "[record][ledger]") {
  Folder folder;
  Ledger ledger = open_new(folder);
  auto lines = some_lines(3);
  REQUIRE(ledger.append(lines));
  CHECK(*ledger.append(lines) == std::vector<std::int64_t>{1, 2, 3});
  CHECK(ledger.lines()->size() == 3);
  auto more = some_lines(4);
  more[1].text = "something else";
  CHECK(code_of(ledger.append(more).error()) == "record-id-clash");
  CHECK(ledger.lines()->size() == 3);
}

TEST_CASE("a record of version 1 is read as it is, and goes on", "[record][ledger]") {
  Folder folder;
  const auto file = folder.path / "record.db";
  auto lines = some_lines(3);
  {
    Ledger ledger = open_new(folder);
    REQUIRE(ledger.append(std::span(lines).first(2)));
  }
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, "ALTER TABLE event DROP COLUMN said; PRAGMA user_version=1", nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
  CHECK(Ledger::open(file, Ledger::Mode::read)->lines()->size() == 2);
  lines[2].said = "{}";
  Ledger ledger = open_new(folder);
  REQUIRE(ledger.append(lines));
  CHECK(*ledger.lines() == lines);
  CHECK(*Ledger::open(file, Ledger::Mode::read)->lines() == lines);
}

TEST_CASE("nobody changes or deletes a line, not even with SQL", "[record][ledger]") {
  Folder folder;
  {
    Ledger ledger = open_new(folder);
    REQUIRE(ledger.append(some_lines(2)));
  }
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open((folder.path / "record.db").c_str(), &db) == SQLITE_OK);
  CHECK(sqlite3_exec(db, "UPDATE event SET text = 'forged'", nullptr, nullptr, nullptr) == SQLITE_CONSTRAINT);
  CHECK(sqlite3_exec(db, "DELETE FROM event WHERE seq = 2", nullptr, nullptr, nullptr) == SQLITE_CONSTRAINT);
  sqlite3_close(db);
}

TEST_CASE("export is one file, import goes on from it", "[record][ledger]") {
  Folder folder;
  Ledger ledger = open_new(folder);
  auto lines = some_lines(3);
  lines[2].kind = Kind::photo;
  lines[2].item = "abc";
  REQUIRE(ledger.append(lines, std::vector<Photo>{{"abc", "image/png", std::string("\x89PNG\0x", 6)}}));
  REQUIRE(ledger.keep_screen({"hash", "phone", true, 5, false}));
  REQUIRE(ledger.export_to(folder.path / "out.db"));
  CHECK(code_of(ledger.export_to(folder.path / "out.db").error()) == "record-export");

  Ledger other = open_new(folder, "other.db");
  CHECK(*other.import_from(folder.path / "out.db") == 3);
  CHECK(*other.lines() == *ledger.lines());
  CHECK(other.photo("abc")->value().bytes.size() == 6);
  CHECK(other.screens()->empty());
  CHECK(*other.import_from(folder.path / "out.db") == 0);
  auto more = some_lines(4);
  more[3].text = "another way";
  REQUIRE(other.append(std::span(more).subspan(3)));
  CHECK(code_of(other.import_from(folder.path / "out.db").error()) == "record-not-a-continuation");
  CHECK(other.check().empty());
  CHECK(std::distance(fs::directory_iterator(folder.path), fs::directory_iterator()) ==
        7);  // no stray files beside out.db
}

TEST_CASE("a full disk is said, nothing is half written, and it goes on when there is room",
          "[record][ledger][errors]") {
  Folder folder;
  Ledger ledger = open_new(folder);
  REQUIRE(ledger.append(some_lines(2)));
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit old{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &old) == 0);
  const rlimit small{64 * 1024, old.rlim_max};
  REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
  std::string code;
  auto lines = some_lines(400);
  std::size_t written = 2;
  for (std::size_t i = 2; i < lines.size() && code.empty(); ++i) {
    lines[i].text = std::string(1500, 'x');
    auto ok = ledger.append(std::span(lines).subspan(i, 1));
    if (ok)
      ++written;
    else
      code = code_of(ok.error());
  }
  REQUIRE(setrlimit(RLIMIT_FSIZE, &old) == 0);
  CHECK(code == "record-disk-full");
  CHECK(written > 2);
  CHECK(ledger.lines()->size() == written);
  CHECK(ledger.check().empty());
  REQUIRE(ledger.append(std::span(lines).subspan(written, 1)));
  CHECK(ledger.lines()->size() == written + 1);
  CHECK(ledger.check().empty());
}

TEST_CASE("files that are no record are left alone", "[record][ledger][errors]") {
  Folder folder;
  std::ofstream(folder.path / "text.db")
      << "this is not a data base, it is a text that is long enough to be one";
  CHECK(code_of(Ledger::open(folder.path / "text.db", Ledger::Mode::write).error()) == "record-not-ours");
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open((folder.path / "other.db").c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, "CREATE TABLE mine(x)", nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
  CHECK(code_of(Ledger::open(folder.path / "other.db", Ledger::Mode::write).error()) == "record-not-ours");
  { open_new(folder, "later.db"); }
  REQUIRE(sqlite3_open((folder.path / "later.db").c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, "PRAGMA user_version=3", nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
  CHECK(code_of(Ledger::open(folder.path / "later.db", Ledger::Mode::write).error()) ==
        "record-later-version");
  CHECK(code_of(Ledger::open(folder.path / "missing.db", Ledger::Mode::read).error()) == "record-open");
  CHECK(code_of(Ledger::open(folder.path / "no-folder" / "r.db", Ledger::Mode::write).error()) ==
        "record-open");
}

TEST_CASE("a damaged file is said to be damaged", "[record][ledger][errors]") {
  Folder folder;
  {
    Ledger ledger = open_new(folder);
    REQUIRE(ledger.append(some_lines(300)));
  }
  {
    std::fstream file(folder.path / "record.db", std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(12 * 4096 + 8);
    for (int i = 0; i < 3000; ++i) file.put('\x5a');
  }
  auto ledger = Ledger::open(folder.path / "record.db", Ledger::Mode::write);
  REQUIRE(ledger);
  CHECK(code_of(ledger->check()) == "record-damaged");
}

TEST_CASE("a record in a folder that cannot be written is read, and refuses new lines",
          "[record][ledger][errors]") {
  Folder folder;
  {
    Ledger ledger = open_new(folder, "a%b?c.db");
    REQUIRE(ledger.append(some_lines(2)));
  }
  auto ledger = Ledger::open(folder.path / "a%b?c.db", Ledger::Mode::read);
  REQUIRE(ledger);
  CHECK(ledger->lines()->size() == 2);
  CHECK(code_of(ledger->append(some_lines(3)).error()) == "record-read-only");
}

TEST_CASE("the clock goes on from the last beat", "[record][ledger]") {
  Folder folder;
  Ledger ledger = open_new(folder);
  CHECK_FALSE(ledger.last_stamp()->has_value());
  REQUIRE(ledger.append(some_lines(1)));
  const Stamp beat{"boot-1", 90'000, 90'000, 1'795'075'290'000};
  REQUIRE(ledger.beat(beat));
  CHECK(ledger.last_stamp()->value() == beat);
}
