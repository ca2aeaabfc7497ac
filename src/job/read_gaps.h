// read_gaps.h: the elements that speak of places in the device: cables, asked gaps, fits, spots of tools. Private to the
// reader.
#pragma once

#include <array>
#include <string>

#include "input/xml.h"
#include "job/job.h"

namespace handlot::job {

/// Three numbers and one unit: "0 0 12.5 mm". Left as it is when the attribute is absent.
/// Errors   place-bad.
void read_three(input::Take& take, const char* attribute, const std::string& unit, std::array<double, 3>& into);

/// An axis by name ("x", "-z"), or three numbers that are not all zero. Left as it is when the attribute is absent.
/// Errors   direction-bad.
void read_direction(input::Take& take, const char* attribute, std::array<double, 3>& into);

/// Errors   cable-way: one point only, or two in a row at the same place.
Cable read_cable(const input::Element& element, Diagnostics& faults);
Clearance read_clearance(const input::Element& element, Diagnostics& faults);
/// Errors   fit-unsaid: neither a class nor a play, or both.
Fit read_fit(const input::Element& element, Diagnostics& faults);
/// Errors   direction-bad.
ToolUse read_tool(const input::Element& element, Diagnostics& faults);

}  // namespace handlot::job
