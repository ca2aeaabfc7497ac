// sections.h: the parts that compose() puts together; private to the layer.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sheets/compose.h"
#include "sheets/sheet.h"
#include "sheets/view.h"

namespace handlot::sheets {

Section front(const View& view);
Section hazards(const View& view);
Section findings(const View& view);
Section kit(const View& view);
Section sequence(const View& view);
Section wait_board(const View& view);
Section steps(const View& view, const SheetOptions& options);
std::vector<Section> plan_pages(const View& view);
Section records(const View& view);
Section close_out(const View& view);
Section sources(const View& view);

CautionBox caution_box(const View& view, const plan::Caution& caution, bool in_step);
StepBox step_box(const View& view, const plan::Step& step, const SheetOptions& options);
WaitBox wait_box(const View& view, const plan::Wait& wait);
WaitLine wait_line(const View& view, const plan::Wait& wait);
/// " that leaves time to spare before latest ends", for what is said of schedules: no other is looked for where clocks run and
/// leave it. Empty: no clock of the plan can.
std::string of_spared(const plan::Work& work);
bool works_alone(const View& view);  ///< no second person is in the plan
std::string whose_work(const View& view, const plan::Step& step);  ///< "Ann (units 1 to 3) and Ben (unit 4)"; empty where one person works alone
std::optional<Instant> latest_end(const plan::Wait& wait, Instant start);  ///< of a clock that starts then
/// ", once for the whole lot, with the first unit": empty for a clock of each unit, or one that a step for the whole lot starts.
std::string once_for_the_lot(const View& view, const plan::Wait& wait);
bool same_clock(const plan::Wait& a, const plan::Wait& b);  ///< of one step, whatever ends it
std::string wait_span(const View& view, const plan::Wait& wait);  ///< "not before 24 h, not after 36 h"

/// "All 6 units together", "One unit at a time", "Units 1-2, 3-4, 5-6".
std::string units_of(const View& view, const plan::Step& step);
/// "Thu 26 Nov 14:20 to 15:05"; empty when the step is not in the schedule.
std::string planned_of(const View& view, const plan::Step& step);
/// "5 min to set up, then 2 min a unit, then 20 min by itself"
std::string expected_of(const plan::Step& step);

}  // namespace handlot::sheets
