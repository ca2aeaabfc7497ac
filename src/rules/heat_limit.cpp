// A part that would not survive a hot process comes in after it.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/hidden.h"
#include "rules/hot_tools.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/set_on.h"
#include "rules/setting.h"
#include "rules/step_words.h"

namespace handlot::rules {

std::optional<input::Amount> peak_passed(const job::CheckLine& check) {
  if (!check.limit || lower(check.id + " " + check.what).find("peak") == std::string::npos) return std::nullopt;
  return as_spelled(fmt::format("{}..{} {}", check.limit->low, check.limit->high, check.unit), input::Dimension::temperature);
}

namespace {

/// The hottest that a run of the oven is passed at by its own checks. One that the paste does not melt at speaks of a single part.
std::optional<Celsius> hottest_passed(const Facts& facts, const job::Step& oven) {
  const catalogue::Card* paste = paste_of(facts, oven);
  const auto liquidus = paste == nullptr ? std::nullopt : paste->get<Celsius>("liquidus");
  std::optional<Celsius> hottest;
  for (const job::CheckLine& check : oven.checks) {
    const auto passed = peak_passed(check);
    if (!passed || (liquidus && passed->high < liquidus->high.value)) continue;
    if (!hottest || passed->high > hottest->value) hottest = Celsius(passed->high);
  }
  return hottest;
}

/// Heats nothing by itself, but where the job says how warm it gets, all that stands there gets so warm: a run in the warm cupboard, a drying.
bool stands_in_warmth(const Facts& facts, const job::Step& step) {
  return facts.process(step).word_or("class") == "test" || step.process.text == "dry" || step.process.text == "cure";
}

}  // namespace

std::optional<Heat> heat_of(const Facts& facts, const job::Step& step) {
  const catalogue::Card& process = facts.process(step);
  const std::string reach = process.word_or("heats", "none");
  if (step.reaches) return Heat{*step.reaches, stated(), reach != "none" ? reach : stands_in_warmth(facts, step) ? "body" : "touched"};
  if (reach == "none") return std::nullopt;
  if (process.id.text == "reflow") {
    if (const auto passed = hottest_passed(facts, step)) return Heat{*passed, stated(), reach};
    for (const job::MaterialUse& use : step.materials) {
      if (const auto peak = facts.card(use.card).get<Celsius>("peak")) return Heat{peak->high, peak->source, reach};
    }
  }
  if (const auto temperature = process.get<Celsius>("temperature")) return Heat{temperature->high, temperature->source, reach};
  return std::nullopt;
}

bool warms(const Facts& facts, const KnownOrder& order, const job::Step& hot, const Heat& heat, const PartId& id) {
  if (worked_on(facts, hot).contains(id) || same_or_within(facts, hot.on, id)) return true;
  if (heat.reach == "touched") return false;
  const auto joins = joining_steps(facts, id, hot.on);
  return std::any_of(joins.begin(), joins.end(), [&](const job::Step* join) { return join != &hot && order.before(join->id, hot.id); });
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
constexpr Celsius kHottestOven{300};  // hotter is an iron or a gun, that heats what it touches (common practice, no source)
constexpr double kPassing = 30;      // kelvin over its limit that a part takes for seconds, from a gun that is kept moving (common practice, no source)

/// Warm air for seconds, that the hand takes away again.
bool passing(const job::Step& step) { return step.process.text == "heat-shrink"; }

plan::Finding passing_heat(const Facts& facts, const job::Step& step, const Heat& heat, const PartId& part, const catalogue::Sourced<Celsius>& limit) {
  const bool much = heat.temperature.value > limit.low.value + kPassing;
  auto f = finding("heat-limit", much ? plan::Severity::warn : plan::Severity::note, step,
                   fmt::format("{} takes {} degC for long, and {} brings {} degC to it for some seconds", facts.name(part), number(limit.low.value, 0), say(step), number(heat.temperature.value, 0)),
                   much ? fmt::format("shrink it before {} is there, shield it, or take a sleeve that shrinks cooler", facts.name(part)) : "take the lowest heat that shrinks, and keep the gun moving", limit.source);
  f.parts = {part};
  return f;
}

/// A step that proves the part to work, or runs the whole unit, means nothing before the part is in.
bool proves(const Facts& facts, const job::Step& step, const PartId& part) {
  return tests_part(facts, step, part) || (step.on.text == "unit" && facts.process(step).word_or("class") == "test");
}

/// Listed after the hot step, the other one puts in the body that was warmed.
bool goes_in_later(const Facts& facts, const job::Step& hot, const job::Step& joins) {
  const std::vector<PartId> around = facts.job.around(hot.on);
  return &hot < &joins && std::any_of(joins.installs.begin(), joins.installs.end(), [&](const job::Installs& i) { return i.part == hot.on || has(around, i.part); });
}

void check_part(const Facts& facts, const job::Step& step, const Heat& heat, const job::Part& part, Yield& yield) {
  const auto limit = heat_limit_of(facts, part.id, step.process.text == "reflow");
  if (!limit || heat.temperature.value <= limit->low.value) return;
  const std::string text = fmt::format("{} takes {} degC and {} reaches {} degC", facts.name(part.id), number(limit->low.value, 0),
                                       say(step), number(heat.temperature.value, 0));
  std::vector<std::vector<plan::Constraint>> options;
  bool avoidable = true, joined_already = false;
  for (const job::Step* joins : joining_steps(facts, part.id, step.on)) {
    if (joins == &step || proves(facts, step, part.id)) avoidable = false;
    joined_already = joined_already || joins < &step;
    if (joins != &step) options.push_back({before(step, *joins, reason(plan::ReasonKind::heat, "heat-limit", text, limit->source, limit->place))});
  }
  if (!avoidable) options.clear();
  if (passing(step) && (options.empty() || joined_already)) {
    yield.findings.push_back(passing_heat(facts, step, heat, part.id, *limit));
    return;
  }
  if (options.empty()) {
    auto f = finding("heat-limit", plan::Severity::stop, step, text,
                     fmt::format("take {} out of this step, or choose a part or a process that fits", facts.name(part.id)), limit->source);
    f.parts = {part.id};
    yield.findings.push_back(std::move(f));
    return;
  }
  // Two bodies go together late: what is in one of them, sooner or later, has not met the heat of the other if that goes in cold.
  prefer_listed(facts, options);
  std::stable_partition(options.begin(), options.end(), [&](const auto& way) { return goes_in_later(facts, step, *facts.job.step(way.front().to.step)); });
  at_least_one(yield, "heat-limit", std::move(options), text, step.place);
}

/// A hot dip or bath runs over all that is set on the body by then; an iron and a gun heat a spot of it.
bool dips(const Facts& facts, const job::Step& step) {
  const std::string work = facts.process(step).word_or("class");
  return work == "finish" || work == "clean";
}

}  // namespace

namespace {

/// How hot the station of the step is, by its card, where the process itself heats nothing: a hot cupboard for a long run.
bool hot_station(const Facts& facts, const job::Step& step) {
  if (!facts.process(step).word_or("heats", "none").starts_with("none") || facts.process(step).word_or("class") != "test") return false;
  return std::any_of(facts.job.bench.stations.begin(), facts.job.bench.stations.end(), [&](const job::Station& s) {
    const catalogue::Card* card = s.id == step.station ? facts.cards.find(s.card) : nullptr;  // a station need not have one
    const auto warm = card == nullptr ? std::nullopt : card->get<Celsius>("temperature");
    return warm && warm->high > kHottestRoom && warm->high <= kHottestOven;
  });
}

/// In one subassembly with what the step is on, or put on it by a step.
bool goes_along(const Facts& facts, const PartId& part, const PartId& on) {
  const std::vector<PartId> mine = facts.job.around(part), its = facts.job.around(on);
  return (!mine.empty() && !its.empty() && mine.front() == its.front()) || !joining_steps(facts, part, on).empty();
}

bool heats_all(const Facts& facts, const job::Step& step) { return facts.process(step).word_or("heats", "none") == "whole"; }

/// The run listed last before it in the same oven. A reflow ends with its own cooling. Null: none.
const job::Step* run_before(const Facts& facts, const job::Step& step) {
  const job::Step* last = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (&s == &step) break;
    if (s.station == step.station && heats_all(facts, s)) last = &s;
  }
  return last == nullptr || last->process.text == "reflow" ? nullptr : last;
}

/// What bears the heat of its own run may not bear that which the oven still has from the run before.
void oven_still_hot(const Facts& facts, const job::Step& step, const Heat& heat, const std::set<PartId>& loaded, Yield& yield) {
  const job::Step* before = step.station.empty() || !heats_all(facts, step) ? nullptr : run_before(facts, step);
  const auto was = before == nullptr ? std::nullopt : heat_of(facts, *before);
  if (!was || step_words(step).find("cool") != std::string::npos || step_words(*before).find("cool") != std::string::npos) return;
  for (const PartId& part : loaded) {
    const auto limit = facts.job.part(part) == nullptr ? std::nullopt : heat_limit_of(facts, part, false);
    if (!limit || heat.temperature > limit->low || was->temperature <= limit->low) continue;
    auto f = finding("heat-limit", plan::Severity::note, step, fmt::format("{} takes {} degC, and {} puts it where {} has left {} degC: nothing says that it has cooled", facts.name(part), number(limit->low.value, 0), say(step), say(*before), number(was->temperature.value, 0)),
                     fmt::format("let it cool to {} degC before it is loaded, and say so in a line of {}", number(heat.temperature.value, 0), say(step)), practice());
    f.steps.push_back(before->id);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
    return;
  }
}

}  // namespace

void heat_known(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.reaches || step.on.empty() || heat_of(facts, step)) return;
  const bool heats = facts.process(step).word_or("heats", "none") == "whole" && step.process.text != "reflow";
  if (!heats && !hot_station(facts, step)) return;
  yield.findings.push_back(finding("heat-known", plan::Severity::undecided, step, fmt::format("how hot {} gets is not said, so nothing in it is checked for heat", say(step)), "write reaches=\"60 degC\" with the highest that its parts meet", stated()));
}

void heat_limit(const Facts& facts, const job::Step& step, Yield& yield) {
  inserts_first(facts, step, yield);
  const auto heat = heat_of(facts, step);
  if (!heat || step.on.empty()) return;
  std::set<PartId> touched = worked_on(facts, step);
  if (dips(facts, step)) touched.merge(set_on(facts, step));
  oven_still_hot(facts, step, *heat, touched, yield);
  for (const job::Part& part : facts.job.parts) {
    const bool direct = touched.contains(part.id);
    const bool near = heat->reach == "whole" || (heat->reach == "body" && goes_along(facts, part.id, step.on)) || (heat->reach == "near" && same_or_within(facts, part.assembly, step.on));
    if (part.jig || (!direct && !near)) continue;
    check_part(facts, step, *heat, part, yield);
  }
}

}  // namespace handlot::rules
