// kit: kit list, shortages, units that can be built.
#include "kit/kit.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/verbs.h"
#include "pipeline/stock.h"

namespace handlot::cli {

namespace {

using Json = nlohmann::ordered_json;

Json kit_json(const plan::Plan& plan, const std::optional<kit::Clearance>& clearance) {
  Json j{{"job", {{"name", plan.head.name}, {"revision", plan.head.revision}, {"lot", plan.head.lot}}}, {"kit", Json::array()}};
  for (const plan::KitRow& r : plan.kit) {
    j["kit"].push_back({{"id", r.id}, {"name", r.name}, {"kind", r.kind}, {"per_unit", r.per_unit}, {"unit", r.unit}, {"lot", r.lot}, {"spare", r.spare}, {"spec", r.spec}, {"bag", r.bag}, {"look_alikes", r.look_alikes}, {"first_step", r.first_step}});
  }
  if (clearance) {
    j["units_that_can_be_built"] = clearance->units ? Json(*clearance->units) : Json(nullptr);
    j["shortages"] = Json::array();
    for (const kit::Shortage& s : clearance->shortages) j["shortages"].push_back({{"id", s.id}, {"needed", s.needed}, {"there", s.there}, {"step", s.step}});
    j["not_in_stock_list"] = clearance->unknown;
    j["notes"] = Json::array();
    for (const kit::Remark& r : clearance->remarks) j["notes"].push_back(r.text);
  }
  return j;
}

/// Days are planned only where a date of the stock list asks for them.
int run_kit(const Screen& screen, const JobOptions& options, const std::string& stock_named, bool want_days = false) {
  std::string stock_file = stock_named;
  pipeline::Request request = options.request(screen);
  request.want_pictures = false;
  request.want_schedule = want_days;
  const auto outcome = pipeline::make_plan(request);
  screen.stage_done();
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (stock_file.empty()) {
    if (const job::ExtraFile* named = outcome->job.file_of("stock")) stock_file = named->path;
  }
  std::optional<kit::Clearance> clearance;
  if (!stock_file.empty()) {
    auto judged = pipeline::clearance_of(outcome->job, outcome->plan, stock_file);
    if (!judged) {
      screen.report(judged.error());
      return exit_for(judged.error());
    }
    if (judged->wants_last_days && !want_days) return run_kit(screen, options, stock_named, true);
    clearance = std::move(*judged);
  }
  fmt::print("{}", screen.json ? kit_json(outcome->plan, clearance).dump(2, ' ', false, Json::error_handler_t::replace) + "\n" : kit::text(outcome->plan, clearance));
  return clearance && clearance->units.value_or(0) < outcome->plan.head.lot ? kAnswerIsNo : kDone;
}

}  // namespace

void add_kit(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "kit", "Kit list, shortages, units that can be built", "handlot kit jobs/tide-dial/job.xml\n  handlot kit jobs/tide-dial/job.xml --stock shelf.csv");
  auto options = std::make_shared<JobOptions>();
  auto stock = std::make_shared<std::string>();
  options->add_to(*v);
  v->add_option("--stock", *stock, "What is on the shelf: a table with id and count")->type_name("FILE");
  v->callback([&screen, &run, options, stock] { run = [&screen, options, stock] { return run_kit(screen, *options, *stock); }; });
}

}  // namespace handlot::cli
