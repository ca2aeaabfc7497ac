#include "bench/alarms.h"

#include <catch2/catch.hpp>

#include "record/sample.h"

using namespace handlot;

namespace {

record::Event line(std::int64_t seq, record::Kind kind, const char* step, int unit, std::int64_t at_s) {
  return sample::line(seq, kind, step, unit, sample::stamp(at_s, at_s));
}

std::string calendar(std::int64_t now_s, const std::vector<record::Event>& lines) {
  const auto plan = sample::plan();
  const auto state = record::derive(plan, lines);
  const auto now = record::now_moment(sample::stamp(now_s, now_s));
  return bench::alarms(plan, state, record::timers(plan, state, now), now);
}

std::size_t count(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (auto at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("a cure that runs is an alarm at its end, in UTC", "[bench]") {
  const std::vector<record::Event> lines{line(1, record::Kind::done, "glue", 1, 600)};
  const std::string text = calendar(900, lines);
  CHECK(count(text, "BEGIN:VEVENT") == 1);
  CHECK(count(text, "BEGIN:VALARM") == 1);
  CHECK(text.find("DTSTART:20261119T081000Z") != std::string::npos);
  CHECK(text.find("DTEND:20261119T084000Z") != std::string::npos);  // 30 min after it was glued
  CHECK(text.find("epoxy of the feet cures") != std::string::npos);
  CHECK(text.find("SEQUENCE:1") != std::string::npos);
}

TEST_CASE("a latest end is an entry of its own, which rings before it", "[bench]") {
  const std::vector<record::Event> lines{line(1, record::Kind::done, "oil", 1, 0)};
  const std::string text = calendar(60, lines);  // 15 min at least, 2 h at most
  CHECK(count(text, "BEGIN:VEVENT") == 2);
  CHECK(text.find("DTEND:20261119T081500Z") != std::string::npos);
  CHECK(text.find("DTSTART:20261119T093000Z") != std::string::npos);
  CHECK(text.find("DTEND:20261119T100000Z") != std::string::npos);
  CHECK(text.find("LATEST END") != std::string::npos);
}

TEST_CASE("a wait of the whole lot that some units have begun rings at its latest end only", "[bench]") {
  auto plan = sample::plan();
  plan.waits[2].scope = plan::Scope::lot;  // oil: 15 min at least from the last, 2 h at most from the first
  const std::vector<record::Event> lines{line(1, record::Kind::done, "oil", 1, 0)};
  const auto state = record::derive(plan, lines);
  const auto now = record::now_moment(sample::stamp(60, 60));
  const std::string text = bench::alarms(plan, state, record::timers(plan, state, now), now);
  CHECK(count(text, "BEGIN:VEVENT") == 1);
  CHECK(text.find("LATEST END") != std::string::npos);
}

TEST_CASE("what is over rings in no calendar; taken again an entry keeps its name", "[bench]") {
  std::vector<record::Event> lines{line(1, record::Kind::done, "glue", 1, 600)};
  CHECK(count(calendar(600 + 1801, lines), "BEGIN:VEVENT") == 0);
  const auto uid = [](const std::string& text) {
    const auto at = text.find("UID:");
    return text.substr(at, text.find('\n', at) - at);
  };
  const std::string first = calendar(700, lines);
  lines.push_back(line(2, record::Kind::done, "glue", 2, 800));
  const std::string second = calendar(900, lines);
  CHECK(count(second, "BEGIN:VEVENT") == 2);
  CHECK(second.find(uid(first)) != std::string::npos);
  CHECK(second.find("SEQUENCE:2") != std::string::npos);
}

TEST_CASE("a cure that ends while the shop is shut rings when it opens, a latest end and a run when they end", "[bench]") {
  auto plan = sample::plan();
  plan.work.hours = {{plan.work.start, plan.work.start + minutes(35)}, {plan.work.start + hours(24), plan.work.start + hours(30)}};
  const auto rings = [&](const std::vector<record::Event>& lines) {
    const auto state = record::derive(plan, lines);
    const auto now = record::now_moment(sample::stamp(900, 900));
    return bench::alarms(plan, state, record::timers(plan, state, now), now);
  };
  CHECK(rings({line(1, record::Kind::done, "glue", 1, 600)}).find("DTEND:20261120T080000Z") != std::string::npos);
  CHECK(rings({line(1, record::Kind::done, "glue", 1, 200)}).find("DTEND:20261119T083320Z") != std::string::npos);  // still open
  plan.work.hours.front().close = plan.work.start + minutes(10);
  CHECK(rings({line(1, record::Kind::done, "oil", 1, 600)}).find("DTEND:20261119T082500Z") != std::string::npos);
  const auto run = rings({line(1, record::Kind::start, "bake", 1, 550), line(2, record::Kind::leave, "bake", 1, 600)});
  CHECK(run.find("DTEND:20261119T082000Z") != std::string::npos);
}
