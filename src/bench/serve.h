// serve.h: the bench page of a plan, served to any screen in the shop.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "core/diagnostic.h"
#include "plan/plan.h"
#include "record/clock.h"
#include "record/state.h"

namespace handlot::bench {

using ClockSource = std::function<record::ClockReading()>;

/// The rest of the plan, worked out anew from what is done; `now` is a moment of the record. Called from a
/// thread of the server.
using Replan = std::function<Result<plan::Plan>(const record::State& state, const record::Moment& now)>;

struct Options {
  plan::Plan plan;
  std::filesystem::path record;                 ///< the file of the record; made when missing
  std::string address = "127.0.0.1";            ///< anything but loopback asks every screen for a code
  int port = 8014;                              ///< 0 = any free one
  std::string notice{};                         ///< what stops the job: stands on every page; empty: nothing
  Replan replan;                                ///< may be empty: then the page says that it cannot
  std::function<void(const std::string&)> log;  ///< refusals and faults, one line each; may be empty
  ClockSource clock = record::read_clock;
};

class Server {
 public:
  /// Errors  bench-listen, bench-busy (another bench has this record), those of Ledger::open that are not the
  /// disk's
  static Result<std::unique_ptr<Server>> start(Options options);
  ~Server();

  int port() const;
  std::string url() const;  ///< "http://127.0.0.1:8014/"
  bool needs_code() const;
  std::string write_code() const;
  std::string read_code() const;
  /// What to print on the terminal: address, codes and a QR code of the pairing address where one is needed.
  std::string greeting() const;
  void stop();

 private:
  struct Inside;
  explicit Server(std::unique_ptr<Inside> inside);
  std::unique_ptr<Inside> inside_;
};

/// Starts, lets `greet` tell where it is, and serves until SIGINT or SIGTERM.
Result<void> serve(Options options, const std::function<void(const Server&)>& greet);

}  // namespace handlot::bench
