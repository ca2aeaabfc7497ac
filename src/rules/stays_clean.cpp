// A face that was cleaned or abraded to be glued, stuck on or coated is so the same day: it gathers dust and grease again, and metal oxidises.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr Duration kSameDay = hours(8);  // common practice, no source

bool readies(const job::Step& step) { return step.process.text == "degrease" || step.process.text == "abrade"; }

bool metal(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  return material != nullptr && material->word_or("family") == "metal";
}

/// What the step makes of the face while it is clean; empty: nothing. Wood takes its coat whenever the dust is off.
std::string_view needs_clean(const Facts& facts, const job::Step& step, const job::Step& ready) {
  if (!step.bonds.empty() && bare_for(facts, step).contains(ready.on)) return "is glued";
  if (step.on != ready.on && !has(step.touches, ready.on)) return {};
  if (sticks_on(facts, step)) return "is stuck on";
  return film_process(step.process.text) && metal(facts, ready.on) ? "is coated" : "";
}

/// A coat on the part, or on what it sits on by then: a head soldered to its mast is sprayed with it.
bool covers(const Facts& facts, const job::Step& step, const PartId& part) {
  if (facts.process(step).word_or("class") != "finish") return false;
  const std::set<PartId> coated = worked_on(facts, step);
  const std::vector<PartId> under = sits_in(facts, part, step);
  return coated.contains(part) || std::any_of(under.begin(), under.end(), [&](const PartId& id) { return coated.contains(id); });
}

/// A coat goes on what was cleaned last: the grain under it keeps. Glue wants the fresh face of the abrading.
bool cleaned_for_the_coat(const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 2> kCleaning{"degrease", "wash"};
  return std::find(kCleaning.begin(), kCleaning.end(), step.process.text) != kCleaning.end() && (step.on == part || has(step.touches, part));
}

/// The coating begins with a wipe of its own.
bool wipes_it_first(const job::Step& coat) {
  constexpr std::array<std::string_view, 2> kWiping{"wipe", "degrease"};
  return std::any_of(coat.actions.begin(), coat.actions.end(), [&](const std::string& a) { return says_one_of(kWiping, lower(a)); });
}

}  // namespace

void stays_clean(const Facts& facts, const job::Step& ready, const job::Step& glue, Yield& yield) {
  const std::string_view made = !readies(ready) || !(&ready < &glue) ? "" : needs_clean(facts, glue, ready);
  if (made.empty()) return;
  // What is listed between may be the gluing or the coat it is for, or readies the face again.
  const bool other = std::any_of(&ready + 1, &glue, [&](const job::Step& s) {
    const bool again = s.on == ready.on && (s.process == ready.process || s.process.text == "abrade");
    const bool cleaned = made == "is coated" && cleaned_for_the_coat(s, ready.on);
    return again || cleaned || covers(facts, s, ready.on) || !needs_clean(facts, s, ready).empty();
  });
  if (other || (made == "is coated" && wipes_it_first(glue))) return;
  plan::Constraint link = before(ready, glue, reason(plan::ReasonKind::surface, "stays-clean", fmt::format("{} {} the day that {} readies it", facts.name(ready.on), made, say(ready)), practice(), glue.place));
  link.max = kSameDay;
  link.wish = true;
  link.clock = fmt::format("{} stays clean", facts.name(ready.on));
  link.if_late = fmt::format("do {} again: the face does not stay clean", say(ready));
  yield.links.push_back(std::move(link));
}

}  // namespace handlot::rules
