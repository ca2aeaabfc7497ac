// said.h: what the plan said when a line was written, kept with the line: a job file that is edited later changes nothing
// of what was ticked, measured and named then.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "core/diagnostic.h"
#include "plan/plan.h"
#include "record/event.h"

namespace handlot::record {

/// A check as it was asked.
struct Asked {
  std::string what;
  std::string limit;  ///< in words; empty: none
  std::string unit;
  std::optional<double> low;
  std::optional<double> high;

  bool holds(double value) const { return (!low || value >= *low) && (!high || value <= *high); }
  bool operator==(const Asked&) const = default;
};
Asked asked(const plan::Check& check);

/// For Event::said: the check of a tick or a value, start and serials of the lot with a plan; empty for other kinds.
std::string said_by(const plan::Plan& plan, const Event& line);

/// The check that a tick or a value was given to. Empty: a line from before this was kept.
std::optional<Asked> asked(const Event& line);

/// The check of today's step that the line answers. One that the job file gives no id is known by its words, for it is
/// counted through. Null: the step asks nothing like it any more.
const plan::Check* check_meant(const plan::Step& step, const Event& line);

/// The lot that the plan builds is another than the record's: a unit has another serial now, units with work in the record
/// are gone, or the start is another where that alone tells two lots apart.
///
/// Errors  record-other-lot
Diagnostics other_lot(const plan::Plan& plan, std::span<const Event> lines);

/// Nothing was done yet, and the record names another lot than the plan, or none: its name is still to be given.
bool is_unnamed(const plan::Plan& plan, std::span<const Event> lines);

/// The plan with the serials that the record gives its units.
plan::Plan with_serials_of(plan::Plan plan, std::span<const Event> lines);

}  // namespace handlot::record
