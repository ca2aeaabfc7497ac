// check, plan and sheet: the main job.
#include <fmt/format.h>

#include <filesystem>

#include "cli/verbs.h"
#include "core/text.h"
#include "sheets/json.h"
#include "sheets/text.h"
#include "sheets/write.h"

namespace handlot::cli {

namespace fs = std::filesystem;

void JobOptions::add_to(CLI::App& verb) {
  verb.add_option("job", file, "The job file")->required()->type_name("JOB");
  verb.add_option("--cards", cards, "A folder of your own cards; they stand before ours")->type_name("DIR");
  verb.add_option("--seconds", seconds, "Search for a schedule until it is proven the shortest, or for so many CPU seconds; without it the search ends when little is to be won")->check(CLI::Range(0.01, 3600.0));
}

pipeline::Request JobOptions::request(const Screen& screen) const {
  pipeline::Request request;
  request.job_file = file;
  request.card_folders = pipeline::card_folders(file, cards);
  if (seconds) request.limits = pipeline::Limits::of_seconds(*seconds);
  request.geometry_cache = pipeline::cache_folder();
  request.progress = [&screen](std::string_view stage) { screen.stage(stage); };
  return request;
}

namespace {

Result<pipeline::Outcome> made(const Screen& screen, const JobOptions& options, bool with_pictures, bool with_costs) {
  pipeline::Request request = options.request(screen);
  request.want_pictures = with_pictures;
  request.want_costs = with_costs;
  auto outcome = pipeline::make_plan(request);
  screen.stage_done();
  if (outcome && !screen.json && !outcome->warnings.empty()) screen.report(outcome->warnings);
  return outcome;
}

sheets::TextOptions text_options(const Screen& screen) {
  sheets::TextOptions options;
  options.colour = screen.colour_out();
  return options;
}

int run_check(const Screen& screen, const JobOptions& options) {
  const auto outcome = made(screen, options, false, false);
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  fmt::print("{}", screen.json ? sheets::findings_to_json(outcome->plan) : sheets::findings_as_text(outcome->plan, text_options(screen)));
  return outcome->stops() ? kAnswerIsNo : kDone;
}

int run_plan(const Screen& screen, const JobOptions& options) {
  const auto outcome = made(screen, options, false, true);
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (screen.json) {
    fmt::print("{}", sheets::to_json(outcome->plan));
  } else if (outcome->ordered) {
    fmt::print("{}", sheets::plan_as_text(outcome->plan, text_options(screen)));
    if (outcome->stops()) fmt::print("{}", sheets::findings_as_text(outcome->plan, text_options(screen)));
  } else {
    fmt::print("{}", sheets::findings_as_text(outcome->plan, text_options(screen)));
  }
  return outcome->stops() ? kAnswerIsNo : kDone;
}

std::string summary(const pipeline::Outcome& outcome) {
  const plan::Plan& p = outcome.plan;
  long warns = 0, undecided = 0;
  for (const plan::Finding& f : p.findings) {
    if (f.waived_because) continue;
    warns += f.severity == plan::Severity::warn ? 1 : 0;
    undecided += f.severity == plan::Severity::undecided ? 1 : 0;
  }
  return fmt::format("{} revision {}: {} of {}, {}; hands {}; {}, {}; plan {}", p.head.name, p.head.revision, counted(p.head.lot, "unit", "units"),
                     counted(static_cast<long>(p.work.steps.size()), "step", "steps"), in_words(p.schedule.makespan) + " from start to finish", sheets::work_in_words(p.schedule.hands_on),
                     counted(warns, "warning", "warnings"), counted(undecided, "point undecided", "points undecided"), p.head.hash);
}

int run_sheet(const Screen& screen, const JobOptions& options, std::string folder, const sheets::WriteOptions& form) {
  const auto outcome = made(screen, options, true, false);
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (outcome->stops()) {
    if (screen.json) {
      fmt::print("{}", sheets::to_json(outcome->plan));
    } else {
      fmt::print("{}", sheets::findings_as_text(outcome->plan, text_options(screen)));
      screen.say("no sheet is written for a job that can't be built as planned");
    }
    return kAnswerIsNo;
  }
  if (folder.empty()) folder = (fs::path(options.file).parent_path() / "sheet").string();
  screen.stage("writing the sheet");
  const auto written = sheets::write_sheet(outcome->plan, folder, form);
  screen.stage_done();
  if (!written) {
    screen.report(written.error());
    return exit_for(written.error());
  }
  if (screen.json) {
    fmt::print("{}", sheets::to_json(outcome->plan));
  } else {
    fmt::print("{}\n", summary(*outcome));
    for (const auto& file : *written) fmt::print("  {}\n", file);
  }
  screen.say(fmt::format("next: print {}/sheet.pdf, or run the lot with: handlot bench {}", folder, typed(options.file)));
  return kDone;
}

}  // namespace

void add_check(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "check", "Findings only: what would go wrong, where, and what mends it",
                     "handlot check jobs/tide-dial/job.xml\n  handlot check jobs/tide-dial/job.xml --json");
  auto options = std::make_shared<JobOptions>();
  options->add_to(*v);
  v->callback([&screen, &run, options] { run = [&screen, options] { return run_check(screen, *options); }; });
}

void add_plan(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "plan", "Order and schedule as text", "handlot plan jobs/tide-dial/job.xml\n  handlot plan jobs/tide-dial/job.xml --json > plan.json");
  auto options = std::make_shared<JobOptions>();
  options->add_to(*v);
  v->callback([&screen, &run, options] { run = [&screen, options] { return run_plan(screen, *options); }; });
}

void add_sheet(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "sheet", "Check, plan and write the build sheet: the same as 'handlot JOB'",
                     "handlot jobs/tide-dial/job.xml\n  handlot sheet jobs/tide-dial/job.xml -o ~/print");
  auto options = std::make_shared<JobOptions>();
  auto folder = std::make_shared<std::string>();
  auto form = std::make_shared<sheets::WriteOptions>();
  auto paper = std::make_shared<std::string>("a4");
  options->add_to(*v);
  v->add_option("-o,--out", *folder, "Where to write; default: sheet/ beside the job")->type_name("DIR");
  v->add_option("--paper", *paper, "a4 or letter")->check(CLI::IsMember({"a4", "letter"}))->capture_default_str();
  v->add_option("--templates", form->templates, "A folder with your own sheet.html and sheet.css")->type_name("DIR");
  v->add_option("--base-url", form->base_url, "Address of the bench page, for the scan codes")->type_name("URL");
  v->callback([&screen, &run, options, folder, form, paper] {
    run = [&screen, options, folder, form, paper] {
      form->paper = *paper == "letter" ? sheets::Paper::letter : sheets::Paper::a4;
      return run_sheet(screen, *options, *folder, *form);
    };
  });
}

}  // namespace handlot::cli
