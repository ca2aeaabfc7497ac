// wire.h: HTTP as the bench needs it: one request a connection, every one with a deadline and a size, and
// live streams that cost no thread. Knows nothing of plans.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/diagnostic.h"

namespace handlot::bench {

struct Request {
  std::string method;
  std::string path;                           ///< decoded; "/step/glue-feet"
  std::string peer;                           ///< address of the other end
  std::map<std::string, std::string> fields;  ///< of query and form; the last of a name counts
  std::string body;
  std::string host, origin, cookie, fetch_site, content_type, accept;
  std::optional<std::uint64_t> length;  ///< as announced

  std::string field(const std::string& name) const;
  bool wants_json() const;  ///< the page's own script asks
};

struct Answer {
  int status = 200;
  std::string type = "text/html; charset=utf-8";
  std::string body;
  std::vector<std::pair<std::string, std::string>> headers;
  std::string live;  ///< not empty: the connection stays open as a live stream of this screen, `body` is its
                     ///< beginning
};

Answer see_other(std::string path);

/// `early` is asked before the body is read; an answer there ends the request. `handle` answers the rest.
struct Handlers {
  std::function<std::optional<Answer>(const Request&)> early;
  std::function<Answer(const Request&)> handle;
  std::function<void(const std::string&)> log;
};

struct Limits {
  std::size_t head_bytes = 16 * 1024;
  std::size_t body_bytes = 8 * 1024 * 1024 + 64 * 1024;
  std::chrono::milliseconds head_time{5000};    ///< until the head is whole
  std::chrono::milliseconds whole_time{20000};  ///< until the answer is out
  std::size_t threads = 64;
  std::size_t per_peer = 24;              ///< requests at once from one address, loopback excepted
  std::size_t live = 128;                 ///< live streams at once
  std::size_t live_backlog = 512 * 1024;  ///< bytes a slow screen may lag before it is let go
};

class Wire {
 public:
  Wire(Handlers handlers, Limits limits = {});
  ~Wire();
  Wire(const Wire&) = delete;
  Wire& operator=(const Wire&) = delete;

  /// Binds and serves on threads of its own. Port 0: any free one.
  /// Errors  bench-listen
  Result<int> start(const std::string& address, int port);
  void stop();  ///< waits for what is going on; closes the live streams

  /// To every live stream. Never waits for a slow screen.
  void publish(std::string_view message);
  void close_live(const std::string& screen);
  std::size_t live_count() const;

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

}  // namespace handlot::bench
