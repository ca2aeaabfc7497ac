// A room too cold, too hot, too dry or too damp for an adhesive is said before it is opened.
#include <fmt/format.h>

#include "core/text.h"
#include "joints/instant_glue.h"
#include "rules/cure.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "cure-room";

void temperature(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  const Celsius room = *facts.job.bench.temperature;
  const auto least = adhesive.get<Celsius>("least-temperature");
  if (least && room < least->low && joint.measured.empty()) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, glue,
                                     fmt::format("{} does not cure under {} degC, and the room has {} degC", adhesive.name,
                                                 number(least->low.value, 1), number(room.value, 1)),
                                     fmt::format("warm the room to {} degC or more", number(least->low.value, 1)), least->source));
    return;
  }
  for (const job::Cure state : {job::Cure::fixture, job::Cure::handling, job::Cure::working, job::Cure::full}) {
    const auto time = cure_time(facts, joint, state);
    if (!time || time->fault.empty()) continue;
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, glue,
                                     fmt::format("bond '{}': {}", joint.id.text, time->fault.front().text),
                                     fmt::format("{}, as measured-{}=\"...\" of the bond", time->fault.front().mend, word(state)), time->source));
    return;
  }
}

void humidity(const Facts& facts, const job::Step& glue, const catalogue::Card& adhesive, Yield& yield) {
  const auto window = adhesive.get<RelativeHumidity>("humidity");
  if (!window || adhesive.word_or("chemistry") != "cyanoacrylate") return;
  const RelativeHumidity room = *facts.job.bench.humidity;
  const auto effect = joints::humidity_effect(room, window->low, window->high);
  if (effect == joints::HumidityEffect::good) return;
  const bool slow = effect == joints::HumidityEffect::slow;
  yield.findings.push_back(finding(
      kRule, plan::Severity::warn, glue,
      fmt::format("{} wants {} to {} %RH, and the room has {} %RH: {}", adhesive.name, number(window->low.value, 0),
                  number(window->high.value, 0), number(room.value, 0), slow ? "it sets slower than its times say" : "it sets fast and weak"),
      slow ? "moisten the room, or allow more time and test a joint" : "dry the room, or test a joint", window->source));
}

}  // namespace

void cure_room(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  if (facts.job.bench.temperature) temperature(facts, *glue, joint, adhesive, yield);
  if (facts.job.bench.humidity) humidity(facts, *glue, adhesive, yield);
}

}  // namespace handlot::rules
