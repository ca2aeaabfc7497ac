#include "record/presence.h"

#include <algorithm>

#include <fmt/format.h>

#include "plan/find.h"
#include "plan/hours.h"
#include "record/places.h"

namespace handlot::record {
namespace {

using Hours = std::vector<plan::Interval>;
using People = std::vector<const plan::Resource*>;

std::string name_of(const plan::Resource& person) { return person.name.empty() ? person.id.text : person.name; }

/// Those whom the step names; nobody where that is everybody, or where it needs no hands.
People only_these(const plan::Plan& plan, const plan::Step& step) {
  People out;
  const plan::Timing& timing = step.timing;
  if (timing.people.empty() || (timing.setup.seconds == 0 && !timing.hands_on)) return out;
  std::size_t all = 0;
  for (const plan::Resource& r : plan.work.resources) {
    if (r.kind != plan::Resource::Kind::person) continue;
    ++all;
    if (std::find(timing.people.begin(), timing.people.end(), r.id) != timing.people.end()) out.push_back(&r);
  }
  return out.size() < all ? out : People{};
}

class Presence {
 public:
  Presence(const plan::Plan& plan, const State& state, const Moment& now)
      : shop_(plan.work.hours), now_(now.wall_ms / 1000), gone_(missing(plan, state, now)) {}

  double gone_s(const plan::Resource& person) const {
    const auto gone = std::find_if(gone_.begin(), gone_.end(), [&](const Missing& m) { return m.resource == &person; });
    return gone == gone_.end() ? 0 : gone->wait_s;
  }

  bool is_ever_away(const plan::Resource& person) const { return !person.away.empty() || gone_s(person) > 0; }

  Hours of(const plan::Resource& person) const {
    Hours there = plan::without(shop_, person.away);
    const auto gone = static_cast<std::int64_t>(gone_s(person));
    return gone > 0 ? plan::without(there, {{now_, now_ + Duration(gone)}}) : there;
  }

  /// 0: there; empty: nobody knows.
  std::optional<double> back_in_s(const plan::Resource& person) const {
    const Hours there = of(person);
    const auto next = std::find_if(there.begin(), there.end(), [&](const plan::Interval& i) { return i.close > now_; });
    const double gone = gone_s(person);
    const std::optional<double> comes = next == there.end() ? std::nullopt : std::optional(static_cast<double>((next->open - now_).seconds));
    if (gone > 0) return comes ? comes : gone;
    if (comes && *comes <= 0) return 0;
    return may_have_come(there) ? 0 : comes;
  }

 private:
  /// The shop is shut, and this one was there when it shut, or is when it opens.
  bool may_have_come(const Hours& there) const {
    const auto next = std::find_if(shop_.begin(), shop_.end(), [&](const plan::Interval& i) { return i.close > now_; });
    if (next == shop_.begin() || next == shop_.end()) return next == shop_.end() || next->open > now_;
    if (next->open <= now_) return false;
    return std::any_of(there.begin(), there.end(), [&](const plan::Interval& i) { return i.open == next->open || i.close == (next - 1)->close; });
  }

  const Hours& shop_;
  const Instant now_;
  const std::vector<Missing> gone_;
};

}  // namespace

std::string who_may(const plan::Plan& plan, const plan::Step& step) {
  std::vector<std::string> names;
  for (const plan::Resource* person : only_these(plan, step)) names.push_back(name_of(*person));
  return fmt::format("{}", fmt::join(names, " or "));
}

std::optional<Absent> absent(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now) {
  const People people = only_these(plan, step);
  if (people.empty()) return std::nullopt;
  const Presence presence(plan, state, now);
  const plan::Resource* first = nullptr;
  double wait = 0;
  for (const plan::Resource* person : people) {
    if (!presence.is_ever_away(*person)) return std::nullopt;
    const auto back = presence.back_in_s(*person);
    if (back && *back <= 0) return std::nullopt;
    if (!back || (first && wait <= *back)) continue;
    first = person;
    wait = *back;
  }
  const std::string head = "it waits for " + who_may(plan, step);
  if (!first) return Absent{head + (people.size() > 1 ? ": none of them is there" : ", who is not there"), 0};
  const std::string back = clock_in(plan, now, wait);
  return Absent{people.size() > 1 ? fmt::format("{}: {} is back first, {}", head, name_of(*first), back) : fmt::format("{}, who is back {}", head, back), wait};
}

std::optional<std::vector<plan::Interval>> own_hours(const plan::Plan& plan, const State& state, const plan::Step& step, const Moment& now) {
  const People people = only_these(plan, step);
  if (people.empty()) return std::nullopt;
  const Presence presence(plan, state, now);
  Hours nobody = plan.work.hours;
  for (const plan::Resource* person : people) {
    if (!presence.is_ever_away(*person)) return std::nullopt;
    nobody = plan::without(nobody, presence.of(*person));
  }
  return plan::without(plan.work.hours, nobody);
}

}  // namespace handlot::record
