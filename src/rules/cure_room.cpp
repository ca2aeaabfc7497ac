// A room too cold, too hot, too dry or too damp for an adhesive or a finish is said before it is opened.
#include <fmt/format.h>

#include "core/text.h"
#include "joints/instant_glue.h"
#include "rules/cure.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "cure-room";

/// The cures of the bond that some step after the gluing waits for, as listed; who waits for a higher one first has the
/// lower ones behind him. All of them where nothing is waited for: the glue is to hold all the same.
std::vector<job::Cure> waited_for(const Facts& facts, const job::Step& glue, const job::Joint& joint) {
  std::vector<job::Cure> waits;
  for (const job::Holds& hold : glue.holds) {
    if (hold.until_joint == joint.id) waits.push_back(hold.until_cure);
  }
  job::Cure had = job::Cure::none;
  for (const job::Step* s = &glue + 1; s != facts.job.steps.data() + facts.job.steps.size(); ++s) {
    job::Cure asked = cure_asked(facts, *s, joint);
    for (const job::JointNeed& need : s->joint_needs) {
      if (need.joint == joint.id) asked = need.cure;
    }
    if (asked > had) waits.push_back(had = asked);
  }
  return waits.empty() ? std::vector{job::Cure::fixture, job::Cure::handling, job::Cure::working, job::Cure::full} : waits;
}

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
  for (const job::Cure state : waited_for(facts, glue, joint)) {
    const auto time = cure_time(facts, joint, state);
    if (!time || time->fault.empty()) continue;
    const std::string planned = time->fault.front().code == "cure-too-cold" ? fmt::format("; the plan waits {}, and that may be too short", in_words(time->wait)) : "";
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, glue,
                                     fmt::format("bond '{}': {}{}", joint.id.text, time->fault.front().text, planned),
                                     fmt::format("{}, as measured-{}=\"...\" of the bond", time->fault.front().mend, word(state)), time->source));
    return;
  }
}

/// A hygrometer of the bench is no better than 5 %RH, common practice: so near the window it is worth knowing, no more.
void humidity(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  constexpr RelativeHumidity kNear{5};
  const auto window = adhesive.get<RelativeHumidity>("humidity");
  if (!window || adhesive.word_or("chemistry") != "cyanoacrylate") return;
  const RelativeHumidity room = *facts.job.bench.humidity;
  const auto effect = joints::humidity_effect(room, window->low, window->high);
  if (effect == joints::HumidityEffect::good) return;
  const bool slow = effect == joints::HumidityEffect::slow;
  const bool near = room >= window->low - kNear && room <= window->high + kNear;
  if (!joint.activator.empty() && (slow || near)) return;  // the activator sets it, not the air
  yield.findings.push_back(finding(
      kRule, near ? plan::Severity::note : plan::Severity::warn, glue,
      fmt::format("{} wants {} to {} %RH, and the room has {} %RH: {}", adhesive.name, number(window->low.value, 0),
                  number(window->high.value, 0), number(room.value, 0), slow ? "it sets slower than its times say" : "it sets fast and weak"),
      slow ? "moisten the room, or allow more time and test a joint" : "dry the room, or test a joint", window->source));
}

/// Times of water-borne glue rest on the moisture of the wood, which follows the room slowly: 15 %RH beyond the window
/// count, common practice.
void water_borne(const Facts& facts, const job::Step& glue, const catalogue::Card& adhesive, Yield& yield) {
  constexpr RelativeHumidity kSlack{15};
  const auto window = adhesive.get<RelativeHumidity>("humidity");
  if (!window || adhesive.word_or("chemistry") != "wood-glue") return;
  const RelativeHumidity room = *facts.job.bench.humidity;
  const bool dry = room < window->low - kSlack, damp = room > window->high + kSlack;
  if (!dry && !damp) return;
  yield.findings.push_back(finding(kRule, plan::Severity::warn, glue,
                                   fmt::format("{} wants {} to {} %RH, and the room has {} %RH: {}", adhesive.name, number(window->low.value, 0), number(window->high.value, 0), number(room.value, 0),
                                               damp ? "the wood is damp, the glue dries slowly, and the joint opens when the wood shrinks" : "it skins over before the joint is closed"),
                                   damp ? "dry the room and the wood first, or leave the clamps on longer and test a joint" : "spread and close quickly, or moisten the room", window->source));
}

/// What damp air does to a coat, by its family.
std::string_view damp_does(const catalogue::Card& finish) {
  const std::string family = finish.word_or("family");
  if (family == "lacquer" || family == "shellac") return "it turns milky, or dries soft";
  return family == "varnish" ? "its hardener foams with the water" : "it dries later than its times say, or not at all";
}

/// A film whose card says nothing, in a room that few of its kind bear: common practice, no source.
void far_out(const job::Bench& bench, const job::Step& coat, const catalogue::Card& finish, Yield& yield) {
  constexpr RelativeHumidity kDamp{80};
  constexpr Celsius kCold{10}, kHot{35};
  const bool damp = bench.humidity && finish.find("humidity") == nullptr && *bench.humidity >= kDamp;
  const bool said = finish.find("temperature") != nullptr || finish.find("least-temperature") != nullptr;
  const bool out = bench.temperature && !said && (*bench.temperature < kCold || *bench.temperature > kHot);
  if (!film_card(finish) || (!damp && !out)) return;
  yield.findings.push_back(finding("finish-room", plan::Severity::undecided, coat,
                                   damp ? fmt::format("the room has {} %RH, and the card '{}' does not say what {} bears: damp, {}", number(bench.humidity->value, 0), finish.id.text, finish.name, damp_does(finish))
                                        : fmt::format("the room has {} degC, and the card '{}' does not say what {} bears", number(bench.temperature->value, 1), finish.id.text, finish.name),
                                   fmt::format("write the figure '{}' of its data sheet on the card", damp ? "humidity" : "temperature"), practice()));
}

/// Of a finish that is put on: the room's temperature and humidity as its card wants them.
void finish_in(const Facts& facts, const job::Step& coat, const catalogue::Card& finish, Yield& yield) {
  const job::Bench& bench = facts.job.bench;
  const auto warmth = finish.get<Celsius>("temperature"), least = finish.get<Celsius>("least-temperature");
  const auto damp = finish.get<RelativeHumidity>("humidity");
  const auto say_so = [&](std::string wants, std::string has, const Source& source, std::string_view then = "it dries later than its times say, or not at all") {
    yield.findings.push_back(finding("finish-room", plan::Severity::warn, coat, fmt::format("{} wants {}, and the room has {}: {}", finish.name, wants, has, then),
                                     "bring the room there before the coat, and keep it so until it is dry", source));
  };
  if (bench.temperature && warmth && (*bench.temperature < warmth->low || *bench.temperature > warmth->high)) {
    say_so(fmt::format("{} to {} degC", number(warmth->low.value, 1), number(warmth->high.value, 1)), fmt::format("{} degC", number(bench.temperature->value, 1)), warmth->source);
  } else if (bench.temperature && least && *bench.temperature < least->low) {
    say_so(fmt::format("{} degC or more", number(least->low.value, 1)), fmt::format("{} degC", number(bench.temperature->value, 1)), least->source);
  }
  if (bench.humidity && damp && (*bench.humidity < damp->low || *bench.humidity > damp->high)) {
    say_so(fmt::format("{} to {} %RH", number(damp->low.value, 0), number(damp->high.value, 0)), fmt::format("{} %RH", number(bench.humidity->value, 0)), damp->source, damp_does(finish));
  }
  far_out(bench, coat, finish, yield);
}

}  // namespace

void finish_room(const Facts& facts, const job::Step& step, Yield& yield) {
  if (facts.process(step).word_or("class") != "finish") return;
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    if (fluid->kind == catalogue::CardKind::oil || fluid->kind == catalogue::CardKind::coating) finish_in(facts, step, *fluid, yield);
  }
}

void cure_room(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  if (facts.job.bench.temperature) temperature(facts, *glue, joint, adhesive, yield);
  if (facts.job.bench.humidity) humidity(facts, *glue, joint, adhesive, yield);
  if (facts.job.bench.humidity) water_borne(facts, *glue, adhesive, yield);
}

}  // namespace handlot::rules
