// ledger.h: the record as a file. One SQLite database, lines added and never changed, photos beside them.
//
// An appended line is on the disk when append() returns: write-ahead log, synchronous=FULL. The database
// itself refuses to change or delete a line (triggers), whoever asks.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "record/event.h"

namespace handlot::record {

/// Bytes that go with a line, kept under its `item`: a photo, or the times of a plan.
struct Photo {
  std::string name;  ///< SHA-256 of the bytes, hex; of a plan its own hash
  std::string type;  ///< "image/jpeg", "image/png", "image/webp"
  std::string bytes;
};

/// A paired screen. Only a hash of its token is kept.
struct Screen {
  std::string token_hash;
  std::string label;
  bool may_write = false;
  std::int64_t wall_ms = 0;
  bool withdrawn = false;
};

class Ledger {
 public:
  enum class Mode {
    write,  ///< made when it is missing
    read    ///< must exist; works in a folder that cannot be written
  };

  /// Errors  record-open, record-folder, record-not-ours, record-later-version, record-damaged, record-read-only
  static Result<Ledger> open(const std::filesystem::path& file, Mode mode);

  Ledger(Ledger&&) noexcept;
  Ledger& operator=(Ledger&&) noexcept;
  ~Ledger();

  /// Adds all or none, in one transaction; returns their sequence numbers. A line whose id is there already
  /// with the same words is not added again: its old number comes back. Errors  record-id-clash,
  /// record-disk-full, record-read-only, record-write
  Result<std::vector<std::int64_t>> append(std::span<const Event> lines, std::span<const Photo> photos = {});

  /// All lines by sequence. `from` leaves out those before it.
  Result<std::vector<Event>> lines(std::int64_t from = 1) const;
  Result<std::optional<Photo>> photo(const std::string& name) const;

  /// Where the record's clock stood last: the last line or the last beat, whichever is later.
  Result<std::optional<Stamp>> last_stamp() const;
  /// Remembers the clock between lines. Not synced: a lost beat only makes a gap look longer.
  Result<void> beat(const Stamp& at);

  Result<std::vector<Screen>> screens() const;
  Result<void> keep_screen(const Screen& screen);

  /// One file with every line and photo, without the paired screens. Never overwrites.
  /// Errors  record-export
  Result<void> export_to(const std::filesystem::path& file) const;

  /// Takes the lines of an exported file that this record has not yet. This record must be the beginning of
  /// that one. Returns the number of lines taken. Errors  record-import, record-not-a-continuation, and those
  /// of open()
  Result<std::int64_t> import_from(const std::filesystem::path& file);

  /// Database check, no missing number, every photo that a line names is there. Empty when all is well.
  Diagnostics check() const;

  const std::filesystem::path& file() const;

 private:
  struct Inside;
  explicit Ledger(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

}  // namespace handlot::record
