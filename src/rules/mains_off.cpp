// What had mains on is off them, and its charge gone, before hands go into it again.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/hazards.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/said_between.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "mains-off";

bool mains(const Facts& facts, const PartId& id) { return marked(facts, id, "mains"); }

/// A board that is tried on the bench before it is built in gets its low voltage there.
bool puts_mains_on(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  constexpr std::array<std::string_view, 3> kLow{"bench supply", "low voltage", "laboratory supply"};
  const std::set<PartId> live = powered(facts, step);
  return step.process.text != "insulation-test" && !says_one_of(kLow, step_words(step)) && std::any_of(live.begin(), live.end(), [&](const PartId& p) {
    const job::Step* in = facts.job.installer(p);
    return mains(facts, p) && (in == nullptr || !order.before(step.id, in->id));
  });
}

/// At what carries mains itself, with an iron or a tool for wires; its cord is held in the hand all day.
bool at_mains(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 7> kInside{"hand-solder", "desolder", "tin", "wire", "crimp", "strip", "cut-lead"};
  const auto bare = [&](const PartId& id) { return mains(facts, id) && !is_wire(facts, id); };
  return std::find(kInside.begin(), kInside.end(), step.process.text) != kInside.end() && (bare(step.on) || std::any_of(step.touches.begin(), step.touches.end(), bare));
}

/// "Open the lid", "with the cover off", of a body with mains in it.
bool opens_mains(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 16> kOpening{"open the lid", "open the case", "open the box", "open the body", "open the housing", "open the unit", "open the cover", "open the back", "lid off", "cover off", "take off the lid", "take off the cover", "remove the lid", "remove the cover", "open it up", "open up"};
  if (step.on.empty() || !says_one_of(kOpening, step_words(step))) return false;
  return std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) {
    return !p.jig && mains(facts, p.id) && (same_or_within(facts, step.on, p.id) || has(sits_in(facts, p.id, step), step.on));
  });
}

bool hands_in(const Facts& facts, const KnownOrder& order, const job::Step& step) { return !puts_mains_on(facts, order, step) && step.process.text != "insulation-test" && (at_mains(facts, step) || opens_mains(facts, step)); }

bool says_pulled(const job::Step& step) {
  constexpr std::array<std::string_view, 11> kWords{"unplug", "pull the plug", "pull the mains", "plug out", "plug is out", "plug pulled", "disconnect", "isolat", "off the mains", "mains off", "without mains"};
  return says_one_of(kWords, step_words(step));
}

bool says_empty(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kWords{"discharg", "charge", "short the", "short-circuit", "bleed", "wait", "0 v"};
  return says_one_of(kWords, step_words(step));
}

/// Said by the step that put mains on, one between, or the work itself.
bool said(const Facts& facts, const KnownOrder& order, const job::Step& power, const job::Step& work, bool (*says)(const job::Step&)) {
  return says(power) || said_between(facts, order, power, work, says);
}

/// The step that put mains on last before the work, if no other work lies between: that one was told already. Null: none.
const job::Step* powered_before(const Facts& facts, const KnownOrder& order, const job::Step& work) {
  const auto& steps = facts.job.steps;
  const auto found = std::find_if(steps.begin(), steps.end(), [&](const job::Step& power) {
    if (!order.before(power.id, work.id) || !puts_mains_on(facts, order, power)) return false;
    return std::none_of(steps.begin(), steps.end(), [&](const job::Step& s) { return &s != &work && order.before(power.id, s.id) && order.before(s.id, work.id) && (hands_in(facts, order, s) || puts_mains_on(facts, order, s)); });
  });
  return found == steps.end() ? nullptr : &*found;
}

/// A board with mains on it holds charge in its capacitors.
bool may_hold_charge(const Facts& facts, const job::Step& step) {
  const auto board = [&](const PartId& id) { return mains(facts, id) && marked(facts, id, "board"); };
  return board(step.on) || std::any_of(step.touches.begin(), step.touches.end(), board) || step_words(step).find("capacitor") != std::string::npos;
}

}  // namespace

void mains_off(const Facts& facts, const KnownOrder& order, const job::Step& work, Yield& yield) {
  if (!hands_in(facts, order, work)) return;
  const job::Step* power = powered_before(facts, order, work);
  if (power == nullptr) return;
  const bool pulled = said(facts, order, *power, work, &says_pulled);
  if (pulled && (!may_hold_charge(facts, work) || said(facts, order, *power, work, &says_empty))) return;
  const std::string what = pulled ? "its capacitors may hold their charge after the plug is pulled" : "nothing says that the plug is pulled and the charge gone";
  auto f = finding(kRule, pulled ? plan::Severity::note : plan::Severity::warn, work, fmt::format("{} goes into what {} put on mains: {}", say(work), say(*power), what),
                   fmt::format("begin {} with: pull the mains plug, wait until the charge is gone, measure 0 V; local codes and licensed practice come first", say(work)), practice());
  f.steps.push_back(power->id);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
