#include "schedule/relief.h"

#include <fmt/format.h>

#include <algorithm>
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
  bool second = false;  ///< one more than the change before it
};

bool used(const plan::Work& work, const ResourceId& id) {
  return std::any_of(work.steps.begin(), work.steps.end(), [&](const plan::Step& s) {
    return std::any_of(s.timing.uses.begin(), s.timing.uses.end(),
                       [&](const plan::Use& u) { return u.resource == id; });
  });
}

void add_places(const plan::Work& work, std::vector<Change>& out) {
  for (std::size_t r = 0; r < work.resources.size(); ++r) {
    const plan::Resource& resource = work.resources[r];
    if (resource.kind == plan::Resource::Kind::person || !used(work, resource.id)) continue;
    const std::string& name = resource.name.empty() ? resource.id.text : resource.name;
    for (const int more : {1, 2}) {
      if (more == 2 && resource.capacity == 1) continue;
      Change change{fmt::format("{} more: {}", more == 1 ? "one" : "two", name), work};
      change.work.resources[r].capacity += more;
      change.second = more == 2;
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

Change earlier_mornings(const plan::Work& work) {
  Change change{"an hour more each morning", work};
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

Change second_person(const plan::Work& work) {
  Change change{"a second pair of hands", work};
  plan::Resource person;
  person.id = ResourceId("second pair of hands");
  person.kind = plan::Resource::Kind::person;
  change.work.resources.push_back(person);
  for (plan::Step& step : change.work.steps) {
    if (!step.timing.people.empty()) step.timing.people.push_back(person.id);
  }
  return change;
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
  changes.push_back(earlier_mornings(work));
  changes.push_back(second_person(work));
  std::vector<plan::Relief> out;
  const engine::Stopwatch watch;
  const Time latest = latest_worth_telling(best, limits);
  Time one_more = kNever;  ///< finish with the change before
  for (const Change& change : changes) {
    Limits rest = limits;
    rest.seconds = limits.seconds - watch.cpu_seconds();
    if (rest.seconds <= 0) break;
    const Time before = change.second ? one_more : kNever;
    one_more = kNever;
    if (!faults(change.work).empty()) continue;
    if (best != nullptr && no_sooner_than(change.work, latest + 1)) continue;
    const auto found = found_with(change.work, best != nullptr ? &best->sizes : nullptr, rest, seed);
    if (!found) continue;
    one_more = found->score.finish;
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
