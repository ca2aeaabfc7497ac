// A coat insulates what is plugged in later, unless its contacts were masked.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void coat_contacts(const Facts& facts, const KnownOrder& order, const job::Step& coat, Yield& yield) {
  if (coat.process.text != "coat-board" || coat.on.empty()) return;
  const auto masks = [&](const job::Step& s) {
    const bool gives = std::any_of(s.face_gives.begin(), s.face_gives.end(), [](const job::FaceState& f) { return f.state == "masked"; });
    return (s.process.text == "mask" || gives) && (s.on.empty() || same_or_within(facts, s.on, coat.on));
  };
  if (std::any_of(facts.job.steps.begin(), facts.job.steps.end(), masks)) return;
  // A plug needs its socket; a program may come by another way.
  for (const auto& [process, severity] : {std::pair{"plug", plan::Severity::warn}, std::pair{"program", plan::Severity::note}}) {
    const auto& steps = facts.job.steps;
    const auto later = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) {
      return s.process.text == process && s.on.text != "unit" && same_or_within(facts, s.on, coat.on) && order.before(coat.id, s.id);
    });
    if (later == steps.end()) continue;
    yield.findings.push_back(finding("coat-contacts", severity, *later, fmt::format("{} comes after {}, and no step masks the contacts that it uses", say(*later), say(coat)),
                                     "mask sockets and pads before the coat, or do it first", practice()));
    return;
  }
}

}  // namespace handlot::rules
