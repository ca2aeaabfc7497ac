// time_to_spare.h: clocks that do not run to their last minute.
#pragma once

#include "plan/schedule.h"

namespace handlot::schedule {

/// The same work with latest ends a little sooner: a quarter of what lies between the earliest and the latest, half an hour
/// at most, in half minutes. A person is not a clockwork, and oil that is to be wiped off within ten minutes is no place for
/// a job of ten minutes.
///
///   |== least ==|------------- may wait -------------|
///               |-------- planned --------|- spare --|
///
/// Source   common practice, no source.
/// Given    schedule::faults(work) is empty.
plan::Work with_time_to_spare(plan::Work work);

}  // namespace handlot::schedule
