// A part that would not survive a hot process comes in after it.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "core/text.h"
#include "rules/heat.h"
#include "rules/hidden.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

std::optional<Heat> heat_of(const Facts& facts, const job::Step& step) {
  const catalogue::Card& process = facts.process(step);
  const std::string reach = process.word_or("heats", "none");
  if (step.reaches) return Heat{*step.reaches, stated(), reach == "none" ? "touched" : reach};
  if (reach == "none") return std::nullopt;
  if (process.id.text == "reflow") {
    for (const job::MaterialUse& use : step.materials) {
      if (const auto peak = facts.card(use.card).get<Celsius>("peak")) return Heat{peak->high, peak->source, reach};
    }
  }
  if (const auto temperature = process.get<Celsius>("temperature")) return Heat{temperature->high, temperature->source, reach};
  return std::nullopt;
}

std::optional<catalogue::Sourced<Celsius>> heat_limit_of(const Facts& facts, const PartId& part, bool reflow) {
  const catalogue::Card& card = facts.card_of(part);
  if (reflow) {
    if (auto limit = card.get<Celsius>("reflow-limit")) return limit;
  }
  if (auto limit = card.get<Celsius>("heat-limit")) return limit;
  const std::string material = card.word_or("material");
  if (material.empty()) return std::nullopt;
  const catalogue::Card* of = facts.cards.find(CardId(material));
  return of == nullptr ? std::nullopt : of->get<Celsius>("heat-limit");
}

namespace {

constexpr Celsius kHottestRoom{45};  // a shop in summer is no oven

/// A step that proves the part to work, or runs the whole unit, means nothing before the part is in.
bool proves(const Facts& facts, const job::Step& step, const PartId& part) {
  return tests_part(facts, step, part) || (step.on.text == "unit" && facts.process(step).word_or("class") == "test");
}

void check_part(const Facts& facts, const job::Step& step, const Heat& heat, const job::Part& part, Yield& yield) {
  const auto limit = heat_limit_of(facts, part.id, step.process.text == "reflow");
  if (!limit || heat.temperature.value <= limit->low.value) return;
  const std::string text = fmt::format("{} takes {} degC and {} reaches {} degC", facts.name(part.id), number(limit->low.value, 0),
                                       say(step), number(heat.temperature.value, 0));
  std::vector<std::vector<plan::Constraint>> options;
  bool avoidable = true;
  for (const job::Step* joins : joining_steps(facts, part.id, step.on)) {
    if (joins == &step || proves(facts, step, part.id)) avoidable = false;
    if (joins != &step) options.push_back({before(step, *joins, reason(plan::ReasonKind::heat, "heat-limit", text, limit->source, limit->place))});
  }
  if (!avoidable) options.clear();
  if (options.empty()) {
    auto f = finding("heat-limit", plan::Severity::stop, step, text,
                     fmt::format("take {} out of this step, or choose a part or a process that fits", facts.name(part.id)), limit->source);
    f.parts = {part.id};
    yield.findings.push_back(std::move(f));
    return;
  }
  at_least_one(yield, "heat-limit", std::move(options), text, step.place);
}

}  // namespace

namespace {

/// How hot the station of the step is, by its card, where the process itself heats nothing: a hot cupboard for a long run.
bool hot_station(const Facts& facts, const job::Step& step) {
  if (!facts.process(step).word_or("heats", "none").starts_with("none") || facts.process(step).word_or("class") != "test") return false;
  return std::any_of(facts.job.bench.stations.begin(), facts.job.bench.stations.end(), [&](const job::Station& s) {
    const catalogue::Card* card = s.id == step.station ? facts.cards.find(s.card) : nullptr;  // a station need not have one
    const auto warm = card == nullptr ? std::nullopt : card->get<Celsius>("temperature");
    return warm && warm->high > kHottestRoom;
  });
}

}  // namespace

void heat_known(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.reaches || step.on.empty() || heat_of(facts, step)) return;
  const bool heats = facts.process(step).word_or("heats", "none") == "whole" && step.process.text != "reflow";
  if (!heats && !hot_station(facts, step)) return;
  yield.findings.push_back(finding("heat-known", plan::Severity::undecided, step, fmt::format("how hot {} gets is not said, so nothing in it is checked for heat", say(step)), "write reaches=\"60 degC\" with the highest that its parts meet", stated()));
}

void heat_limit(const Facts& facts, const job::Step& step, Yield& yield) {
  const auto heat = heat_of(facts, step);
  if (!heat || step.on.empty()) return;
  const std::set<PartId> touched = worked_on(facts, step);
  for (const job::Part& part : facts.job.parts) {
    const bool direct = touched.contains(part.id);
    const bool near = heat->reach == "whole" || (heat->reach == "near" && same_or_within(facts, part.assembly, step.on));
    if (part.jig || (!direct && !near)) continue;
    check_part(facts, step, *heat, part, yield);
  }
}

}  // namespace handlot::rules
