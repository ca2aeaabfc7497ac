// Rags with drying oil are put away safely before anything else: they catch fire by themselves.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "oily-rags";

const catalogue::Card* drying(const Facts& facts, const job::Step& step) {
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    if (fluid->yes("self-heating-rags")) return fluid;
  }
  return nullptr;
}

}  // namespace

void oily_rags(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* oil = drying(facts, step);
  if (oil == nullptr || step.process.text == "dispose-rags") return;
  const Source source{"RAGFIRE", "timed test: smoke after 4.5 h, flame after 6 h", Standing::read};
  std::vector<std::vector<plan::Constraint>> options;
  for (const job::Step& away : facts.job.steps) {
    if (away.process.text != "dispose-rags") continue;
    plan::Constraint link = before(step, away, reason(plan::ReasonKind::safety, kRule, fmt::format("rags with {} heat up by themselves and are put away after {}", oil->name, say(step)), source, away.place));
    // A step for the whole lot comes after the last unit; until then the rags lie spread out, as the caution says.
    if (!away.whole_lot) {
      link.max = hours(1);
      link.if_late = "put the rags under water now: they may be hot";
    }
    options.push_back({std::move(link)});
  }
  if (options.empty()) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("{} leaves rags with {}, and no step puts them away: they catch fire by themselves within hours", say(step), oil->name),
                                     "add a step with process=\"dispose-rags\" after it", source));
    return;
  }
  // The rags of the second coat are meant for the second putting away: the next one listed is preferred.
  std::stable_partition(options.begin(), options.end(), [&](const auto& o) { return facts.job.step(o.front().to.step) > &step; });
  at_least_one(yield, kRule, std::move(options), fmt::format("when the rags of {} are put away", say(step)), step.place);
}

}  // namespace handlot::rules
