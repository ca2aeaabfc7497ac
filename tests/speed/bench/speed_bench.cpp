// speed_bench: how long from a tick to all screens. Loopback only, bounded in count and time.
//
//   speed_bench [SCREENS] [TICKS A SECOND] [SECONDS]        default 50 100 10
//
// A server in this process, SCREENS live streams read by one thread, ticks sent on a fixed beat by 16 threads
// (a tick is timed from when it was due, so that a slow answer cannot hide the next). Prints p50, p90, p99
// and the slowest of "all screens have it" and of "the sender has its answer", and the CPU time that all of
// it took.
#include <poll.h>
#include <sys/resource.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <map>
#include <mutex>
#include <thread>

#include "bench/client.h"
#include "bench/serve.h"
#include "record/sample.h"

namespace {

using namespace handlot;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point then) {
  return std::chrono::duration<double, std::milli>(Clock::now() - then).count();
}

struct Board {
  std::mutex mutex;
  std::vector<Clock::time_point> due;
  std::vector<int> seen;
  std::vector<double> all_ms, answer_ms;
};

/// Counts each tick once a screen.
void screens(int port, int count, Board& board, const std::atomic<bool>& stop) {
  std::vector<pollfd> fds;
  std::vector<std::string> rest(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    const int fd = client::connect_to(port);
    client::send_all(fd, fmt::format("GET /live HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", port));
    fds.push_back({fd, POLLIN, 0});
  }
  char buffer[65536];
  while (!stop) {
    if (poll(fds.data(), fds.size(), 100) <= 0) continue;
    for (std::size_t i = 0; i < fds.size(); ++i) {
      if (!(fds[i].revents & POLLIN)) continue;
      const auto n = recv(fds[i].fd, buffer, sizeof buffer, 0);
      if (n <= 0) continue;
      rest[i].append(buffer, static_cast<std::size_t>(n));
      std::size_t at = 0;
      for (std::size_t end; (end = rest[i].find("\n\n", at)) != std::string::npos; at = end + 2) {
        const auto id = rest[i].find("\"id\":\"speed-", at);
        if (id == std::string::npos || id > end) continue;
        const auto tick = static_cast<std::size_t>(std::atol(rest[i].c_str() + id + 12));
        const std::lock_guard lock(board.mutex);
        if (++board.seen[tick] == count) board.all_ms.push_back(ms_since(board.due[tick]));
      }
      rest[i].erase(0, at);
    }
  }
  for (const auto& fd : fds) close(fd.fd);
}

double at(std::vector<double>& sorted, double q) {
  if (sorted.empty()) return 0;
  return sorted[std::min(sorted.size() - 1,
                         static_cast<std::size_t>(q * static_cast<double>(sorted.size())))];
}

void print(const char* what, std::vector<double> ms) {
  std::sort(ms.begin(), ms.end());
  std::printf("%-26s %6zu   p50 %7.2f ms   p90 %7.2f ms   p99 %7.2f ms   slowest %7.2f ms\n", what, ms.size(),
              at(ms, 0.5), at(ms, 0.9), at(ms, 0.99), ms.empty() ? 0 : ms.back());
}

}  // namespace

int main(int argc, char** argv) {
  const int count = std::clamp(argc > 1 ? std::atoi(argv[1]) : 50, 1, 120);
  const int rate = std::clamp(argc > 2 ? std::atoi(argv[2]) : 100, 1, 500);
  const int seconds = std::clamp(argc > 3 ? std::atoi(argv[3]) : 10, 1, 60);
  const auto folder = std::filesystem::temp_directory_path() / fmt::format("handlot-speed-{}", getpid());
  std::filesystem::create_directory(folder);
  bench::Options options;
  options.plan = sample::plan(10);
  options.record = folder / "record.db";
  options.port = 0;
  auto server = bench::Server::start(std::move(options));
  if (!server) return 4;
  const int port = (*server)->port();
  Board board;
  const int ticks = rate * seconds;
  board.due.resize(static_cast<std::size_t>(ticks));
  board.seen.resize(static_cast<std::size_t>(ticks));
  std::atomic<bool> stop{false};
  std::thread watch([&] { screens(port, count, board, stop); });
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  const auto begin = Clock::now() + std::chrono::milliseconds(100);
  for (int i = 0; i < ticks; ++i)
    board.due[static_cast<std::size_t>(i)] = begin + std::chrono::microseconds(1'000'000LL * i / rate);
  std::atomic<int> next{0}, refused{0};
  std::vector<std::thread> hands;
  for (int h = 0; h < 16; ++h)
    hands.emplace_back([&] {
      for (int i; (i = next++) < ticks;) {
        const auto due = board.due[static_cast<std::size_t>(i)];
        std::this_thread::sleep_until(due);
        const auto reply = client::post(
            port, "/do", fmt::format("id=speed-{:06}&act=note&step=solder&unit={}&text=tick", i, i % 10 + 1));
        if (reply.status != 200) ++refused;
        const std::lock_guard lock(board.mutex);
        board.answer_ms.push_back(ms_since(due));
      }
    });
  for (auto& h : hands) h.join();
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  stop = true;
  watch.join();
  rusage used{};
  getrusage(RUSAGE_SELF, &used);
  std::printf("%d screens, %d ticks a second for %d s, %d refused\n", count, rate, seconds, refused.load());
  print("tick to all screens", board.all_ms);
  print("tick to its answer", board.answer_ms);
  std::printf("CPU %.2f s user, %.2f s system, of server, screens and hands together\n",
              static_cast<double>(used.ru_utime.tv_sec) + static_cast<double>(used.ru_utime.tv_usec) / 1e6,
              static_cast<double>(used.ru_stime.tv_sec) + static_cast<double>(used.ru_stime.tv_usec) / 1e6);
  server->reset();
  std::filesystem::remove_all(folder);
  return 0;
}
