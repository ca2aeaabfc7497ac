#include "schedule/step_load.h"

#include <algorithm>

namespace handlot::schedule {

namespace {

Time run_of(const plan::Timing& t, const Run& run) {
  return t.run.seconds * (t.run_per_unit ? run.size() : 1);
}

}  // namespace

Time hands_of(const plan::Timing& t, const Run& run) {
  return t.setup.seconds + (t.hands_on ? run_of(t, run) : 0) +
         (t.first_piece && run.first == 1 ? t.first_piece_check.seconds : 0);
}

Time alone_of(const plan::Timing& t, const Run& run) {
  return (t.hands_on ? 0 : run_of(t, run)) + t.unattended.seconds;
}

bool must_be_begun(const plan::Timing& t, const Run& run) {
  return hands_of(t, run) == 0 && alone_of(t, run) > 0 && !t.at_start && !t.by_itself;
}

bool stays_on_station(const plan::Work& work, const plan::Timing& from, const plan::Timing& to) {
  const auto has = [](const plan::Timing& t, const ResourceId& id) {
    return std::any_of(t.uses.begin(), t.uses.end(), [&](const plan::Use& use) { return use.resource == id; });
  };
  return std::none_of(work.resources.begin(), work.resources.end(), [&](const plan::Resource& r) {
    return r.kind == plan::Resource::Kind::station && has(to, r.id) && !has(from, r.id);
  });
}

StepLoad step_load(const plan::Timing& timing, int units, const std::vector<int>& sizes) {
  StepLoad load{kNever, kNever, kNever, kNever};
  for (const int size : sizes) {
    Time total = 0;
    for (const Run& run : runs_of(timing, units, size)) {
      const Time hands = hands_of(timing, run), alone = alone_of(timing, run);
      total += hands;
      load.shortest_hands = std::min(load.shortest_hands, hands);
      load.shortest_alone = std::min(load.shortest_alone, alone);
      load.shortest = std::min(load.shortest, hands + alone);
    }
    load.total_hands = std::min(load.total_hands, total);
  }
  return load;
}

}  // namespace handlot::schedule
