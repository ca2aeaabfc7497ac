// taken.h: the times of a plan that was taken at the bench, as text in the record, so that they outlive the
// program.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "plan/schedule.h"

namespace handlot::bench {

/// JSON. `job_plan` is the hash of the plan that the job gives: these times belong to its steps only.
std::string text_of(const plan::Schedule& schedule, const std::string& job_plan);

/// What text_of() wrote. Empty for the times of another plan, and for anything else.
std::optional<plan::Schedule> schedule_of(std::string_view text, const std::string& job_plan);

inline constexpr const char* kTakenType = "application/vnd.handlot.schedule+json";

}  // namespace handlot::bench
