#include <catch2/catch.hpp>

#include <fstream>
#include <map>
#include <sstream>

#include "sheets/clock.h"
#include "sheets/compose.h"
#include "sheets/ics.h"
#include "sheets/reading.h"
#include "sheets/sample_plan.h"
#include "sheets/text.h"

using namespace handlot;

namespace {

struct Event {
  int sequence = 0;
  std::int64_t start = 0, end = 0;
  std::string status;
  int alarms = 0;
};

/// Read by the icalendar package for Python, which shares no code with libical; nothing when it is not
/// installed.
std::optional<std::map<std::string, Event>> read_back(const std::string& ics) {
  const std::string path = test::scratch("read.ics");
  std::ofstream(path, std::ios::binary) << ics;
  const std::string script = test::scratch("read_ics.py");
  std::ofstream(script) << R"(import sys
from icalendar import Calendar
with open(sys.argv[1], 'rb') as f:
    calendar = Calendar.from_ical(f.read())
for e in calendar.walk('VEVENT'):
    alarms = len(e.walk('VALARM'))
    print(str(e['UID']).replace(' ', '_'), int(e['SEQUENCE']), int(e['DTSTART'].dt.timestamp()), int(e['DTEND'].dt.timestamp()), str(e.get('STATUS', '-')), alarms)
)";
  const auto text = test::output_of("/usr/bin/python3 '" + script + "' '" + path + "'");
  if (!text) return std::nullopt;
  std::map<std::string, Event> out;
  std::istringstream lines(*text);
  std::string uid;
  for (Event e; lines >> uid >> e.sequence >> e.start >> e.end >> e.status >> e.alarms;) out[uid] = e;
  return out;
}

#define READ_OR_SKIP(events, ics)                                         \
  const auto events = read_back(ics);                                     \
  if (!events) {                                                          \
    WARN("skipped: no icalendar for Python (package python3-icalendar)"); \
    return;                                                               \
  }

}  // namespace

TEST_CASE("every wait and latest end is an event that another reader understands", "[sheets]") {
  const auto plan = test::sample_plan();
  READ_OR_SKIP(events, sheets::to_ics(plan));
  // 1 warm-up of the lot; 3 batches of drying paste (latest only), oil (both), cure (wait only).
  CHECK(events->size() == 1 + 3 + 6 + 3);
  for (const auto& [uid, event] : *events) {
    INFO(uid);
    CHECK(event.sequence == 0);
    CHECK(event.alarms == 1);
    CHECK(event.end > event.start);
  }
}

TEST_CASE("a cure over the clock change is as long as it is", "[sheets]") {
  const auto plan = test::sample_plan();
  READ_OR_SKIP(events, sheets::to_ics(plan));
  const auto cure = events->find("glue-feet.end>screw-lens.start/1-2/wait@fog-bell.handlot");
  REQUIRE(cure != events->end());
  const std::int64_t change = 1792890000;  // Sunday 25 October 2026 01:00 UTC, 03:00 CEST becomes 02:00 CET
                                           // (EU rule: last Sunday of October)
  CHECK(cure->second.start < change);
  CHECK(cure->second.end > change);
  CHECK(cure->second.end - cure->second.start == 72 * 3600);
}

TEST_CASE("a second export updates events and doubles none", "[sheets]") {
  auto plan = test::sample_plan();
  const std::string first = sheets::to_ics(plan);
  CHECK(sheets::to_ics(plan, first) == first);
  for (auto& op : plan.schedule.operations) {
    if (op.step.text == "oil") {
      op.start = op.start + hours(1);
      op.end = op.end + hours(1);
    }
  }
  plan.waits.erase(plan.waits.begin());  // the warm-up of the paste is gone
  const std::string second = sheets::to_ics(plan, first);
  READ_OR_SKIP(events, second);
  CHECK(events->size() == 13);
  for (const auto& [uid, event] : *events) {
    INFO(uid);
    const bool moved = uid.starts_with("oil.end");
    const bool gone = uid.starts_with("warm-paste");
    CHECK(event.sequence == (moved || gone ? 1 : 0));
    CHECK(event.status == (gone ? "CANCELLED" : "-"));
    CHECK(event.alarms == (gone ? 0 : 1));
  }
  CHECK(sheets::to_ics(plan, second) == second);
}

TEST_CASE("an old calendar that is no calendar counts as none", "[sheets][errors]") {
  const auto plan = test::sample_plan();
  const std::string fresh = sheets::to_ics(plan);
  CHECK(sheets::to_ics(plan, "not a calendar at all") == fresh);
  CHECK(sheets::to_ics(plan, "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:x") == fresh);
  CHECK(sheets::to_ics(plan, fresh.substr(0, fresh.size() / 2)).size() >= fresh.size());
}

TEST_CASE("a lot of a hundred single units has one event a wait, not a hundred", "[sheets]") {
  READ_OR_SKIP(events, sheets::to_ics(test::large_plan(20, 100)));
  CHECK(events->size() == 1 + 1 + 2 + 1);
}

TEST_CASE("a clock of the whole lot is one, although its step is done unit by unit", "[sheets]") {
  auto plan = test::sample_plan();
  auto& wait = plan.waits[1];  // printed paste dries: a bag opened once, now
  wait.scope = plan::Scope::lot;
  const std::string text = sheets::sheet_as_text(sheets::compose(plan, {}), {});
  CHECK(text.find("once for the whole lot, with the first unit") != std::string::npos);
  const auto board = text.find("# Wait board");
  REQUIRE(board != std::string::npos);
  const auto clock = text.find("~ Printed paste dries", board);
  REQUIRE(clock != std::string::npos);
  const std::string box = text.substr(clock, text.find("Then:", clock) - clock);
  CHECK(box.find("[ ] the lot: started") != std::string::npos);
  CHECK(box.find("unit 1") == std::string::npos);
  READ_OR_SKIP(events, sheets::to_ics(plan));
  CHECK(events->size() == 1 + 1 + 6 + 3);
  Instant first = plan.schedule.finish;
  for (const auto& op : plan.schedule.operations) {
    if (op.step == wait.from.step) first = std::min(first, wait.from.edge == plan::Edge::start ? op.start : op.end);
  }
  for (const auto& [uid, event] : *events) {
    if (uid.starts_with("print.end>reflow")) CHECK(event.end == (first + *wait.max).seconds);
  }
}

TEST_CASE("where two work, each step says whose it is, and where one does, none", "[sheets]") {
  auto plan = test::sample_plan();
  const auto all = [&] { return sheets::plan_as_text(plan, {}) + sheets::sheet_as_text(sheets::compose(plan, {}), {}) + sheets::to_ics(plan); };
  CHECK(all().find("by maker") == std::string::npos);
  CHECK(all().find("Hands for what follows") == std::string::npos);
  plan.work.resources.push_back({ResourceId("helper"), "helper", plan::Resource::Kind::person, 1, {}, {}, {}, false});
  CHECK(sheets::plan_as_text(plan, {}).find(", by maker") != std::string::npos);
  CHECK(sheets::sheet_as_text(sheets::compose(plan, {}), {}).find(", by maker") != std::string::npos);
  CHECK(sheets::to_ics(plan).find("Hands for what follows: maker") != std::string::npos);
  for (auto& op : plan.schedule.operations) {
    if (op.step.text == "oil" && op.first_unit > 2) op.people = {ResourceId("helper")};
  }
  CHECK(sheets::sheet_as_text(sheets::compose(plan, {}), {}).find("helper (units ") != std::string::npos);
}

TEST_CASE("hours of work are no days of 24 h", "[sheets]") {
  CHECK(sheets::work_in_words(minutes(466)) == "7 h 46 min");
  CHECK(sheets::work_in_words(hours(138)) == "138 h");
  CHECK(sheets::work_in_words(hours(30) + minutes(15)) == "30 h 15 min");
}

TEST_CASE("a clock that ran before the lot began ends by the calendar, for every batch", "[sheets]") {
  auto plan = test::sample_plan();
  REQUIRE(plan.waits[1].max.has_value());
  const Instant end = plan.schedule.start + hours(1);
  plan.waits[1].latest = end;
  const std::string moment = sheets::Clock(plan.head.zone).moment(end);
  CHECK(sheets::plan_as_text(plan, {}).find("not after " + moment) != std::string::npos);
  std::string stamp = "DTEND:" + sheets::utc_text(end);
  std::erase_if(stamp, [](char c) { return c == '-'; });
  std::erase(stamp, ':');
  CHECK(sheets::to_ics(plan, "").find("DTEND:" + stamp.substr(5)) != std::string::npos);
}
