#include "bench/taken.h"

#include <algorithm>
#include <array>

#include <nlohmann/json.hpp>
#include <set>

namespace handlot::bench {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;
using plan::Schedule;

constexpr std::array kStates{Schedule::Status::optimal, Schedule::Status::feasible,
                             Schedule::Status::infeasible, Schedule::Status::stopped};

ordered_json json_of(const plan::Operation& op) {
  ordered_json people = ordered_json::array();
  for (const auto& person : op.people) people.push_back(person.text);
  ordered_json out{{"step", op.step.text},
          {"first", op.first_unit},
          {"last", op.last_unit},
          {"start", op.start.seconds},
          {"hands_end", op.hands_end.seconds},
          {"end", op.end.seconds},
          {"hands_on", op.hands_on.seconds},
          {"people", people},
          {"because", op.because}};
  if (!op.without.empty()) out["without"] = op.without;
  return out;
}

plan::Operation operation_of(const json& j) {
  plan::Operation op;
  op.step = StepId(j.at("step").get<std::string>());
  op.first_unit = j.at("first").get<int>();
  op.last_unit = j.at("last").get<int>();
  op.start = Instant(j.at("start").get<std::int64_t>());
  op.hands_end = Instant(j.at("hands_end").get<std::int64_t>());
  op.end = Instant(j.at("end").get<std::int64_t>());
  op.hands_on = Duration(j.at("hands_on").get<std::int64_t>());
  for (const auto& person : j.at("people")) op.people.emplace_back(person.get<std::string>());
  op.because = j.at("because").get<std::string>();
  if (j.contains("without")) op.without = j.at("without").get<std::set<int>>();  // records of before have none
  return op;
}

}  // namespace

std::string text_of(const Schedule& schedule, const std::string& job_plan) {
  ordered_json j{{"job_plan", job_plan},
                 {"status", plan::word(schedule.status)},
                 {"start", schedule.start.seconds},
                 {"finish", schedule.finish.seconds},
                 {"bound", schedule.bound.seconds},
                 {"operations", ordered_json::array()}};
  for (const auto& op : schedule.operations) j["operations"].push_back(json_of(op));
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

std::optional<Schedule> schedule_of(std::string_view text, const std::string& job_plan) {
  try {
    const json j = json::parse(text);
    if (j.at("job_plan").get<std::string>() != job_plan) return std::nullopt;
    Schedule out;
    const auto status = j.at("status").get<std::string>();
    const auto known = std::find_if(kStates.begin(), kStates.end(),
                                    [&](Schedule::Status s) { return plan::word(s) == status; });
    if (known == kStates.end()) return std::nullopt;
    out.status = *known;
    out.start = Instant(j.at("start").get<std::int64_t>());
    out.finish = Instant(j.at("finish").get<std::int64_t>());
    out.makespan = out.finish - out.start;
    out.bound = Duration(j.at("bound").get<std::int64_t>());
    for (const auto& op : j.at("operations")) out.operations.push_back(operation_of(op));
    return out;
  } catch (const json::exception&) {
    return std::nullopt;
  }
}

}  // namespace handlot::bench
