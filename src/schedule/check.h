// check.h: does a schedule keep every rule of the work? Knows the words only, nothing of the solver.
#pragma once

#include <vector>

#include "plan/reason.h"
#include "plan/schedule.h"

namespace handlot::schedule {

/// What a schedule must keep:
///
///   units       every unit has every step once; the sub-batches of a step are consecutive units, all of one
///   size but
///               a smaller last one (and unit 1 alone where the first piece is checked or on its way to a look); sizes within
///               batch_min and batch_max; a whole-lot step is one operation; starts of a step do not decrease
///               with the unit
///   time        hands = change-over + set-up + run (x units) if it is hands-on + first-piece check; they lie
///               inside one shop interval, or may pause where one ends and go on where the next begins; a run
///               without a person and the unattended part follow in wall time; nothing before Work::start
///               what runs without hands from its start on begins in shop hours, closing time counted, or at the
///               end of what it follows, on no station that that one does not have
///   people      one allowed person an operation that has hands; nobody does two things at once, or is away from its start
///               to the end of the hands, unless it may pause: then nobody works at it while they are away
///   resources   at no moment more in use than there is; held from start to end, plus hold_after_end, and at
///   least until
///               the step of `until_start_of` starts (per_unit: each unit's share by itself; else when the
///               last unit's does)
///   together    operations on such a resource start together or do not meet; each takes count x units
///   families    operations of different material families never meet on one station; the later of two
///   neighbours on
///               the station (by start, step, unit) has the change-over before its set-up, in its hands-on
///               time
///   warmth      a station is not used within warm_up of Work::start, unless it is still warm from used_until; the gap
///               between two uses is at most stays_warm, or long enough to warm up again. It is switched on in shop hours, closing
///               time counted, warm_up before it is used and no more than stays_warm before that
///   links       min <= to - from <= max for every unit, or for every pair of units where the lot waits; max also by
///               each unit's own time: units of a sub-batch whose run is hands-on and per unit are taken up one after
///               another from its start and left one after another before its end (set-up and pauses not counted;
///               an unattended part ends for all of them at once)
///   apart       no operation of one step meets one of the other, nor the airing after it
///   first piece unit 1 ends before the next sub-batch of its step starts; where it is looked at in a later step, that ends
///               before any other unit starts the first
///   sums        start, finish, makespan, hands_on and setups say what the operations say; bound <= makespan
///
/// Given    any work and any schedule, also nonsense: ids that do not exist are findings, not crashes.
/// Returns  one finding a breach, in the order above; none when all is kept or when the schedule holds no
/// operations
///          and says so (infeasible, stopped). Rule ids: "schedule-units", "schedule-time", ...
/// Cost     operations squared.
std::vector<plan::Finding> check(const plan::Work& work, const plan::Schedule& schedule);

}  // namespace handlot::schedule
