// A mask comes off before what it covers is used, and tape that the coat's own words lay comes off again.
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

/// The last mask listed before the unmasking, on the same body.
const job::Step* mask_of(const Facts& facts, const job::Step& unmask) {
  const job::Step* last = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (&s == &unmask) break;
    if (s.process.text == "mask" && (same_or_within(facts, s.on, unmask.on) || on_one_body(facts, s, unmask))) last = &s;
  }
  return last;
}

/// The parts that the two name as masked; a board or a body is masked in places only.
std::vector<PartId> masked_parts(const Facts& facts, const job::Step& mask, const job::Step& unmask) {
  std::vector<PartId> parts;
  const auto add = [&](const PartId& id) {
    const job::Part* part = facts.job.part(id);
    if (part != nullptr && !facts.card_of(id).yes("board") && facts.job.installer(id) != nullptr && !has(parts, id)) parts.push_back(id);
  };
  for (const job::Step* s : {&mask, &unmask}) std::for_each(s->touches.begin(), s->touches.end(), add);
  if (facts.job.part(mask.on) != nullptr && board_under(facts, mask.on, mask) != nullptr) add(mask.on);
  return parts;
}

/// Plugs into it, feeds it or solders on it; a look, a drying and a box do nothing with it.
bool uses(const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 4> kJoining{"plug", "wire", "hand-solder", "crimp"};
  const bool by_process = gets_power(step) || std::find(kJoining.begin(), kJoining.end(), step.process.text) != kJoining.end();
  return by_process && (step.on == part || has(step.touches, part) || has(step.tests, part));
}

plan::Constraint link(const job::Step& a, const job::Step& b, const std::string& text) {
  return before(a, b, reason(plan::ReasonKind::surface, "unmasked-first", text, practice(), b.place));
}

bool says_peeled(const job::Step& step) {
  constexpr std::array<std::string_view, 9> kWords{"tape off", "off the tape", "pull the tape", "peel", "take the tape", "remove the tape", "take the mask", "mask off", "masks off"};
  return step.process.text == "unmask" || says_one_of(kWords, step_words(step));
}

}  // namespace

void unmasked_first(const Facts& facts, const job::Step& unmask, Yield& yield) {
  const job::Step* mask = unmask.process.text == "unmask" ? mask_of(facts, unmask) : nullptr;
  if (mask == nullptr) return;
  for (const PartId& part : masked_parts(facts, *mask, unmask)) {
    for (const job::Step* use = mask + 1; use < &unmask; ++use) {
      if (!uses(*use, part) || said_to_follow(unmask, *use)) continue;
      const std::string text = fmt::format("{} uses {}, which is masked from {} to {}", say(*use), facts.name(part), say(*mask), say(unmask));
      std::vector<std::vector<plan::Constraint>> options{{link(unmask, *use, text)}, {link(*use, *mask, text)}};
      at_least_one(yield, "unmasked-first", std::move(options), text, unmask.place);
    }
  }
}

void tape_off(const Facts& facts, const job::Step& coat, Yield& yield) {
  constexpr std::array<std::string_view, 6> kTaping{"tape the", "tape over", "tape round", "tape around", "mask the", "stick tape"};
  if (facts.process(coat).word_or("class") != "finish" || coat.on.empty() || !says_one_of(kTaping, step_words(coat))) return;
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  if (std::any_of(&coat, end, [&](const job::Step& s) { return says_peeled(s); })) return;
  yield.findings.push_back(finding("tape-off", plan::Severity::note, coat, fmt::format("{} lays tape or a mask, and no step takes it off again", say(coat)),
                                   fmt::format("add a step of process 'unmask' on '{}', or write <do>Pull the tape off</do> into the one that does", coat.on.text), practice()));
}

}  // namespace handlot::rules
