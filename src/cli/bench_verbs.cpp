// bench and record: the lot at the bench, and what was done.
#include <fmt/format.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "bench/serve.h"
#include "cli/progress.h"
#include "cli/verbs.h"
#include "record/ledger.h"
#include "record/report.h"
#include "record/state.h"

namespace handlot::cli {

namespace fs = std::filesystem;

namespace {

/// The record lies beside the job, so that it stays with it.
fs::path record_of(const std::string& job_file) { return fs::path(job_file).parent_path() / "record" / "lot.db"; }

struct Where {
  std::string address = "127.0.0.1";
  int port = 8014;
};

/// "ADDR", "ADDR:PORT" or ":PORT".
Result<Where> where_of(const std::string& listen) {
  Where w;
  if (listen.empty()) return w;
  const auto colon = listen.rfind(':');
  const bool has_port = colon != std::string::npos && listen.find(':') == colon;
  if (has_port) {
    try {
      w.port = std::stoi(listen.substr(colon + 1));
    } catch (const std::exception&) {
      w.port = -1;
    }
    if (w.port < 0 || w.port > 65535) return fail(error("option-bad", {}, fmt::format("'{}' has no port that can be listened on", listen), "write --listen 192.168.1.20:8014"));
  }
  const std::string address = has_port ? listen.substr(0, colon) : listen;
  if (!address.empty()) w.address = address;
  return w;
}

/// The one document of --json is written as soon as the page can be opened.
void greet(const Screen& screen, const bench::Server& server) {
  if (screen.json) {
    nlohmann::ordered_json j{{"url", server.url()}};
    if (server.needs_code()) j["codes"] = {{"pair_at", server.url() + "pair"}, {"write", server.write_code()}, {"read", server.read_code()}};
    fmt::print("{}\n", j.dump(2));
  } else {
    fmt::print("{}\n", server.greeting());
  }
  std::fflush(stdout);
}

int run_bench(const Screen& screen, const JobOptions& options, const std::string& listen, std::string record_file) {
  const auto where = where_of(listen);
  if (!where) {
    screen.report(where.error());
    return kUsage;
  }
  const auto outcome = pipeline::make_plan(options.request(screen));
  screen.stage_done();
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (outcome->stops()) {
    screen.say("the job can't be built as planned: 'handlot check' says why");
    return kAnswerIsNo;
  }
  const fs::path file = record_file.empty() ? record_of(options.file) : fs::path(record_file);
  std::error_code code;
  fs::create_directories(file.parent_path(), code);
  bench::Options bench;
  bench.plan = outcome->plan;
  bench.record = file;
  bench.address = where->address;
  bench.port = where->port;
  bench.replan = replan_of(*outcome, options.seconds.value_or(10));
  bench.log = [&screen](const std::string& line) { screen.say(line); };
  const auto served = bench::serve(std::move(bench), [&screen](const bench::Server& server) { greet(screen, server); });
  if (!served) {
    screen.report(served.error());
    return exit_for(served.error());
  }
  return kDone;
}

int run_record(const Screen& screen, const JobOptions& options, std::string record_file, const std::string& export_to, const std::string& import_from) {
  const auto outcome = pipeline::make_plan(options.request(screen));
  screen.stage_done();
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  const fs::path file = record_file.empty() ? record_of(options.file) : fs::path(record_file);
  const auto mode = import_from.empty() ? record::Ledger::Mode::read : record::Ledger::Mode::write;
  auto ledger = record::Ledger::open(file, mode);
  if (!ledger) {
    screen.report(ledger.error());
    return exit_for(ledger.error());
  }
  if (!import_from.empty()) {
    const auto taken = ledger->import_from(import_from);
    if (!taken) {
      screen.report(taken.error());
      return exit_for(taken.error());
    }
    screen.say(fmt::format("{} lines taken from {}", *taken, import_from));
  }
  if (!export_to.empty()) {
    const auto written = ledger->export_to(export_to);
    if (!written) {
      screen.report(written.error());
      return kCannotWrite;
    }
    screen.say(fmt::format("written: {}", export_to));
  }
  const auto lines = ledger->lines();
  if (!lines) {
    screen.report(lines.error());
    return exit_for(lines.error());
  }
  const record::State state = record::derive(outcome->plan, *lines);
  const record::Report report = record::report(outcome->plan, state);
  fmt::print("{}", screen.json ? record::json(report, outcome->plan, state, *lines) : record::text(report, outcome->plan));
  return kDone;
}

}  // namespace

void add_bench(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "bench", "The bench page: steps, timers, record, on any screen in the shop", "handlot bench jobs/tide-dial/job.xml\n  handlot bench jobs/tide-dial/job.xml --listen 192.168.1.20");
  auto options = std::make_shared<JobOptions>();
  auto listen = std::make_shared<std::string>();
  auto file = std::make_shared<std::string>();
  options->add_to(*v);
  v->add_option("--listen", *listen, "Address, or address:port; anything but loopback asks each screen for a code")->type_name("ADDR");
  v->add_option("--record", *file, "File of the record; default: record/lot.db beside the job")->type_name("FILE");
  v->callback([&screen, &run, options, listen, file] { run = [&screen, options, listen, file] { return run_bench(screen, *options, *listen, *file); }; });
}

void add_record(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "record", "What was done: per unit, per step, times against plan", "handlot record jobs/tide-dial/job.xml\n  handlot record jobs/tide-dial/job.xml --export lot-31.db");
  auto options = std::make_shared<JobOptions>();
  auto file = std::make_shared<std::string>();
  auto to = std::make_shared<std::string>();
  auto from = std::make_shared<std::string>();
  options->add_to(*v);
  v->add_option("--record", *file, "File of the record; default: record/lot.db beside the job")->type_name("FILE");
  v->add_option("--export", *to, "Write the record with its photos as one file; never over an old one")->type_name("FILE");
  v->add_option("--import", *from, "Take the lines of an exported record that this one has not yet")->type_name("FILE");
  v->callback([&screen, &run, options, file, to, from] { run = [&screen, options, file, to, from] { return run_record(screen, *options, *file, *to, *from); }; });
}

}  // namespace handlot::cli
