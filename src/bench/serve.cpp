#include "bench/serve.h"

#include <arpa/inet.h>
#include <fcntl.h>
#include <ifaddrs.h>
#include <netdb.h>
#include <sys/file.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <csignal>
#include <thread>

#include <fmt/format.h>

#include "bench/access.h"
#include "bench/page.h"
#include "bench/routes.h"
#include "bench/shop.h"
#include "bench/wire.h"

namespace handlot::bench {
namespace {

bool is_loopback(const std::string& address) {
  return address == "localhost" || address == "::1" || address.rfind("127.", 0) == 0;
}

std::string host_port(const std::string& host, int port) {
  return host.find(':') == std::string::npos ? fmt::format("{}:{}", host, port)
                                             : fmt::format("[{}]:{}", host, port);
}

std::vector<std::string> own_addresses() {
  std::vector<std::string> out;
  ifaddrs* all = nullptr;
  if (getifaddrs(&all) != 0) return out;
  for (const ifaddrs* one = all; one; one = one->ifa_next) {
    if (!one->ifa_addr || (one->ifa_addr->sa_family != AF_INET && one->ifa_addr->sa_family != AF_INET6))
      continue;
    char name[64] = "";
    const socklen_t size = one->ifa_addr->sa_family == AF_INET ? sizeof(sockaddr_in) : sizeof(sockaddr_in6);
    if (getnameinfo(one->ifa_addr, size, name, sizeof name, nullptr, 0, NI_NUMERICHOST) == 0)
      out.emplace_back(name);
  }
  freeifaddrs(all);
  return out;
}

std::set<std::string> known_hosts(const std::string& address, int port) {
  std::set<std::string> out;
  const auto add = [&](const std::string& host) {
    out.insert(host_port(host, port));
    if (port == 80) out.insert(host);
  };
  add(address);
  if (is_loopback(address) || address == "0.0.0.0" || address == "::")
    for (const char* host : {"localhost", "127.0.0.1", "::1"}) add(host);
  if (is_loopback(address)) return out;
  if (address == "0.0.0.0" || address == "::")
    for (const auto& own : own_addresses()) add(own);
  char name[256] = "";
  if (gethostname(name, sizeof name - 1) == 0) {
    add(name);
    add(std::string(name) + ".local");
  }
  return out;
}

/// The address to show: not 0.0.0.0, which no phone can open.
std::string shown_address(const std::string& address) {
  if (address != "0.0.0.0" && address != "::") return address;
  for (const auto& own : own_addresses())
    if (!is_loopback(own) && own.find(':') == std::string::npos) return own;
  return "127.0.0.1";
}

std::int64_t steady_ms() {
  return std::chrono::duration_cast<std::chrono::milliseconds>(
             std::chrono::steady_clock::now().time_since_epoch())
      .count();
}

std::atomic<bool> asked_to_stop{false};
void on_signal(int) {
  asked_to_stop = true;
}

}  // namespace

struct Server::Inside {
  Options options;
  int lock_fd = -1;
  int port = 0;
  std::string url;
  std::unique_ptr<Wire> wire;
  std::unique_ptr<Shop> shop;
  std::unique_ptr<Access> access;
  std::unique_ptr<Routes> routes;
  std::atomic<bool> ready{false};
  std::atomic<bool> beating{true};
  std::thread beats;

  ~Inside() {
    stop();
    if (lock_fd >= 0) close(lock_fd);
  }

  void stop() {
    beating = false;
    if (beats.joinable()) beats.join();
    if (wire) wire->stop();
    shop.reset();
  }

  /// One bench a record: two would each believe their own state.
  Result<void> lock() {
    const std::string name = options.record.string() + ".lock";
    lock_fd = open(name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0600);
    if (lock_fd < 0) return {};  // a folder that cannot be written: nobody else writes there either
    if (flock(lock_fd, LOCK_EX | LOCK_NB) == 0) return {};
    return fail(error("bench-busy", {options.record.string(), 0, 0},
                      "another bench is at work on this record", "use that one, or stop it first"));
  }

  void log(const std::string& line) const {
    if (options.log) options.log(line);
  }

  /// Tells every screen the time, so that none counts for itself for long.
  void beat() {
    for (int i = 0; beating; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
      if (i % 20 != 0) continue;
      const auto now = shop->now();
      wire->publish(
          fmt::format("data: {{\"t\":\"beat\",\"ran\":{},\"seq\":{}}}\n\n", now.ran_ms, shop->seq()));
    }
  }

  Result<void> begin() {
    if (auto ok = lock(); !ok) return ok;
    const auto zone = calendar::Zone::find(options.plan.head.zone.empty() ? "UTC" : options.plan.head.zone);
    if (!zone) return fail(zone.error());
    Handlers handlers;
    handlers.early = [this](const Request& r) -> std::optional<Answer> {
      if (!ready) return Answer{503, "text/plain; charset=utf-8", "the bench is starting\n", {}, ""};
      return routes->early(r);
    };
    handlers.handle = [this](const Request& r) { return routes->handle(r); };
    handlers.log = [this](const std::string& line) { log(line); };
    wire = std::make_unique<Wire>(std::move(handlers));
    auto bound = wire->start(options.address, options.port);
    if (!bound) return fail(bound.error());
    port = *bound;
    url = fmt::format("http://{}/", host_port(shown_address(options.address), port));
    shop = std::make_unique<Shop>(
        options.plan, options.record, options.clock, options.replan,
        [this](const std::string& m) { wire->publish(m); }, [this](const std::string& m) { log(m); });
    AccessRules rules;
    rules.open = is_loopback(options.address);
    rules.hosts = known_hosts(options.address, port);
    rules.cookie = fmt::format("handlot_{}", port);
    access = std::make_unique<Access>(
        std::move(rules), shop->screens(), steady_ms,
        [this](const record::Screen& s) { shop->keep_screen(s); }, [this](const std::string& m) { log(m); });
    routes = std::make_unique<Routes>(*shop, *access, *wire, *zone, url, static_cast<bool>(options.replan), options.notice);
    ready = true;
    beats = std::thread([this] { beat(); });
    return {};
  }
};

Server::Server(std::unique_ptr<Inside> inside) : inside_(std::move(inside)) {}
Server::~Server() = default;

Result<std::unique_ptr<Server>> Server::start(Options options) {
  auto inside = std::make_unique<Inside>();
  inside->options = std::move(options);
  if (auto ok = inside->begin(); !ok) return fail(ok.error());
  return std::unique_ptr<Server>(new Server(std::move(inside)));
}

int Server::port() const {
  return inside_->port;
}
std::string Server::url() const {
  return inside_->url;
}
bool Server::needs_code() const {
  return !inside_->access->rules().open;
}
std::string Server::write_code() const {
  return inside_->access->codes().write;
}
std::string Server::read_code() const {
  return inside_->access->codes().read;
}
void Server::stop() {
  inside_->stop();
}

std::string Server::greeting() const {
  std::string out = fmt::format("bench page: {}\n", url());
  const auto trouble = inside_->shop->trouble();
  for (const auto& d : trouble) out += format(d);
  if (!needs_code()) return out + "only this computer can open it; --listen ADDR lets other screens in\n";
  out += "\n" + qr_text(url() + "pair") + "\n";
  out += fmt::format("to pair a screen, open {}pair and type\n  {}   to write\n  {}   to look only\n", url(),
                     write_code(), read_code());
  return out + "the shop's network carries this without encryption: use one that you trust\n";
}

Result<void> serve(Options options, const std::function<void(const Server&)>& greet) {
  auto server = Server::start(std::move(options));
  if (!server) return fail(server.error());
  greet(**server);
  asked_to_stop = false;
  const auto old_int = std::signal(SIGINT, on_signal);
  const auto old_term = std::signal(SIGTERM, on_signal);
  while (!asked_to_stop) std::this_thread::sleep_for(std::chrono::milliseconds(100));
  std::signal(SIGINT, old_int);
  std::signal(SIGTERM, old_term);
  (*server)->stop();
  return {};
}

}  // namespace handlot::bench
