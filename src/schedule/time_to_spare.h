// time_to_spare.h: clocks that do not run to their last minute.
#pragma once

#include "plan/schedule.h"

namespace handlot::schedule {

/// The same work with latest ends a little sooner, by plan::time_to_spare in whole half minutes. A person is not a clockwork,
/// and oil that is to be wiped off within ten minutes is no place for a job of ten minutes.
///
///   |== least ==|------------- may wait -------------|
///               |-------- planned --------|- spare --|
///
/// Source   common practice, no source (plan/spare.h).
/// Given    schedule::faults(work) is empty.
plan::Work with_time_to_spare(plan::Work work);

}  // namespace handlot::schedule
