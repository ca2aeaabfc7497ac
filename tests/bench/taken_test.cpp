#include "bench/taken.h"

#include <catch2/catch.hpp>

#include "bench/client.h"
#include "bench/difference.h"
#include "support/folder.h"
#include "bench/serve.h"
#include "record/ledger.h"
#include "record/sample.h"

using namespace handlot;
using client::get;
using client::post;

namespace {

plan::Schedule shifted(plan::Schedule schedule, Duration by) {
  for (auto& op : schedule.operations) {
    op.start = op.start + by;
    op.hands_end = op.hands_end + by;
    op.end = op.end + by;
  }
  schedule.finish = schedule.finish + by;
  return schedule;
}

/// A bench whose replanner moves everything by an hour.
bench::Options options(const Folder& folder) {
  bench::Options o;
  o.plan = sample::plan();
  o.record = folder.path / "record.db";
  o.port = 0;
  o.replan = [plan = o.plan](const record::State& state, const record::Moment&) -> Result<plan::Plan> {
    plan::Plan next = plan;
    next.schedule = shifted(plan.schedule, hours(1));
    next.head.hash = "anew" + std::to_string(state.seq);
    return next;
  };
  return o;
}

std::unique_ptr<bench::Server> start(bench::Options o) {
  auto server = bench::Server::start(std::move(o));
  REQUIRE(server);
  return std::move(*server);
}

bool shows(int port, const std::string& text) {
  return get(port, "/state.json").body.find("\"plan\":\"" + text + "\"") != std::string::npos;
}

}  // namespace

TEST_CASE("the times of a plan come back as they were", "[bench]") {
  plan::Schedule s = sample::plan().schedule;
  s.operations[1].people = {ResourceId("me")};
  s.operations[1].because = "the \"first\" thing";
  s.operations[1].without = {2, 3};
  const auto back = bench::schedule_of(bench::text_of(s, "job1"), "job1");
  REQUIRE(back);
  REQUIRE(back->operations.size() == s.operations.size());
  for (std::size_t i = 0; i < s.operations.size(); ++i) {
    const auto &a = s.operations[i], &b = back->operations[i];
    CHECK(std::tuple(a.step, a.first_unit, a.last_unit, a.start, a.hands_end, a.end, a.because) ==
          std::tuple(b.step, b.first_unit, b.last_unit, b.start, b.hands_end, b.end, b.because));
    CHECK(a.people == b.people);
    CHECK(a.without == b.without);
  }
  CHECK(back->finish == s.finish);
  CHECK(back->status == s.status);
}

TEST_CASE("the times of another job's plan, and what is none, are not taken up", "[bench][errors]") {
  const std::string text = bench::text_of(sample::plan().schedule, "job1");
  CHECK_FALSE(bench::schedule_of(text, "job2"));
  for (const char* bad : {"", "{}", "[1]", R"({"job_plan":"job1"})", R"({"job_plan":1})", "\xff\xfe"})
    CHECK_FALSE(bench::schedule_of(bad, "job1"));
  CHECK_FALSE(bench::schedule_of(text.substr(0, text.size() / 2), "job1"));
}

TEST_CASE("a plan that was taken outlives the program, and goes with the record", "[bench][server]") {
  Folder folder;
  {
    auto server = start(options(folder));
    const int port = server->port();
    REQUIRE(post(port, "/do", "id=replan-0001&act=replan").status == 200);
    CHECK(shows(port, "0123456789ab"));
    REQUIRE(post(port, "/do", "id=take-00001&act=take-plan&item=anew1").status == 200);
    CHECK(shows(port, "anew1"));
    CHECK(post(port, "/do", "id=take-00001&act=take-plan&item=anew1").body.find("\"already\":true") !=
          std::string::npos);
  }
  {
    auto server = start(options(folder));
    CHECK(shows(server->port(), "anew1"));
    CHECK(get(server->port(), "/").body.find("id=\"newplan\"") == std::string::npos);
    CHECK(get(server->port(), "/photo/anew1").status == 404);
  }
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  REQUIRE(ledger);
  REQUIRE(ledger->export_to(folder.path / "out.db"));
  auto other = record::Ledger::open(folder.path / "other.db", record::Ledger::Mode::write);
  REQUIRE(other->import_from(folder.path / "out.db"));
  REQUIRE(other->photo("anew1")->has_value());
  auto o = options(folder);
  o.record = folder.path / "other.db";
  CHECK(shows(start(std::move(o))->port(), "anew1"));

  auto changed = options(folder);
  changed.plan.head.hash = "jobchanged99";
  auto server = start(std::move(changed));
  CHECK(shows(server->port(), "jobchanged99"));  // those times belong to other steps
  CHECK(get(server->port(), "/").body.find("id=\"newplan\"") != std::string::npos);
}

TEST_CASE("a plan that was worked out before more was done is not taken", "[bench][server][errors]") {
  Folder folder;
  auto server = start(options(folder));
  const int port = server->port();
  REQUIRE(post(port, "/do", "id=replan-0001&act=replan").status == 200);
  REQUIRE(post(port, "/do", "id=note-00001&act=note&text=the+cat+sat+on+it").status == 200);
  CHECK(get(port, "/plan").body.find("Take this plan") != std::string::npos);  // a note moves nothing
  REQUIRE(post(port, "/do", "id=start-0001&act=start&step=verify&unit=0").status == 200);
  const auto page = get(port, "/plan").body;
  CHECK(page.find("More was done since it was worked out") != std::string::npos);
  CHECK(page.find("Take this plan") == std::string::npos);
  const auto reply = post(port, "/do", "id=take-00001&act=take-plan&item=anew1");
  CHECK(reply.status == 409);
  CHECK(reply.body.find("bench-proposal-old") != std::string::npos);
  CHECK(shows(port, "0123456789ab"));
}

TEST_CASE("where no schedule was found and nothing is in its way, the page says so", "[bench][server][errors]") {
  Folder folder;
  auto o = options(folder);
  o.replan = [plan = o.plan](const record::State&, const record::Moment&) -> Result<plan::Plan> {
    plan::Plan next = plan;
    next.schedule = {};
    next.schedule.status = plan::Schedule::Status::stopped;
    return next;
  };
  auto server = start(std::move(o));
  REQUIRE(post(server->port(), "/do", "id=replan-0001&act=replan").status == 200);
  const auto page = get(server->port(), "/plan").body;
  CHECK(page.find("The rest cannot be done as planned") != std::string::npos);
  CHECK(page.find("<li>no schedule was found") != std::string::npos);
  CHECK(page.find("Take this plan") == std::string::npos);
}

TEST_CASE("what is done is no move of the plan", "[bench]") {
  const plan::Schedule before = sample::plan().schedule;
  plan::Schedule after = shifted(before, minutes(10));
  after.operations.front().because = "done";
  const auto d = bench::difference(before, after);
  REQUIRE(d.shifts.size() == before.operations.size() - 1);
  CHECK(std::none_of(d.shifts.begin(), d.shifts.end(),
                     [&](const auto& s) { return s.step == before.operations.front().step; }));
  CHECK(d.unmoved == 0);
  CHECK(bench::difference(before, before).shifts.empty());
}

TEST_CASE("a unit that a new operation leaves out does not move with it", "[bench]") {
  const plan::Schedule before = sample::plan().schedule;
  plan::Schedule after = before;
  const auto op = std::find_if(after.operations.begin(), after.operations.end(), [](const auto& o) { return o.first_unit < o.last_unit; });
  REQUIRE(op != after.operations.end());
  op->without = {op->last_unit};
  const auto d = bench::difference(before, after);
  REQUIRE(d.shifts.size() == 1);
  CHECK(d.shifts.front().first_unit == op->last_unit);
  CHECK_FALSE(d.shifts.front().after);
}
