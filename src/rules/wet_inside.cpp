// A body is washed before things that bear no bath are built into it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// Water runs everywhere unless the words speak of the outside or of a cloth; a solvent is wiped on unless they speak of a bath.
bool bathes(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kWiping{"outside", "wipe", "cloth", "swab", "cotton", "sponge", "damp"};
  constexpr std::array<std::string_view, 10> kBathing{"wash the", "wash it", "wash in", "rinse", "tray", "dunk", "soak", "bath", "immers", "ultrasonic"};
  const std::string words = step_words(step);
  if (says_one_of(kWiping, words)) return false;
  return step.process.text == "wash" || ((step.process.text == "degrease" || step.process.text == "clean") && says_one_of(kBathing, words));
}

bool water(const job::Step& step) { return step.process.text == "wash"; }

bool shut_before(const Facts& facts, const KnownOrder& order, const job::Step& bath) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return facts.process(s).yes("closes") && same_or_within(facts, s.on, bath.on) && order.before(s.id, bath.id); });
}

/// Bathed as it is, or as part of the board that is washed.
bool board_itself(const Facts& facts, const PartId& body) { return body.empty() || body.text == "unit" || marked(facts, body, "board") || marked(facts, body, "cell"); }

/// Oil put on before the bath, in the order or only in the listing, and not again after it.
bool oil_washed_out(const Facts& facts, const KnownOrder& order, const job::Step& bath, const PartId& part) {
  bool oiled = false;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text != "lubricate" || !worked_on(facts, s).contains(part)) continue;
    if (order.before(bath.id, s.id) || &bath < &s) return false;
    oiled = true;
  }
  return oiled;
}

bool finished_before(const Facts& facts, const KnownOrder& order, const job::Step& bath, const PartId& part) {
  constexpr std::array<std::string_view, 4> kFinishes{"oil", "shellac", "lacquer", "wax"};
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return std::find(kFinishes.begin(), kFinishes.end(), s.process.text) != kFinishes.end() && worked_on(facts, s).contains(part) && order.before(s.id, bath.id);
  });
}

bool suffers(const Facts& facts, const KnownOrder& order, const job::Step& bath, const PartId& part) {
  constexpr std::array<std::string_view, 4> kMarks{"board", "cell", "display", "mains"};
  if (std::any_of(kMarks.begin(), kMarks.end(), [&](std::string_view m) { return marked(facts, part, m); })) return true;
  if (oil_washed_out(facts, order, bath, part)) return true;
  const std::string finish = facts.card_of(part).word_or("finish", "bare");
  const bool wood_spoils = water(bath) || finish != "bare" || finished_before(facts, order, bath, part);
  return (wooden(facts, part) && wood_spoils) || (water(bath) && natural_fibre(facts, part));
}

/// It carries current by itself.
bool live(const Facts& facts, const PartId& part) { return marked(facts, part, "cell") || marked(facts, part, "mains"); }

}  // namespace

void wet_inside(const Facts& facts, const KnownOrder& order, const job::Step& bath, Yield& yield) {
  // What is shut or poured over by then is rinsed from outside.
  if (!bathes(bath) || board_itself(facts, bath.on) || covered_from(facts, bath) || shut_before(facts, order, bath)) return;
  std::vector<std::string> fitted;
  std::vector<PartId> parts;
  bool stops = false;
  for (const job::Part& part : facts.job.parts) {
    const job::Step* in = part.jig ? nullptr : fitted_by(facts, order, bath, part.id);
    if (in == nullptr || marked(facts, in->on, "board") || !suffers(facts, order, bath, part.id)) continue;
    fitted.push_back(facts.name(part.id) + (oil_washed_out(facts, order, bath, part.id) ? " with its oil" : ""));
    parts.push_back(part.id);
    stops = stops || (water(bath) && live(facts, part.id));
  }
  if (fitted.empty()) return;
  auto f = finding("chips-inside", stops ? plan::Severity::stop : plan::Severity::warn, bath, fmt::format("{} bathes {} with what is fitted in it by then: {}", say(bath), facts.name(bath.on), listed(fitted)),
                   "do it before they are fitted; or wipe it with a cloth, or only outside, and say so in an action", practice());
  f.parts = std::move(parts);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
