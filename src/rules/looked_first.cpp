// A soldered board is looked at before it gets power for the first time: a bridge is cheap until then.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

std::string all_words(const job::Step& step) { return step_words(step) + check_words(step); }

/// Looks at joints or measures for shorts, in a step of its own, or in the words and checks of another.
bool looks(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 10> kChecked{"look", "inspect", "bridge", "joint", "solder", "bright", "tombstone", "whisker", "wetted", "filled"};
  constexpr std::array<std::string_view, 4> kDone{"look at", "look for", "inspect", "magnif"};
  constexpr std::array<std::string_view, 2> kShort{"short", "shorts"};
  return facts.process(step).word_or("class") == "check" || says_one_of(kChecked, check_words(step)) || says_one_of(kDone, step_words(step)) || says_one_word(kShort, all_words(step));
}

/// A look at joints of its own; where somebody signs, it is for something else.
bool looks_for_bridges(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 7> kWords{"joint", "bridge", "solder", "tombstone", "whisker", "short", "wetted"};
  return facts.process(step).word_or("class") == "check" && !step.hold && says_one_of(kWords, all_words(step));
}

/// On the bench supply with its current held low, a bridge costs less.
bool held_low(const job::Step& power) {
  constexpr std::array<std::string_view, 2> kLow{"limit", "fuse"};
  return says_one_of(kLow, step_words(power));
}

}  // namespace

void looked_first(const Facts& facts, const KnownOrder& order, const job::Step& power, Yield& yield) {
  const auto& steps = facts.job.steps;
  if (!gets_power(power) || power.process.text == "insulation-test" || power.on.empty() || power.on.text == "unit" || !of_a_board(facts, power) || looks(facts, power)) return;
  const job::Step *soldered = nullptr, *late = nullptr;
  for (const job::Step& s : steps) {
    if (&s == &power || !on_one_body(facts, s, power)) continue;
    const bool sooner = order.before(s.id, power.id);
    if (sooner && gets_power(s)) return;  // that was the first
    if (sooner && solders(s)) soldered = &s;
    if (sooner && looks(facts, s) && s.process.text != "receive") return;
    if (order.before(power.id, s.id) && looks_for_bridges(facts, s) && late == nullptr) late = &s;
  }
  if (soldered == nullptr) return;
  const bool warns = late != nullptr && !held_low(power);
  auto f = finding("looked-first", warns ? plan::Severity::warn : plan::Severity::note, power,
                   late != nullptr ? fmt::format("{} puts power on what {} soldered, and {} looks at it only after that: a bridge burns what it shorts", say(power), say(*soldered), say(*late))
                                   : fmt::format("{} puts power on what {} soldered, and no step looks at the joints before", say(power), say(*soldered)),
                   late != nullptr ? fmt::format("list {} before {}", say(*late), say(power)) : "add a step of process 'inspect' between the two", practice());
  if (late != nullptr) f.steps.push_back(late->id);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
