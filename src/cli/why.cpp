// why: the reasons for a step's place, or for the order of two.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <set>
#include <tuple>

#include "cli/verbs.h"
#include "core/text.h"
#include "graph/order.h"
#include "pipeline/by_clocks.h"
#include "plan/units.h"
#include "sheets/text.h"

namespace handlot::cli {

namespace {

using Json = nlohmann::ordered_json;

Json link_json(const plan::Constraint& c) {
  Json j{{"from", c.from.step.text}, {"to", c.to.step.text}, {"kind", std::string(word(c.reason.kind))}, {"rule", c.reason.rule.text}, {"text", c.reason.text},
         {"source", describe(c.reason.source)}, {"min_s", c.min.seconds}, {"max_s", c.max ? Json(c.max->seconds) : Json(nullptr)},
         {"your_choice", c.reason.builders_choice}, {"implied_by_others", c.redundant}};
  j["place"] = {{"file", c.reason.place.file}, {"line", c.reason.place.line}};
  return j;
}

std::string link_text(const plan::Constraint& c) {
  std::string wait;
  if (c.min.seconds > 0) wait += fmt::format(", at least {}", in_words(c.min));
  if (c.max) wait += fmt::format(", at most {}", in_words(*c.max));
  std::string text = fmt::format("  {} before {}{}: because {} [{}]\n", c.from.step.text, c.to.step.text, wait, c.reason.text, c.reason.rule.text);
  text += fmt::format("      source: {}{}\n", describe(c.reason.source), c.reason.builders_choice ? " (your choice)" : "");
  const std::string place = describe(c.reason.place);
  if (!place.empty()) text += fmt::format("      place: {}\n", place);
  return text;
}

bool speaks_of(const std::vector<StepId>& steps, const StepId& id) {
  return std::find(steps.begin(), steps.end(), id) != steps.end();
}

/// What the sheet says at the step besides its order: lines of rules, cautions, findings; each with its source.
Json said_json(const plan::Plan& plan, const plan::Step& step) {
  Json said = Json::array();
  for (const plan::Hint& h : step.hints) said.push_back({{"kind", "hint"}, {"rule", h.rule.text}, {"text", h.text}, {"source", describe(h.source)}});
  for (const plan::Caution& c : plan.cautions) {
    if (speaks_of(c.steps, step.id)) said.push_back({{"kind", "caution"}, {"rule", c.id}, {"text", c.hazard + " " + c.avoid}, {"source", describe(c.source)}});
  }
  for (const plan::Finding& f : plan.findings) {
    if (speaks_of(f.steps, step.id)) said.push_back({{"kind", std::string(word(f.severity))}, {"rule", f.rule.text}, {"text", f.message}, {"source", describe(f.source)}});
  }
  return said;
}

/// What stands behind the pages of a step: oven verdict, stencil openings.
Json page_json(const plan::Page& page) { return {{"page", page.id}, {"title", page.title}, {"because", page.because}}; }

std::string page_text(const plan::Page& page) {
  std::string text = fmt::format("{} ({}):\n", page.title, page.id);
  for (const std::string& line : page.because) text += fmt::format("  {}\n", line);
  return text;
}

int one_page(const Screen& screen, const plan::Page& page) {
  if (screen.json) {
    fmt::print("{}\n", page_json(page).dump(2, ' ', false, Json::error_handler_t::replace));
  } else {
    fmt::print("{}", page.because.empty() ? fmt::format("{} ({}): a drawing, nothing is decided by it\n", page.title, page.id) : page_text(page));
  }
  return kDone;
}

/// What stands together after the step and what it weighs, with what the sum leaves out.
Json weight_json(const plan::Step& step) {
  if (!step.built || !step.weight_after) return nullptr;
  Json j{{"of", step.built->what}, {"mass_g", step.weight_after->value}, {"centre_mm", step.built->centre_mm}, {"not_counted", Json::array()}};
  for (const PartId& part : step.built->without_mass) j["not_counted"].push_back(part.text);
  return j;
}

void print_weight(const Json& weighs) {
  if (weighs.is_null()) return;
  const auto centre = weighs["centre_mm"].get<std::array<double, 3>>();
  fmt::print("after it the {} weighs about {} g, by shapes, densities and cards; centre of mass at ({}, {}, {}) mm\n", weighs["of"].get<std::string>(),
             number(weighs["mass_g"].get<double>(), 1), number(centre[0], 1), number(centre[1], 1), number(centre[2], 1));
  if (weighs["not_counted"].empty()) return;
  fmt::print("  not counted, for want of a body, a density or a mass on its card: {}\n", listed(weighs["not_counted"].get<std::vector<std::string>>()));
}

/// Why the operation starts when it does, said of its unit as of any other: "of the same unit", "of the unit before".
std::string said_of_any(const plan::Operation& o) {
  std::string text = o.because;
  if (o.first_unit != o.last_unit) return text;
  for (const auto& [unit, words] : {std::pair(o.first_unit, "the same unit"), std::pair(o.first_unit - 1, "the unit before")}) {
    const std::string named = fmt::format(" of unit {}", unit);
    for (std::size_t at = text.find(named); at != std::string::npos; at = text.find(named, at + 1)) {
      const std::size_t behind = at + named.size();
      if (behind < text.size() && text[behind] >= '0' && text[behind] <= '9') continue;
      text.replace(at, named.size(), fmt::format(" of {}", words));
    }
  }
  return text;
}

/// One line for all units that start for the same reason.
void print_scheduled(const plan::Plan& plan, const StepId& id) {
  std::vector<std::pair<std::string, std::vector<const plan::Operation*>>> reasons;
  for (const plan::Operation& o : plan.schedule.operations) {
    if (o.step != id || o.because.empty()) continue;
    const std::string text = said_of_any(o);
    auto at = std::find_if(reasons.begin(), reasons.end(), [&](const auto& r) { return r.first == text; });
    if (at == reasons.end()) at = reasons.insert(reasons.end(), {text, {}});
    at->second.push_back(&o);
  }
  for (const auto& [text, operations] : reasons) {
    std::set<int> units;
    for (const plan::Operation* o : operations) {
      for (const int unit : plan::units_in(*o)) units.insert(unit);
    }
    fmt::print("scheduled, {}: {}\n", plan::units_in_words({units.begin(), units.end()}), operations.size() == 1 ? operations.front()->because : text);
  }
}

int one_step(const Screen& screen, const plan::Plan& plan, const StepId& id) {
  const auto step = std::find_if(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& s) { return s.id == id; });
  std::vector<const plan::Constraint*> before, after;
  for (const plan::Constraint& c : plan.work.constraints) {
    if (c.to.step == id) before.push_back(&c);
    if (c.from.step == id) after.push_back(&c);
  }
  if (screen.json) {
    Json j{{"step", id.text}, {"number", step->number}, {"why_here", step->why_here}, {"before_it", Json::array()}, {"after_it", Json::array()}};
    for (const auto* c : before) j["before_it"].push_back(link_json(*c));
    for (const auto* c : after) j["after_it"].push_back(link_json(*c));
    j["said"] = said_json(plan, *step);
    j["weighs"] = weight_json(*step);
    j["pages"] = Json::array();
    for (const plan::Page& page : plan.pages) {
      if (page.step == id && !page.because.empty()) j["pages"].push_back(page_json(page));
    }
    fmt::print("{}\n", j.dump(2));
    return kDone;
  }
  fmt::print("{} {} ({}): {}\n", step->number, step->title, id.text, step->why_here);
  fmt::print("before it:\n");
  for (const auto* c : before) {
    if (!c->redundant) fmt::print("{}", link_text(*c));
  }
  if (before.empty()) fmt::print("  nothing has to\n");
  fmt::print("after it:\n");
  for (const auto* c : after) {
    if (!c->redundant) fmt::print("{}", link_text(*c));
  }
  if (after.empty()) fmt::print("  nothing has to\n");
  const auto hidden = std::count_if(plan.work.constraints.begin(), plan.work.constraints.end(), [&](const plan::Constraint& c) { return c.redundant && (c.to.step == id || c.from.step == id); });
  if (hidden > 0) fmt::print("and {} that these imply already (see --json)\n", counted(hidden, "link", "links"));
  if (const Json said = said_json(plan, *step); !said.empty()) {
    fmt::print("said at it:\n");
    for (const Json& s : said) {
      fmt::print("  {}: {} [{}]\n      source: {}\n", s["kind"].get<std::string>(), s["text"].get<std::string>(), s["rule"].get<std::string>(), s["source"].get<std::string>());
    }
  }
  print_weight(weight_json(*step));
  for (const plan::Page& page : plan.pages) {
    if (page.step == id && !page.because.empty()) fmt::print("{}", page_text(page));
  }
  print_scheduled(plan, id);
  return kDone;
}

/// The two may not be on together, and what they leave in the air or hot counts as well.
const plan::NeverTogether* kept_apart(const plan::Plan& plan, const StepId& a, const StepId& b) {
  const auto pair = std::find_if(plan.work.apart.begin(), plan.work.apart.end(), [&](const plan::NeverTogether& n) { return (n.a == a && n.b == b) || (n.a == b && n.b == a); });
  return pair == plan.work.apart.end() ? nullptr : &*pair;
}

Json apart_json(const plan::NeverTogether* pair) {
  if (pair == nullptr) return nullptr;
  return {{"a", pair->a.text}, {"b", pair->b.text}, {"clear_after_a_s", pair->clear_after_a.seconds}, {"clear_after_b_s", pair->clear_after_b.seconds},
          {"rule", pair->reason.rule.text}, {"text", pair->reason.text}, {"source", describe(pair->reason.source)}};
}

void print_apart(const plan::NeverTogether* pair) {
  if (pair == nullptr) return;
  fmt::print("kept apart, whichever unit it is: {} [{}]\n", pair->reason.text, pair->reason.rule.text);
  for (const auto& [first, second, clear] : {std::tuple(pair->a, pair->b, pair->clear_after_a), std::tuple(pair->b, pair->a, pair->clear_after_b)}) {
    if (clear.seconds > 0) fmt::print("  {} begins no sooner than {} after {}\n", second.text, in_words(clear), first.text);
  }
  fmt::print("      source: {}\n", describe(pair->reason.source));
}

int two_steps(const Screen& screen, const plan::Plan& plan, const StepId& a, const StepId& b) {
  std::vector<StepId> steps;
  for (const plan::Step& s : plan.work.steps) steps.push_back(s.id);
  const graph::Closure closure(steps, plan.work.constraints);
  std::vector<plan::Constraint> direct;
  for (const plan::Constraint& c : plan.work.constraints) {
    if (c.from.step == a && c.to.step == b) direct.push_back(c);
  }
  std::vector<plan::Constraint> chain = direct.empty() ? closure.chain(a, b) : direct;
  const bool linked = !chain.empty() || closure.before(b, a);
  if (!linked) chain = pipeline::clocks_put_first(plan.work, a, b);
  if (!linked && chain.empty() && !pipeline::clocks_put_first(plan.work, b, a).empty()) return two_steps(screen, plan, b, a);
  if (screen.json) {
    if (chain.empty() && closure.before(b, a)) return two_steps(screen, plan, b, a);
    Json j{{"from", a.text}, {"to", b.text}, {"ordered", !chain.empty()}, {"direct", !direct.empty()}, {"by_clocks", !linked && !chain.empty()}, {"chain", Json::array()}};
    for (const auto& c : chain) j["chain"].push_back(link_json(c));
    j["never_together"] = apart_json(kept_apart(plan, a, b));
    fmt::print("{}\n", j.dump(2));
    return kDone;
  }
  if (!chain.empty()) {
    fmt::print("{} comes before {}{}:\n", a.text, b.text, !linked ? ", as these waits and clocks leave no other way" : direct.empty() ? ", by way of others" : "");
    for (const auto& c : chain) fmt::print("{}", link_text(c));
    print_apart(kept_apart(plan, a, b));
    return kDone;
  }
  if (closure.before(b, a)) {
    fmt::print("it is the other way round: ");
    return two_steps(screen, plan, b, a);
  }
  fmt::print("nothing decides between {} and {}: either may come first\n", a.text, b.text);
  print_apart(kept_apart(plan, a, b));
  return kDone;
}

/// The steps at a station, or with a fixture, of that name; empty: none is called so.
std::string steps_at(const plan::Plan& plan, const std::string& name) {
  std::vector<std::string> steps;
  for (const plan::Step& s : plan.work.steps) {
    if (std::any_of(s.timing.uses.begin(), s.timing.uses.end(), [&](const plan::Use& u) { return u.resource.text == name; })) steps.push_back("'" + s.id.text + "'");
  }
  return listed(steps);
}

Diagnostics unknown(const plan::Plan& plan, const std::vector<std::string>& asked) {
  std::vector<std::string> known;
  for (const plan::Step& s : plan.work.steps) known.push_back(s.id.text);
  Diagnostics faults;
  if (asked.size() == 2 && asked[0] == asked[1]) faults.push_back(error("step-unknown", {plan.head.file, 0, 0}, fmt::format("'{}' is one step, named twice", asked[0]), "name two steps, or it alone"));
  for (const std::string& id : asked) {
    if (std::find(known.begin(), known.end(), id) != known.end()) continue;
    if (id == "oven" || id == "stencil") {
      const char* what = id == "oven" ? "profile" : "stencil";
      faults.push_back(error("step-unknown", {plan.head.file, 0, 0}, fmt::format("the sheet of this job has no page '{}'", id), fmt::format("name what it is made of: <file what=\"{}\" path=\"...\"/>", what)));
      continue;
    }
    if (const std::string steps = steps_at(plan, id); !steps.empty()) {
      faults.push_back(error("step-unknown", {plan.head.file, 0, 0}, fmt::format("'{}' is no step but what steps are done at or with", id), "name a step that uses it: " + steps));
      continue;
    }
    const auto near = closest(id, known);
    faults.push_back(error("step-unknown", {plan.head.file, 0, 0}, fmt::format("the job has no step '{}'", id), near ? fmt::format("write '{}'", *near) : std::string("'handlot plan JOB' lists the steps")));
  }
  return faults;
}

int run_why(const Screen& screen, const JobOptions& options, const std::vector<std::string>& asked) {
  pipeline::Request request = options.request(screen);
  request.want_schedule = asked.size() == 1;
  request.want_pictures = false;
  const auto outcome = pipeline::make_plan(request);
  screen.stage_done();
  if (!outcome) {
    screen.report(outcome.error());
    return exit_for(outcome.error());
  }
  if (!outcome->ordered) {
    fmt::print("{}", sheets::findings_as_text(outcome->plan));
    return kAnswerIsNo;
  }
  const auto& pages = outcome->plan.pages;
  if (const auto page = std::find_if(pages.begin(), pages.end(), [&](const plan::Page& p) { return asked.size() == 1 && p.id == asked[0]; }); page != pages.end()) return one_page(screen, *page);
  if (const Diagnostics faults = unknown(outcome->plan, asked); !faults.empty()) {
    screen.report(faults);
    return kUsage;
  }
  if (asked.size() == 1) return one_step(screen, outcome->plan, StepId(asked[0]));
  return two_steps(screen, outcome->plan, StepId(asked[0]), StepId(asked[1]));
}

}  // namespace

void add_why(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "why", "Why a step stands where it does; why one comes before the other",
                     "handlot why jobs/tide-dial/job.xml glue-lens\n  handlot why jobs/tide-dial/job.xml reflow fit-lamps\n  handlot why jobs/tide-dial/job.xml oven");
  auto options = std::make_shared<JobOptions>();
  auto steps = std::make_shared<std::vector<std::string>>();
  options->add_to(*v);
  v->add_option("steps", *steps, "One step, or two; or a page: oven, stencil")->required()->expected(1, 2)->type_name("STEP");
  v->callback([&screen, &run, options, steps] { run = [&screen, options, steps] { return run_why(screen, *options, *steps); }; });
}

}  // namespace handlot::cli
