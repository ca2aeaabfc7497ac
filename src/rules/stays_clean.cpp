// A face that was cleaned or abraded to be glued is glued the same day: it gathers dust and grease again, and metal oxidises.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr Duration kSameDay = hours(8);  // common practice, no source

bool readies(const job::Step& step) { return step.process.text == "degrease" || step.process.text == "abrade"; }

bool glues(const Facts& facts, const job::Step& step, const job::Step& ready) { return !step.bonds.empty() && bare_for(facts, step).contains(ready.on); }

}  // namespace

void stays_clean(const Facts& facts, const job::Step& ready, const job::Step& glue, Yield& yield) {
  if (!readies(ready) || !(&ready < &glue) || !glues(facts, glue, ready)) return;
  // What is listed between may be the gluing it is for, or does it again.
  const bool other = std::any_of(&ready + 1, &glue, [&](const job::Step& s) { return glues(facts, s, ready) || (s.process == ready.process && s.on == ready.on); });
  if (other) return;
  plan::Constraint link = before(ready, glue, reason(plan::ReasonKind::surface, "stays-clean", fmt::format("{} is glued the day that {} readies it", facts.name(ready.on), say(ready)), practice(), glue.place));
  link.max = kSameDay;
  link.wish = true;
  link.clock = fmt::format("{} stays clean", facts.name(ready.on));
  link.if_late = fmt::format("do {} again: the face does not stay clean", say(ready));
  yield.links.push_back(std::move(link));
}

}  // namespace handlot::rules
