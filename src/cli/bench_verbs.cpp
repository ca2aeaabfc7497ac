// bench and record: the lot at the bench, and what was done.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "bench/serve.h"
#include "cli/progress.h"
#include "cli/verbs.h"
#include "core/text.h"
#include "record/ledger.h"
#include "record/report.h"
#include "record/said.h"
#include "record/state.h"
#include "sheets/json.h"

namespace handlot::cli {

namespace fs = std::filesystem;

namespace {

/// The record lies beside the job, so that it stays with it.
fs::path record_of(const std::string& job_file) { return fs::path(job_file).parent_path() / "record" / "lot.db"; }

struct Where {
  std::string address = "127.0.0.1";
  int port = 8014;
};

/// All of it, and nothing else: "86x" is no port.
std::optional<int> port_of(std::string_view text) {
  int port = -1;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), port);
  if (fault != std::errc{} || end != text.data() + text.size() || port < 0 || port > 65535) return std::nullopt;
  return port;
}

/// "ADDR", "ADDR:PORT" or ":PORT"; with a port, an address of version 6 stands in brackets: "[::1]:8014".
Result<Where> where_of(const std::string& listen) {
  Where w;
  if (listen.empty()) return w;
  const auto bracket = listen.front() == '[' ? listen.find(']') : std::string::npos;
  const auto colon = bracket == std::string::npos ? listen.rfind(':') : bracket + 1;
  const bool has_port = colon < listen.size() && listen[colon] == ':' && (bracket != std::string::npos || listen.find(':') == colon);
  const auto port = has_port ? port_of(std::string_view(listen).substr(colon + 1)) : w.port;
  const bool more = bracket != std::string::npos && !has_port && colon != listen.size();
  if (port_of(listen)) return fail(error("option-bad", {}, fmt::format("'{}' is a port without its address", listen), fmt::format("write --listen :{}", listen)));
  if (!port || more) return fail(error("option-bad", {}, fmt::format("'{}' has no port that can be listened on", listen), "write --listen 192.168.1.20:8014"));
  w.port = *port;
  const std::string address = bracket != std::string::npos ? listen.substr(1, bracket - 1) : has_port ? listen.substr(0, colon) : listen;
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

/// What no bench can be run on. Of a record that is damaged, or may not be written, the bench shows what there is.
Diagnostics no_record(const fs::path& file) {
  constexpr std::array<std::string_view, 3> kNever{"record-folder", "record-not-ours", "record-later-version"};
  std::error_code ignored;
  const bool begun = fs::is_directory(file, ignored) || (fs::is_regular_file(file, ignored) && fs::file_size(file, ignored) > 0);
  if (!begun) return {};
  const auto ledger = record::Ledger::open(file, record::Ledger::Mode::read);
  if (ledger) return {};
  const std::string& code = ledger.error().front().code;
  return std::find(kNever.begin(), kNever.end(), code) == kNever.end() ? Diagnostics{} : ledger.error();
}

/// What a record holds already.
std::vector<record::Event> lines_of(const fs::path& file) {
  std::error_code ignored;
  if (!fs::exists(file, ignored)) return {};
  const auto ledger = record::Ledger::open(file, record::Ledger::Mode::read);
  return ledger ? ledger->lines().value_or(std::vector<record::Event>{}) : std::vector<record::Event>{};
}

bool has_work(const std::vector<record::Event>& lines) {
  return std::any_of(lines.begin(), lines.end(), [](const record::Event& e) { return !e.step.empty(); });
}

/// An edit that stops the job takes nothing away of what is curing.
std::string what_stops(const plan::Plan& plan) {
  const auto stop = std::find_if(plan.findings.begin(), plan.findings.end(), [](const plan::Finding& f) { return f.severity == plan::Severity::stop; });
  return stop == plan.findings.end() ? "the rest cannot be scheduled" : stop->message;
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
  const fs::path file = record_file.empty() ? record_of(options.file) : fs::path(record_file);
  if (const Diagnostics none = no_record(file); !none.empty()) {
    screen.report(none);
    return exit_for(none);
  }
  const auto lines = lines_of(file);
  const bool goes_on = !outcome->stops() || (outcome->ordered && has_work(lines));
  if (!goes_on && screen.json) fmt::print("{}", sheets::to_json(outcome->plan));
  if (outcome->stops()) screen.say(fmt::format("the job can't be built as planned; see: handlot check {}", typed(options.file)));
  if (!goes_on) return kAnswerIsNo;
  if (const auto other = record::other_lot(outcome->plan, lines); !other.empty()) {
    screen.report(other);
    return kAnswerIsNo;
  }
  std::error_code code;
  fs::create_directories(file.parent_path(), code);
  bench::Options bench;
  bench.plan = outcome->plan;
  bench.record = file;
  bench.address = where->address;
  bench.port = where->port;
  if (outcome->stops()) bench.notice = what_stops(outcome->plan);
  bench.replan = replan_of(*outcome, options.seconds.value_or(10));
  bench.log = [&screen](const std::string& line) { screen.say(line); };
  const auto served = bench::serve(std::move(bench), [&screen](const bench::Server& server) { greet(screen, server); });
  if (!served) {
    screen.report(served.error());
    return exit_for(served.error());
  }
  return kDone;
}

struct Carry {
  std::string record, to, from;  ///< --record, --export, --import
};

/// Takes lines in, then writes the copy. Neither asks for the plan, so that a record outlives its job file.
std::optional<int> carry(const Screen& screen, record::Ledger& ledger, const Carry& carry) {
  if (!carry.from.empty()) {
    const auto taken = ledger.import_from(carry.from);
    if (!taken) {
      screen.report(taken.error());
      return exit_for(taken.error());
    }
    screen.say(fmt::format("{} taken from {}", counted(static_cast<long>(*taken), "line", "lines"), carry.from));
  }
  if (!carry.to.empty()) {
    const auto written = ledger.export_to(carry.to);
    if (!written) {
      screen.report(written.error());
      return kCannotWrite;
    }
    screen.say(fmt::format("written: {}", carry.to));
  }
  return std::nullopt;
}

int tell(const Screen& screen, const plan::Plan& job, std::vector<record::Event> lines) {
  for (const Diagnostic& d : record::other_lot(job, lines)) screen.say(fmt::format("{}; units are named as in the record", d.text));
  const plan::Plan plan = record::with_serials_of(job, lines);
  const record::State state = record::derive(plan, lines);
  const record::Report report = record::report(plan, state);
  fmt::print("{}", screen.json ? record::json(report, plan, state, lines) : record::text(report, plan));
  return kDone;
}

/// The copy is made; what is in it cannot be told without the job.
int carried_only(const Screen& screen, const Carry& carry, const Diagnostics& why) {
  if (screen.json)
    fmt::print("{}\n", nlohmann::ordered_json{{"imported", carry.from}, {"exported", carry.to}}.dump(2));
  screen.say(fmt::format("what was done is not told, for the job cannot be planned: {}", why.front().text));
  return kDone;
}

/// A file that is not there is no file that cannot be opened.
Diagnostics nothing_to_carry(const JobOptions& options, const Carry& wish, const fs::path& record) {
  std::error_code ignored;
  if (!wish.from.empty() && wish.from != record.string() && !fs::exists(wish.from, ignored))
    return {error("record-none", {wish.from, 0, 0}, "there is no file of that name to import", "name the file that --export wrote")};
  if (wish.from.empty() && !wish.to.empty() && !fs::exists(record, ignored))
    return {error("record-none", {record.string(), 0, 0}, "nothing is recorded yet, so that there is nothing to export", fmt::format("begin the record with: handlot bench {}", typed(options.file)))};
  return {};
}

int run_record(const Screen& screen, const JobOptions& options, const Carry& wish) {
  const fs::path file = wish.record.empty() ? record_of(options.file) : fs::path(wish.record);
  const bool carries = !wish.to.empty() || !wish.from.empty();
  std::error_code ignored;
  const bool never_begun = !carries && wish.record.empty() && !fs::exists(file, ignored);
  std::vector<record::Event> lines;
  if (const Diagnostics none = nothing_to_carry(options, wish, file); !none.empty()) {
    screen.report(none);
    return exit_for(none);
  }
  if (!wish.from.empty()) fs::create_directories(file.parent_path(), ignored);
  if (!never_begun) {
    auto ledger = record::Ledger::open(file, wish.from.empty() ? record::Ledger::Mode::read : record::Ledger::Mode::write);
    if (!ledger) {
      screen.report(ledger.error());
      return exit_for(ledger.error());
    }
    if (const auto fault = carry(screen, *ledger, wish)) return *fault;
    auto read = ledger->lines();
    if (!read) {
      screen.report(read.error());
      return exit_for(read.error());
    }
    lines = std::move(*read);
  }
  const auto outcome = pipeline::make_plan(options.request(screen));
  screen.stage_done();
  if (!outcome && carries) return carried_only(screen, wish, outcome.error());
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (never_begun) screen.say(fmt::format("nothing is recorded yet; the record begins with: handlot bench {}", typed(options.file)));
  return tell(screen, outcome->plan, std::move(lines));
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
  auto wish = std::make_shared<Carry>();
  options->add_to(*v);
  v->add_option("--record", wish->record, "File of the record; default: record/lot.db beside the job")->type_name("FILE");
  v->add_option("--export", wish->to, "Write the record with its photos as one file; never over an old one")->type_name("FILE");
  v->add_option("--import", wish->from, "Take the lines of an exported record that this one has not yet")->type_name("FILE");
  v->callback([&screen, &run, options, wish] { run = [&screen, options, wish] { return run_record(screen, *options, *wish); }; });
}

}  // namespace handlot::cli
