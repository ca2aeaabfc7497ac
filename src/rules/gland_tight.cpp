// A gland is tightened on its cable: once the cable is through it, and before the water that it keeps out.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

bool works_on(const job::Step& step, const PartId& part) { return step.on == part || has(step.touches, part); }

bool is_gland(const Facts& facts, const job::Part& part) { return both_names(facts, part.id).find("gland") != std::string::npos; }

bool says_through(const job::Step& step) { return step_words(step).find("through") != std::string::npos; }

bool only_gland(const Facts& facts) {
  return std::count_if(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) { return is_gland(facts, p); }) == 1;
}

/// "Push the cable through its gland", in a line of a step that puts the cable in elsewhere.
bool says_through_gland(const Facts& facts, const job::Step& step, const PartId& gland) {
  const std::vector<std::string> lines = step_lines(step);
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& words) {
    return words.find("through") != std::string::npos && (names_part(facts, words, gland) || (only_gland(facts) && words.find("gland") != std::string::npos));
  });
}

bool puts_in_wire(const Facts& facts, const job::Step& step) {
  return std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return is_wire(facts, i.part); });
}

/// The gland that the step leads its cable through; null: none. One that it puts in as well counts where it goes on the cable itself.
const job::Part* led_through(const Facts& facts, const job::Step& step) {
  for (const job::Part& part : facts.job.parts) {
    if (!is_gland(facts, part)) continue;
    const bool on_cable = puts_in(step, part.id) && is_wire(facts, step.on);
    const bool leads = works_on(step, part.id) || (puts_in_wire(facts, step) && says_through_gland(facts, step, part.id));
    if (on_cable || (leads && !puts_in(step, part.id))) return &part;
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

constexpr std::array<std::string_view, 6> kTurns{"tighten", "torque", "do up", "nip up", "screw", "turn"};

bool turns(const job::Step& step) { return step.process.text == "screw" || says_one_of(kTurns, step_words(step)); }

/// "Tighten the gland's nut", in one line: what else the step screws is another thing.
bool says_tightened(const job::Step& step) {
  const std::vector<std::string> lines = step_lines(step);
  return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) { return says_one_of(kTurns, line) && line.find("gland") != std::string::npos; });
}

/// Its nut may be named by a line of another step.
bool tightens(const job::Step& step, const PartId& gland) {
  return (turns(step) && (works_on(step, gland) || puts_in(step, gland))) || says_tightened(step);
}

/// The cable is in it by then: the step puts it through, and does not only tighten what is said to be on it.
bool has_cable(const Facts& facts, const job::Step& step, const PartId& gland, const job::Part& wire) {
  if (wire_of(facts, step) != &wire) return false;
  if (works_on(step, gland)) return puts_in(step, wire.id) || says_through(step) || !turns(step);
  return puts_in(step, wire.id) && says_through_gland(facts, step, gland);
}

/// Turned on the gland before that was put on its cable, a body in its wall is no nut on the cable.
bool turns_nut(const Facts& facts, const job::Step& step, const PartId& gland, const job::Step& led, const job::Part& wire) {
  return works_on(step, gland) && turns(step) && (!puts_in(led, gland) || wire_of(facts, step) == &wire);
}

/// In its own words: "Hold it under water", "Leak test". Rain on a roof and water in a pipe are other things.
bool tries_in_water(const job::Step& test) {
  constexpr std::array<std::string_view, 10> kWords{"in water", "into water", "under water", "of water", "leak test", "leak-test", "immers", "submer", "dunk", "bubbles"};
  return test.process.text == "test" && says_one_of(kWords, step_words(test));
}

/// Electronics that lie in what the closing shuts when the test is done, as listed. Null: none.
const job::Part* wetted_inside(const Facts& facts, const job::Step& test, const job::Step& close) {
  for (const job::Part& part : facts.job.parts) {
    const bool spoils = marked(facts, part.id, "board") || marked(facts, part.id, "cell") || marked(facts, part.id, "display") || marked(facts, part.id, "mains");
    if (spoils && !part.jig && has(sits_in(facts, part.id, test), close.on)) return &part;
  }
  return nullptr;
}

bool opened_between(const job::Step& test, const job::Step& close) {
  constexpr std::array<std::string_view, 5> kWords{"open", "unscrew", "take the lid", "lid off", "cap off"};
  return std::any_of(&test + 1, &close, [&](const job::Step& s) { return says_one_of(kWords, step_words(s)); });
}

/// The unit is shut before it is tried in water, with electronics in it.
void shut_before_water(const Facts& facts, const job::Step& test, Yield& yield) {
  if (!tries_in_water(test)) return;
  for (const job::Step* close = &test + 1; close != facts.job.steps.data() + facts.job.steps.size(); ++close) {
    const job::Part* inside = shuts(facts, *close) && same_or_within(facts, test.on, close->on) ? wetted_inside(facts, test, *close) : nullptr;
    if (inside == nullptr || opened_between(test, *close)) continue;
    const std::string text = fmt::format("{} tries {} in water, which {} shuts, with {} in it", say(test), test.on.text == "unit" ? "the unit" : facts.name(test.on), say(*close), facts.name(inside->id));
    if (!said_to_follow(*close, test)) {
      for (const job::Step* fill = &test + 1; fill != close; ++fill) {
        if (fill->on != close->on || fill->installs.empty() || said_to_follow(*fill, test)) continue;
        yield.links.push_back(before(*fill, test, reason(plan::ReasonKind::test, "gland-tested", fmt::format("{} lies in what {} shuts, and {} tries that in water", facts.name(fill->installs.front().part), say(*close), say(test)), practice(), test.place)));
      }
      yield.links.push_back(before(*close, test, reason(plan::ReasonKind::test, "gland-tested", text, practice(), test.place)));
      continue;
    }
    auto f = finding("gland-tested", plan::Severity::warn, test, text + " after it, as the job says: the water runs in", fmt::format("shut it first, or try it before {} is in", facts.name(inside->id)), practice());
    f.steps.push_back(close->id);
    f.parts = {inside->id};
    yield.findings.push_back(std::move(f));
  }
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
    if (has_cable(facts, s, gland->id, *wire)) return;
    if (turns_nut(facts, s, gland->id, step, *wire)) early = &s;
  }
  if (early == nullptr) return;
  auto f = finding("gland-tight", plan::Severity::warn, step,
                   fmt::format("{} tightens {} before {} puts {} through it, and no step tightens it on the cable: it neither holds nor seals", say(*early), facts.name(gland->id), say(step), facts.name(wire->id)),
                   fmt::format("put the cable through first, or write the tightening of its nut into {} or a step after it", say(step)), practice());
  f.steps = {early->id, step.id};
  f.parts = {gland->id, wire->id};
  yield.findings.push_back(std::move(f));
}

void gland_tested(const Facts& facts, const job::Step& test, Yield& yield) {
  shut_before_water(facts, test, yield);
  for (const job::Part& gland : facts.job.parts) {
    if (!has(test.tests, gland.id) || !is_gland(facts, gland)) continue;
    const auto tightens_it = [&](const job::Step& s) { return &s != &test && works_on(s, gland.id) && turns(s); };
    // Listed before the test too, it is only tightened once more after it.
    const auto& steps = facts.job.steps;
    if (std::any_of(steps.data(), &test, tightens_it)) continue;
    for (const job::Step& s : steps) {
      if (!tightens_it(s) || said_to_follow(s, test)) continue;
      yield.links.push_back(before(s, test, reason(plan::ReasonKind::test, "gland-tested", fmt::format("{} tests {}, which {} tightens", say(test), facts.name(gland.id), say(s)), practice(), test.place)));
    }
  }
}

}  // namespace handlot::rules
