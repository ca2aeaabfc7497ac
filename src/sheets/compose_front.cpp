#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "sheets/sections.h"
#include "sheets/text.h"

namespace handlot::sheets {

namespace {

std::string serials_of(const plan::Head& head) {
  if (head.serials.empty()) return "";
  if (head.serials.size() == 1) return head.serials.front();
  return head.serials.front() + " to " + head.serials.back();
}

std::string quality_of(const plan::Plan& plan) {
  const plan::Schedule& s = plan.schedule;
  switch (s.status) {
    case plan::Schedule::Status::optimal:
      return fmt::format("the shortest there is{} (proven)", of_spared(plan.work));
    case plan::Schedule::Status::feasible:
      return fmt::format("at most {} longer than the shortest there can be{}", in_words(s.makespan - s.bound), of_spared(plan.work));
    case plan::Schedule::Status::infeasible:
      return "there is no schedule: see the findings";
    case plan::Schedule::Status::stopped:
      return "none found within " + s.stopped_by;
  }
  return "";
}

std::string room_of(const plan::Head& head) {
  std::string out;
  if (head.room_temperature) out = number(head.room_temperature->value, 1) + " °C";
  if (head.room_humidity) out += (out.empty() ? "" : ", ") + number(head.room_humidity->value, 0) + " % RH";
  if (!out.empty()) out += " as planned; today: ______ °C ______ % RH";
  return out;
}

Facts facts_of(const View& view) {
  const plan::Plan& plan = view.plan();
  Facts facts;
  const auto say = [&](std::string name, std::string value) {
    if (!value.empty()) facts.rows.emplace_back(std::move(name), std::move(value));
  };
  say("Device", plan.head.name + (plan.head.revision.empty() ? "" : ", revision " + plan.head.revision));
  say("Lot", counted(plan.head.lot, "unit", "units"));
  say("Serials", serials_of(plan.head));
  say("Builder", plan.head.builder);
  say("Plan", plan.head.hash + (plan.head.file.empty() ? "" : " from " + plan.head.file));
  if (!plan.schedule.operations.empty()) {
    say("Starts", view.clock().full(plan.schedule.start));
    say("Finished", view.clock().full(plan.schedule.finish));
    say("Takes", in_words(plan.schedule.makespan) + " by the clock, " + work_in_words(plan.schedule.hands_on) +
                     " of hands-on work");
  }
  say("Schedule", quality_of(plan));
  say("Room", room_of(plan.head));
  return facts;
}

Table documents_of(const plan::Head& head) {
  Table table{"Documents and hardware to verify",
              {{"Verified", 1.1}, {"Document or hardware", 3}, {"Must be", 2}, {"Found", 2}},
              {},
              true};
  const auto row = [&](const std::string& name, const std::string& revision) {
    table.rows.push_back({{"", Cell::Form::tick, ""},
                          {name, Cell::Form::text, ""},
                          {revision, Cell::Form::strong, ""},
                          {"", Cell::Form::blank, ""}});
  };
  row("this sheet", "plan " + head.hash);
  for (const auto& d : head.documents) row(d.name, d.revision);
  return table;
}

/// What happens on one day of the plan.
struct Day {
  std::vector<const plan::Step*> begun;  ///< in the order of their first start
  std::set<StepId> gone_on_with;         ///< begun on a day before
  Duration hands{0};
  std::vector<std::string> ends;
};

void add_waits(const View& view, std::map<Instant, Day>& days) {
  for (const auto& wait : view.plan().waits) {
    if (wait.min < hours(1)) continue;  // shorter ones are for the wait board
    const auto& ops = view.operations(wait.from.step);
    if (ops.empty()) continue;
    const plan::Operation* last =
        *std::max_element(ops.begin(), ops.end(), [](auto* a, auto* b) { return a->end < b->end; });
    const Instant done = (wait.from.edge == plan::Edge::start ? last->start : last->end) + wait.min;
    days[view.clock().midnight(done)].ends.push_back(view.clock().time(done) + " " + wait.what);
  }
}

/// "10 to 30, 160, 40": what follows each other in the sheet too is drawn together.
std::string numbers_of(const std::vector<const plan::Step*>& steps) {
  std::string out;
  for (std::size_t i = 0, next = 0; i < steps.size(); i = next) {
    for (next = i + 1; next < steps.size() && steps[next] == steps[next - 1] + 1;) ++next;
    const int first = steps[i]->number, last = steps[next - 1]->number;
    if (!out.empty()) out += ", ";
    if (next - i < 3) out += next - i == 1 ? fmt::format("{}", first) : fmt::format("{}, {}", first, last);
    else out += fmt::format("{} to {}", first, last);
  }
  return out;
}

std::string work_of(const Day& day) {
  const std::string begun = numbers_of(day.begun);
  if (day.gone_on_with.empty()) return begun.empty() ? "none" : begun;
  return fmt::format("{}{} {} on", begun.empty() ? "" : begun + "; ", day.gone_on_with.size(), day.gone_on_with.size() == 1 ? "goes" : "go");
}

Table days_of(const View& view) {
  std::map<Instant, Day> days;
  std::map<StepId, Instant> begun;
  for (const auto& op : view.plan().schedule.operations) {
    const Instant date = view.clock().midnight(op.start);
    Day& day = days[date];
    const auto [first, now] = begun.emplace(op.step, date);
    if (now && view.step(op.step) != nullptr) day.begun.push_back(view.step(op.step));
    if (first->second != date) day.gone_on_with.insert(op.step);
    day.hands += op.hands_on;
  }
  add_waits(view, days);
  Table table{"What happens on which day",
              {{"Day", 1.5},
               {"Steps begun, in turn", 3.4},
               {"Hands-on", 1.5},
               {"Long waits that end (last unit)", 4.0}},
              {},
              false};
  for (const auto& [at, day] : days) {
    std::sort(const_cast<Day&>(day).ends.begin(), const_cast<Day&>(day).ends.end());
    std::string ends;
    for (const auto& end : day.ends) ends += (ends.empty() ? "" : "; ") + end;
    table.rows.push_back({{view.clock().day(at), Cell::Form::strong, ""},
                          {work_of(day), Cell::Form::text, ""},
                          {day.hands.seconds > 0 ? work_in_words(day.hands) : "none", Cell::Form::text, ""},
                          {ends, Cell::Form::text, ""}});
  }
  return table;
}

void add_stops(const View& view, Section& section) {
  long stops = 0;
  for (const auto& f : view.plan().findings) {
    if (f.severity == plan::Severity::stop && !f.waived_because) ++stops;
  }
  if (stops == 0) return;
  section.blocks.push_back(
      Para{"DO NOT BUILD FROM THIS SHEET: " + counted(stops, "finding stops", "findings stop") +
               " the build. They stand on the page of findings, each with what would mend it.",
           Para::Style::lead});
}

}  // namespace

Section front(const View& view) {
  const plan::Plan& plan = view.plan();
  Section section{.id = "front", .title = "Build sheet", .short_title = "Front", .new_page = false};
  add_stops(view, section);
  section.blocks.push_back(facts_of(view));
  section.blocks.push_back(Subheading{"First tick: documents and hardware"});
  section.blocks.push_back(documents_of(plan.head));
  if (Table days = days_of(view); !days.rows.empty()) {
    section.blocks.push_back(Subheading{"What is ready when"});
    section.blocks.push_back(std::move(days));
  }
  if (!plan.head.notes.empty()) {
    section.blocks.push_back(Subheading{"Notes"});
    section.blocks.push_back(Para{plan.head.notes, Para::Style::body});
  }
  section.blocks.push_back(
      Para{"Wrong entry: one line through it, initials and date; nothing is erased. Every box is either true "
           "or empty. "
           "Local codes and licensed practice come before this sheet.",
           Para::Style::small});
  return section;
}

}  // namespace handlot::sheets
