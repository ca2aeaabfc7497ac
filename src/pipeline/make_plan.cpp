#include "pipeline/make_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <limits>

#include "core/text.h"
#include "pipeline/ask_rules.h"
#include "pipeline/clocks.h"
#include "pipeline/keep_apart.h"
#include "pipeline/look_first.h"
#include "pipeline/parts_list.h"
#include "pipeline/paste_under_parts.h"
#include "pipeline/parts_of_plan.h"
#include "pipeline/placing.h"
#include "pipeline/placing_parts.h"
#include "pipeline/soldering.h"
#include "pipeline/stock.h"
#include "rules/bath.h"
#include "schedule/check.h"
#include "schedule/solve.h"
#include "shapes/cache.h"

namespace handlot::pipeline {

namespace fs = std::filesystem;

namespace {

class OrderFromGraph : public rules::KnownOrder {
 public:
  explicit OrderFromGraph(const graph::Order& order) : sequence_(order.sequence), closure_(order.sequence, order.constraints) {}
  bool before(const StepId& a, const StepId& b) const override { return closure_.before(a, b); }
  std::span<const StepId> sequence() const override { return sequence_; }

 private:
  std::vector<StepId> sequence_;
  graph::Closure closure_;
};

void tell(const Request& request, std::string_view stage) {
  if (request.progress) request.progress(stage);
}

std::vector<graph::Node> nodes_of(const job::Job& job) {
  std::vector<graph::Node> nodes;
  for (const job::Step& s : job.steps) nodes.push_back({s.id, s.setup + s.run + s.unattended});
  return nodes;
}

plan::Finding contradiction_finding(const graph::Contradiction& c) {
  plan::Finding f;
  f.rule = RuleId(c.lags ? "waits-clash" : "order-clash");
  f.severity = plan::Severity::stop;
  std::vector<std::string> links;
  bool own_choice = false;
  for (const plan::Constraint& link : c.chain) {
    for (const StepId& step : {link.from.step, link.to.step})
      if (std::find(f.steps.begin(), f.steps.end(), step) == f.steps.end()) f.steps.push_back(step);
    std::string wait = link.min.seconds > 0 ? fmt::format(" at least {} before", in_words(link.min)) : std::string(" before");
    if (link.max) wait = fmt::format(" at most {} before", in_words(*link.max));
    links.push_back(fmt::format("{}{} {}, because {}{}", link.from.step.text, wait, link.to.step.text, link.reason.text,
                                link.reason.builders_choice ? " (your choice)" : ""));
    own_choice = own_choice || link.reason.builders_choice;
    if (f.place.file.empty()) f.place = link.reason.place;
    if (f.source.key.empty()) f.source = link.reason.source;
  }
  f.message = fmt::format("{}: {}", c.lags ? "these waits can't all be kept" : "these can't all be kept", fmt::join(links, "; "));
  f.mend = own_choice ? "drop or turn one of those marked as your choice" : "change a part, a process or a material so that one of the reasons falls away";
  return f;
}

/// The mend of a rule in the chain that has one of its own.
std::string way_out(const rules::Facts& facts, const graph::Contradiction& c) {
  if (std::string peak = stated_peak(facts, c.chain); !peak.empty()) return peak;
  for (const plan::Constraint& link : c.chain) {
    if (std::string way = rules::way_round_bath(facts, link); !way.empty()) return way;
  }
  return {};
}

void plan_steps(const rules::Facts& facts, const graph::Order& order, const rules::Yield& yield, plan::Plan& plan) {
  plan.work.constraints = order.constraints;
  const graph::Closure closure(order.sequence, order.constraints);
  int number = 0;
  for (const StepId& id : order.sequence) {
    number += 10;
    const job::Step& step = *facts.job.step(id);
    plan.work.steps.push_back(step_of(facts, step, number, yield));
    plan.work.steps.back().why_here = why_here(facts, order, closure, step);
  }
}

Diagnostics fill_shop(const job::Job& job, const catalogue::Catalogue& cards, plan::Work& work) {
  work.units = job.units;
  work.resources = resources_of(job, cards);
  const auto start = start_of(job);
  if (!start) return start.error();
  work.start = *start;
  auto hours = hours_of(job, *start, days_needed(job, work));
  if (!hours) return hours.error();
  work.hours = std::move(*hours);
  for (plan::Resource& r : work.resources) {
    if (r.kind == plan::Resource::Kind::person) r.away = away_of(job, r.id, work.hours);
  }
  return {};
}

void fill_rest(const rules::Facts& facts, const rules::Yield& yield, plan::Plan& plan) {
  const std::vector<plan::Finding> of_schedule = std::move(plan.findings);
  plan.findings = yield.findings;
  tidy_findings(plan.findings);
  plan.findings.insert(plan.findings.begin(), of_schedule.begin(), of_schedule.end());
  plan.cautions = yield.cautions;
  plan.head.deferrals = yield.deferrals;
  for (const job::Waive& w : facts.job.waivers) plan.waivers.push_back({w.rule, w.steps, w.because, w.place});
  plan.waits = waits_of(facts, plan);
  end_by_calendar(facts, plan.waits);
  start_cups(facts, plan);
}

/// The law of schedules, asked of what the search gave: it should find nothing, and if it does, nobody is to work by that plan.
void judge_schedule(plan::Plan& plan) {
  constexpr std::size_t kMost = 2000;  // operations; the judge looks at pairs of them
  if (plan.schedule.operations.size() > kMost) return;
  for (plan::Finding& f : schedule::check(plan.work, plan.schedule)) {
    f.severity = plan::Severity::stop;
    f.mend = "this is a fault of handlot and not of the job: do not work by this plan, and report it with the job file";
    plan.findings.push_back(std::move(f));
  }
}

bool has_schedule(const plan::Plan& plan) { return plan.schedule.status != plan::Schedule::Status::infeasible && plan.schedule.status != plan::Schedule::Status::stopped; }

/// Takes the latest end of a wish away, and says so.
plan::Finding give_up(plan::Constraint& link) {
  plan::Finding f;
  f.rule = link.reason.rule;
  f.severity = plan::Severity::warn;
  f.steps = {link.from.step, link.to.step};
  f.message = fmt::format("'{}' can't follow '{}' within {} in every unit: {}", link.to.step.text, link.from.step.text, in_words(*link.max), link.reason.text);
  f.mend = link.if_late;
  f.source = link.reason.source;
  f.place = link.reason.place;
  link.max.reset();
  link.clock.clear();
  link.if_late.clear();
  return f;
}

/// Gives up the latest ends that are wishes, and says so of each. False: there are none.
bool give_up_wishes(plan::Plan& plan) {
  bool any = false;
  for (plan::Constraint& link : plan.work.constraints) {
    if (!link.wish || !link.max) continue;
    any = true;
    plan.findings.push_back(give_up(link));
  }
  return any;
}

/// Gives up the wish that a clash of waits holds on to, and says so. False: no wish is in the chain.
bool give_up_wish_of(const graph::Contradiction& clash, rules::Yield& yield) {
  const auto same = [](const plan::Constraint& a, const plan::Constraint& b) { return a.from.step == b.from.step && a.to.step == b.to.step && a.reason.rule == b.reason.rule; };
  for (plan::Constraint& link : yield.links) {
    const bool held = link.wish && link.max && std::any_of(clash.chain.begin(), clash.chain.end(), [&](const plan::Constraint& c) { return c.wish && c.max && same(c, link); });
    if (!held) continue;
    yield.findings.push_back(give_up(link));
    return true;
  }
  return false;
}

/// No schedule lets unit 1 be looked at before the others follow.
plan::Finding looked_at_too_late(const plan::LookFirst& look, const plan::Schedule& refused) {
  std::vector<std::string> against;
  for (const plan::Reason& r : refused.clash) {
    if (r.rule.text != look.reason.rule.text) against.push_back(r.text);
  }
  const std::string why = fmt::format("no schedule was found that keeps that{}{}", against.empty() ? "" : " with: ", fmt::join(against, "; "));
  return not_looked_at(look.repeat, look.look, why, "open more time between them, or look at the first piece as soon as it is out", look.reason.place);
}

/// A step whose clock runs until the repeated one goes unit by unit, each with a set-up.
bool prints_in_ones(const plan::Plan& plan, const std::vector<plan::LookFirst>& looks) {
  plan::Work ahead = plan.work;
  send_first(ahead, looks, Ahead::from_paste);
  for (std::size_t s = 0; s < ahead.steps.size(); ++s) {
    const plan::Step& step = plan.work.steps[s];
    if (ahead.steps[s].timing.first_alone == step.timing.first_alone || step.timing.setup.seconds == 0 || step.timing.batch_max == 1) continue;
    const auto& all = plan.schedule.operations;
    if (plan.work.units > 2 && std::count_if(all.begin(), all.end(), [&](const plan::Operation& o) { return o.step == step.id; }) == plan.work.units) return true;
  }
  return false;
}

/// A look at the first piece is a wish: it costs no lot its schedule. Where boards would lie too long in their paste meanwhile,
/// and so would all be printed one by one, unit 1 goes ahead from there on.
void schedule_with_looks(plan::Plan& plan, const schedule::Limits& limits, std::uint64_t seed) {
  const std::vector<plan::LookFirst> looks = plan.work.looks;
  const auto solve = [&] { plan.schedule = schedule::solve(plan.work, limits, seed, {}); };
  solve();
  if (looks.empty() || (has_schedule(plan) && !prints_in_ones(plan, looks))) return;
  const plan::Schedule first = plan.schedule;
  if (has_schedule(plan)) {
    send_first(plan.work, looks, Ahead::from_paste);
    solve();
    if (has_schedule(plan) && std::pair(plan.schedule.finish, plan.schedule.setups) < std::pair(first.finish, first.setups)) return;
    send_first(plan.work, looks, Ahead::from_oven);
    plan.schedule = first;
    return;
  }
  send_first(plan.work, looks, Ahead::not_at_all);
  solve();
  if (!has_schedule(plan)) return;
  for (const plan::LookFirst& look : looks) plan.findings.push_back(looked_at_too_late(look, first));
}

/// What is in the way can be widened; nothing else need be.
std::string ways_to_widen(const plan::Plan& plan) {
  const auto& clash = plan.schedule.clash;
  const auto names = [&](std::string_view rule) { return std::any_of(clash.begin(), clash.end(), [&](const plan::Reason& r) { return r.rule.text == rule; }); };
  bool late = false, many = false;
  for (const plan::Constraint& c : plan.work.constraints) {
    const bool held = c.max && std::any_of(clash.begin(), clash.end(), [&](const plan::Reason& r) { return r.rule == c.reason.rule && r.text.find(c.reason.text) != std::string::npos; });
    late = late || held;
    for (const plan::Step& step : plan.work.steps) many = many || (held && (step.id == c.from.step || step.id == c.to.step) && (step.timing.whole_lot || step.timing.batch_min > 1));
  }
  if (clash.empty()) return "widen the shop hours, the latest ends or the counts of fixtures";
  std::vector<std::string> ways;
  if (late) ways.push_back("a longer latest end");
  if (many && plan.work.units > 1) ways.push_back("smaller sub-batches");
  if (names("schedule-people")) ways.push_back("another pair of hands");
  if (names("schedule-hours")) ways.push_back("wider shop hours");
  if (names("schedule-resources") || names("schedule-capacity")) ways.push_back("more of the places or fixtures");
  return ways.empty() ? "leave one of them out, or give it more room" : fmt::format("what may free it: {}", fmt::join(ways, ", or "));
}

void schedule_it(const Request& request, plan::Plan& plan) {
  constexpr std::int64_t kLonger = 2, kMuchEffort = 1'000'000'000;
  tell(request, "scheduling");
  schedule::Limits limits;
  limits.seconds = request.limits.schedule_seconds;
  limits.conflicts = request.limits.schedule_effort;
  limits.gap = request.limits.schedule_gap;
  limits.raises = request.limits.schedule_raises;
  limits.placements = request.limits.schedule_tries * static_cast<std::int64_t>(plan.work.steps.size()) * plan.work.units;
  limits.costs = request.want_costs;
  limits.spare = true;
  const std::vector<plan::LookFirst> looks = plan.work.looks;
  schedule_with_looks(plan, limits, request.limits.seed);
  if (!has_schedule(plan) && give_up_wishes(plan)) {
    send_first(plan.work, looks, Ahead::from_oven);
    schedule_with_looks(plan, limits, request.limits.seed);
  }
  if (plan.schedule.status == plan::Schedule::Status::stopped && limits.raises < kMuchEffort / kLonger) {
    // Neither a schedule nor a clash helps nobody: better seconds more than a stop that says nothing.
    tell(request, "searching longer for a schedule");
    limits.conflicts *= kLonger;
    limits.raises *= kLonger;
    limits.placements *= kLonger;
    plan.schedule = schedule::solve(plan.work, limits, request.limits.seed, {});
  }
  if (!has_schedule(plan)) {
    plan::Finding f;
    f.rule = RuleId("schedule");
    f.severity = plan::Severity::stop;
    std::vector<std::string> reasons;
    for (const plan::Reason& r : plan.schedule.clash) {
      reasons.push_back(r.text);
      if (f.place.file.empty()) f.place = r.place;
    }
    f.message = plan.schedule.status == plan::Schedule::Status::infeasible
                    ? fmt::format("the lot can't be scheduled: {}", fmt::join(reasons, "; "))
                    : fmt::format("no schedule was found within {}{}{}", plan.schedule.stopped_by, reasons.empty() ? "" : "; one is found without: ",
                                  fmt::join(reasons, "; or without: "));
    std::vector<std::string> ways;
    for (const plan::Relief& r : plan.schedule.reliefs) ways.push_back(r.text);
    const bool too_long = std::any_of(plan.schedule.clash.begin(), plan.schedule.clash.end(), [](const plan::Reason& r) {
      return r.rule.text == "schedule-hours" && r.text.find("in one go") != std::string::npos;
    });
    const std::string shop = too_long ? "write may-pause=\"yes\" if it may be left at closing time and taken up again, or widen the shop hours"
                                      : ways_to_widen(plan);
    f.mend = ways.empty() ? shop : fmt::format("{} would free it", fmt::join(ways, ", or "));
    plan.findings.insert(plan.findings.begin(), std::move(f));
  }
}

}  // namespace

Limits Limits::of_seconds(double seconds) {
  constexpr std::int64_t kAny = std::numeric_limits<std::int64_t>::max() / (1 << 30);
  Limits limits;
  limits.schedule_seconds = seconds;
  limits.schedule_gap = 0;
  limits.schedule_effort = limits.schedule_raises = limits.schedule_tries = kAny;
  return limits;
}

bool Outcome::stops() const {
  return !ordered || std::any_of(plan.findings.begin(), plan.findings.end(), [](const plan::Finding& f) {
    return f.severity == plan::Severity::stop && !f.waived_because;
  });
}

Result<Outcome> make_plan(const Request& request) {
  tell(request, "reading cards");
  auto cards = catalogue::Catalogue::read(request.card_folders);
  if (!cards) return fail(cards.error());
  tell(request, "reading the job");
  auto job = job::read_job(request.job_file, *cards);
  if (!job) return fail(job.error());

  Outcome outcome;
  outcome.warnings = cards->warnings();
  outcome.cards = std::move(*cards);
  outcome.job = std::move(*job);
  plan::Plan& plan = outcome.plan;
  plan.head = head_of(outcome.job);
  const auto parts_list = parts_list_of(outcome.job);
  const auto placement = placement_list_of(outcome.job, parts_list && *parts_list ? &**parts_list : nullptr);
  if (!placement) return fail(placement.error());
  if (*placement) place_from_list(outcome.job, outcome.cards, **placement);
  tell(request, "building the shapes");
  const shapes::Cache cache(request.geometry_cache);
  auto device = bodies::make_device(outcome.job, outcome.cards, {}, cache);
  if (!device) return fail(device.error());
  outcome.device = std::move(*device);
  bodies::measure_bonds(outcome.device, outcome.job, cache);
  const rules::Facts facts{outcome.job, outcome.cards, &outcome.device, cache};

  tell(request, "asking the rules");
  rules::Yield yield = ask_rules(facts);
  Waivers waivers(outcome.job);
  waivers.links(yield);

  tell(request, "finding the order");
  const auto find = [&] { return graph::find_order(nodes_of(outcome.job), yield.links, yield.choices, request.limits.order_tries); };
  graph::Answer answer = find();
  while (answer.status == graph::Answer::Status::contradiction && give_up_wish_of(answer.contradiction, yield)) answer = find();
  if (answer.status != graph::Answer::Status::found) {
    outcome.contradiction = answer.contradiction;
    outcome.order_stopped = answer.status == graph::Answer::Status::stopped;
    waivers.findings(yield);
    yield.findings.push_back(contradiction_finding(answer.contradiction));
    if (const std::string way = way_out(facts, answer.contradiction); !way.empty()) yield.findings.back().mend = way + "; else " + yield.findings.back().mend;
    if (outcome.order_stopped) {
      plan::Finding& f = yield.findings.back();
      f.rule = RuleId("order-stopped");
      f.message = fmt::format("no order was found within {} tries; the first hindrance met was: {}", request.limits.order_tries, f.message);
      f.mend = "state some of the orders that you know (<after step=...>), so that fewer are left to try";
    }
    plan.findings = yield.findings;
    tidy_findings(plan.findings);
    plan.work.units = outcome.job.units;
    plan.head.hash = hash_of(plan);
    return outcome;
  }
  outcome.ordered = true;

  tell(request, "proving what must hold in every order");
  ask_proofs(facts, OrderFromGraph(answer.order), yield);
  tell_pot_lives(facts, yield);
  plan_steps(facts, answer.order, yield, plan);
  plan.work.apart = yield.apart;
  if (Diagnostics faults = fill_shop(outcome.job, outcome.cards, plan.work); !faults.empty()) return fail(std::move(faults));
  keep_apart(facts, plan.work);
  keep_places_to_dry(facts, plan.work);
  send_first(plan.work, looks_of(facts, plan.work, yield.findings), Ahead::from_oven);
  add_placing_pages(facts, *placement ? &**placement : nullptr, plan, yield.findings);
  if (*placement) hold_against_paste(facts, **placement, yield.findings);
  if (Diagnostics faults = add_solder_pages(facts, plan, yield.findings); !faults.empty()) return fail(std::move(faults));
  if (!parts_list) return fail(parts_list.error());
  if (*parts_list) {
    if (Diagnostics faults = compare_parts_list(facts, **parts_list, *placement ? &**placement : nullptr, yield.findings); !faults.empty()) return fail(std::move(faults));
  }
  trays_hold(facts, yield.findings);
  places_taken(facts, yield.findings);
  plan.kit = kit_of(facts, plan.work.steps);
  if (request.want_schedule) {
    schedule_it(request, plan);
    judge_schedule(plan);
    floor_life_kept(facts, plan, yield.findings);
    sub_batches_as_stated(facts, plan, yield.findings);
  }
  count_cups(facts, plan);
  if (Diagnostics faults = add_stock(facts, plan, yield.findings); !faults.empty()) return fail(std::move(faults));
  no_time_between(plan.work, yield.findings);
  waivers.findings(yield);
  add_weights(facts, plan);
  fill_rest(facts, yield, plan);
  if (request.want_pictures) {
    tell(request, "drawing the pictures");
    draw_pictures(facts, plan);
  }
  plan.sources = sources_of(plan, outcome.cards);
  plan.head.hash = hash_of(plan);
  return outcome;
}

namespace {

/// Names this very build of the program: what another build found out may rest on a fault that is mended here.
std::string build_stamp() {
  std::error_code none;
  const fs::path self = fs::read_symlink("/proc/self/exe", none);
  const auto size = fs::file_size(self, none);
  const auto written = fs::last_write_time(self, none);
  return "build-" + shapes::content_key(fmt::format("{} {} {}", self.string(), size, written.time_since_epoch().count())).substr(0, 12);
}

/// Leaves what the last few builds kept, and ours.
void forget_old_builds(const fs::path& folder, const std::string& ours) {
  constexpr std::size_t kKept = 4;
  std::error_code none;
  std::vector<std::pair<fs::file_time_type, fs::path>> others;
  for (const auto& entry : fs::directory_iterator(folder, none)) {
    const std::string name = entry.path().filename().string();
    if (name != ours && name.starts_with("build-")) others.emplace_back(entry.last_write_time(none), entry.path());
  }
  std::sort(others.rbegin(), others.rend());
  for (std::size_t i = kKept; i < others.size(); ++i) fs::remove_all(others[i].second, none);
}

}  // namespace

std::string cache_folder() {
  const auto from = [](const char* name) {
    const char* value = std::getenv(name);
    return std::string(value == nullptr ? "" : value);
  };
  std::string folder;
  if (std::string own = from("HANDLOT_CACHE"); !own.empty()) folder = own == "none" ? std::string() : own;
  else if (std::string base = from("XDG_CACHE_HOME"); !base.empty()) folder = base + "/handlot";
  else if (std::string home = from("HOME"); !home.empty()) folder = home + "/.cache/handlot";
  if (folder.empty()) return {};
  const std::string ours = build_stamp();
  std::error_code none;
  if (!fs::exists(fs::path(folder) / ours, none)) forget_old_builds(folder, ours);
  return folder + "/" + ours;
}

std::string own_cards() {
  if (const char* given = std::getenv("HANDLOT_CARDS"); given != nullptr && *given != '\0') return given;
  return HANDLOT_CARD_FOLDER;
}

std::vector<std::string> card_folders(const std::string& job_file, const std::vector<std::string>& given) {
  std::vector<std::string> folders{own_cards()};
  const fs::path beside = fs::path(job_file).parent_path() / "parts";
  std::error_code code;
  if (fs::is_directory(beside, code)) folders.push_back(beside.string());
  folders.insert(folders.end(), given.begin(), given.end());
  return folders;
}

}  // namespace handlot::pipeline
