// While the other side of a board goes through the oven, what hangs under it melts again: does it hold, and how often may it?
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "solder/chip.h"
#include "solder/second_side.h"

namespace handlot::rules {

namespace {

using Kind = solder::SecondSideAnswer::Kind;
constexpr std::string_view kRule = "second-side";

// A low body cannot hang by more than its height allows: 3.5 g/cm3 is more than moulded and ceramic chip parts come to on the
// whole, and pads are more than 0.15 of the footprint. Common practice, no source; a figure 'mass' or 'pad-area' goes first.
constexpr double kHeaviest = 3.5e-3;  // g/mm3
constexpr double kLeastPads = 0.15;   // of the footprint

bool glued(const Facts& facts, const PartId& part) {
  return std::any_of(facts.job.joints.begin(), facts.job.joints.end(), [&](const job::Joint& j) { return has(j.between, part); });
}

struct Body {
  double length = 0, width = 0, height = 0;  ///< mm
};

/// As the card says, else as its package does. A chip may be as high as it is wide: capacitors are.
std::optional<Body> body_of(const catalogue::Card& card) {
  const auto l = card.get<Millimetres>("length"), w = card.get<Millimetres>("width"), h = card.get<Millimetres>("height");
  if (l && w && h) return Body{l->high.value, w->high.value, h->high.value};
  const auto chip = solder::chip_size(card.word_or("package"), card.word_or("package-unit") == "metric" ? solder::CodeUnit::metric : solder::CodeUnit::inch);
  if (!chip) return std::nullopt;
  return Body{chip->length.value, chip->width.value, h ? h->high.value : std::max(chip->height, chip->width).value};
}

solder::HangingPart hanging(const Facts& facts, const PartId& id, Celsius liquidus) {
  const catalogue::Card& card = facts.card_of(id);
  solder::HangingPart part;
  part.part = facts.name(id);
  part.liquidus = liquidus;
  part.glued = glued(facts, id);
  if (const auto mass = card.get<Grams>("mass")) part.mass = mass->high;
  if (const auto pads = card.get<SquareMillimetres>("pad-area")) part.joint_area = pads->low;
  if (const auto* passes = card.find("reflow-passes")) part.heatings_allowed = static_cast<int>(passes->low);
  const auto body = body_of(card);
  if (!body) return part;
  const double footprint = body->length * body->width;
  const double load = kHeaviest * body->height / kLeastPads;
  if (!part.mass && load <= solder::hanging_limit_g_per_mm2()) part.mass = Grams(kHeaviest * footprint * body->height);
  if (!part.joint_area && part.mass && part.mass->value <= kHeaviest * footprint * body->height + 1e-12) part.joint_area = SquareMillimetres(kLeastPads * footprint);
  return part;
}

std::vector<solder::SecondSideAnswer> answers(const Facts& facts, const std::vector<PartId>& parts, Celsius peak, Celsius liquidus, int heatings_before) {
  std::vector<solder::HangingPart> all;
  for (const PartId& id : parts) all.push_back(hanging(facts, id, liquidus));
  return solder::second_side(all, peak, heatings_before);
}

/// Parts of the second side alone: would they hang safely if the board were done the other way round?
bool other_way_holds(const Facts& facts, const job::Step& first, const job::Step& second, Celsius peak, Celsius liquidus) {
  const std::vector<PartId> before = soldered_by(facts, first);
  std::vector<PartId> own;
  for (const PartId& id : soldered_by(facts, second)) {
    if (std::find(before.begin(), before.end(), id) == before.end()) own.push_back(id);
  }
  const auto all = answers(facts, own, peak, liquidus, 1);
  return !all.empty() && std::all_of(all.begin(), all.end(), [](const auto& a) { return a.kind == Kind::holds || a.kind == Kind::stays_solid; });
}

/// Whether the board was turned over between the two runs: by what they say of sides, else if something is printed or placed for the
/// second. A run for dull joints alone turns nothing.
bool turned_over(const Facts& facts, const job::Step& first, const job::Step& second) {
  if (!first.side.empty() && !second.side.empty()) return first.side != second.side;
  if (soldered_by(facts, first) != soldered_by(facts, second)) return true;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return (s.process.text == "print-paste" || s.process.text == "place") && same_or_within(facts, s.on, second.on) && &first < &s && &s < &second;
  });
}

/// Joints of a low-melting paste that go through the oven of a hotter one.
void overheated(const Facts& facts, const job::Step& first, const job::Step& second, Celsius heat, Yield& yield) {
  const catalogue::Card *low = paste_of(facts, first), *high = paste_of(facts, second);
  if (low == nullptr || high == nullptr || low->id == high->id) return;
  const auto melts = low->get<Celsius>("liquidus"), later = high->get<Celsius>("liquidus"), most = low->get<Celsius>("peak");
  if (!melts || !later || !most || melts->high >= later->low || heat <= most->high) return;
  auto f = finding(kRule, plan::Severity::warn, second,
                   fmt::format("{} reaches {} degC, and the joints of {} are of {}: they melt again at {} degC, and its window ends at {} degC", say(second), number(heat.value, 0), say(first), low->name, number(melts->high.value, 0), number(most->high.value, 0)),
                   "do the side with the low-melting paste last", most->source);
  f.steps.push_back(first.id);
  yield.findings.push_back(std::move(f));
}

plan::Finding about(const job::Step& oven, plan::Severity severity, const PartId& part, const solder::SecondSideAnswer& answer, std::string mend) {
  auto f = finding(kRule, severity, oven, answer.text, std::move(mend), answer.kind == Kind::too_many_heatings ? practice() : answer.source);
  f.parts = {part};
  return f;
}

}  // namespace

void second_side(const Facts& facts, const job::Step& first, const job::Step& second, Yield& yield) {
  if (first.process.text != "reflow" || second.process.text != "reflow") return;
  const auto ovens = ovens_on(facts, first.on);
  const auto i = std::find(ovens.begin(), ovens.end(), &first), j = std::find(ovens.begin(), ovens.end(), &second);
  if (i == ovens.end() || j == ovens.end() || j - i != 1) return;
  const catalogue::Card* paste = paste_of(facts, first);
  const auto liquidus = paste == nullptr ? std::nullopt : paste->get<Celsius>("liquidus");
  const auto heat = heat_of(facts, second);
  if (!liquidus || !heat) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, second, fmt::format("whether the joints of {} melt again in {} can't be told", say(first), say(second)), "name the paste in both: <uses material=\"sac305-paste\"/>", stated()));
    return;
  }
  overheated(facts, first, second, heat->temperature, yield);
  const bool same_side = !turned_over(facts, first, second);
  const std::vector<PartId> parts = soldered_by(facts, first);
  const auto all = answers(facts, parts, heat->temperature, liquidus->low, static_cast<int>(j - ovens.begin()));
  const bool swap = !same_side && other_way_holds(facts, first, second, heat->temperature, liquidus->low);
  std::vector<std::string> unknown;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const auto& answer = all[k];
    if (answer.kind == Kind::too_many_heatings) {
      const auto source = facts.card_of(parts[k]).find("reflow-passes")->source;
      auto f = about(second, plan::Severity::stop, parts[k], answer, "place it for the last run, or solder it by hand");
      f.source = source;
      yield.findings.push_back(std::move(f));
    } else if (same_side) {
      continue;
    } else if (answer.kind == Kind::may_fall) {
      yield.findings.push_back(about(second, plan::Severity::stop, parts[k], answer, swap ? "do the other side first: what lies there would hold" : "glue it to the board before the second run, or solder it by hand"));
    } else if (answer.kind == Kind::glued) {
      yield.findings.push_back(about(second, plan::Severity::note, parts[k], answer, "a glue for this holds at the peak: its sheet says so"));
    } else if (answer.kind == Kind::undecided) {
      unknown.push_back(answer.part);
    }
  }
  if (!unknown.empty()) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, second, fmt::format("{} hang under the board and melt again, and nothing says how heavy they are for their pads", listed(unknown)), "add the figures 'mass' and 'pad-area' to their cards, or place them for the last run",
                                     {"HANG30", "30 g per square inch of joint", Standing::memory}));
  }
}

}  // namespace handlot::rules
