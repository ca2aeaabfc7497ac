// A sleeve, a gland or the cover of a plug is on the wire before both ends of the wire are made.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool names(const job::Step& step, const PartId& part) {
  return step.on == part || has(step.touches, part) || std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part; });
}

/// Fixes an end of the wire, so that nothing is pushed over that end any more. Led through something, the end is free yet.
bool makes_an_end(const job::Step& step, const PartId& wire) {
  constexpr std::array<std::string_view, 3> kEnds{"hand-solder", "crimp", "wire"};
  const bool led = step.process.text == "wire" && step_words(step).find("through") != std::string::npos;
  return !led && std::find(kEnds.begin(), kEnds.end(), step.process.text) != kEnds.end() && names(step, wire);
}

/// What the wire is joined to by the step: what that works on, or the first of what is soldered to the wire itself.
std::set<PartId> joined_to(const Facts& facts, const job::Step& step) {
  std::set<PartId> bodies(step.touches.begin(), step.touches.end());
  bodies.insert(step.on);
  if (step.process.text == "hand-solder" && is_wire(facts, step.on) && !step.installs.empty()) bodies.insert(step.installs.front().part);
  std::erase_if(bodies, [&](const PartId& id) { return id.empty() || is_wire(facts, id); });
  return bodies;
}

/// A jack has a sleeve too: what is pushed, slid or threaded on is the one that is meant.
bool speaks_of_sleeves(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kVerbs{"push", "slid", "slip", "thread", "pull"};
  constexpr std::array<std::string_view, 7> kThings{"sleeve", "shrink", "gland", "boot", "cover", "shell", "nut"};
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    return says_one_of(kThings, line) && says_one_of(kVerbs, line);
  });
}

/// By its name it goes over the end of a cable, and it is not called split or made of halves.
bool closed_ring(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 9> kOver{"gland", "boot", "backshell", "plug cover", "plug shell", "connector cover", "cable nut", "union nut", "bend protector"};
  constexpr std::array<std::string_view, 7> kOpen{"split", "half", "halves", "two-part", "clip", "snap", "hinge"};
  const job::Part* named = facts.job.part(part);
  const std::string text = named == nullptr ? "" : lower(called(*named) + " " + facts.card_of(part).name);
  return says_one_of(kOver, text) && !says_one_of(kOpen, text);
}

/// What the step puts on the wire over its end; null: nothing.
const job::Installs* put_over(const Facts& facts, const job::Step& step) {
  if (step.process.text == "heat-shrink") return step.installs.empty() ? nullptr : &step.installs.front();
  const auto found = std::find_if(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return closed_ring(facts, i.part); });
  return found == step.installs.end() ? nullptr : &*found;
}

/// The wire that it is put on: what the step names, or what was joined before to the plug that it is on.
PartId wire_under(const Facts& facts, const job::Step& step) {
  if (is_wire(facts, step.on)) return step.on;
  for (const PartId& id : step.touches) {
    if (is_wire(facts, id)) return id;
  }
  if (step.process.text == "heat-shrink") return {};
  for (const job::Part& part : facts.job.parts) {
    if (!is_wire(facts, part.id)) continue;
    const bool joined = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &step && makes_an_end(s, part.id) && joined_to(facts, s).contains(step.on); });
    if (joined) return part.id;
  }
  return {};
}

}  // namespace

void sleeves_on(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  const job::Installs* put = put_over(facts, step);
  const PartId wire = put == nullptr ? PartId() : wire_under(facts, step);
  if (wire.empty() || !is_wire(facts, wire)) return;
  std::size_t ends = 0;
  std::string last;
  for (const job::Step& s : facts.job.steps) {
    const bool laid_ready = std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return names(s, i.part); });
    if (&s != &step && laid_ready) return;
    if (!makes_an_end(s, wire)) continue;
    if (!order.before(s.id, step.id) || speaks_of_sleeves(s)) return;  // an end is free yet, or the sleeve is on
    ends += joined_to(facts, s).size();
    last = say(s);
  }
  if (ends < 2) return;
  auto f = finding("sleeves-on", plan::Severity::undecided, step,
                   fmt::format("{} puts {} on {} when both its ends are made ({}): no step says that they are on it before", say(step), facts.name(put->part), facts.name(wire), last),
                   step.process.text == "heat-shrink" ? fmt::format("write into the step that makes the last end: <do>Push the sleeve on</do>; or shrink before {}", last)
                                                      : fmt::format("write into the step that makes the last end, as in <do>Slide the nut on</do>; or put it on before {}", last),
                   practice());
  f.parts = {put->part};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
