// report.h: what was done: per unit, per step, times against plan, yield. For `handlot record` and the record
// page.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "calendar/zone.h"
#include "plan/plan.h"
#include "record/state.h"
#include "record/times.h"

namespace handlot::record {

struct StepYield {
  StepId step;
  int tried = 0;       ///< units that got there
  int first_time = 0;  ///< of those: right the first time, no rework, no scrap, no value outside its limits
};

/// Units that went through every step, or were lost: of those, right at every step the first time.
struct Through {
  int units = 0;
  int first_time = 0;
};

/// A step of a unit, as it was done: when, by the shop's clock, with its values and words.
struct Deed {
  StepId step;
  std::string words;  ///< "done Mon 30 Nov 2026 10:21; current at 5 V: 50 mA (40 to 60 mA); note: ..."
};

struct UnitLine {
  int unit = 0;
  std::string serial;
  bool scrapped = false;
  std::string scrapped_because;
  int done = 0;
  int steps = 0;
  int reworks = 0;
  std::string plan;
  std::vector<std::string> against;  ///< done against a link or limit, with every reason of the builder
  std::vector<std::string> again;    ///< to be done again, and why
  std::vector<Deed> deeds;           ///< in plan order; steps of the whole lot with each unit
};

struct Report {
  std::vector<UnitLine> units;
  std::vector<StepYield> yields;  ///< plan order, steps nobody tried left out
  Through through;
  std::vector<StepTimes> times;
  std::vector<std::string> open_notes;
  std::vector<std::string> gone;  ///< written down of steps and units that the job has no more
  std::int64_t lines = 0;
  std::int64_t struck = 0;
};

Report report(const plan::Plan& plan, const State& state);

/// A lot of a material that went into a unit.
struct UnitLot {
  std::string material;  ///< its name
  std::string lot;
  std::optional<std::int64_t> opened_wall_ms;  ///< empty: named by the job file
  bool operator==(const UnitLot&) const = default;
};

/// The lots that were open when the unit went through a step that uses them, and those written down as used for it. What
/// was opened later it never saw.
std::vector<UnitLot> lots_of_unit(const plan::Plan& plan, const State& state, std::span<const Event> lines, int unit);

/// For a terminal. No percentages under kFewest: "3 of 4".
std::string text(const Report& report, const plan::Plan& plan);
/// One JSON document: the report, and every line of the record as it stands, struck ones marked; each with the local time,
/// a value with its unit and limit.
std::string json(const Report& report, const plan::Plan& plan, const State& state,
                 std::span<const Event> lines);

/// "Tue 1 Dec 2026 08:30": for what is read years later.
std::string dated(std::int64_t wall_ms, const calendar::Zone& zone);

/// "9 of 10 (90 %)", or "3 of 4" where the numbers are too few.
std::string share(int part, int whole);

}  // namespace handlot::record
