// A cable reaches, closed and opened for service, and is not bent more sharply than it bears.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/cable_facts.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "cable-slack";

plan::Finding about(const job::Cable& cable, plan::Severity severity, std::string message, std::string mend, Source source) {
  plan::Finding f;
  f.rule = RuleId(std::string(kRule));
  f.severity = severity;
  f.parts = {cable.part};
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = std::move(source);
  f.place = cable.place;
  return f;
}

}  // namespace

std::optional<catalogue::Sourced<Millimetres>> least_bend(const catalogue::Card& card) {
  if (auto own = card.get<Millimetres>("bend-radius")) return own;
  auto outer = card.get<Millimetres>("outer-diameter");
  if (!outer) return std::nullopt;
  outer->low = outer->high = outer->high * 6;
  outer->source.at = "static bend radius, 6 x the outer diameter";
  return outer;
}

void cable_slack(const Facts& facts, Yield& yield) {
  for (const job::Cable& cable : facts.job.cables) {
    const std::string name = facts.name(cable.part);
    if (cable.length && cable.closed_path && *cable.length < *cable.closed_path) {
      yield.findings.push_back(about(cable, plan::Severity::stop, fmt::format("the cable {} is {} mm long and its way in the closed unit {} mm", name, number(cable.length->value, 1), number(cable.closed_path->value, 1)),
                                     "take a longer cable, or a shorter way", stated()));
    } else if (cable.length && cable.service_path && *cable.length < *cable.service_path) {
      yield.findings.push_back(about(cable, plan::Severity::warn, fmt::format("the cable {} of {} mm is too short to open the unit by {} mm", name, number(cable.length->value, 1), number(cable.service_path->value, 1)),
                                     "take a longer cable, or a plug that is pulled first", stated()));
    }
    const auto least = least_bend(facts.card_of(cable.part));
    if (cable.bend_radius && least && *cable.bend_radius < least->low) {
      yield.findings.push_back(about(cable, plan::Severity::warn, fmt::format("the cable {} is bent to {} mm, and bears {} mm", name, number(cable.bend_radius->value, 1), number(least->low.value, 1)),
                                     "lead it round in a wider bow", least->source));
    }
  }
}

}  // namespace handlot::rules
