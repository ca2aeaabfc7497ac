// bench_hand.h: writes lines as a builder would, for tests of record. Times in seconds on the record's clock.
#pragma once

#include <fmt/format.h>

#include <string>
#include <vector>

#include "record/admit.h"
#include "record/look.h"
#include "record/sample.h"
#include "record/state.h"

namespace sample {

/// One of the refusals says so, and has a mend.
inline bool says(const handlot::Diagnostics& all, const std::string& text) {
  for (const auto& d : all)
    if (d.text.find(text) != std::string::npos && !d.mend.empty()) return true;
  return false;
}

struct Hand {
  plan::Plan plan;
  std::vector<record::Event> lines;
  double seconds = 0;
  std::string boot = "boot-1";

  explicit Hand(int lot = 4) : plan(sample::plan(lot)) {}

  record::Stamp stamp() const {
    const auto ms = static_cast<std::int64_t>(seconds * 1000);
    return {boot, ms, ms, 1'795'075'200'000 + ms};
  }
  record::Moment now() const { return record::now_moment(stamp()); }
  record::State state() const { return record::derive(plan, lines); }

  record::Event make(record::Kind kind, int unit, const char* step, std::string item = "",
                     std::optional<double> value = {}, std::string text = "") const {
    record::Event e;
    e.seq = static_cast<std::int64_t>(lines.size()) + 1;
    e.id = fmt::format("line-{:04}", e.seq);
    e.kind = kind;
    e.unit = unit;
    e.step = StepId(step);
    e.item = std::move(item);
    e.value = value;
    e.text = std::move(text);
    e.plan = plan.head.hash;
    e.at = stamp();
    return e;
  }
  /// Whatever the rules say.
  std::string write(record::Kind kind, int unit, const char* step, std::string item = "",
                    std::optional<double> value = {}, std::string text = "") {
    lines.push_back(make(kind, unit, step, std::move(item), value, std::move(text)));
    return lines.back().id;
  }
  Diagnostics ask(const record::Event& e) const { return record::refuse(plan, state(), lines, e, now()); }
  Diagnostics ask(record::Kind kind, int unit, const char* step, std::string item = "",
                  std::optional<double> value = {}, std::string text = "") const {
    return ask(make(kind, unit, step, std::move(item), value, std::move(text)));
  }
  std::string strike(const std::string& id, std::string why) {
    auto e = make(record::Kind::correction, 0, "", "", {}, std::move(why));
    e.target = id;
    lines.push_back(e);
    return e.id;
  }
  void done(int unit, const char* step, double takes = 60) {
    write(record::Kind::start, unit, step);
    seconds += takes;
    const auto* s = record::find_step(plan, StepId(step));
    for (const auto& check : s->checks)
      check.value ? write(record::Kind::value, unit, step, check.id, (*check.low + *check.high) / 2)
                  : write(record::Kind::tick, unit, step, check.id);
    write(record::Kind::done, unit, step);
  }
};

}  // namespace sample
