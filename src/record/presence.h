// presence.h: is anybody there who may do a step? By their own hours, and by what is reported as not to be had. What anybody
// may do waits for nobody: whoever stands at the bench works.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/plan.h"
#include "record/state.h"

namespace handlot::record {

struct Absent {
  std::string text;   ///< "it waits for Helper, who is back Tue 12 Jan 09:00", without full stop
  double wait_s = 0;  ///< until the first of them is back; 0: nobody knows
};

/// None of those whom the step names is there. While the shop is shut, who was there when it shut or is when it opens counts as
/// there: they stay longer, or come sooner. Past the hours that are known nobody is away.
///
/// Returns  empty also where the step needs no hands, or names nobody or everybody.
/// Cost     people of the step x hours; nothing where nobody is ever away.
std::optional<Absent> absent(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now);

/// Hours of the shop in which one of those whom the step names is there. Empty: those of the shop, for anybody may do it.
std::optional<std::vector<plan::Interval>> own_hours(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now);

/// "Helper", "Anna or Ben": those whom the step names.
std::string who_may(const plan::Plan& plan, const plan::Step& step);

}  // namespace handlot::record
