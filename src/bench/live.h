// live.h: the open ends of all screens, fed by one thread that never blocks on any of them.
#pragma once

#include <atomic>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

namespace handlot::bench {

class Live {
 public:
  /// At most `most` streams; one that lags by more than `backlog` bytes is closed (its screen comes back and
  /// reloads).
  Live(std::size_t most, std::size_t backlog);
  ~Live();
  Live(const Live&) = delete;
  Live& operator=(const Live&) = delete;

  /// Takes the socket over. False: there are too many; the socket stays the caller's.
  bool take(int socket, std::string screen);
  bool full() const;
  void publish(std::string_view message);
  void close_screen(const std::string& screen);
  void stop();
  std::size_t count() const { return count_; }

 private:
  struct Stream {
    int socket;
    std::string screen;
    std::string pending;
    bool over = false;
  };
  void run();
  void wake();
  void flush(Stream& stream);
  void listen_to(std::vector<int>& ready);

  const std::size_t most_;
  const std::size_t backlog_;
  int wake_fd_;
  mutable std::mutex mutex_;
  std::list<Stream> streams_;
  std::atomic<std::size_t> count_{0};
  std::atomic<bool> stopping_{false};
  std::thread thread_;
};

}  // namespace handlot::bench
