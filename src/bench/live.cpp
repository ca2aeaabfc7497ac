#include "bench/live.h"

#include <poll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstdint>
#include <utility>

namespace handlot::bench {

Live::Live(std::size_t most, std::size_t backlog)
    : most_(most),
      backlog_(backlog),
      wake_fd_(eventfd(0, EFD_NONBLOCK | EFD_CLOEXEC)),
      thread_([this] { run(); }) {}

Live::~Live() {
  stop();
  close(wake_fd_);
}

void Live::stop() {
  if (stopping_.exchange(true)) return;
  wake();
  if (thread_.joinable()) thread_.join();
  const std::lock_guard lock(mutex_);
  for (const Stream& stream : streams_) close(stream.socket);
  streams_.clear();
  count_ = 0;
}

void Live::wake() {
  const std::uint64_t one = 1;
  [[maybe_unused]] const auto ignored = write(wake_fd_, &one, sizeof one);
}

bool Live::full() const {
  return count_ >= most_;
}

bool Live::take(int socket, std::string screen) {
  {
    const std::lock_guard lock(mutex_);
    if (stopping_ || streams_.size() >= most_) return false;
    streams_.push_back({socket, std::move(screen), {}, false});
    count_ = streams_.size();
  }
  wake();
  return true;
}

void Live::publish(std::string_view message) {
  const std::lock_guard lock(mutex_);
  bool behind = false;
  for (Stream& stream : streams_) {
    stream.pending.append(message);
    flush(stream);
    behind = behind || stream.over || !stream.pending.empty();
  }
  if (behind) wake();
}

void Live::close_screen(const std::string& screen) {
  const std::lock_guard lock(mutex_);
  for (Stream& stream : streams_)
    if (stream.screen == screen) stream.over = true;
  wake();
}

/// Sends what the socket takes at once.
void Live::flush(Stream& stream) {
  while (!stream.pending.empty() && !stream.over) {
    const auto sent =
        send(stream.socket, stream.pending.data(), stream.pending.size(), MSG_DONTWAIT | MSG_NOSIGNAL);
    if (sent > 0) {
      stream.pending.erase(0, static_cast<std::size_t>(sent));
      continue;
    }
    if (sent < 0 && errno == EINTR) continue;
    if (sent < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) break;
    stream.over = true;
  }
  if (stream.pending.size() > backlog_) stream.over = true;
}

/// A stream is one-way: anything that arrives is thrown away, an end closes it.
void Live::listen_to(std::vector<int>& ready) {
  char waste[512];
  for (Stream& stream : streams_) {
    for (const int socket : ready) {
      if (socket != stream.socket) continue;
      const auto got = recv(socket, waste, sizeof waste, MSG_DONTWAIT);
      if (got == 0 || (got < 0 && errno != EAGAIN && errno != EWOULDBLOCK && errno != EINTR))
        stream.over = true;
    }
    flush(stream);
  }
  for (auto at = streams_.begin(); at != streams_.end();) {
    if (!at->over) {
      ++at;
      continue;
    }
    close(at->socket);
    at = streams_.erase(at);
  }
  count_ = streams_.size();
}

void Live::run() {
  std::vector<pollfd> fds;
  std::vector<int> ready;
  while (!stopping_) {
    fds.assign(1, {wake_fd_, POLLIN, 0});
    {
      const std::lock_guard lock(mutex_);
      for (const Stream& stream : streams_)
        fds.push_back(
            {stream.socket, static_cast<short>(stream.pending.empty() ? POLLIN : POLLIN | POLLOUT), 0});
    }
    poll(fds.data(), fds.size(), 1000);
    std::uint64_t ignored = 0;
    [[maybe_unused]] const auto got = read(wake_fd_, &ignored, sizeof ignored);
    ready.clear();
    for (std::size_t i = 1; i < fds.size(); ++i)
      if (fds[i].revents & (POLLIN | POLLHUP | POLLERR)) ready.push_back(fds[i].fd);
    const std::lock_guard lock(mutex_);
    listen_to(ready);
  }
}

}  // namespace handlot::bench
