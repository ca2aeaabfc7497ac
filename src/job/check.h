// check.h: what a job file says must hang together: ids once each, and every name it mentions known.
#pragma once

#include "catalogue/catalogue.h"
#include "core/diagnostic.h"
#include "job/job.h"

namespace handlot::job {

/// Adds a fault for every id used twice, every unknown part, step, card, joint, station, person or fixture (with the
/// nearest known name), every card of the wrong kind, parts put in more or less often than they are there, and
/// steps that can't fit any shop hours.
void check_references(const Job& job, const catalogue::Catalogue& catalogue, Diagnostics& faults);

}  // namespace handlot::job
