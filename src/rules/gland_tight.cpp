// A gland is tightened on its cable: once the cable is through it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool puts_in(const job::Step& step, const PartId& part) {
  return std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part; });
}

bool works_on(const job::Step& step, const PartId& part) { return step.on == part || has(step.touches, part); }

bool is_gland(const Facts& facts, const job::Part& part) { return both_names(facts, part.id).find("gland") != std::string::npos; }

/// The gland that the step leads its cable through, by a step that does not put the gland in as well; null: none.
const job::Part* led_through(const Facts& facts, const job::Step& step) {
  for (const job::Part& part : facts.job.parts) {
    if (works_on(step, part.id) && !puts_in(step, part.id) && is_gland(facts, part)) return &part;
  }
  return nullptr;
}

/// The wire that the step puts in or works on; null: none.
const job::Part* wire_of(const Facts& facts, const job::Step& step) {
  for (const job::Part& part : facts.job.parts) {
    if ((puts_in(step, part.id) || works_on(step, part.id)) && is_wire(facts, part.id)) return &part;
  }
  return nullptr;
}

bool turns(const job::Step& step) {
  constexpr std::array<std::string_view, 6> kTurns{"tighten", "torque", "do up", "nip up", "screw", "turn"};
  return step.process.text == "screw" || says_one_of(kTurns, step_words(step));
}

/// Its nut may be named by a line of another step: "Tighten the gland's nut."
bool tightens(const job::Step& step, const PartId& gland) {
  return turns(step) && (works_on(step, gland) || puts_in(step, gland) || step_words(step).find("gland") != std::string::npos);
}

}  // namespace

void gland_tight(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  const job::Part *gland = led_through(facts, step), *wire = wire_of(facts, step);
  if (gland == nullptr || wire == nullptr) return;
  const job::Step* early = nullptr;
  for (const job::Step& s : facts.job.steps) {
    const bool sooner = &s != &step && order.before(s.id, step.id);
    if (!sooner && tightens(s, gland->id)) return;  // on the cable, now or later
    if (!sooner || puts_in(s, gland->id)) continue;
    if (wire_of(facts, s) == wire && works_on(s, gland->id)) return;  // the cable was in it before
    if (works_on(s, gland->id) && turns(s)) early = &s;
  }
  if (early == nullptr) return;
  auto f = finding("gland-tight", plan::Severity::warn, step,
                   fmt::format("{} tightens {} before {} puts {} through it, and no step tightens it on the cable: it neither holds nor seals", say(*early), facts.name(gland->id), say(step), facts.name(wire->id)),
                   fmt::format("put the cable through first, or write the tightening of its nut into {} or a step after it", say(step)), practice());
  f.steps = {early->id, step.id};
  f.parts = {gland->id, wire->id};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
