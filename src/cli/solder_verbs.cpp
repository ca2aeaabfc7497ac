// profile, oven and stencil: the oven's verdict, its set points, and the stencil's openings.
#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "cli/verbs.h"
#include "core/text.h"
#include "input/file.h"
#include "input/units.h"
#include "pipeline/soldering.h"
#include "reflow/advice.h"
#include "reflow/oven_model.h"
#include "reflow/plot.h"
#include "solder/stencil.h"

namespace handlot::cli {

namespace {

using Json = nlohmann::ordered_json;

struct LogOptions {
  std::string paste;
  std::string job;
  std::vector<std::string> cards;
  std::vector<std::string> channels;
  std::string sensor_error;
  std::string remember;
  std::string time_unit, temperature_unit, every;

  void add_to(CLI::App& v) {
    v.add_option("--paste", paste, "Card of the paste")->required()->type_name("ID");
    v.add_option("--job", job, "A job file: its parts' limits count too")->type_name("JOB");
    v.add_option("--cards", cards, "A folder of your own cards")->type_name("DIR");
    v.add_option("--channel", channels, "What a column measures: \"Temp0=board:centre:tape\" (board, air, control, set, other; set: what the controller wants)")->type_name("COLUMN=ROLE[:WHERE[:ATTACHED]]");
    v.add_option("--time", time_unit, "Unit of the time column, where the log does not say: s, min, h, ms, d")->type_name("UNIT");
    v.add_option("--every", every, "How far apart the rows are, where no column holds the time, as in \"2 s\"")->type_name("AMOUNT");
    v.add_option("--temperature", temperature_unit, "Unit of the readings, where the log does not say, or says a wrong one: C, F, K")->type_name("UNIT");
    v.add_option("--sensor-error", sensor_error, "Of the whole chain, as in \"1.5 K\"")->type_name("AMOUNT");
    v.add_option("--remember", remember, "Keep what the columns mean in this file; LOG.channels is read by itself")->type_name("FILE");
  }
};

Diagnostic bad_option(std::string what, std::string mend) { return error("option-bad", {}, std::move(what), std::move(mend)); }

Json texts_of(const Diagnostics& warnings) {
  Json texts = Json::array();
  for (const Diagnostic& d : warnings) texts.push_back(d.text);
  return texts;
}

/// Warnings go beside the answer; a JSON answer holds them itself.
void tell(const Screen& screen, const Diagnostics& warnings) {
  if (!screen.json && !warnings.empty()) screen.report(warnings);
}

Result<const catalogue::Card*> paste_card(const catalogue::Catalogue& cards, const std::string& id) {
  const auto card = cards.look_up(CardId(id), {});
  if (!card) return fail(card.error());
  if ((*card)->kind != catalogue::CardKind::paste) return fail(bad_option(fmt::format("--paste: '{}' is no paste, but of the kind {}", id, word((*card)->kind)), "name the card of a paste: 'handlot cards' lists them"));
  return *card;
}

/// One amount; a range is refused, for one end of it would be taken silently.
Result<double> one_amount(const std::string& option, const std::string& text, input::Dimension dimension, input::Range range) {
  const auto amount = input::read_amount(text, dimension, range);
  if (!amount) return fail(bad_option(fmt::format("{}: {}", option, amount.error().text), amount.error().mend));
  if (amount->range) return fail(bad_option(fmt::format("{}: '{}' is a range", option, text), "write one amount"));
  return amount->low;
}

Result<reflow::LoggerMemory> said(const LogOptions& o) {
  reflow::LoggerMemory memory;
  Diagnostics faults;
  for (const std::string& text : o.channels) {
    const auto equals = text.rfind('=');
    std::istringstream parts(equals == std::string::npos ? "" : text.substr(equals + 1));
    std::string role, where, attached;
    std::getline(parts, role, ':');
    std::getline(parts, where, ':');
    std::getline(parts, attached);
    const auto named = reflow::role_named(role);
    if (equals == std::string::npos || !named) {
      faults.push_back(bad_option(fmt::format("'{}' does not say what a column measures", text), "write --channel \"Temp0=board:centre:tape\"; known are board, air, control, set and other"));
      continue;
    }
    memory.channels.push_back({text.substr(0, equals), *named, where, attached});
  }
  if (o.time_unit == "s") memory.time = reflow::TimeUnit::seconds;
  else if (o.time_unit == "min") memory.time = reflow::TimeUnit::minutes;
  else if (o.time_unit == "h") memory.time = reflow::TimeUnit::hours;
  else if (o.time_unit == "ms") memory.time = reflow::TimeUnit::milliseconds;
  else if (o.time_unit == "d") memory.time = reflow::TimeUnit::days;
  else if (!o.time_unit.empty()) faults.push_back(bad_option(fmt::format("'{}' is no unit of time here", o.time_unit), "write s, min, h, ms or d"));
  if (!o.every.empty()) {
    const auto period = one_amount("--every", o.every, input::Dimension::duration, {0.01, 600});
    if (period) memory.period = Seconds(*period);
    else faults.insert(faults.end(), period.error().begin(), period.error().end());
  }
  if (o.temperature_unit == "C") memory.temperature = reflow::TemperatureUnit::celsius;
  else if (o.temperature_unit == "F") memory.temperature = reflow::TemperatureUnit::fahrenheit;
  else if (o.temperature_unit == "K") memory.temperature = reflow::TemperatureUnit::kelvin;
  else if (!o.temperature_unit.empty()) faults.push_back(bad_option(fmt::format("'{}' is no unit of temperature here", o.temperature_unit), "write C, F or K"));
  if (!faults.empty()) return fail(std::move(faults));
  return memory;
}

struct Judging {
  reflow::PasteWindow window;
  std::vector<reflow::PartLimit> parts;
  reflow::JudgeOptions options;
};

Result<Judging> judging_of(const LogOptions& o) {
  const auto cards = catalogue::Catalogue::read(pipeline::card_folders(o.job.empty() ? "." : o.job, o.cards));
  if (!cards) return fail(cards.error());
  const auto paste = paste_card(*cards, o.paste);
  if (!paste) return fail(paste.error());
  auto window = pipeline::window_of(**paste);
  if (!window) return fail(window.error());
  Judging j{std::move(*window), {}, {}};
  j.options.liquidus = j.window.liquidus;
  if (!o.job.empty()) {
    const auto job = job::read_job(o.job, *cards);
    if (!job) return fail(job.error());
    j.parts = pipeline::limits_of(*job, *cards, j.window.liquidus.value > 200);
    j.options = pipeline::judge_options(*job, j.window.liquidus);
  }
  if (!o.sensor_error.empty()) {
    const auto amount = one_amount("--sensor-error", o.sensor_error, input::Dimension::difference, {0, 50});
    if (!amount) return fail(amount.error());
    j.options.sensor_error = Kelvin(*amount);
  }
  return j;
}

Json figure_json(const reflow::Log& log, const reflow::Judged& f) {
  Json j{{"figure", reflow::describe(f.criterion)}, {"channel", log.channels[f.channel].name}, {"unit", std::string(reflow::unit(f.criterion.kind))},
         {"answer", std::string(word(f.answer))}, {"why", f.why}, {"who", f.criterion.who}, {"source", describe(f.criterion.source)}};
  j["value"] = f.figure ? Json(f.figure->value) : Json(nullptr);
  if (f.figure) j["interval"] = {f.figure->low, f.figure->high};
  j["low"] = f.criterion.low ? Json(*f.criterion.low) : Json(nullptr);
  j["high"] = f.criterion.high ? Json(*f.criterion.high) : Json(nullptr);
  j["share_percent"] = f.share ? Json(f.share->value) : Json(nullptr);
  return j;
}

void print_json(const Json& j) { fmt::print("{}\n", j.dump(2, ' ', false, Json::error_handler_t::replace)); }

int refused(const Screen& screen, const Diagnostics& faults) {
  screen.report(faults);
  const bool usage = std::all_of(faults.begin(), faults.end(), [](const Diagnostic& d) { return d.code == "option-bad"; });
  return usage ? static_cast<int>(kUsage) : exit_for(faults);
}

int run_profile(const Screen& screen, const std::string& file, const LogOptions& o, const std::string& plot) {
  const auto memory = said(o);
  if (!memory) return refused(screen, memory.error());
  const auto judging = judging_of(o);
  if (!judging) return refused(screen, judging.error());
  const auto log = pipeline::read_log_file(file, *memory);
  if (!log) return refused(screen, log.error());
  const reflow::Verdict verdict = reflow::judge(*log, reflow::criteria(judging->window, judging->parts), judging->parts, judging->options);
  if (screen.json) {
    Json j{{"log", file}, {"paste", judging->window.id}, {"answer", std::string(word(verdict.answer))}, {"worst_share_percent", verdict.worst_share ? Json(verdict.worst_share->value) : Json(nullptr)},
           {"figures", Json::array()}, {"missing", verdict.missing}, {"notes", verdict.notes}, {"warnings", texts_of(log->warnings)}, {"faults", Json::array()}};
    for (const auto& f : verdict.figures) j["figures"].push_back(figure_json(*log, f));
    for (const auto& f : verdict.faults) j["faults"].push_back(f.text);
    print_json(j);
  } else {
    tell(screen, log->warnings);
    fmt::print("{}", reflow::in_words(verdict, *log));
  }
  if (!plot.empty()) {
    reflow::PlotOptions options;
    options.title = fmt::format("{} against {}", file, judging->window.name);
    const auto written = input::write_text(plot, reflow::plot(*log, verdict, judging->window, options));
    if (!written) return refused(screen, written.error());
    screen.say(fmt::format("written: {}", plot));
  }
  if (!o.remember.empty()) {
    const auto written = input::write_text(o.remember, reflow::to_text(log->memory));
    if (!written) return refused(screen, written.error());
    screen.say(fmt::format("written: {}", o.remember));
  }
  return verdict.answer == reflow::Answer::pass || verdict.answer == reflow::Answer::indicative ? kDone : kAnswerIsNo;
}

struct OvenOptions {
  double highest = 260;
  int steps = 5;
  std::string plot;
};

int run_oven(const Screen& screen, const std::vector<std::string>& files, const LogOptions& o, const OvenOptions& oven) {
  const auto memory = said(o);
  if (!memory) return refused(screen, memory.error());
  auto judging = judging_of(o);
  if (!judging) return refused(screen, judging.error());
  judging->window.straight_ramp = false;  // set points are looked for with the soak that the card gives
  std::vector<reflow::OvenRun> runs;
  Diagnostics warnings;
  for (const std::string& file : files) {
    auto log = pipeline::read_log_file(file, *memory);
    if (!log) return refused(screen, log.error());
    tell(screen, log->warnings);
    warnings.insert(warnings.end(), log->warnings.begin(), log->warnings.end());
    runs.push_back({std::move(*log), {}});
  }
  screen.stage("fitting the oven");
  const auto model = reflow::fit_oven(runs);
  screen.stage_done();
  if (!model) {
    screen.report(model.error());
    return kAnswerIsNo;
  }
  reflow::OvenLimits limits;
  limits.highest = Celsius(oven.highest);
  limits.steps = oven.steps;
  screen.stage("looking for set points");
  const reflow::Advice advice = reflow::advise(*model, reflow::criteria(judging->window, judging->parts), limits);
  screen.stage_done();
  static constexpr std::array kStatus{"try this", "marginal", "cannot", "stopped"};
  if (screen.json) {
    Json j{{"status", kStatus[static_cast<std::size_t>(advice.status)]}, {"why", advice.why}, {"uncertainty_K", model->uncertainty.value}, {"worst_share_percent", advice.worst_share},
           {"set_points", Json::array()}, {"end_s", advice.set.end.value}, {"figures", Json::array()}, {"boards", Json::array()}, {"warnings", texts_of(warnings)}};
    for (const auto& p : advice.set.points) j["set_points"].push_back({{"time_s", p.time.value}, {"temperature_degC", p.temperature.value}});
    for (const auto& f : advice.figures) j["figures"].push_back({{"figure", reflow::describe(f.criterion)}, {"channel", f.channel}, {"value", f.value}, {"interval", {f.low, f.high}}, {"short_by", f.short_by}});
    for (const auto& n : model->boards) j["boards"].push_back({{"channel", n.channel}, {"tau_s", n.tau().value}, {"rms_K", n.rms.value}, {"worst_K", n.worst.value}});
    print_json(j);
  } else {
    for (const auto& n : model->boards) fmt::print("{}: time constant {} s, fit within {} K rms ({} K at the worst)\n", n.channel, number(n.tau().value, 1), number(n.rms.value, 1), number(n.worst.value, 1));
    for (const std::string& note : model->notes) fmt::print("{}\n", note);
    fmt::print("{}", reflow::in_words(advice));
  }
  return advice.status == reflow::Advice::Status::try_this || advice.status == reflow::Advice::Status::marginal ? kDone : kAnswerIsNo;
}

struct StencilOptions {
  std::string file, foil, paste, pads, before, picture;
  int boards = 1;
  std::vector<std::string> cards;
};

Result<solder::Layer> layer_of(const std::string& file) {
  const auto text = input::read_text(file, 64u << 20);
  if (!text) return fail(text.error());
  return solder::read_gerber(*text, file);
}

Result<solder::Layer> pads_layer_of(const std::string& file) {
  const auto text = input::read_text(file, 64u << 20);
  if (!text) return fail(text.error());
  return solder::read_pads(*text, file);
}

Json comparison_json(const solder::Comparison& c) {
  Json j{{"text", c.text}, {"offset_mm", {c.offset.x, c.offset.y}}, {"mirrored", c.mirrored}, {"matched", c.matched}, {"mismatches", Json::array()}};
  for (const auto& m : c.mismatches) j["mismatches"].push_back({{"kind", std::string(word(m.kind))}, {"at_mm", {m.at.x, m.at.y}}, {"text", m.text}});
  return j;
}

void print_comparison(const solder::Comparison& c, std::string_view with, const std::optional<solder::BarePads>& bare) {
  fmt::print("against {}: {} matched, {}\n", with, c.matched, counted(static_cast<long>(c.mismatches.size()), "difference", "differences"));
  if (!c.text.empty()) fmt::print("  {}\n", c.text);
  if (bare) fmt::print("  {}: {}\n", bare->all_round ? "bare, and round as holes, fiducials and test points are" : "missing", bare->text);
  for (const auto& m : c.mismatches) {
    if (!bare || m.kind != solder::Mismatch::Kind::missing) fmt::print("  {}: {}\n", word(m.kind), m.text);
  }
}

int run_stencil(const Screen& screen, const StencilOptions& o) {
  const auto foil = one_amount("--foil", o.foil, input::Dimension::length, {0.01, 1});
  if (!foil) return refused(screen, foil.error());
  const auto cards = catalogue::Catalogue::read(pipeline::card_folders(".", o.cards));
  if (!cards) return refused(screen, cards.error());
  const auto paste = paste_card(*cards, o.paste);
  if (!paste) return refused(screen, paste.error());
  const auto layer = layer_of(o.file);
  if (!layer) return refused(screen, layer.error());
  const solder::StencilJob work = pipeline::stencil_job(**paste, Millimetres(*foil), o.boards);
  const auto check = solder::check_stencil(*layer, work);
  if (!check) return refused(screen, check.error());
  Diagnostics warnings;  // an old word that changes nothing is no news
  const auto warn = [&](const Diagnostics& more) { std::copy_if(more.begin(), more.end(), std::back_inserter(warnings), [](const Diagnostic& d) { return d.code != "gerber-old-word"; }); };
  warn(layer->warnings);
  warn(solder::not_paste(*layer));
  std::optional<solder::Comparison> pads, before;
  std::optional<solder::BarePads> bare;
  std::vector<solder::Pad> wanted;
  if (!o.pads.empty()) {
    const auto other = pads_layer_of(o.pads);
    if (!other) return refused(screen, other.error());
    warn(other->warnings);
    warn(solder::not_of_side(*other, solder::side_said(*layer)));
    wanted = solder::pads_of(*other);
    pads = solder::compare_with_pads(*layer, wanted);
    bare = solder::bare_pads(*pads, wanted);
  }
  const auto webs = solder::thin_webs(*layer, work.foil);
  const auto whole = solder::whole_pads(*layer, wanted);
  if (!o.before.empty()) {
    const auto other = layer_of(o.before);
    if (!other) return refused(screen, other.error());
    warn(other->warnings);
    before = solder::compare_revisions(*layer, *other);
  }
  if (!o.picture.empty()) {
    const auto written = input::write_text(o.picture, solder::stencil_picture(*layer, *check, work, o.file));
    if (!written) return refused(screen, written.error());
    screen.say(fmt::format("written: {}", o.picture));
  }
  if (screen.json) {
    Json j{{"file", o.file}, {"foil_mm", work.foil.value}, {"powder", work.powder_type}, {"doubtful", check->doubtful}, {"volume_mm3", check->volume.value}, {"printed_mm3", check->printed.value}, {"openings", Json::array()}, {"notes", check->notes}, {"warnings", texts_of(warnings)}};
    if (check->doubtful > 0) j["mend"] = solder::what_serves(*check);
    if (check->paste_per_board) j["paste_per_board_g"] = check->paste_per_board->value;
    if (check->paste_lot) j["paste_lot_g"] = check->paste_lot->value;
    if (check->foil_that_serves) j["foil_that_serves_mm"] = check->foil_that_serves->value;
    for (const auto& c : check->openings) {
      const solder::Opening& opening = layer->openings[c.opening];
      j["openings"].push_back({{"at_mm", {opening.centre.x, opening.centre.y}}, {"line", opening.line}, {"shape", std::string(word(opening.shape))}, {"area_mm2", opening.area.value}, {"perimeter_mm", opening.perimeter.value}, {"area_ratio", c.area_ratio}, {"aspect_ratio", c.aspect_ratio}, {"balls", c.balls}, {"doubtful", c.doubtful()}, {"text", c.text}});
    }
    j["thin_webs"] = webs.size();
    j["whole_pads"] = Json::array();
    for (const auto& w : whole) j["whole_pads"].push_back({{"at_mm", {layer->openings[w.opening].centre.x, layer->openings[w.opening].centre.y}}, {"coverage", w.coverage ? Json(*w.coverage) : Json(nullptr)}, {"text", w.text}});
    if (pads) j["against_pads"] = comparison_json(*pads);
    if (before) j["against_before"] = comparison_json(*before);
    print_json(j);
  } else {
    tell(screen, warnings);
    fmt::print("{}: {}, foil {} mm, powder type {}\n", o.file, counted(static_cast<long>(layer->openings.size()), "opening", "openings"), number(work.foil.value), work.powder_type);
    for (const std::string& line : solder::doubts_in_words(*layer, *check)) fmt::print("  {}\n", line);
    if (check->doubtful == 0) fmt::print("  no opening is doubtful\n");
    if (check->doubtful > 0) fmt::print("  {}\n", solder::what_serves(*check));
    if (!webs.empty()) fmt::print("  {}; narrow these openings, or take a thinner foil\n", solder::in_words(webs, *layer, work.foil));
    for (const auto& w : whole) fmt::print("  {}; {}\n", w.text, solder::kWindowPane);
    if (check->paste_per_board) fmt::print("  paste: {} mg a board, {} g for {} with the bead\n", number(check->paste_per_board->value * 1000, 1), number(check->paste_lot ? check->paste_lot->value : 0, 2), counted(o.boards, "board", "boards"));
    for (const std::string& note : check->notes) fmt::print("  {}\n", note);
    if (pads) print_comparison(*pads, "the board's pads", bare);
    if (before) print_comparison(*before, "the revision before", {});
  }
  const auto grave = [&](const solder::Mismatch& m) { return m.kind != solder::Mismatch::Kind::missing || !bare->all_round; };
  const bool wrong = pads && (pads->mirrored || std::any_of(pads->mismatches.begin(), pads->mismatches.end(), grave));
  const bool swims = std::any_of(whole.begin(), whole.end(), [](const solder::WholePad& w) { return w.coverage.has_value(); });
  return check->doubtful > 0 || wrong || swims || !webs.empty() ? kAnswerIsNo : kDone;
}

}  // namespace

void add_profile(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "profile", "Verdict on an oven log, board channels only", "handlot profile run3.csv --paste sac305-paste --channel \"T1=board:centre:tape\"\n  handlot profile run3.csv --paste sac305-paste --job job.xml --plot run3.svg");
  auto file = std::make_shared<std::string>();
  auto plot = std::make_shared<std::string>();
  auto o = std::make_shared<LogOptions>();
  v->add_option("log", *file, "The log")->required()->type_name("LOG");
  o->add_to(*v);
  v->add_option("--plot", *plot, "Draw the curve with its window")->type_name("FILE.svg");
  v->callback([&screen, &run, file, plot, o] { run = [&screen, file, plot, o] { return run_profile(screen, *file, *o, *plot); }; });
}

void add_oven(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "oven", "Board and oven fitted to logs, and set points to try next", "handlot oven run1.csv run2.csv --paste sac305-paste");
  auto files = std::make_shared<std::vector<std::string>>();
  auto o = std::make_shared<LogOptions>();
  auto oven = std::make_shared<OvenOptions>();
  v->add_option("logs", *files, "Logs of the same oven and board")->required()->type_name("LOG...");
  o->add_to(*v);
  v->add_option("--highest", oven->highest, "Highest set temperature, degC")->check(CLI::Range(50.0, 400.0))->capture_default_str();
  v->add_option("--points", oven->steps, "Set points that the controller takes")->check(CLI::Range(1, 40))->capture_default_str();
  v->callback([&screen, &run, files, o, oven] { run = [&screen, files, o, oven] { return run_oven(screen, *files, *o, *oven); }; });
}

void add_stencil(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "stencil", "Aperture ratios, paste amounts, stencil against board", "handlot stencil paste.gbr --foil 0.12mm --paste sac305-paste\n  handlot stencil paste.gbr --foil 0.12mm --paste sac305-paste --pads copper.gbr --picture stencil.svg");
  auto o = std::make_shared<StencilOptions>();
  v->add_option("gerber", o->file, "The paste layer")->required()->type_name("GERBER");
  v->add_option("--foil", o->foil, "Thickness of the foil")->required()->type_name("AMOUNT");
  v->add_option("--paste", o->paste, "Card of the paste")->required()->type_name("ID");
  v->add_option("--boards", o->boards, "Boards of the lot")->check(CLI::Range(1, 1000));
  v->add_option("--pads", o->pads, "Layer with the board's pads")->type_name("GERBER");
  v->add_option("--before", o->before, "The paste layer of the revision before")->type_name("GERBER");
  v->add_option("--picture", o->picture, "Draw it with doubtful openings marked")->type_name("FILE.svg");
  v->add_option("--cards", o->cards, "A folder of your own cards")->type_name("DIR");
  v->callback([&screen, &run, o] { run = [&screen, o] { return run_stencil(screen, *o); }; });
}

}  // namespace handlot::cli
