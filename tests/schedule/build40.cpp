#include <array>

#include "samples.h"

namespace handlot::schedule::samples {

using namespace plan;

namespace {

struct Row {
  const char* id;
  int setup_min;
  int run_min;  ///< per unit
  int unattended_min;
  const char* use;  ///< station or empty
  const char* after;
  int wait_min;  ///< after the end of `after`
  int most_min;  ///< latest, 0 = none
};

// Boards, case, mechanics, test and packing.
constexpr std::array<Row, 38> kRows{{
    {"receive", 10, 1, 0, "", "", 0, 0},
    {"print-paste", 8, 3, 0, "bench", "receive", 0, 0},
    {"place-small", 3, 14, 0, "bench", "print-paste", 0, 240},
    {"place-large", 2, 8, 0, "bench", "place-small", 0, 0},
    {"inspect-placed", 0, 3, 0, "", "place-large", 0, 0},
    {"bake-boards", 4, 0, 11, "oven", "inspect-placed", 0, 90},
    {"inspect-joints", 1, 5, 0, "", "bake-boards", 10, 0},
    {"touch-up", 3, 4, 0, "bench", "inspect-joints", 0, 0},
    {"headers", 2, 6, 0, "bench", "touch-up", 0, 0},
    {"wash", 5, 2, 30, "", "headers", 0, 60},
    {"firmware", 5, 2, 3, "", "wash", 0, 0},
    {"test-board", 3, 4, 0, "", "firmware", 0, 0},
    {"sand-case", 3, 12, 0, "bench", "receive", 0, 0},
    {"drill-case", 6, 5, 0, "", "sand-case", 0, 0},
    {"dry-fit", 0, 4, 0, "", "drill-case", 0, 0},
    {"mask", 1, 5, 0, "", "dry-fit", 0, 0},
    {"oil-1", 4, 6, 720, "", "mask", 0, 0},
    {"oil-2", 4, 5, 1440, "", "oil-1", 0, 2880},
    {"unmask", 0, 2, 0, "", "oil-2", 0, 0},
    {"glue-feet", 3, 4, 0, "clamps", "unmask", 0, 0},
    {"trim-feet", 0, 2, 0, "", "glue-feet", 20, 60},
    {"glue-lens", 3, 5, 0, "clamps", "unmask", 0, 0},
    {"wipe-lens", 0, 1, 0, "", "glue-lens", 15, 45},
    {"press-bearing", 4, 3, 0, "press", "drill-case", 0, 0},
    {"shaft", 1, 4, 0, "", "press-bearing", 0, 0},
    {"gear", 1, 3, 0, "", "shaft", 0, 0},
    {"servo-centre", 2, 2, 0, "", "firmware", 0, 0},
    {"servo-fit", 0, 6, 0, "", "servo-centre", 0, 0},
    {"harness", 5, 9, 0, "bench", "receive", 0, 0},
    {"fit-board", 0, 5, 0, "", "test-board", 0, 0},
    {"wire-up", 0, 7, 0, "", "fit-board", 0, 0},
    {"test-open", 3, 5, 0, "", "wire-up", 0, 0},
    {"close", 0, 3, 0, "", "test-open", 0, 0},
    {"seal", 2, 3, 480, "", "close", 0, 0},
    {"burn-in", 2, 1, 120, "", "seal", 0, 0},
    {"test-final", 2, 6, 0, "", "burn-in", 0, 0},
    {"label", 3, 1, 0, "", "test-final", 0, 0},
    {"pack", 2, 4, 0, "", "label", 0, 0},
}};

void link(Work& work, const char* from, const char* to, Duration min, std::optional<Duration> max,
          Scope scope, const char* why) {
  Constraint c;
  c.from = {StepId(from), Edge::end};
  c.to = {StepId(to), Edge::start};
  c.min = min;
  c.max = max;
  c.scope = scope;
  c.reason.text = why;
  work.constraints.push_back(c);
}

}  // namespace

Work forty_steps(int units) {
  Work work;
  work.units = units;
  work.start = Instant(1'796'000'400);
  work.resources = {
      {ResourceId("ann"), "Ann", Resource::Kind::person, 1, {}, {}, {}, false},
      {ResourceId("oven"), "oven", Resource::Kind::station, 6, minutes(10), minutes(20), {}, true},
      {ResourceId("bench"), "clean bench", Resource::Kind::station, 1, {}, {}, {}, false},
      {ResourceId("press"), "press", Resource::Kind::station, 1, {}, {}, {}, false},
      {ResourceId("clamps"), "clamps", Resource::Kind::fixture, 4, {}, {}, {}, false}};
  for (int day = 0; day < 120; ++day) {
    const Instant midnight = Instant(work.start.seconds - work.start.seconds % 86400 + 86400LL * day);
    if (day % 7 == 6) continue;
    const bool saturday = day % 7 == 5;
    work.hours.push_back(
        {midnight + hours(saturday ? 9 : 18), midnight + (saturday ? hours(17) : minutes(22 * 60 + 30))});
  }
  for (const Row& row : kRows) {
    Step step;
    step.id = StepId(row.id);
    step.timing.setup = minutes(row.setup_min);
    step.timing.run = minutes(row.run_min);
    step.timing.unattended = minutes(row.unattended_min);
    const std::string use = row.use;
    if (use == "oven") step.timing.uses = {{ResourceId(use), 1, true, {}, {}}};
    if (use == "bench" || use == "press") step.timing.uses = {{ResourceId(use), 1, false, {}, {}}};
    if (use == "clamps") step.timing.uses = {{ResourceId(use), 1, true, {}, minutes(60)}};
    work.steps.push_back(step);
    if (*row.after != '\0') {
      link(work, row.after, row.id, minutes(row.wait_min),
           row.most_min > 0 ? std::optional<Duration>(minutes(row.most_min)) : std::nullopt, Scope::unit,
           row.after);
    }
  }
  work.steps.front().timing.whole_lot = true;
  work.steps.back().timing.whole_lot = true;
  for (const char* careful : {"glue-feet", "seal"}) {
    for (Step& step : work.steps) {
      if (step.id.text == careful) {
        step.timing.first_piece = true;
        step.timing.first_piece_check = minutes(3);
      }
    }
  }
  link(work, "gear", "servo-fit", minutes(0), {}, Scope::unit, "the gear carries the servo");
  link(work, "servo-fit", "wire-up", minutes(0), {}, Scope::unit, "the servo is wired");
  link(work, "harness", "wire-up", minutes(0), {}, Scope::unit, "the harness is there");
  link(work, "trim-feet", "fit-board", hours(12), {}, Scope::unit, "the feet carry the weight");
  link(work, "wipe-lens", "close", hours(24), {}, Scope::unit, "the lens glue cures");
  link(work, "unmask", "fit-board", minutes(0), {}, Scope::unit, "the case is finished");
  NeverTogether fumes;
  fumes.a = StepId("oil-1");
  fumes.b = StepId("bake-boards");
  fumes.clear_after_a = minutes(0);
  fumes.reason.text = "oil vapour and a hot oven";
  work.apart.push_back(fumes);
  return work;
}

}  // namespace handlot::schedule::samples
