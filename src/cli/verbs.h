// verbs.h: one function a verb. Each adds itself to the command line and says what it returned.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <optional>

#include "cli/terminal.h"
#include "pipeline/make_plan.h"

namespace handlot::cli {

/// A verb registers its options on `app` and leaves what to run in `run`, if it is the one that was asked for.
using Run = std::function<int()>;
using AddVerb = void (*)(CLI::App& app, Screen& screen, Run& run);

void add_check(CLI::App& app, Screen& screen, Run& run);
void add_plan(CLI::App& app, Screen& screen, Run& run);
void add_sheet(CLI::App& app, Screen& screen, Run& run);
void add_why(CLI::App& app, Screen& screen, Run& run);
void add_cards(CLI::App& app, Screen& screen, Run& run);
void add_profile(CLI::App& app, Screen& screen, Run& run);
void add_oven(CLI::App& app, Screen& screen, Run& run);
void add_stencil(CLI::App& app, Screen& screen, Run& run);
void add_kit(CLI::App& app, Screen& screen, Run& run);
void add_bench(CLI::App& app, Screen& screen, Run& run);
void add_record(CLI::App& app, Screen& screen, Run& run);
void add_new(CLI::App& app, Screen& screen, Run& run);

/// Options that every verb with a job has.
struct JobOptions {
  std::string file;
  std::vector<std::string> cards;
  std::optional<double> seconds;  ///< of search that the builder allows

  void add_to(CLI::App& verb);
  pipeline::Request request(const Screen& screen) const;
};

/// The examples of a verb, before its options.
CLI::App* verb(CLI::App& app, const std::string& name, const std::string& does, const std::string& examples);

}  // namespace handlot::cli
