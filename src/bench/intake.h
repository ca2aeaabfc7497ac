// intake.h: what a form of the page says, as lines for the record.
#pragma once

#include <string>
#include <vector>

#include "bench/wire.h"
#include "core/diagnostic.h"
#include "plan/plan.h"
#include "record/event.h"
#include "record/state.h"

namespace handlot::bench {

/// Fields: id, act (a kind of record, or "undo", "correct", "other-unit": the pass that the line `target` is of was `unit`'s), step, unit or units ("1,2,5" or "1-4"), item,
/// value, text, target. Several units give several lines with ids "id.1", "id.2"..., all of them or none. A
/// value is read with '.' or ',' as decimal mark, never both. age: seconds since the touch, by the clock of its page; it
/// becomes the value of a line that may be kept. Errors  bench-form, each with what was written
Result<std::vector<record::Event>> lines_of_form(const Request& request, const std::string& screen,
                                                 const record::State& state,
                                                 const std::vector<record::Event>& lines);

/// "1,2,5-7" as units. Errors  bench-form
Result<std::vector<int>> read_units(const std::string& text, int lot);
/// "0,35" or "0.35". Errors  bench-form
Result<double> read_value(const std::string& text);
/// Where to go after a form: a path of this bench, or "/".
std::string safe_back(const std::string& path);

}  // namespace handlot::bench
