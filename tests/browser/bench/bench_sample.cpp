// bench_sample: serves the invented plan of tests/record/sample.h, or that of a job, with a clock that a test
// moves. Never shipped.
//
//   bench_sample RECORD [--job FILE] [--listen ADDR] [--port N] [--lot N] [--clock FILE] [--codes]
//
// FILE holds three numbers: boot, milliseconds to add to the time since boot, and to the wall clock. It is
// read again at every look, so a test moves time by writing it. Prints one line with the address, and with
// --codes the codes.
#include <unistd.h>

#include <chrono>
#include <cstring>
#include <fstream>
#include <iostream>
#include <thread>

#include "bench/serve.h"
#include "cli/progress.h"
#include "pipeline/make_plan.h"
#include "pipeline/replan.h"
#include "record/sample.h"

namespace {

using namespace handlot;

record::ClockReading moved_clock(const std::string& file) {
  record::ClockReading now = record::read_clock();
  std::ifstream in(file);
  std::string boot;
  std::int64_t boot_add = 0, wall_add = 0;
  if (in >> boot >> boot_add >> wall_add) {
    now.boot += boot;
    now.boot_ms += boot_add;
    now.wall_ms += wall_add;
  }
  return now;
}

pipeline::Outcome plan_of(const std::string& job) {
  pipeline::Request request;
  request.job_file = job;
  request.card_folders = pipeline::card_folders(job, {});
  auto made = pipeline::make_plan(request);
  if (made) return std::move(*made);
  for (const auto& d : made.error()) std::cerr << format(d);
  std::exit(3);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return 2;
  bench::Options options;
  options.record = argv[1];
  options.port = 0;
  int lot = 4;
  bool codes = false;
  std::string job;
  for (int i = 2; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--codes")
      codes = true;
    else if (i + 1 >= argc)
      return 2;
    else if (word == "--listen")
      options.address = argv[++i];
    else if (word == "--port")
      options.port = std::atoi(argv[++i]);
    else if (word == "--job")
      job = argv[++i];
    else if (word == "--lot")
      lot = std::atoi(argv[++i]);
    else if (word == "--clock")
      options.clock = [file = std::string(argv[++i])] { return moved_clock(file); };
    else
      return 2;
  }
  if (job.empty()) {
    options.plan = sample::plan(lot, std::min(lot, 4));
    options.replan = [plan = options.plan](const record::State& state, const record::Moment& now) {
      return pipeline::replan(plan, cli::progress_of(plan, state, now), 10);
    };
  } else {
    const auto outcome = plan_of(job);
    options.plan = outcome.plan;
    options.replan = cli::replan_of(outcome, 10);
  }
  options.log = [](const std::string& line) { std::cerr << line << std::endl; };
  auto server = bench::Server::start(std::move(options));
  if (!server) {
    for (const auto& d : server.error()) std::cerr << format(d);
    return 4;
  }
  std::cout << (*server)->url() << std::endl;
  if (codes) std::cout << (*server)->write_code() << " " << (*server)->read_code() << std::endl;
  for (std::string line; std::getline(std::cin, line);) {
  }
}
