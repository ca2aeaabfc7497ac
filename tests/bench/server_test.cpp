#include <catch2/catch.hpp>

#include <sys/resource.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <thread>

#include "bench/client.h"
#include "support/folder.h"
#include "bench/serve.h"
#include "bench/wire.h"
#include "record/ledger.h"
#include "record/sample.h"

using namespace handlot;
using client::get;
using client::post;

namespace {

bench::Options options(const Folder& folder, int lot = 4) {
  bench::Options o;
  o.plan = sample::plan(lot);
  o.record = folder.path / "record.db";
  o.port = 0;
  return o;
}

std::unique_ptr<bench::Server> start(bench::Options o) {
  auto server = bench::Server::start(std::move(o));
  REQUIRE(server);
  return std::move(*server);
}

std::string note(int n) {
  return fmt::format("id=note-{:06}&act=note&step=solder&unit=1&text=note+{}", n, n);
}

std::int64_t seq_of(int port) {
  const auto reply = get(port, "/state.json");
  const auto at = reply.body.find("\"seq\":");
  return at == std::string::npos ? -1 : std::atoll(reply.body.c_str() + at + 6);
}

}  // namespace

TEST_CASE("Now says for whom a step waits, and when they are back", "[bench][server][presence]") {
  Folder folder;
  bench::Options o = options(folder);
  o.plan.work.hours = {{Instant(0), Instant(4133980800)}};
  plan::Resource helper;
  helper.id = ResourceId("helper");
  helper.name = "Helper";
  helper.kind = plan::Resource::Kind::person;
  helper.away = {{Instant(0), Instant(4102444800)}};  // 2100-01-01
  o.plan.work.resources.push_back(helper);
  o.plan.work.steps.front().timing.people = {helper.id};
  auto server = start(std::move(o));
  const std::string now = get(server->port(), "/").body;
  CHECK(now.find("it waits for Helper, who is back Fri 1 Jan 01:00") != std::string::npos);
  CHECK(get(server->port(), "/step/verify").body.find("it waits for Helper") != std::string::npos);
  // Who came all the same begins it.
  CHECK(post(server->port(), "/do", "id=touch-0001&act=start&step=verify&unit=0").status == 200);
}

TEST_CASE("a tick is written, shown, sent to every screen and applied once", "[bench][server]") {
  Folder folder;
  auto server = start(options(folder));
  const int port = server->port();
  const int live = client::connect_to(port);
  client::send_all(live, fmt::format("GET /live HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", port));
  const std::string tick = "id=touch-0001&act=tick&step=verify&unit=0&item=revision";
  CHECK(post(port, "/do", tick).status == 200);
  CHECK(post(port, "/do", tick).body.find("\"already\":true") != std::string::npos);
  CHECK(post(port, "/do", "id=touch-0001&act=tick&step=verify&unit=0&item=other").status == 409);
  CHECK(seq_of(port) == 2);  // the plan, and the tick
  std::string heard;
  char buffer[4096];
  for (int i = 0; i < 20 && heard.find("touch-0001") == std::string::npos; ++i) {
    pollfd one{live, POLLIN, 0};
    if (poll(&one, 1, 500) <= 0) break;
    const auto n = recv(live, buffer, sizeof buffer, 0);
    if (n <= 0) break;
    heard.append(buffer, static_cast<std::size_t>(n));
  }
  close(live);
  CHECK(heard.find("\"kind\":\"tick\"") != std::string::npos);
  CHECK(get(port, "/").body.find("seen") != std::string::npos);
  server.reset();
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  REQUIRE(ledger);
  CHECK(ledger->lines()->size() == 2);
  CHECK(ledger->check().empty());
}

TEST_CASE("without script a form leads back to its page, and a refusal offers the reason",
          "[bench][server]") {
  Folder folder;
  auto server = start(options(folder));
  const int port = server->port();
  auto reply = post(port, "/do", "id=touch-0001&act=tick&step=verify&unit=0&item=revision&back=/lot",
                    {{"Accept", "text/html"}});
  CHECK(reply.status == 303);
  CHECK(reply.head.find("Location: /lot") != std::string::npos);
  reply = post(port, "/do", "id=touch-0002&act=start&step=oil&unit=1", {{"Accept", "text/html"}});
  CHECK(reply.status == 409);
  CHECK(reply.body.find("Why all the same?") != std::string::npos);
  reply = post(port, "/do", "id=touch-0003&act=done&step=test&unit=1", {{"Accept", "text/html"}});
  CHECK(reply.body.find("Why all the same?") == std::string::npos);
  CHECK(reply.body.find("hold: measure") != std::string::npos);
}

TEST_CASE("who waits for the air to clear sees the time of day and a timer", "[bench][server]") {
  Folder folder;
  auto o = options(folder);
  o.plan.head.zone = "UTC";
  auto server = start(std::move(o));
  const int port = server->port();
  for (const char* touch : {"id=touch-0001&act=tick&step=verify&unit=0&item=revision", "id=touch-0002&act=start&step=verify&unit=0", "id=touch-0003&act=tick&step=verify&unit=0&item=revision",
                            "id=touch-0004&act=done&step=verify&unit=0", "id=touch-0005&act=start&step=oil&unit=1&text=a+test"})
    (void)post(port, "/do", touch);
  CHECK(get(port, "/step/solder").body.find("step 60 (Oil the case) is going on: spirit vapour") != std::string::npos);
  CHECK(post(port, "/do", "id=touch-0006&act=done&step=oil&unit=1").status == 200);
  const std::string body = get(port, "/step/solder").body;
  const auto clock = body.find("<strong>not before ");
  REQUIRE(clock != std::string::npos);
  CHECK(body.find("of 10 min to go after step 60 (Oil the case): spirit vapour and a hot iron", clock) != std::string::npos);
  const std::string waits = get(port, "/waits").body;
  CHECK(waits.find("air clear and tools cold after step 60 (Oil the case)") != std::string::npos);
  CHECK(waits.find("step 20 (Solder the lead to the board)") != std::string::npos);
  const std::string now = get(port, "/").body;
  CHECK((now.find("10 min, at ") != std::string::npos || now.find(" s, at ") != std::string::npos));
}

TEST_CASE("a second bench on the same record is refused", "[bench][server]") {
  Folder folder;
  auto server = start(options(folder));
  auto second = bench::Server::start(options(folder));
  REQUIRE_FALSE(second);
  CHECK(second.error()[0].code == "bench-busy");
  server.reset();
  CHECK(bench::Server::start(options(folder)));
}

TEST_CASE("two benches never share a port, and a port just left is taken again", "[bench][server]") {
  Folder here, there;
  auto first = start(options(here));
  const int port = first->port();
  auto o = options(there);
  o.port = port;
  const auto second = bench::Server::start(o);
  REQUIRE_FALSE(second);
  CHECK(second.error()[0].code == "bench-listen");
  CHECK_FALSE(bench::Server::start([&] {
    auto wide = o;
    wide.address = "0.0.0.0";
    return wide;
  }()));
  CHECK(get(port, "/").status == 200);  // what is now in the system's list of ports just left
  first.reset();
  CHECK(bench::Server::start(o));
}

TEST_CASE("a wait of the whole lot that one unit has begun says what is left, and what the not before counts from", "[bench][server]") {
  Folder folder;
  auto o = options(folder);
  o.plan.waits[2].scope = plan::Scope::lot;  // oil: 15 min at least from the last, 2 h at most from the first
  auto server = start(std::move(o));
  for (const char* act : {"start", "done"}) CHECK(post(server->port(), "/do", fmt::format("id=oil-{}-1&act={}&step=oil&unit=1&text=a+trial", act, act)).status == 200);
  const std::string page = get(server->port(), "/waits").body;
  CHECK(page.find("not before 15 min after the last unit, which is still to come") != std::string::npos);
  CHECK(page.find("to go, not before") == std::string::npos);
}

TEST_CASE("a unit that the plan of the rest does not hold is named where the rest stands", "[bench][server]") {
  const auto page_of = [](int last_unit) {
    Folder folder;
    auto o = options(folder);
    o.plan.schedule.operations.clear();
    for (const auto& step : o.plan.work.steps) o.plan.schedule.operations.push_back({step.id, 1, last_unit, o.plan.schedule.start, o.plan.schedule.start, o.plan.schedule.start, {}, {}, {}, ""});
    auto server = start(std::move(o));
    return get(server->port(), "/plan").body;
  };
  CHECK(page_of(3).find("The plan does not hold all that is left of unit 4: work the rest out anew.") != std::string::npos);
  CHECK(page_of(4).find("not-in-plan") == std::string::npos);
}

TEST_CASE("nothing is away for no time, or for longer than a year", "[bench][server][errors]") {
  Folder folder;
  auto server = start(options(folder));
  for (const char* hours : {"-3", "0", "99999999"}) {
    const auto reply = post(server->port(), "/do", fmt::format("id=touch-000{}&act=away&item=oven&hours={}", hours[0] == '-' ? 'a' : hours[0], hours));
    CHECK(reply.status == 409);
    CHECK(reply.body.find(fmt::format("'{}' is no number of hours above 0, and up to a year", hours)) != std::string::npos);
  }
  CHECK(post(server->port(), "/do", "id=touch-0002&act=away&item=oven&hours=3").status == 200);
}

TEST_CASE("a page of the lot before writes nothing into the record of the next one", "[bench][server]") {
  Folder here, there;
  auto server = start(options(here));
  int port = server->port();
  const auto name_on = [](const std::string& page) {
    const auto at = page.find("name=\"record\" value=\"") + 21;
    return page.substr(at, page.find('"', at) - at);
  };
  const std::string page = get(port, "/").body;
  const std::string ours = name_on(page);
  CHECK(page.find("data-record=\"" + ours + " place-") != std::string::npos);
  CHECK(post(port, "/do", note(1) + "&record=" + ours).status == 200);
  server.reset();

  server = start(options(there));
  port = server->port();
  const auto refused = post(port, "/do", note(2) + "&record=" + ours);
  CHECK(refused.status == 409);
  CHECK(refused.body.find("bench-other-record") != std::string::npos);
  CHECK(refused.body.find("\"insist\":false") != std::string::npos);
  CHECK(post(port, "/do", "id=undo-00001&act=replan&record=" + ours).status == 409);
  CHECK(post(port, "/do", note(3) + "&record=" + name_on(get(port, "/").body)).status == 200);
  CHECK(seq_of(port) == 2);
  server.reset();

  server = start(options(here));  // the lot before, again: what its page kept is taken
  CHECK(post(server->port(), "/do", note(2) + "&record=" + ours).status == 200);
}

TEST_CASE("a touch that was kept says for how long, and none is older than its record", "[bench][server][clock]") {
  Folder folder;
  auto o = options(folder);
  std::atomic<std::int64_t> ms{1'000'000};
  o.clock = [&] { return record::ClockReading{"boot", ms, 1'795'075'200'000 + ms}; };
  auto server = start(std::move(o));
  const int port = server->port();
  ms += 3600 * 1000;
  CHECK(post(port, "/do", "id=touch-0001&act=done&step=oil&unit=1&text=a+test&age=1200.5").status == 200);
  CHECK(post(port, "/do", "id=touch-0001&act=done&step=oil&unit=1&text=a+test&age=1206.9").body.find("\"already\":true") !=
        std::string::npos);  // the answer was lost: sent again
  CHECK(post(port, "/do", "id=touch-0002&act=done&step=oil&unit=2&text=a+test&age=99999").status == 200);
  CHECK(post(port, "/do", "id=touch-0003&act=done&step=oil&unit=3&text=a+test&age=1.2").status == 200);
  CHECK(post(port, "/do", "id=touch-0004&act=done&step=oil&unit=4&text=a+test&age=-50").status == 200);
  const auto waits = get(port, "/state.json").body;
  CHECK(waits.find("\"until_late_s\":5999.5") != std::string::npos);
  server.reset();
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  const auto lines = ledger->lines();
  REQUIRE(lines->size() == 5);
  CHECK((*lines)[1].value == 1200.5);
  CHECK((*lines)[2].value == Approx(3600).margin(1));
  CHECK_FALSE((*lines)[3].value);
  CHECK_FALSE((*lines)[4].value);
}

TEST_CASE("what was touched before the record had a first line is still its own", "[bench][server]") {
  Folder folder;
  auto o = options(folder);
  o.record = folder.path / "later" / "record.db";
  auto server = start(o);
  const auto touched = [](int port) {
    const std::string page = get(port, "/").body;
    const auto at = page.find("data-record=\"") + 13;
    return note(1) + "&record=" + page.substr(at, page.find('"', at) - at);
  }(server->port());
  CHECK(touched.find("&record=place-") != std::string::npos);
  CHECK(post(server->port(), "/do", touched).status == 507);
  server = start(o);
  std::filesystem::create_directory(folder.path / "later");
  std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  CHECK(post(server->port(), "/do", touched).status == 200);
  server.reset();
  auto ledger = record::Ledger::open(o.record, record::Ledger::Mode::read);
  REQUIRE(ledger);
  REQUIRE(ledger->lines()->size() == 2);
  CHECK(ledger->lines()->front().kind == record::Kind::plan);
}

TEST_CASE("refused over the wire, logged, and without effect", "[bench][server][access]") {
  Folder folder;
  auto o = options(folder);
  o.address = "0.0.0.0";
  std::mutex mutex;
  std::vector<std::string> log;
  o.log = [&](const std::string& line) {
    const std::lock_guard lock(mutex);
    log.push_back(line);
  };
  auto server = start(std::move(o));
  const int port = server->port();
  CHECK(server->needs_code());
  CHECK(server->greeting().find(server->write_code()) != std::string::npos);
  const auto before = 1;

  CHECK(get(port, "/lot").status == 401);
  CHECK(post(port, "/do", note(1)).status == 401);
  CHECK(get(port, "/live").status == 401);
  CHECK(get(port, "/", {{"Host", "evil.example"}}).status == 421);
  CHECK(post(port, "/pair", "code=AAAA-AAAA").status == 401);
  CHECK(post(port, "/pair", "code=" + server->write_code(), {{"Origin", "http://evil.example"}}).status ==
        403);
  auto reply = post(port, "/pair", "code=" + server->write_code() + "&label=tablet");
  REQUIRE(reply.status == 303);
  const auto at = reply.head.find("Set-Cookie: ") + 12;
  const std::string cookie = reply.head.substr(at, reply.head.find(';', at) - at);
  CHECK(post(port, "/do", note(1), {{"Cookie", cookie}}).status == 200);
  CHECK(post(port, "/do", note(2), {{"Cookie", cookie}, {"Origin", "http://evil.example"}}).status == 403);
  CHECK(post(port, "/do", note(2), {{"Cookie", cookie + "0"}}).status == 401);
  for (const char* path : {"/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/page/%2e%2e/routes.cpp",
                           "/photo/..%2f..%2fetc%2fpasswd", "/page/bench.css%00.html"})
    CHECK(get(port, path, {{"Cookie", cookie}}).status >= 400);
  CHECK(post(port, "/do", std::string(65 * 1024, 'x'), {{"Cookie", cookie}}).status == 413);
  CHECK(client::raw(
            port,
            fmt::format("POST /do HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nCookie: "
                        "{1}\r\nTransfer-Encoding: chunked\r\n\r\n5\r\nid=ab\r\n0\r\n\r\n",
                        port, cookie))
            .status == 411);
  for (const char* method : {"PUT", "DELETE", "OPTIONS"})
    CHECK(client::raw(port, fmt::format("{} /do HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nCookie: {}\r\n\r\n", method,
                                        port, cookie))
              .status == 405);
  CHECK(client::raw(port, std::string("\x16\x03\x01\x02\x00\x01", 6) + "\r\n\r\n").status != 200);

  const auto page = get(port, "/screens", {{"Cookie", cookie}}).body;
  const auto hash_at = page.find("name=\"item\" value=\"") + 19;
  const std::string hash = page.substr(hash_at, 64);
  CHECK(post(port, "/do", "id=touch-9999&act=withdraw&item=" + hash, {{"Cookie", cookie}}).status == 200);
  CHECK(post(port, "/do", note(3), {{"Cookie", cookie}}).status == 401);
  server.reset();
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  CHECK(ledger->lines()->size() == before + 1);
  const std::lock_guard lock(mutex);
  CHECK(log.size() >= 15);
}

TEST_CASE("slow senders, big heads and floods from one address hold nobody up", "[bench][wire]") {
  std::atomic<int> slow{0};
  bench::Handlers handlers;
  handlers.early = [](const bench::Request&) { return std::optional<bench::Answer>{}; };
  handlers.handle = [](const bench::Request& r) {
    return bench::Answer{200, "text/plain", std::to_string(r.body.size()), {}, ""};
  };
  handlers.log = [&](const std::string& line) { slow += line.find("too slow") != std::string::npos ? 1 : 0; };
  bench::Limits limits;
  limits.head_time = std::chrono::milliseconds(300);
  limits.whole_time = std::chrono::milliseconds(600);
  limits.threads = 8;
  bench::Wire wire(handlers, limits);
  const auto port = wire.start("127.0.0.1", 0);
  REQUIRE(port);

  std::vector<int> open;
  for (int i = 0; i < 6; ++i) {
    open.push_back(client::connect_to(*port));
    client::send_all(open.back(), "GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ");
  }
  CHECK(get(*port, "/").status == 200);  // two threads are left
  const auto begun = std::chrono::steady_clock::now();
  for (int i = 0; i < 10; ++i) {  // one byte now and then does not buy time
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    for (const int fd : open) send(fd, "a", 1, MSG_NOSIGNAL);
  }
  for (const int fd : open) {
    CHECK(client::read_reply(fd).status != 200);
    close(fd);
  }
  CHECK(std::chrono::steady_clock::now() - begun < std::chrono::seconds(3));
  CHECK(slow == 6);

  const int body = client::connect_to(*port);
  client::send_all(body, "POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 100\r\n\r\nabc");
  CHECK(client::read_reply(body).status != 200);
  close(body);
  CHECK(client::raw(*port, "GET / HTTP/1.1\r\nHost: x\r\nX-Big: " + std::string(20'000, 'x') + "\r\n\r\n")
            .status != 200);
  CHECK(client::raw(
            *port, "GET / HTTP/1.1\r\n" +
                       [] {
                         std::string s;
                         for (int i = 0; i < 2000; ++i) s += "X-Many: 12345\r\n";
                         return s;
                       }() +
                       "\r\n")
            .status != 200);
  CHECK(get(*port, "/" + std::string(8000, 'a')).status != 0);
  CHECK(post(*port, "/", std::string(1'000'000, 'x'), {{"Content-Type", "application/octet-stream"}}).body ==
        "1000000");
  wire.stop();
}

TEST_CASE("a full disk refuses the tick and loses nothing", "[bench][server][errors]") {
  Folder folder;
  auto server = start(options(folder));
  const int port = server->port();
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit old{};
  REQUIRE(getrlimit(RLIMIT_FSIZE, &old) == 0);
  const rlimit small{96 * 1024, old.rlim_max};
  REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
  int written = 0, refused = 0;
  for (int i = 0; i < 200 && refused < 3; ++i) {
    const auto reply = post(port, "/do", note(i) + std::string(1500, 'x'));
    if (reply.status == 200) ++written;
    if (reply.status == 507) ++refused;
  }
  const auto page = get(port, "/").body;
  REQUIRE(setrlimit(RLIMIT_FSIZE, &old) == 0);
  CHECK(refused == 3);
  CHECK(written > 3);
  CHECK(page.find("The record cannot be written") != std::string::npos);
  CHECK(page.find("the disk is full") != std::string::npos);
  CHECK(seq_of(port) == written + 1);
  CHECK(post(port, "/do", note(9000)).status == 200);  // room again
  CHECK(get(port, "/").body.find("The record cannot be written") == std::string::npos);
  server.reset();
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  CHECK(ledger->check().empty());
  CHECK(ledger->lines()->size() == static_cast<std::size_t>(written) + 2);
}

TEST_CASE("many screens ticking at once: every line once, in one order", "[bench][server]") {
  Folder folder;
  auto server = start(options(folder));
  const int port = server->port();
  std::vector<std::thread> hands;
  std::atomic<int> fine{0};
  for (int h = 0; h < 8; ++h)
    hands.emplace_back([&, h] {
      for (int i = 0; i < 25; ++i) {
        fine += post(port, "/do", note(h * 100 + i)).status == 200 ? 1 : 0;
        fine += post(port, "/do", note(i)).status == 200 ? 1 : 0;  // all of them send these, too
        if (i % 5 == 0) get(port, "/");
      }
    });
  for (auto& hand : hands) hand.join();
  CHECK(fine == 400);
  CHECK(seq_of(port) == 1 + 8 * 25);
  server.reset();
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::read);
  CHECK(ledger->check().empty());
}

TEST_CASE("a folder that is not there is said, and the page still comes up", "[bench][server][errors]") {
  Folder folder;
  auto o = options(folder);
  o.record = folder.path / "later" / "record.db";
  auto server = start(std::move(o));
  const int port = server->port();
  CHECK(get(port, "/").body.find("The record cannot be written") != std::string::npos);
  CHECK(post(port, "/do", note(1)).status == 507);
  std::filesystem::create_directory(folder.path / "later");
  std::this_thread::sleep_for(std::chrono::milliseconds(1100));
  CHECK(post(port, "/do", note(1)).status == 200);
  CHECK(get(port, "/").body.find("The record cannot be written") == std::string::npos);
}

TEST_CASE("Now has one touch for what has dried", "[bench][server]") {
  Folder folder;
  auto o = options(folder);
  std::atomic<std::int64_t> ms{1'000'000};
  o.clock = [&] { return record::ClockReading{"boot", ms, 1'795'075'200'000 + ms}; };
  auto server = start(std::move(o));
  const int port = server->port();
  CHECK(post(port, "/do", "id=touch-0001&act=done&step=oil&unit=2&text=a+test").status == 200);
  CHECK(get(port, "/").body.find("Too late: do again") == std::string::npos);
  ms += 3 * 3600 * 1000;
  CHECK(get(port, "/").body.find("the oil gets sticky: wipe it with spirit and oil again.<form") != std::string::npos);
  CHECK(post(port, "/do", "id=touch-0002&act=rework&step=oil&units=2&text=dry").status == 200);
  CHECK(get(port, "/").body.find("Too late: do again") == std::string::npos);
}

TEST_CASE("Now asks later for a run that others still have, and has a run that was cut done again", "[bench][server][away]") {
  Folder folder;
  auto o = options(folder);
  std::atomic<std::int64_t> ms{1'000'000};
  o.clock = [&] { return record::ClockReading{"boot", ms, 1'795'075'200'000 + ms}; };
  for (auto& step : o.plan.work.steps) {
    if (step.id != StepId("bake")) continue;
    step.timing.unattended = hours(50);
    step.timing.uses.emplace_back();
    step.timing.uses.back().resource = ResourceId("oven");
  }
  o.plan.work.resources[1].warm_up = minutes(10);
  auto server = start(std::move(o));
  const int port = server->port();
  const auto page = [&] { return get(port, "/").body; };
  CHECK(post(port, "/do", "id=touch-0001&act=start&step=bake&unit=1&text=a+test").status == 200);
  CHECK(post(port, "/do", "id=touch-0002&act=leave&step=bake&unit=1").status == 200);
  SECTION("the parcel is not back") {
    ms += 51 * 3600 * 1000;
    const std::string over = page();
    CHECK(over.find("Done: unit 1") != std::string::npos);
    const auto button = over.find("Not yet: ask again in 1 h");
    REQUIRE(button != std::string::npos);
    const std::string head = "name=\"item\" value=\"run.bake@";
    const auto item = over.rfind(head, button) + head.size();
    CHECK(post(port, "/do", "id=touch-0003&act=heard&value=3600&item=run.bake%40" + over.substr(item, over.find('"', item) - item)).status == 200);
    CHECK(page().find("Done: unit 1") == std::string::npos);
    ms += 3601 * 1000;
    CHECK(page().find("Done: unit 1") != std::string::npos);
  }
  SECTION("the fuse blew") {
    CHECK(page().find("Run cut short") == std::string::npos);
    CHECK(post(port, "/do", "id=touch-0003&act=away&item=oven&hours=1&text=fuse").status == 200);
    CHECK(page().find("oven was not to be had before the run was over. Look, then do it again or scrap the unit.") != std::string::npos);
    CHECK(page().find("Step 70 to be done again") != std::string::npos);
    CHECK(post(port, "/do", "id=touch-0004&act=rework&step=bake&units=1&text=cut").status == 200);
    CHECK(page().find("Run cut short") == std::string::npos);
  }
}
