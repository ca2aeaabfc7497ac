// Mains and lithium cells: nothing is planned past the point where somebody has to look, measure and sign.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/cell.h"
#include "rules/earth.h"
#include "rules/hazards.h"
#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "licensed-hold";

/// A part so marked that the step reaches, unless it always comes in later.
bool reaches(const Facts& facts, const KnownOrder& order, const job::Step& step, std::string_view mark) {
  const std::set<PartId> parts = worked_on(facts, step);
  return std::any_of(parts.begin(), parts.end(), [&](const PartId& part) {
    if (!marked(facts, part, mark)) return false;
    const job::Step* comes = facts.job.installer(part);
    return comes == nullptr || comes == &step || !order.before(step.id, comes->id);
  });
}

/// Something is joined in a body with a cell in it, and it may be the cell: no other part is named, or the words speak of a cell.
bool may_join_cell(const job::Step& step) {
  const bool joins = step.process.text == "plug" || step.process.text == "wire" || step.process.text == "hand-solder";
  constexpr std::array<std::string_view, 3> kWords{"cell", "battery", "accu"};
  return joins && ((step.installs.empty() && step.touches.empty()) || says_one_of(kWords, step_words(step)));
}

/// A cell that burns, not a coin: put in, plugged in or soldered at the step.
bool connects_cell(const Facts& facts, const job::Step& step, const safety::StepFacts& does) {
  return does.acts.contains(safety::Act::lithium_cell) && (connects_a_cell(facts, step) || may_join_cell(step));
}

/// A hold with something to write down or tick.
bool holds(const job::Step& step) { return step.hold && !step.checks.empty(); }

/// One at which a licensed person signs.
bool signature(const job::Step& step) { return step.process.text == "insulation-test" && holds(step); }

/// Work on a part that carries mains, named one by one: what is signed before it says nothing about it.
bool mains_work(const Facts& facts, const job::Step& step) {
  const std::string kind = facts.process(step).word_or("class");
  if (kind == "test" || kind == "check" || kind == "pack" || kind == "clean" || kind == "program") return false;
  const auto mains = [&](const PartId& id) { return marked(facts, id, "mains"); };
  return mains(step.on) || std::any_of(step.touches.begin(), step.touches.end(), mains) ||
         std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return mains(i.part); });
}

const job::Step* mains_work_between(const Facts& facts, const KnownOrder& order, const job::Step& hold, const job::Step& power) {
  for (const job::Step& w : facts.job.steps) {
    if (&w != &hold && &w != &power && mains_work(facts, w) && order.before(hold.id, w.id) && order.before(w.id, power.id)) return &w;
  }
  return nullptr;
}

/// `spoilt` is set to mains work that comes between the last hold and the step.
bool held_before(const Facts& facts, const KnownOrder& order, const job::Step& step, bool licensed, const job::Step*& spoilt) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& h) {
    if (licensed ? !signature(h) : !holds(h)) return false;
    if (!licensed && !step_facts(facts, h).acts.contains(safety::Act::lithium_cell)) return false;
    if (!order.before(h.id, step.id)) return false;
    const job::Step* work = licensed ? mains_work_between(facts, order, h, step) : nullptr;
    if (work != nullptr) spoilt = work;
    return work == nullptr;
  });
}

/// Shuts a body that it names, with mains in it which was put there before `then`; and the body was not shut on another side before
/// `until`.
bool shuts_mains_in(const Facts& facts, const KnownOrder& order, const job::Step& lid, const job::Step& then, const job::Step& until) {
  if (!shuts(facts, lid) || lid.on.empty() || lid.on.text == "unit") return false;
  const bool other_side = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return shuts(facts, s) && s.on == lid.on && order.before(s.id, until.id); });
  return !other_side && std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) {
    const job::Step* in = marked(facts, p.id, "mains") ? facts.job.installer(p.id) : nullptr;
    return in != nullptr && order.before(in->id, then.id) && has(sits_in(facts, p.id, lid), lid.on);
  });
}

bool fixes_earth(const Facts& facts, const job::Step& s) {
  return std::any_of(s.installs.begin(), s.installs.end(), [&](const job::Installs& i) { return earth_lead(facts, i.part); });
}

/// What makes another unit of what was signed: its earth is fixed, or else its lid is laid on. Null: nothing between the two.
const job::Step* changed_between(const Facts& facts, const KnownOrder& order, const job::Step& hold, const job::Step& power) {
  const job::Step* lid = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (!order.before(hold.id, s.id) || !order.before(s.id, power.id)) continue;
    if (fixes_earth(facts, s)) return &s;
    if (lid == nullptr && shuts_mains_in(facts, order, s, s, hold)) lid = &s;
  }
  return lid;
}

/// The same of the last signature before the power; null: one of them is for the unit as it gets power.
const job::Step* changed_after_signature(const Facts& facts, const KnownOrder& order, const job::Step& power) {
  const job::Step* change = nullptr;
  for (const job::Step& h : facts.job.steps) {
    if (!signature(h) || !order.before(h.id, power.id)) continue;
    change = changed_between(facts, order, h, power);
    if (change == nullptr) return nullptr;
  }
  return change;
}

/// The step that shuts a body with mains in it, after the power is on and after the last signature: what is live lies open until then, and
/// the shut body is signed by nobody. Null: none, or the body was shut on another side before.
const job::Step* shut_after(const Facts& facts, const KnownOrder& order, const job::Step& power) {
  const auto& steps = facts.job.steps;
  const auto lid = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) {
    const auto signed_later = [&](const job::Step& h) { return signature(h) && order.before(s.id, h.id); };
    return order.before(power.id, s.id) && std::none_of(steps.begin(), steps.end(), signed_later) && shuts_mains_in(facts, order, s, power, power);
  });
  return lid == steps.end() ? nullptr : &*lid;
}

bool puts_mains_on(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  return step.process.text != "insulation-test" && reaches(facts, order, step, "mains") && gets_power(step);
}

/// Said once of each lid, at the first step that puts mains on while it is off.
void powered_open(const Facts& facts, const KnownOrder& order, const job::Step& power, const job::Step& lid, Yield& yield) {
  const auto said = [&](const job::Step& s) { return puts_mains_on(facts, order, s) && shut_after(facts, order, s) == &lid; };
  if (std::any_of(facts.job.steps.data(), &power, said)) return;
  auto f = finding(kRule, plan::Severity::warn, power, fmt::format("{} puts mains on while {} is open, and {} shuts it after what was signed at the hold", say(power), facts.name(lid.on), say(lid)),
                   fmt::format("list {} before the insulation test; or add a second insulation-test with hold=\"yes\" after it, and cover what is live until then", say(lid)), practice());
  f.steps.push_back(lid.id);
  yield.findings.push_back(std::move(f));
}

/// Said once of each change, at the first step that puts mains on after it.
void signed_too_soon(const Facts& facts, const KnownOrder& order, const job::Step& power, const job::Step& change, Yield& yield) {
  const auto said = [&](const job::Step& s) { return puts_mains_on(facts, order, s) && changed_after_signature(facts, order, s) == &change; };
  if (std::any_of(facts.job.steps.data(), &power, said)) return;
  const bool earth = fixes_earth(facts, change);
  auto f = finding(kRule, earth ? plan::Severity::stop : plan::Severity::warn, power,
                   earth ? fmt::format("{} puts mains on, and {} fixes its earth after what was signed at the hold", say(power), say(change))
                         : fmt::format("{} puts mains on, and {} shuts {} after what was signed at the hold: a wire may be pinched under the lid", say(power), say(change), facts.name(change.on)),
                   fmt::format("list {} before the insulation test; or add a second insulation-test with hold=\"yes\" after it; local codes and licensed practice come first", say(change)), practice());
  f.steps.push_back(change.id);
  yield.findings.push_back(std::move(f));
}

}  // namespace

void licensed_hold(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  const safety::StepFacts does = step_facts(facts, step);
  const bool own_hold = step.process.text == "insulation-test";
  if (own_hold && !holds(step)) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("{} is where a licensed person signs, and one can pass it by", say(step)),
                                     "write hold=\"yes\" and a <check> for what is measured and signed", practice()));
  }
  const job::Step* spoilt = nullptr;
  const bool live = puts_mains_on(facts, order, step);
  const bool signed_for = live && held_before(facts, order, step, true, spoilt);
  if (live && !signed_for) {
    const std::string what = spoilt == nullptr ? "no hold for a licensed person comes before it in every order" : fmt::format("{} works on mains after what was signed at the hold", say(*spoilt));
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("{} puts mains on, and {}", say(step), what),
                                     "add a step with process=\"insulation-test\" hold=\"yes\" before it; local codes and licensed practice come first", practice()));
  }
  if (const job::Step* lid = signed_for ? shut_after(facts, order, step) : nullptr) powered_open(facts, order, step, *lid, yield);
  if (const job::Step* change = signed_for ? changed_after_signature(facts, order, step) : nullptr) signed_too_soon(facts, order, step, *change, yield);
  if (connects_cell(facts, step, does) && reaches(facts, order, step, "cell") && !holds(step) && !held_before(facts, order, step, false, spoilt)) {
    yield.findings.push_back(finding(kRule, plan::Severity::warn, step, fmt::format("{} connects a lithium cell, and nothing holds it until voltage and polarity are written down", say(step)),
                                     "write hold=\"yes\" and a <check> of voltage and polarity at this step, or at one before it on the same cell", practice()));
  }
}

}  // namespace handlot::rules
