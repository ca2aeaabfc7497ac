#include "bench/wire.h"

#include <httplib.h>
#include <poll.h>

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>

#include <fmt/format.h>

#include "bench/live.h"

namespace handlot::bench {
namespace {

using Clock = std::chrono::steady_clock;

/// Threads come as they are needed, up to a limit, and wait for more.
class Crew : public httplib::TaskQueue {
 public:
  explicit Crew(std::size_t most) : most_(most) {}
  void enqueue(std::function<void()> job) override {
    const std::lock_guard lock(mutex_);
    jobs_.push_back(std::move(job));
    if (idle_ < jobs_.size() && threads_.size() < most_) threads_.emplace_back([this] { work(); });
    more_.notify_one();
  }
  void shutdown() override {
    {
      const std::lock_guard lock(mutex_);
      over_ = true;
    }
    more_.notify_all();
    for (auto& thread : threads_) thread.join();
  }

 private:
  void work() {
    std::unique_lock lock(mutex_);
    for (;;) {
      ++idle_;
      more_.wait(lock, [&] { return over_ || !jobs_.empty(); });
      --idle_;
      if (jobs_.empty()) return;
      auto job = std::move(jobs_.front());
      jobs_.pop_front();
      lock.unlock();
      job();
      lock.lock();
    }
  }

  const std::size_t most_;
  std::mutex mutex_;
  std::condition_variable more_;
  std::deque<std::function<void()>> jobs_;
  std::vector<std::thread> threads_;
  std::size_t idle_ = 0;
  bool over_ = false;
};

/// A socket with a deadline for the whole visit, and a lid on the size of the head.
class Visit : public httplib::Stream {
 public:
  Visit(socket_t socket, const Limits& limits, std::string peer)
      : socket_(socket), limits_(limits), peer_(std::move(peer)), begun_(Clock::now()) {}

  bool is_readable() const override { return begin_ < end_ || wait(POLLIN); }
  bool is_writable() const override { return wait(POLLOUT); }

  ssize_t read(char* to, size_t size) override {
    if (begin_ == end_) {
      if (!wait(POLLIN)) return -1;
      const auto got = recv(socket_, buffer_, sizeof buffer_, 0);
      if (got <= 0) return got;
      begin_ = 0;
      end_ = static_cast<std::size_t>(got);
    }
    const std::size_t n = std::min(size, end_ - begin_);
    std::copy_n(buffer_ + begin_, n, to);
    begin_ += n;
    return watch_head(to, n) ? static_cast<ssize_t>(n) : -1;
  }

  ssize_t write(const char* from, size_t size) override {
    std::size_t sent = 0;
    while (sent < size) {
      if (!wait(POLLOUT)) return -1;
      const auto n = send(socket_, from + sent, size - sent, MSG_NOSIGNAL | MSG_DONTWAIT);
      if (n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR)) continue;
      if (n <= 0) return -1;
      sent += static_cast<std::size_t>(n);
    }
    return static_cast<ssize_t>(size);
  }

  void get_remote_ip_and_port(std::string& ip, int& port) const override {
    ip = peer_;
    port = 0;
  }
  void get_local_ip_and_port(std::string& ip, int& port) const override {
    ip.clear();
    port = 0;
  }
  socket_t socket() const override { return socket_; }

  std::string live;   ///< set by the handler: this connection goes on as a live stream
  bool slow = false;  ///< ended by its deadline
  bool head_big = false;

 private:
  bool wait(short what) const {
    const auto allowed = in_head_ ? limits_.head_time : limits_.whole_time;
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(begun_ + allowed - Clock::now()).count();
    if (left <= 0) {
      const_cast<Visit*>(this)->slow = true;
      return false;
    }
    pollfd one{socket_, what, 0};
    const int n = poll(&one, 1, static_cast<int>(left));
    if (n == 0) const_cast<Visit*>(this)->slow = true;
    return n > 0;
  }

  /// Counts bytes until the empty line that ends the head.
  bool watch_head(const char* bytes, std::size_t n) {
    for (std::size_t i = 0; in_head_ && i < n; ++i) {
      if (bytes[i] == '\n') {
        if (line_ == 0) in_head_ = false;
        line_ = 0;
      } else if (bytes[i] != '\r') {
        ++line_;
      }
      if (++head_ > limits_.head_bytes) {
        head_big = true;
        return false;
      }
    }
    return true;
  }

  socket_t socket_;
  const Limits& limits_;
  std::string peer_;
  Clock::time_point begun_;
  char buffer_[8192];
  std::size_t begin_ = 0, end_ = 0;
  bool in_head_ = true;
  std::size_t line_ = 0, head_ = 0;
};

thread_local Visit* visit_here = nullptr;

std::string peer_of(socket_t socket) {
  sockaddr_storage address{};
  socklen_t size = sizeof address;
  char name[64] = "";
  if (getpeername(socket, reinterpret_cast<sockaddr*>(&address), &size) != 0) return "";
  getnameinfo(reinterpret_cast<sockaddr*>(&address), size, name, sizeof name, nullptr, 0, NI_NUMERICHOST);
  std::string text = name;
  if (text.rfind("::ffff:", 0) == 0) text.erase(0, 7);
  return text;
}

bool loopback(const std::string& peer) {
  return peer.rfind("127.", 0) == 0 || peer == "::1";
}

Request from_wire(const httplib::Request& in) {
  Request out;
  out.method = in.method;
  out.path = in.path;
  out.peer = in.remote_addr;
  for (const auto& [name, value] : in.params) out.fields[name] = value;
  for (const auto& [name, file] : in.files) {
    if (file.filename.empty() && file.content_type.empty())
      out.fields[name] = file.content;
    else if (name == "photo")
      out.body = file.content;
  }
  if (in.files.empty()) out.body = in.body;
  out.host = in.get_header_value("Host");
  out.origin = in.get_header_value("Origin");
  out.cookie = in.get_header_value("Cookie");
  out.fetch_site = in.get_header_value("Sec-Fetch-Site");
  out.content_type = in.get_header_value("Content-Type");
  out.accept = in.get_header_value("Accept");
  const std::string length = in.get_header_value("Content-Length");
  if (!length.empty() && length.size() < 12 &&
      std::all_of(length.begin(), length.end(), [](char c) { return c >= '0' && c <= '9'; }))
    out.length = std::stoull(length);
  return out;
}

void to_wire(Answer&& answer, httplib::Response& out) {
  out.status = answer.status;
  for (auto& [name, value] : answer.headers) out.set_header(name, value);
  if (answer.live.empty()) {
    out.set_content(std::move(answer.body), answer.type);
    return;
  }
  if (visit_here) visit_here->live = answer.live;
  out.set_content_provider(answer.type, [body = std::move(answer.body)](size_t, httplib::DataSink& sink) {
    sink.write(body.data(), body.size());
    sink.done();
    return true;
  });
}

/// The library's own choice lets two programs share a port, and each gets some of the touches. A port just left is still
/// taken again.
void one_bench_a_port(socket_t socket) {
  const int on = 1;
  setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
}

class PageServer : public httplib::Server {
 public:
  PageServer(const bench::Handlers& handlers, const Limits& limits, Live& live)
      : handlers_(handlers), limits_(limits), live_(live) {
    new_task_queue = [this] { return new Crew(limits_.threads); };
    set_payload_max_length(limits_.body_bytes);
    set_tcp_nodelay(true);
    set_socket_options(one_bench_a_port);
    set_pre_routing_handler(
        [this](const httplib::Request& in, httplib::Response& out) { return before(in, out); });
    const auto all = [this](const httplib::Request& in, httplib::Response& out) {
      to_wire(handlers_.handle(from_wire(in)), out);
    };
    Get("/.*", all);
    Post("/.*", all);
    set_exception_handler([this](const httplib::Request&, httplib::Response& out, std::exception_ptr fault) {
      try {
        std::rethrow_exception(std::move(fault));
      } catch (const std::exception& e) {
        handlers_.log(fmt::format("our fault: {}", e.what()));
      } catch (...) {
        handlers_.log("our fault");
      }
      out.status = 500;
      out.set_content("our fault; the record is safe\n", "text/plain; charset=utf-8");
    });
  }

  /// The library asks the system for a queue of 5 callers; 50 screens that come back at once need more.
  void widen_door() { ::listen(svr_sock_, 256); }

 private:
  HandlerResponse before(const httplib::Request& in, httplib::Response& out) {
    auto early = handlers_.early(from_wire(in));
    if (!early) return HandlerResponse::Unhandled;
    to_wire(std::move(*early), out);
    return HandlerResponse::Handled;
  }

  bool enter(const std::string& peer) {
    const std::lock_guard lock(guests_mutex_);
    return ++guests_[peer] <= limits_.per_peer || loopback(peer);
  }
  void leave(const std::string& peer) {
    const std::lock_guard lock(guests_mutex_);
    if (--guests_[peer] == 0) guests_.erase(peer);
  }

  bool process_and_close_socket(socket_t socket) override {
    const std::string peer = peer_of(socket);
    bool kept = false;
    if (enter(peer)) {
      Visit visit(socket, limits_, peer);
      visit_here = &visit;
      bool closed = false;
      process_request(visit, true, closed, [](httplib::Request& request) { request.ranges.clear(); });
      visit_here = nullptr;
      if (visit.slow) handlers_.log(fmt::format("{}: too slow, let go", peer));
      if (visit.head_big)
        handlers_.log(fmt::format("{}: head of more than {} bytes, let go", peer, limits_.head_bytes));
      kept = !visit.live.empty() && !visit.slow && live_.take(static_cast<int>(socket), visit.live);
    } else {
      handlers_.log(fmt::format("{}: too many requests at once, let go", peer));
    }
    leave(peer);
    if (!kept) farewell(socket);
    return true;
  }

  /// Closes so that the answer is read even when part of the request was not.
  static void farewell(socket_t socket) {
    shutdown(socket, SHUT_WR);
    char waste[4096];
    const auto until = Clock::now() + std::chrono::milliseconds(200);
    for (int i = 0; i < 64 && Clock::now() < until; ++i) {
      pollfd one{socket, POLLIN, 0};
      if (poll(&one, 1, 50) <= 0 || recv(socket, waste, sizeof waste, MSG_DONTWAIT) <= 0) break;
    }
    close(socket);
  }

  const bench::Handlers& handlers_;
  const Limits& limits_;
  Live& live_;
  std::mutex guests_mutex_;
  std::map<std::string, std::size_t> guests_;
};

}  // namespace

std::string Request::field(const std::string& name) const {
  const auto at = fields.find(name);
  return at == fields.end() ? std::string{} : at->second;
}

bool Request::wants_json() const {
  return accept.find("application/json") != std::string::npos;
}

Answer see_other(std::string path) {
  Answer answer;
  answer.status = 303;
  answer.headers.emplace_back("Location", std::move(path));
  return answer;
}

struct Wire::Inside {
  Handlers handlers;
  Limits limits;
  Live live;
  std::unique_ptr<PageServer> server;
  std::thread thread;
  Inside(Handlers h, Limits l) : handlers(std::move(h)), limits(l), live(l.live, l.live_backlog) {}
};

Wire::Wire(Handlers handlers, Limits limits)
    : inside_(std::make_unique<Inside>(std::move(handlers), limits)) {}

Wire::~Wire() {
  stop();
}

Result<int> Wire::start(const std::string& address, int port) {
  auto& in = *inside_;
  in.server = std::make_unique<PageServer>(in.handlers, in.limits, in.live);
  const int bound = port == 0                                ? in.server->bind_to_any_port(address)
                    : in.server->bind_to_port(address, port) ? port
                                                             : -1;
  if (bound <= 0)
    return fail(error("bench-listen", {}, fmt::format("cannot listen on {} port {}", address, port),
                      "name an address of this machine and a port that is free"));
  in.server->widen_door();
  in.thread = std::thread([&in] { in.server->listen_after_bind(); });
  for (int i = 0; i < 500 && !in.server->is_running(); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  return bound;
}

void Wire::stop() {
  if (!inside_ || !inside_->thread.joinable()) return;
  inside_->server->stop();
  inside_->thread.join();
  inside_->live.stop();
}

void Wire::publish(std::string_view message) {
  inside_->live.publish(message);
}
void Wire::close_live(const std::string& screen) {
  inside_->live.close_screen(screen);
}
std::size_t Wire::live_count() const {
  return inside_->live.count();
}

}  // namespace handlot::bench
