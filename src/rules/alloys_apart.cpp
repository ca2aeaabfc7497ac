// Lead does not meet bismuth in a joint, and a lead-free board is not made a leaded one by accident.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "rules/alloys.h"
#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "alloys-apart";

/// The paste or solder that the step brings to a joint; null without one. A jar that only warms brings nothing yet.
const catalogue::Card* alloy_in(const Facts& facts, const job::Step& step) {
  if (step.process.text == "warm-paste") return nullptr;
  const catalogue::Card* paste = used_card(facts, step, catalogue::CardKind::paste);
  return paste != nullptr ? paste : used_card(facts, step, catalogue::CardKind::solder);
}

/// Parts that both steps reach; of a whole unit only what the step names counts, for most of its joints are other ones.
std::vector<PartId> shared(const Facts& facts, const job::Step& a, const job::Step& b) {
  if (a.on.text == "unit" || b.on.text == "unit") return {};
  const std::set<PartId> of_a = worked_on(facts, a), of_b = worked_on(facts, b);
  std::vector<PartId> both;
  std::set_intersection(of_a.begin(), of_a.end(), of_b.begin(), of_b.end(), std::back_inserter(both));
  return both;
}

/// An earlier step brought the same alloy to what `partner` reaches too: the board's kind was said there.
bool said_before(const Facts& facts, const job::Step& step, const catalogue::Card& alloy, const job::Step& partner) {
  return std::any_of(facts.job.steps.data(), &step, [&](const job::Step& s) {
    const catalogue::Card* own = &s == &partner ? nullptr : alloy_in(facts, s);
    return own != nullptr && own->id == alloy.id && !shared(facts, s, partner).empty();
  });
}

}  // namespace

bool has_bismuth(const catalogue::Card& alloy) { return alloy.word_or("alloy").find("Bi") != std::string::npos; }

void alloys_apart(const Facts& facts, const job::Step& first, const job::Step& second, Yield& yield) {
  if (&first >= &second) return;  // steps of one list: each two once
  const catalogue::Card *a = alloy_in(facts, first), *b = alloy_in(facts, second);
  if (a == nullptr || b == nullptr || a->yes("lead") == b->yes("lead")) return;
  const std::vector<PartId> both = shared(facts, first, second);
  if (both.empty()) return;
  const job::Step& leaded = a->yes("lead") ? first : second;
  const job::Step& other = a->yes("lead") ? second : first;
  const catalogue::Card& lead = a->yes("lead") ? *a : *b;
  const catalogue::Card& free = a->yes("lead") ? *b : *a;
  const auto component = std::find_if(both.begin(), both.end(), [&](const PartId& id) { return !facts.card_of(id).yes("board"); });
  const PartId& where = component == both.end() ? both.front() : *component;
  const bool of_the_board = component == both.end() || !has_bismuth(free);
  if (of_the_board && (said_before(facts, leaded, lead, other) || said_before(facts, other, free, leaded))) return;
  plan::Finding f;
  if (has_bismuth(free)) {
    // On one board the joints may be different ones, but the iron and rework carry the lead along.
    f = finding(kRule, component == both.end() ? plan::Severity::warn : plan::Severity::stop, leaded,
                fmt::format("{} brings lead ({}) to {}, where {} has bismuth ({}): a joint of both begins to melt near 95 degC", say(leaded), lead.name, facts.name(where), say(other), free.name),
                "take lead-free or bismuth solder, with a tip that never saw lead", {"FCT", "lead in bismuth solder", Standing::read});
  } else {
    f = finding(kRule, plan::Severity::note, leaded,
                fmt::format("{} brings lead ({}) to {}, and {} is lead-free ({}): the unit is a leaded one then", say(leaded), lead.name, facts.name(where), say(other), free.name),
                "take lead-free solder, or keep a tip and a box for leaded waste", practice());
  }
  f.steps = {leaded.id, other.id};
  f.parts = {where};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
