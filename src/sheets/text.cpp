#include "sheets/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/text.h"
#include "plan/units.h"
#include "sheets/sections.h"
#include "sheets/wrap.h"

namespace handlot::sheets {

namespace {

std::size_t usable(const TextOptions& options) {
  return std::max<std::size_t>(options.width, 60);
}

std::string bold(const std::string& text, const TextOptions& options) {
  return options.colour ? "\033[1m" + text + "\033[0m" : text;
}

std::string in_colour(plan::Severity severity, const std::string& text, const TextOptions& options) {
  if (!options.colour) return text;
  switch (severity) {
    case plan::Severity::stop:
      return "\033[1;31m" + text + "\033[0m";
    case plan::Severity::warn:
      return "\033[1;33m" + text + "\033[0m";
    case plan::Severity::undecided:
      return "\033[1;35m" + text + "\033[0m";
    case plan::Severity::note:
      return "\033[1;36m" + text + "\033[0m";
  }
  return text;
}

std::string head_line(const plan::Head& head) {
  std::string out = head.name;
  if (!head.revision.empty()) out += ", rev " + head.revision;
  out += ", lot of " + counted(head.lot, "unit", "units");
  if (!head.hash.empty()) out += ", plan " + head.hash;
  return out;
}

std::string finding_text(const View& view, const plan::Finding& f, const TextOptions& options) {
  const std::size_t width = usable(options);
  std::string mark(plan::word(f.severity));
  if (f.waived_because) mark += ", waived";
  const std::string place = describe(f.place);
  std::string out;
  if (!place.empty()) out += place + ": ";
  out += in_colour(f.severity, mark, options) + " [" + f.rule.text + "]\n";
  out += hanging("  ", f.message, width);
  if (!f.steps.empty()) out += hanging("  steps: ", view.names(f.steps), width);
  if (!f.parts.empty()) {
    std::string parts;
    for (const auto& p : f.parts) parts += (parts.empty() ? "" : ", ") + p.text;
    out += hanging("  parts: ", parts, width);
  }
  if (!f.mend.empty()) out += hanging("  mend: ", f.mend, width);
  if (f.waived_because) out += hanging("  waived because: ", *f.waived_because, width);
  if (f.expected_loss)
    out += hanging("  expected loss: ", number(*f.expected_loss, 2) + " units of the lot", width);
  return out + hanging("  source: ", describe(f.source), width);
}

std::string tally(const plan::Plan& plan) {
  std::map<plan::Severity, long> counts;
  for (const auto& f : plan.findings) {
    if (!f.waived_because) ++counts[f.severity];
  }
  if (plan.findings.empty()) return "No findings.\n";
  std::vector<std::string> words;
  for (const auto& [severity, count] : counts)
    words.push_back(fmt::format("{} {}", count, plan::word(severity)));
  const auto waived = std::count_if(plan.findings.begin(), plan.findings.end(),
                                    [](const auto& f) { return f.waived_because.has_value(); });
  if (waived > 0) words.push_back(fmt::format("{} waived", waived));
  return "Findings: " + listed(words) + ".\n";
}

std::string clash_text(const plan::Plan& plan, const TextOptions& options) {
  const bool proven = plan.schedule.status == plan::Schedule::Status::infeasible;
  std::string out = proven ? "These cannot all hold:\n" : "Without one of these there is a schedule:\n";
  for (const auto& r : plan.schedule.clash) {
    const std::string place = describe(r.place);
    out += hanging("  - ",
                   r.text + " [" + r.rule.text + "]" + (r.builders_choice ? " (your own choice)" : "") +
                       (place.empty() ? "" : ", " + place),
                   usable(options));
  }
  return out;
}

std::string verdict(const plan::Plan& plan) {
  const plan::Schedule& s = plan.schedule;
  const std::string spared = of_spared(plan.work);
  std::string out(plan::word(s.status));
  if (s.status == plan::Schedule::Status::optimal && !spared.empty()) out += fmt::format(", no schedule{} is shorter", spared);
  if (s.status == plan::Schedule::Status::feasible && s.makespan.seconds > 0) {
    out += fmt::format(", no schedule{} is shorter than {}", spared, in_words(s.bound));
  }
  if (!s.stopped_by.empty()) out += ", search stopped by " + s.stopped_by;
  return out;
}

std::string reason_lines(const View& view, const plan::Step& step, std::size_t indent, std::size_t width) {
  std::string out;
  const std::string space(indent, ' ');
  if (!step.why_here.empty()) out += hanging(space, step.why_here, width);
  for (const auto& w : view.plan().waits) {
    const std::string line = w.from.step == step.id ? hanging(space + "then ", w.what + ", " + wait_span(view, w), width) : "";
    if (out.find(line) == std::string::npos) out += line;  // two boards printed from one jar
  }
  return out;
}

std::string order_text(const View& view, const TextOptions& options) {
  const std::size_t width = usable(options);
  std::string out = bold("Order", options) + "\n";
  for (const auto& step : view.plan().work.steps) {
    const std::string mark =
        std::string(step.hold ? " [hold]" : "") + (step.irreversible ? " [no way back]" : "");
    out += hanging(padded(fmt::format("{}", step.number), 5, true) + "  ", step.title + mark, width);
    out += reason_lines(view, step, 9, width);
  }
  return out;
}

std::string because_of(const plan::Operation& op) {
  return op.because.empty() ? "" : "  (" + op.because + ")";
}

/// Where one works alone, who does it needs no saying.
std::string people_of(const View& view, const plan::Operation& op) {
  if (works_alone(view)) return "";
  std::vector<std::string> names;
  for (const ResourceId& person : op.people) names.push_back(view.resource(person));
  return names.empty() ? "" : ", by " + listed(names);
}

std::string schedule_text(const View& view, const TextOptions& options) {
  const plan::Schedule& s = view.plan().schedule;
  const std::size_t width = usable(options);
  std::string out = "\n" + bold("Schedule", options) + " (" + view.clock().zone() + ")\n";
  std::string day;
  std::vector<const plan::Operation*> by_start;
  for (const auto& op : s.operations) by_start.push_back(&op);
  std::stable_sort(by_start.begin(), by_start.end(), [](auto* a, auto* b) { return a->start < b->start; });
  for (const auto* op : by_start) {
    if (const std::string today = view.clock().day(op->start); today != day) {
      day = today;
      out += today + "\n";
    }
    const bool same_day = view.clock().day(op->end) == day;
    const std::string end = same_day ? view.clock().time(op->end) : view.clock().moment(op->end);
    const plan::Step* step = view.step(op->step);
    const std::string units =
        step && step->timing.whole_lot ? "the lot" : plan::units_in_words(plan::units_in(*op));
    out += hanging("  " + padded(view.clock().time(op->start) + " to " + end, 15) + "  ",
                   view.name(op->step) + ", " + units + people_of(view, *op) + because_of(*op), width);
  }
  out += "\n" + hanging("Finish:   ", view.clock().full(s.finish), width);
  out += hanging("Takes:    ", in_words(s.makespan) + " by the clock, " + work_in_words(s.hands_on) + " hands-on",
                 width);
  out += hanging("Schedule: ", verdict(view.plan()), width);
  for (const auto& r : s.reliefs) {
    out += hanging("Shorter:  ", r.text + (r.saves ? " saves " + in_words(*r.saves) : " makes it possible"),
                   width);
  }
  return out;
}

}  // namespace

std::string of_spared(const plan::Work& work) {
  const bool clocks = std::any_of(work.constraints.begin(), work.constraints.end(), [](const plan::Constraint& c) { return c.max && *c.max > std::max(c.min, Duration(0)); });
  return clocks ? " that leaves time to spare before latest ends" : "";
}

std::string material_text(const plan::StepMaterial& m) {
  std::string out = m.name;
  if (!m.amount_unit.empty()) out += ": " + m.amount_unit + " a unit";
  if (!m.amount_lot.empty()) out += (m.amount_unit.empty() ? ": " : ", ") + m.amount_lot + " for the lot";
  return out;
}

std::string work_in_words(Duration work) {
  if (work < hours(24)) return in_words(work);
  const std::string minutes = work.seconds % 3600 < 60 ? "" : fmt::format(" {} min", work.seconds % 3600 / 60);
  return fmt::format("{} h{}", work.seconds / 3600, minutes);
}

std::string plan_as_text(const plan::Plan& plan, const TextOptions& options) {
  const View view(plan);
  std::string out = bold(head_line(plan.head), options) + "\n\n" + order_text(view, options);
  if (plan.schedule.operations.empty()) {
    out += "\n" + hanging("Schedule: ", verdict(plan), usable(options));
    return plan.schedule.clash.empty() ? out : out + clash_text(plan, options);
  }
  return out + schedule_text(view, options);
}

std::string findings_as_text(const plan::Plan& plan, const TextOptions& options) {
  const View view(plan);
  std::string out = bold(head_line(plan.head), options) + "\n\n";
  for (const auto& f : plan.findings) out += finding_text(view, f, options) + "\n";
  return out + tally(plan);
}

}  // namespace handlot::sheets
