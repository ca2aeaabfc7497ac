// Rags with drying oil are put away safely before anything else: they catch fire by themselves.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rags.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "oily-rags";

/// A heap smoked after 4.5 h (RAGFIRE); spread out flat until then, as the caution says.
constexpr Duration kAtOnce = hours(1), kWholeLot = hours(4);

/// A varnish is brushed on, and no action wipes it: the only rag is the one that wipes the brush.
bool only_brushed(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 5> kWiping{"wip", "rag", "cloth", "rub", "pad"};
  const bool film = film_process(step.process.text);
  const bool brush = std::any_of(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return lower(facts.card(t.card).name).find("brush") != std::string::npos; });
  const bool cloth = std::any_of(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return lower(facts.card(t.card).name).find("cloth") != std::string::npos; });
  return film && brush && !cloth && std::none_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    return says_one_of(kWiping, line) && line.find("dust") == std::string::npos;
  });
}

/// Said once, of the first coat that is brushed on.
void cloth_of_brush(const Facts& facts, const job::Step& step, const catalogue::Card& oil, const Source& source, Yield& yield) {
  const bool said = std::any_of(facts.job.steps.data(), &step, [&](const job::Step& s) { return oil_on_rags(facts, s) != nullptr && only_brushed(facts, s); });
  if (said) return;
  yield.findings.push_back(finding(kRule, plan::Severity::note, step, fmt::format("the cloth that wiped the brush of {} holds {}: it catches fire by itself within hours", say(step), oil.name),
                                   "put it under water or spread it out flat outside, or add a step with process=\"dispose-rags\"", source));
}

/// The next coat of the same thing, if it can't follow within the hour: its rags are others. Null: none.
const job::Step* next_coat(const Facts& facts, const job::Step& step) {
  const catalogue::Card* under = oil_on_rags(facts, step);
  const auto wait = under == nullptr ? std::nullopt : under->get<Duration>("recoat");
  const std::set<PartId> here = worked_on(facts, step);
  for (const job::Step* s = &step + 1; s != facts.job.steps.data() + facts.job.steps.size(); ++s) {
    const catalogue::Card* oil = s->process.text == "wipe-off" ? nullptr : oil_on_rags(facts, *s);
    if (oil == nullptr || facts.process(*s).word_or("class") != "finish") continue;
    const auto recoat = wait ? wait : oil->get<Duration>("recoat");
    const std::set<PartId> there = worked_on(facts, *s);
    if (recoat && recoat->low > kAtOnce && std::any_of(there.begin(), there.end(), [&](const PartId& p) { return here.contains(p); })) return s;
  }
  return nullptr;
}

/// One putting away, listed after the next coat, can't serve this one too.
const job::Step* left_over(const Facts& facts, const job::Step& step) {
  const auto puts_away = [](const job::Step& s) { return s.process.text == "dispose-rags"; };
  const job::Step* next = next_coat(facts, step);
  if (next == nullptr || std::count_if(facts.job.steps.begin(), facts.job.steps.end(), puts_away) != 1) return nullptr;
  const auto away = std::find_if(facts.job.steps.begin(), facts.job.steps.end(), puts_away);
  return &*away > next ? next : nullptr;
}

/// The coat listed before a putting away that is the last of the job, when this step is listed after it and can't follow the coat
/// within the hour: the rags of this one are left. Null: none.
const job::Step* served_before(const Facts& facts, const job::Step& step) {
  const job::Step* away = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text == "dispose-rags") away = &s;
  }
  if (away == nullptr || &step < away) return nullptr;
  for (const job::Step* s = facts.job.steps.data(); s != away; ++s) {
    const job::Step* next = oil_on_rags(facts, *s) == nullptr ? nullptr : next_coat(facts, *s);
    if (next != nullptr && next > away && next <= &step) return s;
  }
  return nullptr;
}

/// By brand only: it is the tin that says whether there is a drying oil or turpentine in it.
bool by_brand(const catalogue::Card& fluid) { return fluid.word_or("self-heating-rags") == "maybe"; }

plan::Finding rags_left(const job::Step& step, const catalogue::Card& fluid, const std::string& where, const std::string& mend, const Source& source) {
  const bool asked = by_brand(fluid);
  return finding(kRule, asked ? plan::Severity::undecided : plan::Severity::stop, step,
                 fmt::format("{}: {} catch fire by themselves within hours", where, asked ? "with a drying oil or turpentine in it they" : "they"),
                 asked ? fmt::format("read the tin of {}: if it names one of these, {}; if not, use a card for it that says self-heating-rags=\"no\"", fluid.name, mend) : mend, source);
}

}  // namespace

bool drips_scent(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 7> kRag{" rag", "cloth", "wipe", " rub", "swab", "tissue", "towel"};
  constexpr std::array<std::string_view, 4> kDrops{"drop", "drip", "pipette", "syringe"};
  const std::vector<const catalogue::Card*> fluids = fluids_of(facts, step);
  const bool scent = !fluids.empty() && std::all_of(fluids.begin(), fluids.end(), [](const catalogue::Card* c) { return c->word_or("family") == "essential-oil"; });
  const std::string words = " " + step_words(step);
  const bool soaks_in = natural_fibre(facts, step.on) && !wooden(facts, step.on);
  return scent && !says_one_of(kRag, words) && (soaks_in || says_one_of(kDrops, words));
}

void oily_rags(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* oil = oil_on_rags(facts, step);
  if (oil == nullptr) return;
  const Source source{"RAGFIRE", "timed test: smoke after 4.5 h, flame after 6 h", Standing::read};
  const bool brushed = only_brushed(facts, step);
  if (brushed && (left_over(facts, step) != nullptr || served_before(facts, step) != nullptr)) {
    cloth_of_brush(facts, step, *oil, source, yield);
    return;
  }
  if (const job::Step* next = left_over(facts, step)) {
    if (step.process.text == "wipe-off") return;  // said of the coat
    yield.findings.push_back(rags_left(step, *oil, fmt::format("the rags of {} lie about until after {}", say(step), say(*next)),
                                     fmt::format("add a step with process=\"dispose-rags\" between {} and {}", say(step), say(*next)), source));
    return;
  }
  if (const job::Step* coat = served_before(facts, step)) {
    if (step.process.text == "wipe-off") return;  // said of the coat
    yield.findings.push_back(rags_left(step, *oil, fmt::format("{} leaves rags with {}, and the only step that puts rags away after {} comes long before it", say(step), oil->name, say(*coat)),
                                     fmt::format("add a step with process=\"dispose-rags\" after {}", say(step)), source));
    return;
  }
  std::vector<std::vector<plan::Constraint>> options;
  for (const job::Step& away : facts.job.steps) {
    if (away.process.text != "dispose-rags") continue;
    plan::Constraint link = before(step, away, reason(plan::ReasonKind::safety, kRule, fmt::format("rags with {} {} by themselves and are put away after {}", oil->name, by_brand(*oil) ? "may heat up" : "heat up", say(step)), source, away.place));
    // A step for the whole lot comes after the last unit; until then the rags lie spread out, as the caution says.
    link.max = away.whole_lot ? kWholeLot : kAtOnce;
    link.if_late = "put the rags under water now: they may be hot";
    options.push_back({std::move(link)});
  }
  if (options.empty() && brushed) {
    cloth_of_brush(facts, step, *oil, source, yield);
    return;
  }
  if (options.empty()) {
    yield.findings.push_back(rags_left(step, *oil, fmt::format("{} leaves rags with {}, and no step puts them away", say(step), oil->name),
                                     "add a step with process=\"dispose-rags\" after it", source));
    return;
  }
  // The rags of the second coat are meant for the second putting away: the next one listed is preferred.
  std::stable_partition(options.begin(), options.end(), [&](const auto& o) { return facts.job.step(o.front().to.step) > &step; });
  at_least_one(yield, kRule, std::move(options), fmt::format("when the rags of {} are put away", say(step)), step.place);
}

}  // namespace handlot::rules
