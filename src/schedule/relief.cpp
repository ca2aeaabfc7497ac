#include "schedule/relief.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <optional>

#include "core/text.h"
#include "schedule/bounds.h"
#include "schedule/faults.h"
#include "schedule/prove.h"
#include "schedule/size_search.h"

namespace handlot::schedule {

namespace {

constexpr Time kHour = 3600;
constexpr Time kNight = 4 * kHour;  ///< a break as long as this ends a working day

struct Change {
  std::string text;
  plan::Work work;
  bool further = false;  ///< more of the same thing than the change before it
};

bool used(const plan::Work& work, const ResourceId& id) {
  return std::any_of(work.steps.begin(), work.steps.end(), [&](const plan::Step& s) {
    return std::any_of(s.timing.uses.begin(), s.timing.uses.end(),
                       [&](const plan::Use& u) { return u.resource == id; });
  });
}

/// The most that the whole lot takes of it at once.
int most_taken(const plan::Work& work, const plan::Resource& resource) {
  int most = 0;
  for (const plan::Step& step : work.steps) {
    for (const plan::Use& use : step.timing.uses) {
      if (use.resource == resource.id) most = std::max(most, use.count * (use.per_unit || resource.together ? work.units : 1));
    }
  }
  return most;
}

/// One and two more, and as many more as spare the lot a load, up to twice what there is. Of a single thing one more.
std::vector<int> worth_trying(const plan::Work& work, const plan::Resource& resource) {
  if (resource.capacity <= 1) return {1};
  std::vector<int> more{1, 2};
  const int taken = most_taken(work, resource);
  for (int loads = (taken + resource.capacity - 1) / resource.capacity - 1; loads > 0; --loads) {
    const int wanted = (taken + loads - 1) / loads - resource.capacity;
    if (wanted > more.back() && wanted <= resource.capacity) more.push_back(wanted);
  }
  return more;
}

std::string in_figures(int number) {
  constexpr std::array<std::string_view, 10> kWords{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"};
  return number <= static_cast<int>(kWords.size()) ? std::string(kWords[static_cast<std::size_t>(number - 1)]) : std::to_string(number);
}

void add_places(const plan::Work& work, std::vector<Change>& out) {
  for (std::size_t r = 0; r < work.resources.size(); ++r) {
    const plan::Resource& resource = work.resources[r];
    if (resource.kind == plan::Resource::Kind::person || !used(work, resource.id)) continue;
    const std::string& name = resource.name.empty() ? resource.id.text : resource.name;
    bool further = false;
    for (const int more : worth_trying(work, resource)) {
      Change change{fmt::format("{} more: {}", in_figures(more), name), work};
      change.work.resources[r].capacity += more;
      change.further = further;
      further = true;
      out.push_back(std::move(change));
    }
  }
}

void add_larger_batches(const plan::Work& work, std::vector<Change>& out) {
  for (std::size_t s = 0; s < work.steps.size(); ++s) {
    const plan::Timing& t = work.steps[s].timing;
    if (t.whole_lot || t.batch_max == 0 || t.batch_max >= work.units) continue;
    Change change{fmt::format("'{}' for {} at a time", work.steps[s].id.text, t.batch_max + 1), work};
    change.work.steps[s].timing.batch_max += 1;
    out.push_back(std::move(change));
  }
}

/// Who does not come at the shop's hour does not come an hour earlier.
void stay_away(plan::Work& work, Instant opening, Instant earlier) {
  for (plan::Resource& r : work.resources) {
    for (plan::Interval& away : r.away) {
      if (away.open == opening) away.open = earlier;
    }
  }
}

Change earlier_opening(const plan::Work& work) {
  Change change{"opening an hour sooner each day", work};
  Instant closed = work.start + Duration(-kNight);
  for (plan::Interval& hours : change.work.hours) {
    if ((hours.open - closed).seconds >= kNight) {
      const Instant earlier = std::max(work.start, hours.open + Duration(-kHour));
      stay_away(change.work, hours.open, earlier);
      hours.open = earlier;
    }
    closed = hours.close;
  }
  return change;
}

bool wants_hands(const plan::Step& step) { return step.timing.setup.seconds > 0 || (step.timing.hands_on && step.timing.run.seconds > 0); }

bool is_person(const plan::Resource& r) { return r.kind == plan::Resource::Kind::person; }

/// Those who alone may do the step. Empty: anybody, or everybody by name.
std::vector<ResourceId> only_by(const plan::Work& work, const plan::Step& step) {
  const auto& may = step.timing.people;
  const bool all = std::all_of(work.resources.begin(), work.resources.end(),
                               [&](const plan::Resource& r) { return !is_person(r) || std::find(may.begin(), may.end(), r.id) != may.end(); });
  return all ? std::vector<ResourceId>{} : may;
}

/// Somebody who comes whenever the shop is open, and does what anybody may do and the steps that only `people` may.
plan::Work with_one_more(const plan::Work& work, const std::vector<ResourceId>& people) {
  plan::Work more = work;
  plan::Resource person;
  person.id = ResourceId("one more person");
  person.kind = plan::Resource::Kind::person;
  for (plan::Step& step : more.steps) {
    const std::vector<ResourceId> only = only_by(work, step);
    if (!step.timing.people.empty() && (only.empty() || only == people)) step.timing.people.push_back(person.id);
  }
  more.resources.push_back(std::move(person));
  return more;
}

/// Of `people`, or of everybody where nobody is named.
bool some_away(const plan::Work& work, const std::vector<ResourceId>& people) {
  return std::any_of(work.resources.begin(), work.resources.end(), [&](const plan::Resource& r) {
    return !r.away.empty() && (people.empty() || std::find(people.begin(), people.end(), r.id) != people.end());
  });
}

std::string quoted_some(const std::vector<std::string>& steps) {
  constexpr std::size_t kMost = 3;
  std::vector<std::string> names;
  for (const std::string& step : steps) {
    if (names.size() < kMost) names.push_back("'" + step + "'");
  }
  if (steps.size() > kMost) names.push_back(fmt::format("{} more", steps.size() - kMost));
  return listed(names);
}

/// A pair of hands for what anybody may do; for what only some may do, another of those.
void add_people(const plan::Work& work, std::vector<Change>& out) {
  const auto there = std::count_if(work.resources.begin(), work.resources.end(), is_person);
  std::map<std::vector<ResourceId>, std::vector<std::string>> steps_of;
  for (const plan::Step& step : work.steps) {
    if (wants_hands(step)) steps_of[only_by(work, step)].push_back(step.id.text);
  }
  for (const auto& [people, steps] : steps_of) {
    const std::string hours = some_away(work, people) ? ", in all shop hours" : "";
    const std::string who = !people.empty() ? fmt::format("another person who may do {}", quoted_some(steps)) : there <= 1 ? "a second pair of hands" : "another pair of hands";
    const std::string text = who + hours;
    out.push_back({text, with_one_more(work, people)});
  }
}

std::size_t operations(const plan::Work& work) {
  return work.steps.size() * static_cast<std::size_t>(work.units);
}

/// What a short search finds, with the learning engine behind it where the work is small.
std::optional<Solution> found_with(const plan::Work& work, const std::vector<int>* sizes_first, const Limits& limits, std::uint64_t seed) {
  constexpr std::int64_t kSchedules = 60;
  constexpr std::int64_t kRaises = 200'000;
  constexpr std::size_t kSmall = 60;
  Limits few = limits;
  few.placements =
      std::min<std::int64_t>(limits.placements, kSchedules * static_cast<std::int64_t>(operations(work)));
  SizeSearch search(work, few, seed, 0);
  if (sizes_first != nullptr) search.begin_with(*sizes_first);
  search.run([](const Solution&) {});
  if (operations(work) > kSmall) return search.best();
  std::vector<std::vector<int>> sizes;
  for (const SizeChoice& choice : search.choices()) sizes.push_back(choice.possible);
  const engine::Limits short_proof{2000, limits.seconds - search.seconds(), std::min(limits.raises, kRaises)};
  const Proof proof = prove(work, sizes, search.best() ? &*search.best() : nullptr, {}, 0, horizon_of(work),
                            short_proof, seed);
  return proof.best ? proof.best : search.best();
}

/// The finish of the work as it is in the sizes of a changed one: what those sizes save needs no change of the shop.
Time finish_without(const plan::Work& work, const Solution& best, const std::vector<int>& sizes, const Limits& limits, std::uint64_t seed) {
  if (sizes == best.sizes) return best.score.finish;
  Limits few = limits;
  constexpr std::int64_t kSchedules = 12;
  few.placements = std::min<std::int64_t>(limits.placements, kSchedules * static_cast<std::int64_t>(best.set.tasks.size()));
  SizeSearch search(work, few, seed, 0);
  search.begin_with(sizes);
  search.run([](const Solution&) {});
  return search.best() ? std::min(search.best()->score.finish, best.score.finish) : best.score.finish;
}

/// What the search leaves open, as not worth a proof, is no saving either.
Time latest_worth_telling(const Solution* best, const Limits& limits) {
  if (best == nullptr) return kNever;
  const Time finish = best->score.finish;
  return finish - std::max<Time>(1, static_cast<Time>(limits.gap * static_cast<double>(finish)));
}

}  // namespace

std::vector<plan::Relief> reliefs(const plan::Work& work, const Solution* best, const Limits& limits,
                                  std::uint64_t seed, std::size_t most) {
  std::vector<Change> changes;
  add_places(work, changes);
  add_larger_batches(work, changes);
  changes.push_back(earlier_opening(work));
  add_people(work, changes);
  std::vector<plan::Relief> out;
  const engine::Stopwatch watch;
  const Time latest = latest_worth_telling(best, limits);
  Time least = kNever;  ///< finish with fewer more of the same thing
  for (const Change& change : changes) {
    Limits rest = limits;
    rest.seconds = limits.seconds - watch.cpu_seconds();
    if (rest.seconds <= 0) break;
    const Time before = change.further ? least : kNever;
    if (!change.further) least = kNever;
    if (!faults(change.work).empty()) continue;
    if (best != nullptr && no_sooner_than(change.work, latest + 1)) continue;
    const auto found = found_with(change.work, best != nullptr ? &best->sizes : nullptr, rest, seed);
    if (!found) continue;
    least = std::min(least, found->score.finish);
    if (found->score.finish > latest) continue;
    const Time base = best != nullptr ? finish_without(work, *best, found->sizes, rest, seed) : kNever;
    if (found->score.finish >= base || found->score.finish >= before || (best == nullptr && before < kNever)) continue;
    plan::Relief relief{change.text, {}};
    if (best != nullptr) relief.saves = Duration(base - found->score.finish);
    out.push_back(std::move(relief));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const plan::Relief& a, const plan::Relief& b) { return a.saves > b.saves; });
  if (out.size() > most) out.resize(most);
  return out;
}

}  // namespace handlot::schedule
