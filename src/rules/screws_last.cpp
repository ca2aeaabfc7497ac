// A screw goes in after everything that it holds together and after what it bites in.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/named.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"
#include "rules/siblings.h"
#include "rules/spared.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// What the screw goes through from outside in, down to the insert that is set under it.
std::vector<PartId> under_the_head(const Facts& facts, const job::Part& screw) {
  std::vector<PartId> stack = screw.clamps;
  const job::Part* insert = facts.job.part(screw.into);
  if (insert != nullptr && screw.into_kind == "insert" && !insert->into.empty()) stack.push_back(screw.into);
  return stack;
}

/// `first` comes before `second`, unless something else puts `late`, the part that `second` puts in, in before it.
void unless_turned(const job::Step& first, const job::Step& second, const job::Part& screw, const std::string& late, plan::Reason why, Yield& yield) {
  plan::Reason turned = reason(why.kind, "screws-last", fmt::format("something else puts {} in first, though {}", late, why.text), why.source, screw.place);
  at_least_one(yield, "screws-last", {{before(first, second, std::move(why))}, {before(second, first, std::move(turned))}}, fmt::format("{} or {} first", say(first), say(second)), screw.place);
}

/// The clamps are listed outermost first: what lies inner goes in first, unless something else wants it otherwise.
void inner_first(const Facts& facts, const job::Part& screw, Yield& yield) {
  const std::vector<PartId> stack = under_the_head(facts, screw);
  for (std::size_t i = 0; i + 1 < stack.size(); ++i) {
    const PartId &outer = stack[i], &inner = stack[i + 1];
    const job::Step *over = facts.job.installer(outer), *under = facts.job.installer(inner);
    if (over == nullptr || under == nullptr || over == under || holder_of(facts, outer) != holder_of(facts, inner)) continue;
    if (over->on == inner || under->on == outer) continue;  // one is built into the other
    const std::string text = inner == screw.into ? fmt::format("{} bites in {} through {}", facts.name(screw.id), facts.name(inner), facts.name(outer))
                                                 : fmt::format("{} lies under {} where {} clamps them", facts.name(inner), facts.name(outer), facts.name(screw.id));
    unless_turned(*under, *over, screw, facts.name(outer), reason(plan::ReasonKind::fastener, "screws-last", text, stated(), screw.place), yield);
  }
}

/// A screw that no step drives counts as there from the start, and shuts out what it clamps.
void nobody_drives(const Facts& facts, const job::Part& screw, Yield& yield) {
  if (screw.jig || facts.card(screw.card).kind != catalogue::CardKind::screw || put_in_by_a_step(facts, screw.id)) return;
  const auto clamped = std::find_if(screw.clamps.begin(), screw.clamps.end(), [&](const PartId& id) { return facts.job.installer(id) != nullptr; });
  if (clamped == screw.clamps.end()) return;  // it may come with what it holds
  const job::Step& step = *facts.job.installer(*clamped);
  plan::Finding f = finding(facts, "screws-last", plan::Severity::undecided, screw,
                            fmt::format("no step puts {} in, so it counts as there from the start, and {} puts {} in, which it clamps", facts.name(screw.id), say(step), facts.name(*clamped)),
                            fmt::format("write <installs part=\"{}\"/> into the step that drives it", screw.id.text), stated());
  f.steps = {step.id};
  yield.findings.push_back(std::move(f));
}

/// A set screw holds its knob or wheel on a shaft: the step that puts that on. Null: it is set by itself, or drawn down again by a later step.
const job::Step* puts_on_shaft(const Facts& facts, const job::Part& screw, const job::Step& drives) {
  if (facts.card(screw.card).word_or("head") != "set" || drives.process.text != "screw" || screw.into.empty()) return nullptr;
  const job::Step* on = facts.job.installer(screw.into);
  if (on == nullptr || on == &drives || !(marked(facts, screw.into, "moving") || marked(facts, on->on, "moving"))) return nullptr;
  if (!screw.clamps.empty() && !has(screw.clamps, on->on)) return nullptr;
  const auto& steps = facts.job.steps;
  const bool again = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) {
    const auto meant = [&](const PartId& id) { return id == screw.id || id == screw.into; };
    return &s != &drives && s.process.text == "screw" && (meant(s.on) || std::any_of(s.touches.begin(), s.touches.end(), meant));
  });
  return again ? nullptr : on;
}

/// What is set or pressed into something and put in by no step: it may come so, or be forgotten.
void nobody_sets(const Facts& facts, const job::Part& part, Yield& yield) {
  const bool set_in = !part.into.empty() || !part.presses.empty();
  if (!set_in || !part.clamps.empty() || part.jig || facts.card(part.card).kind == catalogue::CardKind::screw || put_in_by_a_step(facts, part.id)) return;
  // Where the other is pressed onto it, it is the one that lies on the bench.
  const auto put_onto = [&](const PartId& id) { return facts.job.installer(id) != nullptr && same_or_within(facts, facts.job.installer(id)->on, part.id); };
  if (put_onto(part.into) || std::any_of(part.presses.begin(), part.presses.end(), [&](const PartId& id) { return put_onto(id); })) return;
  const PartId& base = part.into.empty() ? part.presses.front() : part.into;
  plan::Finding f = finding(facts, "screws-last", plan::Severity::note, part, fmt::format("no step puts {} into {}, so it counts as there from the start", facts.name(part.id), facts.name(base)),
                            fmt::format("write <installs part=\"{}\"/> into the step that sets it, unless it comes so", part.id.text), stated());
  f.parts.push_back(base);
  yield.findings.push_back(std::move(f));
}

/// Screwed together on the bench: the screw bites in what was put on the clamped part itself, so where that goes later is no matter
/// of the screw's.
bool bench_group(const Facts& facts, const job::Part& screw, const job::Step& drives, const PartId& clamped) {
  if (clamped != drives.on || screw.into.empty()) return false;
  const auto joins = joining_steps(facts, clamped, screw.into);
  return std::find(joins.begin(), joins.end(), facts.job.installer(clamped)) == joins.end();
}

/// All that the screw holds is put together on a part of `whole`, by a step listed before that goes in itself.
bool built_before_it_goes_in(const Facts& facts, const job::Step& drives, const job::Step& goes_in, const PartId& whole, const std::vector<PartId>& held) {
  const std::vector<PartId> inside = facts.job.within(whole);
  if (facts.job.assembly(whole) == nullptr || !(&drives < &goes_in) || !has(inside, drives.on)) return false;
  return std::all_of(held.begin(), held.end(), [&](const PartId& id) {
    const job::Step* put = facts.job.installer(id);
    return has(inside, id) || (put != nullptr && (put == &drives || has(inside, put->on)));
  });
}

bool names_it(const Facts& facts, const std::string& words, const job::Part& screw) {
  return names_part(facts, words, screw.id) || std::any_of(screw.clamps.begin(), screw.clamps.end(), [&](const PartId& p) { return names_part(facts, words, p); });
}

/// The pilot holes are for this screw: they name it or what it clamps, or they name nothing and it is the only one that bites there.
bool pilot_of(const Facts& facts, const job::Step& drill, const job::Part& screw) {
  const std::string words = step_words(drill);
  if (drill.process.text != "drill" || words.find("pilot") == std::string::npos || drill.on != screw.into) return false;
  const auto& parts = facts.job.parts;
  return names_it(facts, words, screw) || std::none_of(parts.begin(), parts.end(), [&](const job::Part& p) { return p.id != screw.id && p.into == screw.into; });
}

/// A wood screw is driven into the hole that was drilled for it.
void pilot_first(const Facts& facts, const job::Part& screw, const job::Step& drives, Yield& yield) {
  if (screw.into_kind != "wood") return;
  for (const job::Step& drill : facts.job.steps) {
    if (!pilot_of(facts, drill, screw) || said_to_follow(drill, drives)) continue;
    const std::string text = fmt::format("{} drills the pilot holes of {}", say(drill), facts.name(screw.id));
    unless_turned(drill, drives, screw, facts.name(screw.id), reason(plan::ReasonKind::fastener, "screws-last", text, practice(), drill.place), yield);
  }
}

}  // namespace

void screws_last(const Facts& facts, const job::Part& screw, Yield& yield) {
  nobody_sets(facts, screw, yield);
  if (screw.clamps.empty() && screw.into.empty()) return;
  nobody_drives(facts, screw, yield);
  inner_first(facts, screw, yield);
  std::vector<PartId> held = screw.clamps;
  if (!screw.into.empty()) held.push_back(screw.into);
  for (const job::Step& step : facts.job.steps) {
    if (!puts_in(step, screw.id)) continue;
    pilot_first(facts, screw, step, yield);
    if (const job::Step* on = puts_on_shaft(facts, screw, step)) {
      yield.links.push_back(before(*on, step,
                                   reason(plan::ReasonKind::fastener, "screws-last",
                                          fmt::format("the set screw {} holds {} on {}, where it must be by then", facts.name(screw.id), facts.name(screw.into), facts.name(on->on)), practice(), screw.place)));
    }
    for (const PartId& part : held) {
      // An insert set into a frame that lies on the bench by itself: where that frame goes later, and when, is no matter of the insert's.
      if ((part == screw.into && part == step.on) || bench_group(facts, screw, step, part)) continue;
      // Only the way of the held part to the screw counts, not the screw's own.
      std::vector<PartId> chain = facts.job.around(part);
      chain.insert(chain.begin(), part);
      const std::vector<PartId> mine = facts.job.around(screw.id);
      for (const PartId& id : chain) {
        if (std::find(mine.begin(), mine.end(), id) != mine.end()) break;
        const job::Step* first = facts.job.installer(id);
        if (first == nullptr || first == &step || built_before_it_goes_in(facts, step, *first, id, held)) continue;
        yield.links.push_back(before(*first, step,
                                     reason(plan::ReasonKind::fastener, "screws-last",
                                            fmt::format("the screw {} {} {}, to be in place first", facts.name(screw.id), part == screw.into ? "bites into" : "holds", facts.name(part)),
                                            practice(), screw.place)));
      }
    }
  }
}

}  // namespace handlot::rules
