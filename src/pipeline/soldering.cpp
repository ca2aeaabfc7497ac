#include "pipeline/soldering.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <sstream>

#include "core/text.h"
#include "input/file.h"
#include "reflow/plot.h"
#include "rules/heat.h"

namespace handlot::pipeline {

namespace fs = std::filesystem;
using catalogue::Card;

namespace {

/// The card's range, ends in canonical units.
std::optional<reflow::Range> range_of(const Card& card, std::string_view name) {
  const catalogue::Figure* f = card.find(name);
  if (f == nullptr) return std::nullopt;
  reflow::Range range;
  range.source = f->source;
  if (f->low != f->high) range.low = f->low;
  range.high = f->high;
  return range;
}

/// Cooling is written as positive rates in some cards and negative in others; the window wants negative ones.
std::optional<reflow::Range> fall_of(const Card& card) {
  auto range = range_of(card, "cooling");
  if (!range) return range;
  const double a = range->low.value_or(0), b = *range->high;
  range->low = -std::max(std::abs(a), std::abs(b));
  range->high = -std::min(std::abs(a), std::abs(b));
  return range;
}

std::string lines_of(const std::string& text, std::vector<std::string>& into) {
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    if (!line.empty()) into.push_back(line);
  }
  return text;
}

const Card* paste_of(const job::Job& job, const catalogue::Catalogue& cards) {
  for (const job::Step& step : job.steps) {
    for (const job::MaterialUse& use : step.materials) {
      const Card* card = cards.find(use.card);
      if (card != nullptr && card->kind == catalogue::CardKind::paste) return card;
    }
  }
  return nullptr;
}

/// The first step of the process, on that side of the board where one says so.
StepId step_with(const job::Job& job, std::string_view process, std::string_view side) {
  StepId first;
  for (const job::Step& step : job.steps) {
    if (step.process.text != process) continue;
    if (step.side == side) return step.id;
    if (first.empty()) first = step.id;
  }
  return first;
}

/// "oven", "oven-bottom".
std::string page_id(std::string_view what, const job::ExtraFile& file) { return fmt::format("{}{}{}", what, file.side.empty() ? "" : "-", file.side); }
std::string of_side(const job::ExtraFile& file) { return file.side.empty() ? std::string() : fmt::format(", {} side", file.side); }

/// What the pages of one job add, and where it goes.
struct Pages {
  const rules::Facts& facts;
  const Card& paste;
  plan::Plan& plan;
  std::vector<plan::Finding>& findings;

  void say(std::string_view rule, plan::Severity severity, const StepId& step, std::string message, std::string mend, const Place& place, Source source = {}) const {
    plan::Finding f;
    f.rule = RuleId(std::string(rule));
    f.severity = severity;
    if (!step.empty()) f.steps = {step};
    f.message = std::move(message);
    f.mend = std::move(mend);
    f.source = source.key.empty() && source.at.empty() ? Source{"", place.file, Standing::measured} : std::move(source);
    f.place = place;
    findings.push_back(std::move(f));
  }

  /// What a reader made the best of. An old word that changes nothing is no news.
  void pass_on(std::string_view rule, plan::Severity severity, const StepId& step, const Diagnostics& warnings) const {
    for (const Diagnostic& d : warnings) {
      if (d.code != "gerber-old-word") say(rule, severity, step, d.text, d.mend, d.place);
    }
  }
};

/// The line of the log at which the figure that decides is settled.
Place deciding_place(const reflow::Verdict& verdict, const reflow::Log& log, const std::string& file) {
  if (!verdict.deciding) return {file, 0, 0};
  const reflow::Judged& j = verdict.figures[*verdict.deciding];
  const auto when = reflow::settled_at(reflow::trace_of(log, log.channels[j.channel]), j.criterion);
  if (!when) return {file, 0, 0};
  const auto row = static_cast<std::size_t>(std::lower_bound(log.seconds.begin(), log.seconds.end(), when->value - 1e-9) - log.seconds.begin());
  return {file, row < log.lines.size() ? log.lines[row] : 0, 0};
}

/// What no figure asks for by itself stands first among what is missing; else it is the deciding figure that wants a better log.
std::string mend_of_undecided(const reflow::Verdict& verdict, const reflow::Log& log) {
  const auto of_figure = [&](const std::string& m) { return std::any_of(verdict.figures.begin(), verdict.figures.end(), [&](const reflow::Judged& j) { return j.why == m; }); };
  const auto own = std::find_if_not(verdict.missing.begin(), verdict.missing.end(), of_figure);
  if (own != verdict.missing.end()) return *own;
  if (!verdict.deciding) return "log a board channel";
  const reflow::Judged& j = verdict.figures[*verdict.deciding];
  if (j.figure && j.figure->on_limit) return "move the set points so that it lies well inside ('handlot oven'), and log that run";
  const auto open = std::find_if(verdict.faults.begin(), verdict.faults.end(), [&](const reflow::Fault& f) { return f.kind == reflow::FaultKind::open_junction && f.channel == j.channel; });
  if (open != verdict.faults.end()) return fmt::format("see to the thermocouple of '{}', and log the run again", log.channels[j.channel].name);
  return "log a run that shows it, from cold to cold and a reading every second or two";
}

std::string mend_of_doubtful(const reflow::Verdict& verdict) {
  const reflow::Judged& j = verdict.figures[*verdict.deciding];
  const bool short_soak = j.criterion.kind == reflow::FigureKind::soak && (!j.figure || (j.criterion.low && j.figure->high < *j.criterion.low));
  if (short_soak) return "if the paste's own sheet takes a straight ramp to the peak, use a card of it with straight-ramp=\"yes\"; else run the oven again with other set points ('handlot oven')";
  if (j.criterion.kind == reflow::FigureKind::fall && j.criterion.until) return "open the door when the heat goes off, and log that run; or waive this with a reason";
  return "run the oven again with other set points ('handlot oven'), or waive this with a reason";
}

Diagnostics oven_page(const Pages& pages, const job::ExtraFile& profile) {
  const std::string& file = profile.path;
  const job::Job& job = pages.facts.job;
  const auto window = window_of(pages.paste);
  if (!window) return window.error();
  const auto log = read_log_file(file, {});
  if (!log) return log.error();
  const auto parts = limits_of(job, pages.facts.cards, window->liquidus.value > 200);
  const reflow::Verdict verdict = reflow::judge(*log, reflow::criteria(*window, parts), parts, judge_options(job, window->liquidus));
  const StepId step = step_with(job, "reflow", profile.side);
  pages.pass_on("oven-log", plan::Severity::note, step, log->warnings);
  plan::Page page;
  page.id = page_id("oven", profile);
  page.title = fmt::format("Oven: the last run{}, {}", of_side(profile), word(verdict.answer));
  reflow::PlotOptions options;
  options.title = fmt::format("{} against {}", fs::path(file).filename().string(), window->name);
  page.picture_svg = reflow::plot(*log, verdict, *window, options);
  page.step = step;
  lines_of(reflow::in_words(verdict, *log), page.lines);
  page.because = reflow::because(verdict, *log);
  pages.plan.pages.push_back(std::move(page));
  const auto fault = std::find_if(verdict.faults.rbegin(), verdict.faults.rend(), [&](const reflow::Fault& f) {
    return f.kind == reflow::FaultKind::two_passes || ((f.kind == reflow::FaultKind::cold_start || f.kind == reflow::FaultKind::range_ends) && verdict.answer == reflow::Answer::undecided && (verdict.measured == reflow::Answer::pass || verdict.measured == reflow::Answer::doubtful));
  });
  const std::string what = fault != verdict.faults.rend() ? fault->text
                           : !reflow::says_melting(*window) && verdict.answer == reflow::Answer::undecided ? fmt::format("the card of {} gives neither peak nor time above liquidus", pages.paste.name)
                           : verdict.deciding ? verdict.figures[*verdict.deciding].why : std::string("see the oven page");
  const Source source = verdict.deciding ? verdict.figures[*verdict.deciding].criterion.source : Source{};
  const Place place = deciding_place(verdict, *log, file);
  if (verdict.answer == reflow::Answer::fail) pages.say("oven-verdict", plan::Severity::stop, step, fmt::format("the oven log fails the window of {}: {}", pages.paste.name, what), "run the oven again with other set points ('handlot oven'), or waive this with a reason", place, source);
  if (verdict.answer == reflow::Answer::undecided) pages.say("oven-verdict", plan::Severity::undecided, step, fmt::format("the oven log does not decide: {}", what), mend_of_undecided(verdict, *log), place, source);
  if (verdict.answer == reflow::Answer::doubtful) pages.say("oven-verdict", plan::Severity::warn, step, fmt::format("the oven log lies outside the window of {}, though in nothing that spoils a board for certain: {}", pages.paste.name, what), mend_of_doubtful(verdict), place, source);
  if (verdict.answer == reflow::Answer::indicative) pages.say("oven-verdict", plan::Severity::note, step, "the oven log has too few board channels to be sure: it is indicative", "log two board channels, the hottest and the coldest place", place);
  return {};
}

std::vector<std::string> because_stencil(const solder::Layer& layer, const solder::StencilCheck& check, const solder::StencilJob& work, const std::string& file) {
  constexpr std::size_t kMost = 20;
  const solder::StencilRules rules = solder::stencil_rules();
  std::vector<std::string> lines{fmt::format("foil {} mm, powder type {}: an opening wants an area ratio of {} and an aspect ratio of {}; source: {}", number(work.foil.value), work.powder_type, number(rules.area_ratio), number(rules.aspect_ratio), describe(rules.source))};
  const auto alike = solder::doubts_alike(layer, check);
  const auto words = solder::doubts_in_words(layer, check);
  for (std::size_t i = 0; i < std::min(words.size(), kMost); ++i) lines.push_back(fmt::format("{} line {}: {}", file, layer.openings[alike[i].front()->opening].line, words[i]));
  if (words.size() > kMost) lines.push_back(fmt::format("and {} more kinds", words.size() - kMost));
  if (words.empty()) lines.emplace_back("no opening is doubtful");
  return lines;
}

/// The pads of the stencil's side; where the job has one of each, they belong together whatever they say.
const job::ExtraFile* pads_of_side(const job::Job& job, const job::ExtraFile& stencil) {
  const job::ExtraFile* only = nullptr;
  int pads = 0, stencils = 0;
  for (const job::ExtraFile& f : job.files) {
    stencils += f.what == "stencil" ? 1 : 0;
    if (f.what != "board-pads") continue;
    if (f.side == stencil.side) return &f;
    ++pads;
    only = &f;
  }
  return pads == 1 && stencils == 1 && (only->side.empty() || stencil.side.empty()) ? only : nullptr;
}

/// The side that the pads are to be of: as the job says, else as the stencil says of itself.
std::string_view side_wanted(const job::ExtraFile& pads, const job::ExtraFile& stencil, const solder::Layer& layer) {
  return !pads.side.empty() ? std::string_view(pads.side) : !stencil.side.empty() ? std::string_view(stencil.side) : solder::side_said(layer);
}

/// A flood of differences of one kind is told of by its first.
void say_mismatches(const Pages& pages, const solder::Comparison& c, const StepId& step, const Place& place) {
  constexpr std::size_t kSingly = 3;
  std::map<solder::Mismatch::Kind, std::vector<const solder::Mismatch*>> kinds;
  for (const auto& m : c.mismatches) {
    if (m.kind != solder::Mismatch::Kind::missing) kinds[m.kind].push_back(&m);
  }
  for (const auto& [kind, alike] : kinds) {
    const auto severity = kind == solder::Mismatch::Kind::extra ? plan::Severity::warn : plan::Severity::note;
    const std::size_t told = alike.size() > kSingly ? 1 : alike.size();
    for (std::size_t i = 0; i < told; ++i) {
      const std::string more = told < alike.size() ? fmt::format("; and {} more like it", alike.size() - told) : "";
      pages.say("stencil-against-board", severity, step, alike[i]->text + more, "compare the revisions of board and stencil", place);
    }
  }
}

void say_whole_pads(const Pages& pages, const solder::Layer& layer, const std::vector<solder::Pad>& pads, const StepId& step) {
  for (const solder::WholePad& w : solder::whole_pads(layer, pads)) {
    const std::string mend = std::string(solder::kWindowPane) + (w.coverage ? "" : "; the pads of the board (<file what=\"board-pads\">) would tell");
    pages.say("stencil-openings", w.coverage ? plan::Severity::warn : plan::Severity::undecided, step, w.text, mend, {layer.file, layer.openings[w.opening].line, 0}, {"", "common practice, from memory", Standing::practice});
  }
}

Diagnostics against_pads(const Pages& pages, const job::ExtraFile& stencil, const solder::Layer& layer, const StepId& step, plan::Page& page) {
  const job::ExtraFile* file = pads_of_side(pages.facts.job, stencil);
  if (file == nullptr) {
    say_whole_pads(pages, layer, {}, step);
    return {};
  }
  const std::string& pads_file = file->path;
  const auto text = input::read_text(pads_file, 64u << 20);
  if (!text) return text.error();
  const auto pads = solder::read_pads(*text, pads_file);
  if (!pads) return pads.error();
  pages.pass_on("stencil-file", plan::Severity::warn, step, pads->warnings);
  const Diagnostics other_side = solder::not_of_side(*pads, side_wanted(*file, stencil, layer));
  pages.pass_on("stencil-file", plan::Severity::warn, step, other_side);
  // Against the pads of the other side nothing fits, and nothing of it is news.
  if (!other_side.empty() || !solder::not_of_side(layer, stencil.side).empty()) return {};
  const auto wanted = solder::pads_of(*pads);
  say_whole_pads(pages, layer, wanted, step);
  const solder::Comparison c = solder::compare_with_pads(layer, wanted);
  const Place place{pads_file, 0, 0};
  page.because.push_back(c.text.empty() && c.mismatches.empty() ? fmt::format("all {} openings lie on pads of {}", c.matched, pads_file) : fmt::format("against {}: {}", pads_file, c.text.empty() ? fmt::format("{} differ", c.mismatches.size()) : c.text));
  if (!c.text.empty()) pages.say("stencil-against-board", c.mirrored || c.matched == 0 ? plan::Severity::stop : plan::Severity::warn, step, c.text, "compare the revisions of board and stencil", place);
  if (const auto bare = solder::bare_pads(c, wanted)) {
    pages.say("stencil-against-board", bare->all_round ? plan::Severity::note : plan::Severity::warn, step, bare->text, "compare the revisions of board and stencil; holes, vias, fiducials and test points want no paste (a file with X2 attributes says which pads these are)", place);
  }
  for (const auto& m : c.mismatches) page.because.push_back(m.text);
  say_mismatches(pages, c, step, place);
  return {};
}

constexpr Millimetres kUsualFoil(0.12);  // [practice]

Diagnostics stencil_page(const Pages& pages, const job::ExtraFile& stencil) {
  const std::string& file = stencil.path;
  const Millimetres foil = stencil.foil.value_or(kUsualFoil);
  const auto text = input::read_text(file, 64u << 20);
  if (!text) return text.error();
  const auto layer = solder::read_gerber(*text, file);
  if (!layer) return layer.error();
  const auto work = stencil_job(pages.paste, foil, pages.facts.job.units);
  const auto check = solder::check_stencil(*layer, work);
  if (!check) return check.error();
  const StepId step = step_with(pages.facts.job, "print-paste", stencil.side);
  pages.pass_on("stencil-file", plan::Severity::warn, step, layer->warnings);
  pages.pass_on("stencil-file", plan::Severity::warn, step, solder::not_paste(*layer));
  pages.pass_on("stencil-file", plan::Severity::warn, step, solder::not_of_side(*layer, stencil.side));
  if (!stencil.foil) pages.say("stencil-file", plan::Severity::note, step, fmt::format("nothing says how thick the foil of the stencil is: {} mm is taken", number(foil.value)), "write foil=\"0.12 mm\" into the <file>", stencil.place, {"", "a usual foil", Standing::practice});
  plan::Page page;
  page.id = page_id("stencil", stencil);
  page.title = fmt::format("Stencil{}", of_side(stencil));
  page.picture_svg = solder::stencil_picture(*layer, *check, work, fs::path(file).filename().string());
  page.step = step;
  page.lines.push_back(fmt::format("{}, foil {} mm, {}", counted(static_cast<long>(layer->openings.size()), "opening", "openings"), number(foil.value), check->doubtful == 0 ? "none doubtful" : fmt::format("{} doubtful", check->doubtful)));
  if (check->paste_per_board) page.lines.push_back(fmt::format("paste a board {} mg, for the lot with the bead {} g", number(check->paste_per_board->value * 1000, 1), number(check->paste_lot ? check->paste_lot->value : 0, 2)));
  for (const std::string& note : check->notes) page.lines.push_back(note);
  page.because = because_stencil(*layer, *check, work, file);
  if (check->doubtful > 0) {
    const auto worst = std::find_if(check->openings.begin(), check->openings.end(), [](const auto& c) { return c.doubtful(); });
    pages.say("stencil-openings", plan::Severity::warn, step, fmt::format("{} of {} stencil openings may not release their paste at {} mm foil", check->doubtful, layer->openings.size(), number(foil.value)),
        solder::what_serves(*check), {file, layer->openings[worst->opening].line, 0}, solder::stencil_rules().source);
  }
  if (const auto webs = solder::thin_webs(*layer, foil); !webs.empty()) {
    pages.say("stencil-openings", plan::Severity::warn, step, solder::in_words(webs, *layer, foil), "narrow these openings, or take a thinner foil", {file, layer->openings[webs.front().a].line, 0}, {"", "common practice, from memory", Standing::practice});
  }
  Diagnostics faults = against_pads(pages, stencil, *layer, step, page);
  pages.plan.pages.push_back(std::move(page));
  return faults;
}

}  // namespace

Result<reflow::PasteWindow> window_of(const Card& paste) {
  const auto liquidus = paste.get<Celsius>("liquidus");
  if (!liquidus) return fail(error("paste-no-liquidus", paste.place, fmt::format("the card '{}' names no liquidus", paste.id.text), "add the figure 'liquidus' to the card"));
  reflow::PasteWindow w;
  w.id = paste.id.text;
  w.name = paste.name;
  w.liquidus = liquidus->low;
  w.liquidus_source = liquidus->source;
  w.rise = range_of(paste, "ramp");
  w.preheat = range_of(paste, "preheat-ramp");
  if (const auto to = paste.get<Celsius>("preheat-to")) w.preheat_to = to->high;
  w.straight_ramp = paste.yes("straight-ramp");
  if (const auto from = paste.get<Celsius>("soak-from")) w.soak_from = from->low;
  if (const auto to = paste.get<Celsius>("soak-to")) w.soak_to = to->high;
  w.soak = range_of(paste, "soak");
  w.above = range_of(paste, "above-liquidus");
  w.peak = range_of(paste, "peak");
  w.fall = fall_of(paste);
  w.time_to_peak = range_of(paste, "time-to-peak");
  return w;
}

std::vector<reflow::PartLimit> limits_of(const job::Job& job, const catalogue::Catalogue& cards, bool lead_free) {
  std::vector<reflow::PartLimit> limits;
  std::vector<PartId> heated;
  for (const job::Step& step : job.steps) {
    if (step.process.text != "place") continue;
    for (const job::Installs& i : step.installs) {
      const auto inside = job.within(i.part);
      heated.insert(heated.end(), inside.begin(), inside.end());
    }
  }
  for (const PartId& id : heated) {
    const job::Part* part = job.part(id);
    const Card* card = part == nullptr ? nullptr : cards.find(part->card);
    if (card == nullptr) continue;
    reflow::PartLimit limit;
    limit.part = id.text;
    bool says = false;
    if (const auto peak = card->get<Celsius>("reflow-limit")) {
      limit.peak = peak->low;
      limit.source = peak->source;
      says = true;
    } else if (const auto h = card->get<Millimetres>("height"), l = card->get<Millimetres>("length"), w = card->get<Millimetres>("width"); h && l && w) {
      const reflow::Body body{h->high, CubicMillimetres(h->high.value * l->high.value * w->high.value)};
      limit = reflow::limit_of(id.text, reflow::classify(body, lead_free ? reflow::Process::lead_free : reflow::Process::tin_lead));
      says = true;
    }
    if (const catalogue::Figure* passes = card->find("reflow-passes")) {
      limit.passes = static_cast<int>(passes->low);
      says = true;
    }
    if (says) limits.push_back(std::move(limit));
  }
  return limits;
}

reflow::JudgeOptions judge_options(const job::Job& job, Celsius liquidus) {
  reflow::JudgeOptions options;
  options.liquidus = liquidus;
  options.room = job.bench.temperature;
  return options;
}

Result<reflow::LoggerMemory> memory_beside(const std::string& log_file) {
  const std::string path = log_file + ".channels";
  std::error_code code;
  if (!fs::exists(path, code)) return reflow::LoggerMemory{};
  const auto text = input::read_text(path);
  if (!text) return fail(text.error());
  return reflow::memory_from(*text, path);
}

Result<reflow::Log> read_log_file(const std::string& path, const reflow::LoggerMemory& extra) {
  const auto text = input::read_text(path, 512u << 20);
  if (!text) return fail(text.error());
  auto memory = memory_beside(path);
  if (!memory) return fail(memory.error());
  if (extra.time) memory->time = extra.time;
  if (extra.temperature) memory->temperature = extra.temperature;
  if (extra.period) memory->period = extra.period;
  if (extra.decimal_mark) memory->decimal_mark = extra.decimal_mark;
  for (const reflow::ChannelSays& says : extra.channels) {
    std::erase_if(memory->channels, [&](const reflow::ChannelSays& old) { return old.column == says.column; });
    memory->channels.push_back(says);
  }
  return reflow::read_log(*text, path, *memory);
}

solder::StencilJob stencil_job(const Card& paste, Millimetres foil, int boards) {
  solder::StencilJob work;
  work.foil = foil;
  work.boards = boards;
  if (const std::string powder = paste.word_or("powder"); !powder.empty()) work.powder_type = std::stoi(powder);
  const auto metal = paste.get<Percent>("metal");
  const auto alloy = paste.get<GramsPerCubicCentimetre>("alloy-density");
  if (const auto density = paste.get<GramsPerCubicCentimetre>("density")) work.paste_density = density->high;
  else if (metal && alloy) work.paste_density = solder::paste_density(metal->high.value / 100, alloy->high);
  if (const auto bead = paste.get<Millimetres>("bead")) {
    work.bead_diameter = Millimetres((bead->low.value + bead->high.value) / 2);
    work.bead_source = bead->source;
  }
  return work;
}

namespace {

/// The highest that a board channel of the job's log of that side shows, if the log passes or spoils nothing; a whole degree, rounded up.
std::optional<double> logged_peak(const rules::Facts& facts, std::string_view side) {
  const job::ExtraFile* file = facts.job.file_of("profile");
  const Card* paste = paste_of(facts.job, facts.cards);
  if (file == nullptr || paste == nullptr || (!file->side.empty() && file->side != side)) return std::nullopt;
  const auto window = window_of(*paste);
  const auto log = read_log_file(file->path, {});
  if (!window || !log) return std::nullopt;
  const auto parts = limits_of(facts.job, facts.cards, window->liquidus.value > 200);
  const reflow::Verdict verdict = reflow::judge(*log, reflow::criteria(*window, parts), parts, judge_options(facts.job, window->liquidus));
  if (verdict.answer != reflow::Answer::pass && verdict.answer != reflow::Answer::doubtful) return std::nullopt;
  double highest = 0;
  for (const reflow::Judged& j : verdict.figures) {
    if (j.criterion.kind == reflow::FigureKind::peak && j.figure) highest = std::max(highest, j.figure->high);
  }
  return highest > 0 ? std::optional(std::ceil(highest)) : std::nullopt;
}

}  // namespace

std::string stated_peak(const rules::Facts& facts, std::span<const plan::Constraint> chain) {
  for (const plan::Constraint& link : chain) {
    const job::Step* step = facts.job.step(link.from.step);
    if (link.reason.rule.text != "heat-limit" || step == nullptr || step->process.text != "reflow") continue;
    const auto heat = rules::heat_of(facts, *step);
    if (heat && heat->source.standing == Standing::stated) continue;
    const auto peak = logged_peak(facts, step->side);
    if (!peak) return fmt::format("if the oven stays below that, write what its log shows as reaches=\"...\" into '{}': nothing says it, and the top of the paste's window is taken", step->id.text);
    return fmt::format("write reaches=\"{} degC\" into '{}' if the lot runs as its log does: nothing says it, and the top of the paste's window is taken", number(*peak, 0), step->id.text);
  }
  return {};
}

Diagnostics add_solder_pages(const rules::Facts& facts, plan::Plan& plan, std::vector<plan::Finding>& findings) {
  Diagnostics faults;
  const auto add = [&](Diagnostics more) { faults.insert(faults.end(), more.begin(), more.end()); };
  const job::Job& job = facts.job;
  const Card* paste = paste_of(job, facts.cards);
  if (paste == nullptr) return faults;
  const Pages pages{facts, *paste, plan, findings};
  for (const job::ExtraFile& file : job.files) {
    if (file.what == "profile") add(oven_page(pages, file));
    if (file.what == "stencil") add(stencil_page(pages, file));
  }
  return faults;
}

}  // namespace handlot::pipeline
