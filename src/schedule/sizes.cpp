#include "schedule/sizes.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "schedule/own_time.h"
#include "schedule/reach.h"
#include "schedule/step_load.h"
#include "schedule/tasks.h"

namespace handlot::schedule {

namespace {

/// Why runs of this size cannot be; empty when they can.
class SizeCheck {
 public:
  explicit SizeCheck(const plan::Work& work) : work_(work), hours_(work.hours, work.start), reach_(work) {}

  std::string why_not(int step, int size) const {
    const plan::Step& s = work_.steps[static_cast<std::size_t>(step)];
    for (const Run& run : runs_of(s.timing, work_.units, size)) {
      const Time hands = hands_of(s.timing, run);
      if (!s.timing.may_pause && hands > hours_.longest_span()) {
        return fmt::format("{} at a time need {} of hands in one go, and no shop interval is longer than {}",
                           run.size(), in_words(Duration(hands)), in_words(Duration(hours_.longest_span())));
      }
      const std::string things = too_few(step, run);
      if (!things.empty()) return things;
      for (const std::string& clock : {too_slow(step, run), too_long_in_turn(step, run)}) {
        if (!clock.empty()) return clock;
      }
    }
    return "";
  }

 private:
  std::string too_few(int step, const Run& run) const {
    const auto& uses = work_.steps[static_cast<std::size_t>(step)].timing.uses;
    for (std::size_t u = 0; u < uses.size(); ++u) {
      const auto number = reach_.numbers().uses(step)[u].resource;
      const plan::Resource& r = work_.resources[static_cast<std::size_t>(number)];
      const int count = uses[u].count * (uses[u].per_unit || r.together ? run.size() : 1);
      if (count > r.capacity) {
        return fmt::format("{} at a time need {} of '{}', and there {} {}", run.size(), count, r.id.text,
                           r.capacity == 1 ? "is" : "are", r.capacity);
      }
    }
    return "";
  }

  /// A clock that starts at an event all units of the run share: the hands-on work that stands between for
  /// all of them, split over all people, must fit.
  std::string too_slow(int step, const Run& run) const {
    for (std::size_t i = 0; i < work_.constraints.size(); ++i) {
      const plan::Constraint& c = work_.constraints[i];
      const auto [from, to] = reach_.numbers().constraints()[i];
      if (!c.max || from != step || from == to) continue;
      const Time hands = reach_.hands_between(from, c.from.edge, to, c.to.edge, run);
      if (hands > reach_.people() * c.max->seconds) {
        return fmt::format("{} at a time need {} of hands before '{}', which must come within {}", run.size(),
                           in_words(Duration(hands)), c.to.step.text, in_words(*c.max));
      }
    }
    return "";
  }

  /// A clock that each unit of the run starts or ends by its own time, while the others are at hand.
  std::string too_long_in_turn(int step, const Run& run) const {
    for (std::size_t i = 0; i < work_.constraints.size(); ++i) {
      const plan::Constraint& c = work_.constraints[i];
      const auto [from, to] = reach_.numbers().constraints()[i];
      const plan::Timing& timing = work_.steps[static_cast<std::size_t>(step)].timing;
      if (!c.max || from == to || (from != step && to != step)) continue;
      if (from == step && timing.unattended.seconds > 0) continue;
      const Time gap = reach_.follows(from, to) ? std::max<Time>(0, c.min.seconds) : c.min.seconds;
      const Time waits = gap + wait_within(c, timing, run);
      if (run.size() == 1 || waits <= c.max->seconds) continue;
      return fmt::format("{} at a time leave one of them {} between '{}' and '{}', which must come within {}", run.size(),
                         in_words(Duration(waits)), c.from.step.text, c.to.step.text, in_words(*c.max));
    }
    return "";
  }

  const plan::Work& work_;
  ShopHours hours_;
  Reach reach_;
};

/// Units that the last sub-batch has less than is allowed.
int falls_short(const plan::Timing& timing, int units, int size) {
  return std::max(0, timing.batch_min - runs_of(timing, units, size).back().size());
}

/// What leaves the last sub-batch smaller than need be is no choice.
void keep_least_short(const plan::Timing& timing, int units, std::vector<int>& sizes) {
  int least = falls_short(timing, units, sizes.front());
  for (const int size : sizes) least = std::min(least, falls_short(timing, units, size));
  std::erase_if(sizes, [&](int size) { return falls_short(timing, units, size) > least; });
}

}  // namespace

std::vector<SizeChoice> size_choices(const plan::Work& work) {
  const SizeCheck check(work);
  std::vector<SizeChoice> all;
  for (std::size_t s = 0; s < work.steps.size(); ++s) {
    SizeChoice choice;
    for (const int size : sizes_of(work.steps[s].timing, work.units)) {
      const std::string why = check.why_not(static_cast<int>(s), size);
      if (why.empty() || choice.possible.empty()) {
        choice.possible.push_back(size);
      } else {
        choice.limit = why;
        break;  // what is too much for a size is too much for every larger one
      }
    }
    keep_least_short(work.steps[s].timing, work.units, choice.possible);
    all.push_back(std::move(choice));
  }
  return all;
}

}  // namespace handlot::schedule
