#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>

#include "core/text.h"
#include "joints/pot_life.h"
#include "pipeline/clocks.h"
#include "pipeline/parts_of_plan.h"
#include "rules/matter.h"

namespace handlot::pipeline {

namespace {

std::string event_text(const plan::Event& e) { return fmt::format("{}.{}", e.step.text, e.edge == plan::Edge::start ? "start" : "end"); }

/// When the event comes for a unit; none where the plan has no schedule.
std::optional<Instant> moment_of(const plan::Schedule& schedule, const plan::Event& event, int unit) {
  for (const plan::Operation& op : schedule.operations) {
    if (op.step == event.step && op.first_unit <= unit && unit <= op.last_unit) return event.edge == plan::Edge::start ? op.start : op.end;
  }
  return std::nullopt;
}

/// Steps that the schedule puts hands on while the wait of some unit runs: what is really done meanwhile, and may be. What comes after
/// the step that waits is then done to other units, that are further: whoever stands at the wait cannot do it. Where nothing else is,
/// the step that began the wait, on other units.
std::vector<StepId> meanwhile(const plan::Plan& plan, const graph::Closure& closure, const plan::Wait& wait) {
  constexpr std::size_t kMost = 4;
  std::set<StepId> begun, own;
  for (int unit = 1; unit <= plan.work.units; ++unit) {
    const auto from = moment_of(plan.schedule, wait.from, unit), to = moment_of(plan.schedule, wait.to, unit);
    if (!from || !to) continue;
    for (const plan::Operation& op : plan.schedule.operations) {
      if (op.hands_on.seconds <= 0 || op.start < *from || op.hands_end > *to) continue;
      const bool of_unit = op.first_unit <= unit && unit <= op.last_unit;
      if (op.step == wait.from.step && !of_unit) own.insert(op.step);
      if (op.step != wait.from.step && op.step != wait.to.step && !closure.before(wait.to.step, op.step)) begun.insert(op.step);
    }
  }
  const std::set<StepId>& done = begun.empty() ? own : begun;
  std::vector<StepId> fits;
  for (const plan::Step& step : plan.work.steps) {
    if (done.contains(step.id) && fits.size() < kMost) fits.push_back(step.id);
  }
  return fits;
}

/// The links that wait between the same two events, in their order.
using Between = std::vector<const plan::Constraint*>;

std::string heading(const plan::Constraint& link) { return link.clock.empty() ? link.reason.text : link.clock; }

/// The link that ends first; null: none has a latest end.
const plan::Constraint* tightest(const Between& links) {
  const plan::Constraint* found = nullptr;
  for (const plan::Constraint* link : links) {
    if (link->max && (found == nullptr || *link->max < *found->max)) found = link;
  }
  return found;
}

/// The link with the longest earliest end; null: none is worth saying.
const plan::Constraint* longest(const Between& links, Duration worth_saying) {
  const plan::Constraint* found = nullptr;
  for (const plan::Constraint* link : links) {
    if (link->min >= worth_saying && (found == nullptr || link->min > found->min)) found = link;
  }
  return found;
}

/// A clock of the same kind, of another part. What the job states beside a rule is the same clock in other words.
bool of_another_part(const plan::Constraint& link, const plan::Constraint& first) { return link.max && &link != &first && link.reason.rule == first.reason.rule; }

/// The first clock to end, and those that end with it: two parts of one level.
std::string headings(const Between& links, const plan::Constraint& first) {
  std::vector<std::string> names{heading(first)};
  for (const plan::Constraint* link : links) {
    if (of_another_part(*link, first) && link->max == first.max && std::find(names.begin(), names.end(), heading(*link)) == names.end()) names.push_back(heading(*link));
  }
  return fmt::format("{}", fmt::join(names, " and "));
}

/// What the first to end asks, then what each other clock asks once it has ended too: every part has a bake of its own.
std::string if_late_of(const Between& links, const plan::Constraint& first) {
  constexpr Duration kConcerned = hours(30 * 24);  // a life of a year is not what a late batch is about
  std::string text = first.if_late;
  for (const plan::Constraint* link : links) {
    if (!of_another_part(*link, first) || *link->max > kConcerned || link->if_late.empty() || (link->if_late == first.if_late && link->max == first.max)) continue;
    text += fmt::format("{}{} ends after {}: {}", text.empty() ? "" : "; ", heading(*link), in_words(*link->max), link->if_late);
  }
  return text;
}

/// The longer earliest and the shorter latest hold, each under the name of its own clock.
plan::Wait wait_between(const Between& links, Duration worth_saying) {
  const plan::Constraint *earliest = longest(links, worth_saying), *latest = tightest(links);
  const plan::Constraint& lead = earliest != nullptr ? *earliest : *latest;
  plan::Wait w;
  w.id = event_text(lead.from) + ">" + event_text(lead.to);
  w.from = lead.from;
  w.to = lead.to;
  w.scope = lead.scope;
  w.min = std::max(Duration(0), lead.min);  // of a clock that is a latest end only
  w.what = earliest != nullptr ? heading(lead) : headings(links, *latest);
  w.kind = lead.reason.kind;
  w.source = lead.reason.source;
  if (latest == nullptr) return w;
  w.max = latest->max;
  w.if_late = if_late_of(links, *latest);
  if (earliest != nullptr && heading(*latest) != heading(lead)) w.what += "; " + headings(links, *latest);
  return w;
}

}  // namespace

std::vector<plan::Wait> waits_of(const rules::Facts& facts, const plan::Plan& plan) {
  constexpr Duration kWorthSaying = minutes(1);
  const plan::Work& work = plan.work;
  std::map<StepId, int> number;
  for (const plan::Step& s : work.steps) number[s.id] = s.number;
  std::map<std::pair<std::string, plan::Scope>, Between> between;
  for (const plan::Constraint& link : work.constraints) {
    if (link.redundant || (link.min < kWorthSaying && !link.max)) continue;
    between[{event_text(link.from) + ">" + event_text(link.to), link.scope}].push_back(&link);
  }
  std::vector<StepId> steps;
  for (const plan::Step& s : work.steps) steps.push_back(s.id);
  const graph::Closure closure(steps, work.constraints);
  std::vector<plan::Wait> waits;
  for (const auto& [key, links] : between) {
    plan::Wait wait = wait_between(links, kWorthSaying);
    if (wait.scope == plan::Scope::lot && between.contains({wait.id, plan::Scope::unit})) wait.id += "/lot";
    wait.then = fmt::format("{} (step {})", facts.job.step(wait.to.step)->title, number.at(wait.to.step));
    if (wait.max && wait.if_late.empty()) wait.if_late = "look at the work before going on: the limit is passed";
    wait.meanwhile = meanwhile(plan, closure, wait);
    waits.push_back(std::move(wait));
  }
  std::stable_sort(waits.begin(), waits.end(), [&](const plan::Wait& a, const plan::Wait& b) {
    return std::pair(number.at(a.from.step), number.at(a.to.step)) < std::pair(number.at(b.from.step), number.at(b.to.step));
  });
  return waits;
}

namespace {

plan::Finding no_window(const plan::Constraint& earliest, const plan::Constraint& latest) {
  const plan::Constraint& own = earliest.reason.builders_choice || !latest.reason.builders_choice ? earliest : latest;
  plan::Finding f;
  f.rule = own.reason.rule;
  f.severity = plan::Severity::warn;
  f.steps = {earliest.from.step, earliest.to.step};
  f.message = fmt::format("'{}' comes {} after '{}' to the second: not before that, because {}; and not after it, because {}", earliest.to.step.text, in_words(earliest.min), earliest.from.step.text,
                          earliest.reason.text, latest.reason.text);
  f.mend = own.reason.builders_choice ? (&own == &earliest ? "write a shorter at-least: hands want some minutes between the two" : "write a longer at-most: hands want some minutes between the two")
                                      : "change a material or a process so that there is time between the two";
  f.source = (&own == &earliest ? latest : earliest).reason.source;
  f.place = own.reason.place;
  return f;
}

}  // namespace

void no_time_between(const plan::Work& work, std::vector<plan::Finding>& findings) {
  std::set<std::pair<StepId, StepId>> told;
  for (const plan::Constraint& earliest : work.constraints) {
    if (earliest.min.seconds <= 0) continue;
    for (const plan::Constraint& latest : work.constraints) {
      const bool same = earliest.from == latest.from && earliest.to == latest.to && earliest.scope == latest.scope;
      if (!same || &earliest == &latest || latest.max != earliest.min || latest.wish) continue;
      if (told.insert({earliest.from.step, earliest.to.step}).second) findings.push_back(no_window(earliest, latest));
    }
  }
}

namespace {

bool is_mixed_in(const rules::Facts& facts, const job::Step& step, const catalogue::Card& adhesive) {
  const auto takes = [&](const job::Step& s) { return std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& u) { return u.card == adhesive.id; }); };
  return std::none_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mix" && takes(s); }) && step.process.text != "mix";
}

/// An adhesive that a step mixes for itself, and how long its cup lasts.
struct MixedIn {
  const catalogue::Card* adhesive;
  Duration life;
  Source source;
};

std::vector<MixedIn> mixed_in(const rules::Facts& facts, const job::Step& step) {
  std::vector<MixedIn> out;
  for (const catalogue::Card* adhesive : rules::fluids_of(facts, step)) {
    const auto printed = adhesive->get<Duration>("pot-life");
    if (adhesive->kind != catalogue::CardKind::adhesive || !printed || !adhesive->yes("two-part") || !is_mixed_in(facts, step, *adhesive)) continue;
    const joints::AdhesiveFigures figures = rules::adhesive_figures(*adhesive, {""});
    const auto use = std::find_if(step.materials.begin(), step.materials.end(), [&](const job::MaterialUse& u) { return u.card == adhesive->id && u.at_once; });
    const Grams mass = use == step.materials.end() ? figures.pot_lives.front().mass : *use->at_once;
    const auto life = joints::pot_life(figures, mass, facts.job.bench.temperature.value_or(figures.pot_temperature));
    if (life) out.push_back({adhesive, life->life, printed->source});
  }
  return out;
}

/// One cup serves a sub-batch: hands are through with every one that is planned before it goes off. Where several are mixed one after
/// the other, nobody knows when.
bool one_cup_serves(const plan::Schedule& schedule, const StepId& step, Duration life) {
  bool any = false;
  for (const plan::Operation& op : schedule.operations) {
    if (op.step != step) continue;
    any = true;
    if (op.hands_end - op.start > life) return false;
  }
  return any;
}

}  // namespace

void tell_pot_lives(const rules::Facts& facts, rules::Yield& yield) {
  for (const job::Step& step : facts.job.steps) {
    for (const MixedIn& cup : mixed_in(facts, step))
      yield.hints.push_back({step.id, {RuleId("pot-life"), fmt::format("Use up each cup of {} within {} of mixing: what has begun to stiffen does not wet", cup.adhesive->name, in_words(cup.life)), cup.source}});
  }
}

void start_cups(const rules::Facts& facts, plan::Plan& plan) {
  for (plan::Step& out : plan.work.steps) {
    out.cups.clear();
    for (const MixedIn& cup : mixed_in(facts, *facts.job.step(out.id))) {
      if (!one_cup_serves(plan.schedule, out.id, cup.life)) continue;
      out.cups.push_back({cup.adhesive->id, fmt::format("{} stays workable for {} in the cup", cup.adhesive->name, in_words(cup.life)), "throw it away and mix anew: it does not wet any more", cup.life, cup.source});
    }
  }
}

}  // namespace handlot::pipeline
