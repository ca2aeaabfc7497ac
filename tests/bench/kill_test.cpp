// Kills the bench at random moments while eight hands tick, and counts what is left. HANDLOT_KILLS sets how
// often.
#include <catch2/catch.hpp>

#include <fcntl.h>
#include <sys/wait.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>
#include <mutex>
#include <random>
#include <set>
#include <sstream>
#include <thread>

#include "bench/client.h"
#include "support/folder.h"
#include "record/ledger.h"

using namespace handlot;

namespace {

using Clock = std::chrono::steady_clock;

/// bench_sample as a child that can be killed.
struct Child {
  pid_t pid = -1;
  int in = -1;
  int port = 0;

  explicit Child(const std::filesystem::path& record) {
    int to[2], from[2];
    REQUIRE(pipe2(to, O_CLOEXEC) == 0);
    REQUIRE(pipe2(from, O_CLOEXEC) == 0);
    pid = fork();
    if (pid == 0) {
      dup2(to[0], 0);
      dup2(from[1], 1);
      const int nothing = open("/dev/null", O_WRONLY);
      dup2(nothing, 2);
      execl(HANDLOT_BUILD "/bench_sample", "bench_sample", record.c_str(), nullptr);
      _exit(127);
    }
    close(to[0]);
    close(from[1]);
    in = to[1];
    std::string line;
    for (char c = 0; read(from[0], &c, 1) == 1 && c != '\n';) line += c;
    close(from[0]);
    const auto colon = line.rfind(':');
    port = colon == std::string::npos ? 0 : std::atoi(line.c_str() + colon + 1);
  }
  /// User and system time of the child so far: what starting costs, whatever else the machine does.
  double cpu_s() const {
    std::ifstream stat(fmt::format("/proc/{}/stat", pid));
    std::string text((std::istreambuf_iterator<char>(stat)), {});
    std::istringstream rest(text.substr(text.rfind(')') + 2));
    std::string word;
    for (int i = 0; i < 11; ++i) rest >> word;
    double user = 0, system = 0;
    rest >> user >> system;
    return (user + system) / static_cast<double>(sysconf(_SC_CLK_TCK));
  }
  void end() {
    kill(pid, SIGKILL);
    waitpid(pid, nullptr, 0);
    close(in);
  }
};

struct Tally {
  std::mutex mutex;
  std::set<std::string> acknowledged;
  std::vector<std::string> unsure;  ///< sent, answer lost: sent again by the next round, as the page does
};

void hand(int port, int round, int number, Tally& tally, const std::atomic<bool>& stop) {
  for (int i = 0; !stop; ++i) {
    std::string id = fmt::format("r{:04}-h{}-{:05}", round, number, i);
    {
      const std::lock_guard lock(tally.mutex);
      if (!tally.unsure.empty() && i % 2 == 0) {
        id = tally.unsure.back();
        tally.unsure.pop_back();
      }
    }
    const auto reply = client::post(port, "/do", "id=" + id + "&act=note&step=solder&unit=1&text=tick");
    const std::lock_guard lock(tally.mutex);
    if (reply.status == 200)
      tally.acknowledged.insert(id);
    else
      tally.unsure.push_back(id);
    if (reply.status == 0) return;
  }
}

int kills() {
  const char* wanted = std::getenv("HANDLOT_KILLS");
  return wanted ? std::atoi(wanted) : 8;
}

}  // namespace

TEST_CASE("killed at random moments under load: nothing acknowledged is lost, nothing is doubled",
          "[bench][slow]") {
  if (!std::filesystem::exists(HANDLOT_BUILD "/bench_sample")) {
    WARN("skipped: bench_sample is not built");
    return;
  }
  Folder folder;
  Tally tally;
  std::mt19937 random(20261125);
  double slowest_s = 0, sum_s = 0, cpu_s = 0;
  const int rounds = kills();
  for (int round = 0; round < rounds; ++round) {
    const auto begun = Clock::now();
    Child child(folder.path / "record.db");
    REQUIRE(child.port > 0);
    REQUIRE(client::get(child.port, "/state.json").status == 200);
    const double up = std::chrono::duration<double>(Clock::now() - begun).count();
    slowest_s = std::max(slowest_s, up);
    sum_s += up;
    cpu_s = std::max(cpu_s, child.cpu_s());
    std::atomic<bool> stop{false};
    std::vector<std::thread> hands;
    for (int h = 0; h < 8; ++h) hands.emplace_back([&, h] { hand(child.port, round, h, tally, stop); });
    std::this_thread::sleep_for(std::chrono::milliseconds(std::uniform_int_distribution<>(5, 250)(random)));
    child.end();
    stop = true;
    for (auto& h : hands) h.join();
  }
  auto ledger = record::Ledger::open(folder.path / "record.db", record::Ledger::Mode::write);
  REQUIRE(ledger);
  CHECK(ledger->check().empty());
  const auto lines = ledger->lines();
  REQUIRE(lines);
  std::map<std::string, int> there;
  for (const auto& line : *lines) ++there[line.id];
  std::size_t lost = 0, doubled = 0;
  for (const auto& id : tally.acknowledged) lost += there.count(id) ? 0U : 1U;
  for (const auto& [id, times] : there) doubled += times > 1 ? 1U : 0U;
  CHECK(lost == 0);
  CHECK(doubled == 0);
  CHECK(tally.acknowledged.size() > static_cast<std::size_t>(rounds));
  WARN(
      fmt::format("{} kills, {} lines acknowledged, {} in the record; start to first answer: mean {:.3f} s, "
                  "slowest {:.3f} s",
                  rounds, tally.acknowledged.size(), lines->size(), sum_s / rounds, slowest_s, cpu_s));
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // three times as slow there
  CHECK(cpu_s < 0.5);
#endif
}
