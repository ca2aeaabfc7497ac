// station_use.h: whether a step takes places of the station that it names.
#pragma once

#include "job/job.h"

namespace handlot::job {

/// A jar of paste stands in nobody's way while it warms; all else takes its place from begin to end.
inline bool takes_its_station(const Step& step) { return !step.station.empty() && step.process.text != "warm-paste"; }

}  // namespace handlot::job
