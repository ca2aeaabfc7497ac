// A body is washed before things that bear no bath are built into it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// Water runs everywhere unless the words speak of the outside or of a cloth; a solvent is wiped on unless they speak of a bath.
bool bathes(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kWiping{"outside", "wipe", "cloth", "swab", "cotton", "sponge", "damp"};
  constexpr std::array<std::string_view, 10> kBathing{"wash the", "wash it", "wash in", "rinse", "tray", "dunk", "soak", "bath", "immers", "ultraso"};
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

/// Its maker has filled it with grease, as its name says, and no step listed after the bath fills it again.
bool greased(const Facts& facts, const job::Step& bath, const PartId& part) {
  constexpr std::array<std::string_view, 4> kWords{"greased", "lubricated", "oiled", "grease-filled"};
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  const bool again = std::any_of(&bath + 1, end, [&](const job::Step& s) { return s.process.text == "lubricate" && worked_on(facts, s).contains(part); });
  if (again || !ball_bearing(facts, part)) return false;
  return says_one_word(kWords, both_names(facts, part));
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
  if (oil_washed_out(facts, order, bath, part) || greased(facts, bath, part)) return true;
  const std::string finish = facts.card_of(part).word_or("finish", "bare");
  const bool wood_spoils = water(bath) || finish != "bare" || finished_before(facts, order, bath, part);
  return (wooden(facts, part) && wood_spoils) || (water(bath) && natural_fibre(facts, part));
}

/// It carries current by itself.
bool live(const Facts& facts, const PartId& part) { return marked(facts, part, "cell") || marked(facts, part, "mains"); }

/// What the step puts into the bath by itself: the part that it is on and those it touches.
std::vector<PartId> put_in(const Facts& facts, const job::Step& bath) {
  std::vector<PartId> parts = bath.touches;
  parts.insert(parts.begin(), bath.on);
  std::erase_if(parts, [&](const PartId& id) { return facts.job.part(id) == nullptr; });
  return parts;
}

/// Under water, not only washed down.
bool under_water(const job::Step& bath) {
  constexpr std::array<std::string_view, 10> kBathing{"bath", "ultraso", "immers", "soak", "dunk", "dip", "tray", "basket", "rinse", "under water"};
  return water(bath) && bathes(bath) && says_one_of(kBathing, step_words(bath));
}

/// Cork bears water.
bool swells(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  return wooden(facts, part) || (natural_fibre(facts, part) && (material == nullptr || material->id.text != "cork"));
}

/// Steel that rusts, by its name; stainless and plated steel and screws from the bag are not told apart from it by their material.
bool rusts(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 8> kSteels{"silver steel", "tool steel", "carbon steel", "spring steel", "mild steel", "blued steel", "gauge plate", "cast iron"};
  constexpr std::array<std::string_view, 3> kPlated{"plated", "stainless", "painted"};
  const std::string names = both_names(facts, part);
  return says_one_of(kSteels, names) && !says_one_of(kPlated, names);
}

/// Dried, oiled or coated after the bath, or within it.
bool kept_from_rust(const Facts& facts, const job::Step& bath, const PartId& part) {
  constexpr std::array<std::string_view, 9> kKeeping{"dry", "lubricate", "oil", "wax", "lacquer", "polish", "degrease", "clean", "bake"};
  constexpr std::array<std::string_view, 3> kWords{"dry", "blow", "oil"};
  if (says_one_of(kWords, step_words(bath))) return true;
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return std::any_of(&bath + 1, end, [&](const job::Step& s) { return std::find(kKeeping.begin(), kKeeping.end(), s.process.text) != kKeeping.end() && worked_on(facts, s).contains(part); });
}

/// Wood, leather, felt and paper in a water bath; a greased bearing in any; plain steel that is left wet.
void bathed_by_itself(const Facts& facts, const job::Step& bath, Yield& yield) {
  const auto say_so = [&](plan::Severity severity, const PartId& part, std::string text, std::string mend) {
    auto f = finding("chips-inside", severity, bath, std::move(text), std::move(mend), practice());
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  };
  for (const PartId& part : put_in(facts, bath)) {
    if (under_water(bath) && swells(facts, part)) {
      say_so(plan::Severity::warn, part, fmt::format("{} bathes {}: {}", say(bath), facts.name(part), wooden(facts, part) ? "wood swells and warps in water" : "it swells, shrinks or comes apart in water"), "wipe or brush it clean, and keep it out of the bath");
    } else if (bathes(bath) && greased(facts, bath, part)) {
      say_so(plan::Severity::warn, part, fmt::format("{} bathes {} with its grease: the grease is washed out, and what is left holds dirt", say(bath), facts.name(part)), "keep it out of the bath, or grease it again after");
    } else if (under_water(bath) && rusts(facts, part) && !kept_from_rust(facts, bath, part)) {
      say_so(plan::Severity::note, part, fmt::format("{} washes {} in water, and nothing dries or oils it after: it rusts", say(bath), facts.name(part)), "add a step of process dry after it, or one of process lubricate");
    }
  }
}

}  // namespace

void wet_inside(const Facts& facts, const KnownOrder& order, const job::Step& bath, Yield& yield) {
  bathed_by_itself(facts, bath, yield);
  // What is shut or poured over by then is rinsed from outside.
  if (!bathes(bath) || board_itself(facts, bath.on) || covered_from(facts, bath) || shut_before(facts, order, bath)) return;
  std::vector<std::string> fitted;
  std::vector<PartId> parts;
  bool stops = false;
  for (const job::Part& part : facts.job.parts) {
    const job::Step* in = part.jig ? nullptr : fitted_by(facts, order, bath, part.id);
    if (in == nullptr || marked(facts, in->on, "board") || !suffers(facts, order, bath, part.id)) continue;
    fitted.push_back(facts.name(part.id) + (oil_washed_out(facts, order, bath, part.id) ? " with its oil" : greased(facts, bath, part.id) ? " with its grease" : ""));
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
