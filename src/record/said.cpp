#include "record/said.h"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "record/state.h"

namespace handlot::record {
namespace {

using nlohmann::json;
using nlohmann::ordered_json;

struct Lot {
  std::int64_t start = 0;
  std::vector<std::string> serials;
};

std::optional<json> read(const std::string& said) {
  if (said.empty()) return std::nullopt;
  json j = json::parse(said, nullptr, false);
  return j.is_object() ? std::optional(std::move(j)) : std::nullopt;
}

std::optional<Lot> lot_of(std::span<const Event> lines) {
  for (auto line = lines.rbegin(); line != lines.rend(); ++line) {
    if (line->kind != Kind::plan) continue;
    const auto j = read(line->said);
    if (j && j->contains("serials")) return Lot{j->value("start", std::int64_t{0}), j->value("serials", std::vector<std::string>{})};
  }
  return std::nullopt;
}

/// "c2": the second of its step, and another one when the job file is edited.
bool counted_through(const std::string& id) {
  return id.size() > 1 && id[0] == 'c' && std::all_of(id.begin() + 1, id.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// What a scale should show is worked out from the cards, and may be worked out anew.
std::string words(const std::string& what, bool weighs) { return weighs ? what.substr(0, what.find(": about ")) : what; }

bool is_work(const Event& line) {
  return !line.step.empty() && (line.kind == Kind::start || line.kind == Kind::done || line.kind == Kind::tick || line.kind == Kind::value);
}

/// 1, 2, 3: no name that a unit keeps.
bool only_counts(const std::vector<std::string>& serials) { return serials.empty() || serials.front() == "1"; }

bool all_done(const plan::Plan& plan, const State& state) {
  return std::all_of(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& step) {
    const auto units = state.good_units();
    return std::all_of(units.begin(), units.end(), [&](int n) { return is_done(state, step, n); });
  });
}

std::string how(const plan::Plan& plan, const Lot& lot) {
  const std::size_t most = std::min(lot.serials.size(), plan.head.serials.size());
  for (std::size_t i = 0; i < most; ++i)
    if (lot.serials[i] != plan.head.serials[i])
      return fmt::format("unit {} is {} in the record, and {} in the job", i + 1, lot.serials[i], plan.head.serials[i]);
  return "";
}

}  // namespace

Asked asked(const plan::Check& check) { return {check.what, check.limit, check.unit, check.low, check.high}; }

std::string said_by(const plan::Plan& plan, const Event& line) {
  ordered_json j;
  if (line.kind == Kind::plan) {
    j = {{"start", plan.work.start.seconds}, {"serials", plan.head.serials}};
  } else if (line.kind == Kind::tick || line.kind == Kind::value) {
    const auto* step = find_step(plan, line.step);
    const auto* check = step ? find_check(*step, line.item) : nullptr;
    if (!check) return "";
    j["what"] = check->what;
    if (!check->limit.empty()) j["limit"] = check->limit;
    if (!check->unit.empty()) j["unit"] = check->unit;
    if (check->low) j["low"] = *check->low;
    if (check->high) j["high"] = *check->high;
  } else {
    return "";
  }
  return j.dump(-1, ' ', false, ordered_json::error_handler_t::replace);
}

std::optional<Asked> asked(const Event& line) {
  const auto j = read(line.said);
  if (!j || !j->contains("what")) return std::nullopt;
  const auto figure = [&](const char* name) { return j->contains(name) && j->at(name).is_number() ? std::optional(j->at(name).get<double>()) : std::nullopt; };
  return Asked{j->value("what", ""), j->value("limit", ""), j->value("unit", ""), figure("low"), figure("high")};
}

const plan::Check* check_meant(const plan::Step& step, const Event& line) {
  const auto* by_id = find_check(step, line.item);
  const auto then = asked(line);
  if (!then || !counted_through(line.item)) return by_id;
  const auto same = [&](const plan::Check& c) {
    return c.value == (line.kind == Kind::value) && words(c.what, c.weighs) == words(then->what, c.weighs);
  };
  if (by_id && same(*by_id)) return by_id;
  const auto moved = std::find_if(step.checks.begin(), step.checks.end(), same);
  return moved == step.checks.end() ? nullptr : &*moved;
}

Diagnostics other_lot(const plan::Plan& plan, std::span<const Event> lines) {
  const auto lot = lot_of(lines);
  if (!lot || std::none_of(lines.begin(), lines.end(), is_work)) return {};
  std::string text = how(plan, *lot);
  const bool lost = std::any_of(lines.begin(), lines.end(), [&](const Event& e) { return is_work(e) && e.unit > plan.head.lot; });
  if (text.empty() && lost) text = fmt::format("the record has work on more units than the {} of the job", plan.head.lot);
  const bool later = lot->start != plan.work.start.seconds;
  if (text.empty() && later && (only_counts(lot->serials) || all_done(plan, derive(plan, lines))))
    text = "the record is of a lot that began on another day than the job says";
  if (text.empty()) return {};
  return {error("record-other-lot", {plan.head.file, 0, 0}, text + ": the job names another lot than its record",
                "for the next lot name a record of its own: --record record/lot-2.db; for the same lot put lot and serials back in the job file")};
}

bool is_unnamed(const plan::Plan& plan, std::span<const Event> lines) {
  if (std::any_of(lines.begin(), lines.end(), is_work)) return false;
  const auto last = std::find_if(lines.rbegin(), lines.rend(), [](const Event& e) { return e.kind == Kind::plan; });
  return last == lines.rend() || last->said != said_by(plan, *last);
}

plan::Plan with_serials_of(plan::Plan plan, std::span<const Event> lines) {
  const auto lot = lot_of(lines);
  if (!lot) return plan;
  for (std::size_t i = 0; i < std::min(lot->serials.size(), plan.head.serials.size()); ++i) plan.head.serials[i] = lot->serials[i];
  return plan;
}

}  // namespace handlot::record
