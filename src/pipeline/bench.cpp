#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <map>
#include <optional>

#include "calendar/opening.h"
#include "calendar/zone.h"
#include "core/spoken.h"
#include "job/station_use.h"
#include "pipeline/parts_of_plan.h"
#include "plan/hours.h"

namespace handlot::pipeline {

plan::Head head_of(const job::Job& job) {
  plan::Head head;
  head.name = job.name;
  head.revision = job.revision;
  head.lot = job.units;
  head.serials = job.serials;
  head.zone = job.bench.zone;
  head.builder = job.builder;
  head.notes = job.notes;
  head.room_temperature = job.bench.temperature;
  head.room_humidity = job.bench.humidity;
  head.file = job.file;
  for (const job::Document& d : job.documents) head.documents.push_back({d.name, d.revision});
  return head;
}

std::vector<plan::Resource> resources_of(const job::Job& job, const catalogue::Catalogue& cards) {
  std::vector<plan::Resource> all;
  for (const job::Person& p : job.bench.people) {
    plan::Resource r;
    r.id = p.id;
    r.name = p.name.empty() ? spoken(p.id.text) : p.name;
    r.kind = plan::Resource::Kind::person;
    all.push_back(std::move(r));
  }
  for (const job::Station& s : job.bench.stations) {
    plan::Resource r;
    r.id = s.id;
    r.name = s.name;
    r.kind = plan::Resource::Kind::station;
    r.capacity = job::places_of(s);
    r.warm_up = s.warm_up;
    r.stays_warm = s.stays_warm;
    r.change_over = s.change_over;
    r.together = s.together;
    if (const catalogue::Card* card = cards.find(s.card)) {
      if (const auto warm = card->get<Duration>("warm-up"); warm && s.warm_up.seconds == 0) r.warm_up = warm->high;
      if (const auto stays = card->get<Duration>("stays-warm"); stays && s.stays_warm.seconds == 0) r.stays_warm = stays->low;
    }
    all.push_back(std::move(r));
  }
  for (const job::Fixture& f : job.bench.fixtures) {
    plan::Resource r;
    r.id = f.id;
    r.name = f.name;
    r.kind = plan::Resource::Kind::fixture;
    r.capacity = f.count;
    all.push_back(std::move(r));
  }
  return all;
}

Result<Instant> start_of(const job::Job& job) {
  const auto zone = calendar::Zone::find(job.bench.zone, job.bench.place);
  if (!zone) return fail(zone.error());
  return calendar::read_instant(job.start, *zone, {job.file, 0, 0});
}

namespace {

bool has_own_hours(const job::Job& job, const ResourceId& person) {
  return std::any_of(job.bench.hours.begin(), job.bench.hours.end(), [&](const job::Hours& h) { return h.person == person; });
}

/// Whether anybody keeps these hours.
bool kept(const job::Job& job, const job::Hours& hours) {
  return !hours.person.empty() || std::any_of(job.bench.people.begin(), job.bench.people.end(), [&](const job::Person& p) { return !has_own_hours(job, p.id); });
}

/// When at least one of these lines of hours is open.
Result<std::vector<plan::Interval>> open_by(const job::Job& job, const std::vector<job::Hours>& lines, Instant start, int days) {
  const auto zone = calendar::Zone::find(job.bench.zone, job.bench.place);
  if (!zone) return fail(zone.error());
  calendar::ShopWeek week;
  for (const job::Hours& h : lines) {
    for (int day = 0; day < 7; ++day) {
      if (!h.days[static_cast<std::size_t>(day)]) continue;
      week.openings.push_back({static_cast<calendar::Weekday>(day + 1), {h.from_minute * 60}, {h.to_minute * 60}});
    }
  }
  for (const std::string& closed : job.bench.closed) {
    const auto date = calendar::read_date(closed, job.bench.place);
    if (!date) return fail(date.error());
    week.closed.push_back(*date);
  }
  std::vector<plan::Interval> open;
  for (const calendar::Span& span : calendar::hours(week, *zone, start, days)) open.push_back({span.open, span.close});
  return open;
}

}  // namespace

Result<std::vector<plan::Interval>> hours_of(const job::Job& job, Instant start, int days) {
  std::vector<job::Hours> lines;
  std::copy_if(job.bench.hours.begin(), job.bench.hours.end(), std::back_inserter(lines), [&](const job::Hours& h) { return kept(job, h); });
  auto open = open_by(job, lines, start, days);
  if (open && open->empty()) {
    return fail(error("no-hours", job.bench.place, fmt::format("the shop is not open once in {} days from the start", days),
                      "add <hours> with days, or take out <closed> dates"));
  }
  return open;
}

std::vector<plan::Interval> away_of(const job::Job& job, const ResourceId& person, const std::vector<plan::Interval>& open) {
  if (open.empty() || std::all_of(job.bench.hours.begin(), job.bench.hours.end(), [](const job::Hours& h) { return h.person.empty(); })) return {};
  const ResourceId whose = has_own_hours(job, person) ? person : ResourceId();
  std::vector<job::Hours> lines;
  std::copy_if(job.bench.hours.begin(), job.bench.hours.end(), std::back_inserter(lines), [&](const job::Hours& h) { return h.person == whose; });
  const std::int64_t days = (open.back().close - open.front().open).seconds / 86400 + 2;
  return plan::without(open, open_by(job, lines, open.front().open, static_cast<int>(days)).value_or(std::vector<plan::Interval>{}));
}

namespace {

/// Seconds a day, over a week, of whoever is there least by their own hours; none where nobody has any.
std::optional<std::int64_t> thinnest_day(const job::Job& job) {
  std::map<ResourceId, std::int64_t> week;
  for (const job::Hours& h : job.bench.hours) {
    if (!h.person.empty()) week[h.person] += std::count(h.days.begin(), h.days.end(), true) * 60LL * (h.to_minute - h.from_minute);
  }
  std::optional<std::int64_t> least;
  for (const auto& [person, seconds] : week) least = std::min(least.value_or(seconds), seconds);
  return least ? std::optional(std::max<std::int64_t>(60, *least / 7)) : std::nullopt;
}

}  // namespace

int days_needed(const job::Job& job, const plan::Work& work) {
  std::int64_t hands = 0, waits = 0;
  for (const plan::Step& s : work.steps) {
    hands += (s.timing.setup.seconds + s.timing.run.seconds) * work.units + s.timing.first_piece_check.seconds;
    waits += s.timing.unattended.seconds * work.units;
  }
  for (const plan::Constraint& c : work.constraints) waits += c.redundant ? 0 : std::max<std::int64_t>(0, c.min.seconds);
  constexpr std::int64_t kHandsADay = 2 * 3600;  // a thin evening
  const std::int64_t hands_a_day = std::min(kHandsADay, thinnest_day(job).value_or(kHandsADay));
  const std::int64_t days = 28 + 3 * (hands / hands_a_day + waits / 86400);
  return static_cast<int>(std::min<std::int64_t>(days, 3650));
}

}  // namespace handlot::pipeline
