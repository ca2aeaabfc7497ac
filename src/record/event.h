// event.h: one line of the record. Lines are added and never changed; what holds now is worked out from them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/id.h"

namespace handlot::record {

enum class Kind {
  start,       ///< hands begin the step; `value` of this and the next two = seconds that the touch was kept
  leave,       ///< hands are free, the step runs on unattended
  done,        ///< the step is finished; `text` = why it was done against a link or a limit
  tick,        ///< a check seen to be right: `item` = check id
  value,       ///< a check measured: `item` = check id, `value`
  photo,       ///< `item` = name of the photo in the record
  note,        ///< `text`
  scrap,       ///< the unit is out of the lot: `text` = why
  rework,      ///< the step must be done again: `text` = fault, place and what is to be done; `item`: see kReached
  lot_opened,  ///< `item` = material card, `text` = its lot number
  lot_used,    ///< `item` = material card, `text` = lot number, `value` = amount; unit and step say where
  correction,  ///< strikes the line `target` through: `text` = why
  heard,       ///< an alarm is stopped: `item` = timer, `value` = seconds until it sounds again (0 = never)
  pause,       ///< the builder leaves the bench
  resume,      ///< and is back
  plan,        ///< from here the plan is `item` (hash), `text` = revision: for one unit, or 0 = all
  clock,       ///< the clock jumped, or the machine was off: `value` = seconds by its own word
  settled,     ///< the builder says how long the open clock gaps really were: `value` = seconds
  times,       ///< `value` = seconds a unit that the builder agrees to plan this step with
  away         ///< `item` = resource, not to be had for `value` seconds from now
};

/// The word that stands in the file: "lot-opened".
std::string_view word(Kind kind);
std::optional<Kind> kind_of(std::string_view word);

/// When a line was written.
///
/// Units  milliseconds. `ran_ms` is the record's own clock: it counts only time that the machine has seen go
/// by
///        (suspended counts, switched off does not). `wall_ms` is what the wall clock said, since 1970, UTC.
///        `boot` and `boot_ms` let the next start of the program go on counting. See
///        docs/why/2026-11-25-bench-clock.md.
struct Stamp {
  std::string boot;
  std::int64_t boot_ms = 0;
  std::int64_t ran_ms = 0;
  std::int64_t wall_ms = 0;

  auto operator<=>(const Stamp&) const = default;
};

struct Event {
  std::int64_t seq = 0;  ///< given by the ledger: 1, 2, 3...
  std::string
      id;  ///< given by the sender: 8 to 64 letters, digits, '-', '_', '.'; the same id is applied once
  Kind kind = Kind::note;
  int unit = 0;  ///< from 1; 0 = the whole lot
  StepId step;   ///< empty where none is meant
  std::string item;
  std::string text;
  std::optional<double> value;
  std::string target;  ///< id of the line meant (correction), or of the struck line that it stands in for, see meant.h
  std::string plan;    ///< hash of the plan the builder had in hand
  std::string screen;  ///< which screen it came from
  std::string said;    ///< what the plan said of it then, see said.h; given by the bench, empty in old records
  Stamp at;

  bool operator==(const Event&) const = default;
};

/// The lines that a wait can begin or end with. Made without a connection they come in late: `value` then says by how many
/// seconds, as the screen's own clock counted them.
bool may_be_kept(Kind kind);

/// No words at all: empty, or nothing but blanks.
bool is_blank(std::string_view text);

/// True when both say the same, whenever they were written or came in: the test for "this one is applied already".
bool same_words(const Event& a, const Event& b);

/// Wrong form of an event: id, lengths, control characters, missing words, missing or impossible value. Says nothing of whether it fits
/// the state. Errors  record-event-id, record-event-text, record-event-value, record-event-unit
Diagnostics faults_of_form(const Event& event);

inline constexpr std::size_t kLongestText = 2000;  ///< bytes
inline constexpr std::size_t kLongestItem = 200;

}  // namespace handlot::record
