#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "plan/units.h"
#include "sheets/sections.h"

namespace handlot::sheets {

namespace {

constexpr std::size_t kRowsListed = 12;  // more sub-batches share one row of empty boxes a page line

std::string edge_word(const plan::Event& event) {
  return event.edge == plan::Edge::start ? "start" : "end";
}

Instant moment_of(const plan::Wait& wait, const plan::Operation& op) {
  return wait.from.edge == plan::Edge::start ? op.start : op.end;
}

Instant first_start(const View& view, const plan::Wait& wait) {
  const auto& ops = view.operations(wait.from.step);
  Instant first = ops.empty() ? view.plan().schedule.finish : moment_of(wait, *ops.front());
  for (const auto* op : ops) first = std::min(first, moment_of(wait, *op));
  return first;
}

/// Something of the step is still to be done when the clock starts, as planned.
bool is_open(const View& view, const StepId& id, const plan::Wait& wait) {
  const auto& ops = view.operations(id);
  const Instant from = first_start(view, wait);
  return ops.empty() || std::any_of(ops.begin(), ops.end(), [&](const auto* op) { return op->end > from; });
}

std::string meanwhile_of(const View& view, const plan::Wait& wait) {
  std::vector<std::string> names;
  for (const auto& id : wait.meanwhile) {
    const bool own = id == wait.from.step || id == wait.to.step;
    if (is_open(view, id, wait)) names.push_back(view.name(id) + (own ? " on other units" : ""));
  }
  if (names.empty()) {
    return wait.min.seconds > 0
               ? "Meanwhile: no step of this job fits into this wait; rest, tidy, or leave the bench."
               : "";
  }
  return "Meanwhile: " + listed(names) + ".";
}

std::string late_of(const plan::Wait& wait) {
  if (!wait.if_late.empty()) return "If late: " + sentence(wait.if_late);
  if (wait.max) return "If late: stop and look before you go on; the limit was passed.";
  return "If late: nothing is lost, the wait has no latest end.";
}

std::string then_of(const View& view, const plan::Wait& wait) {
  return "Then: " + sentence(wait.then.empty() ? view.name(wait.to.step) : wait.then);
}

WaitRow row_of(const View& view, const plan::Wait& wait, const std::string& units, Instant start) {
  WaitRow row{units, view.clock().moment(start), "", ""};
  if (wait.min.seconds > 0) row.not_before = view.clock().moment(start + wait.min);
  if (const auto end = latest_end(wait, start)) row.not_after = view.clock().moment(*end);
  return row;
}

/// One clock for all units although the step that starts it is done unit by unit: a bag that is opened once.
bool one_for_the_lot(const View& view, const plan::Wait& wait) {
  const plan::Step* from = view.step(wait.from.step);
  return wait.scope == plan::Scope::lot && from && !from->timing.whole_lot;
}

WaitRow row_of_the_lot(const View& view, const plan::Wait& wait) {
  const Instant first = first_start(view, wait);
  WaitRow row = row_of(view, wait, "the lot", first);
  if (wait.min.seconds <= 0) return row;
  Instant last = first;
  for (const auto* op : view.operations(wait.from.step)) last = std::max(last, moment_of(wait, *op));
  row.not_before = view.clock().moment(last + wait.min);
  return row;
}

std::vector<WaitRow> rows_of(const View& view, const plan::Wait& wait) {
  std::vector<WaitRow> rows;
  const plan::Step* from = view.step(wait.from.step);
  const auto& ops = view.operations(wait.from.step);
  if (ops.empty()) return {{from && from->timing.whole_lot ? "the lot" : "all units", "", "", ""}};
  if (from && from->timing.whole_lot) return {row_of(view, wait, "the lot", moment_of(wait, *ops.front()))};
  if (one_for_the_lot(view, wait)) return {row_of_the_lot(view, wait)};
  const std::size_t listed_rows = std::min(ops.size(), kRowsListed);
  for (std::size_t i = 0; i < listed_rows; ++i) {
    rows.push_back(row_of(view, wait, (plan::units_in(*ops[i]).size() == 1 ? "unit " : "units ") + units_in_short(*ops[i]), moment_of(wait, *ops[i])));
  }
  if (ops.size() > listed_rows) {
    rows.push_back(
        {fmt::format("{} more: write the clock on the unit", ops.size() - listed_rows), "", "", ""});
  }
  return rows;
}

}  // namespace

std::optional<Instant> latest_end(const plan::Wait& wait, Instant start) {
  if (!wait.max) return wait.latest;
  return wait.latest ? std::min(*wait.latest, start + *wait.max) : start + *wait.max;
}

std::string once_for_the_lot(const View& view, const plan::Wait& wait) {
  if (wait.latest || !one_for_the_lot(view, wait)) return "";
  if (wait.min.seconds <= 0) return ", once for the whole lot, with the first unit";
  return wait.max ? ", once for the whole lot, 'not before' with the last unit, 'not after' with the first" : ", once for the whole lot, with the last unit";
}

bool same_clock(const plan::Wait& a, const plan::Wait& b) {
  return a.from == b.from && a.what == b.what && a.min == b.min && a.max == b.max && a.latest == b.latest && a.scope == b.scope && a.if_late == b.if_late;
}

std::string wait_span(const View& view, const plan::Wait& wait) {
  std::string out;
  if (wait.min.seconds > 0) out = "not before " + in_words(wait.min);
  if (wait.latest || wait.max) {
    out += (out.empty() ? "not after " : ", not after ") +
           (wait.latest ? view.clock().moment(*wait.latest) : in_words(*wait.max));
  }
  return out.empty() ? "no wait" : out;
}

WaitLine wait_line(const View& view, const plan::Wait& wait) {
  WaitLine line;
  line.id = wait.id;
  line.text = wait.latest ? fmt::format("{}, {}, whenever this step begins: the clock ran before the lot began. {}",
                                        capital(wait.what), wait_span(view, wait), then_of(view, wait))
                          : fmt::format("Clock from the {} of this step{}: {}, {}. {}", edge_word(wait.from), once_for_the_lot(view, wait),
                                        wait.what, wait_span(view, wait), then_of(view, wait));
  line.meanwhile = meanwhile_of(view, wait);
  line.if_late = late_of(wait);
  return line;
}

WaitBox wait_box(const View& view, const plan::Wait& wait) {
  WaitBox box;
  box.id = wait.id;
  box.title = capital(wait.what);
  box.span = wait_span(view, wait);
  box.from = wait.latest ? "Ran already when the lot began; holds whenever " + view.name(wait.from.step) + " comes"
                         : fmt::format("Starts at the {} of {}", edge_word(wait.from), view.name(wait.from.step));
  if (wait.scope == plan::Scope::lot) {
    const std::string once = once_for_the_lot(view, wait);
    box.from += once.empty() ? ", whole lot" : once;
  }
  box.then = then_of(view, wait);
  box.meanwhile = meanwhile_of(view, wait);
  box.if_late = late_of(wait);
  box.source = describe(wait.source);
  box.has_min = wait.min.seconds > 0;
  box.has_max = wait.max || wait.latest;
  box.rows = rows_of(view, wait);
  return box;
}

Section wait_board(const View& view) {
  Section section{
      .id = "waits", .title = "Wait board: every clock of the lot", .short_title = "Waits", .notes = true};
  std::vector<const plan::Wait*> waits;
  for (const auto& w : view.plan().waits) waits.push_back(&w);
  std::stable_sort(waits.begin(), waits.end(), [&](const auto* a, const auto* b) {
    return first_start(view, *a) < first_start(view, *b);
  });
  if (waits.empty()) return section;
  section.blocks.push_back(
      Para{"Write the true start when a clock starts; add the time in bold for the other boxes. "
           "Small print is the plan.",
           Para::Style::body});
  for (const auto* w : waits) section.blocks.push_back(wait_box(view, *w));
  return section;
}

}  // namespace handlot::sheets
