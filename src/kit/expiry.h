// expiry.h: dates as people write them on jars and in shelf lists.
#pragma once

#include <string>

namespace handlot::kit {

/// "2027-03-31" for what can be read in one way only: "2027-03-31T12:00", "31.12.2025", "31/12/2025", "20251231", "31 Dec 2025",
/// "Dec 31, 2025"; a month ("2025-12", "12/2025", "Dec 2025") is good to its last day [practice].
///
/// Returns  empty for anything else: "03/04/2027" is a day in March or in April, "25" no year.
std::string day_of(std::string text);

}  // namespace handlot::kit
