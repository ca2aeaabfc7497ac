#include "record/state.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <memory>
#include <set>
#include <tuple>

#include <fmt/format.h>

#include "core/text.h"
#include "record/admit.h"
#include "record/meant.h"

namespace handlot::record {
namespace {

bool by_a_person(Kind kind) {
  return kind != Kind::clock && kind != Kind::heard && kind != Kind::plan;
}

constexpr int kAsWritten = 9;  // decimals: no value reads as its limit

Moment moment(const Event& line) {
  const double kept = may_be_kept(line.kind) ? line.value.value_or(0) : 0;
  return {line.seq, line.at.ran_ms, line.at.wall_ms, std::llround(1000 * kept)};
}

/// Step, unit and check of ticks and values that are struck through.
using StruckChecks = std::set<std::tuple<StepId, int, std::string>>;

/// Takes lines in, one after the other. Struck lines are left out by whoever feeds it.
class Fold {
 public:
  Fold(const plan::Plan& plan, State& state, StruckChecks struck)
      : plan_(plan), state_(state), struck_checks_(std::move(struck)) {}

  void take(const Event& line) {
    switch (line.kind) {
      case Kind::start:
        start(line);
        break;
      case Kind::leave:
        leave(line);
        break;
      case Kind::done:
        done(line);
        break;
      case Kind::tick:
      case Kind::value:
        check(line);
        break;
      case Kind::photo:
        cell(line).photos.push_back(line.item);
        break;
      case Kind::note:
        note(line);
        break;
      case Kind::scrap:
        scrap(line);
        break;
      case Kind::rework:
        rework(line);
        break;
      case Kind::lot_opened:
        state_.lots[line.item].push_back({line.text, moment(line), 0});
        break;
      case Kind::lot_used:
        use(line);
        break;
      case Kind::correction:
        break;
      case Kind::heard:
        heard(line);
        break;
      case Kind::pause:
        state_.paused = moment(line);
        break;
      case Kind::resume:
        state_.paused.reset();
        break;
      case Kind::plan:
        plan_change(line);
        break;
      case Kind::clock:
        clock(line);
        break;
      case Kind::settled:
        settle(state_.gaps, line.value.value_or(0));
        break;
      case Kind::times:
        state_.agreed_s[line.step] = line.value.value_or(0);
        break;
      case Kind::away:
        state_.away.push_back({ResourceId(line.item), moment(line), line.value.value_or(0)});
        break;
    }
    if (line.kind == Kind::pause || line.kind == Kind::clock) break_at_ = line.seq;
    if (line.kind != Kind::pause && line.kind != Kind::resume && by_a_person(line.kind))
      state_.paused.reset();
    boot_ = line.at.boot;
  }

 private:
  int home(const Event& line) const {
    const auto* step = find_step(plan_, line.step);
    return step ? home_unit(state_, *step, line.unit) : line.unit;
  }
  Cell& cell(const Event& line) { return state_.cells[{line.step, home(line)}]; }

  void start(const Event& line) {
    Cell& c = cell(line);
    c.stand = Stand::started;
    c.start = moment(line);
    c.leave.reset();
    excuse(c, line.text);
  }

  void leave(const Event& line) {
    Cell& c = cell(line);
    c.stand = Stand::running;
    c.leave = moment(line);
    hands_free(line, c);
  }

  void done(const Event& line) {
    Cell& c = cell(line);
    if (c.stand == Stand::started) hands_free(line, c);
    c.stand = Stand::done;
    c.done = c.last_done = moment(line);
    if (!c.start) c.start = c.done;
    c.done_event = line.id;
    excuse(c, outside(line.step, c) + line.text, line.text);
    c.again_because.clear();
    ++c.passes;
    const std::string why = struck_from_under(line, c);
    if (why.empty()) return;
    --c.passes;
    fall_back(c, why);
  }

  static void excuse(Cell& c, const std::string& words, const std::string& text) {
    if (!is_blank(text) && (c.because.empty() || c.because.back() != words)) c.because.push_back(words);
  }
  static void excuse(Cell& c, const std::string& text) { excuse(c, text, text); }

  static std::string with_unit(const Entry& entry) {
    return number(entry.value.value_or(0), kAsWritten) + (entry.asked.unit.empty() ? "" : " " + entry.asked.unit);
  }

  static std::string value_words(const Entry& entry) {
    return fmt::format("{} {} is outside {}", entry.asked.what, with_unit(entry), entry.asked.limit);
  }

  /// The values that a reason excuses: "gap 0.5 mm is outside 0.2 to 0.4 mm: ".
  std::string outside(const StepId& id, const Cell& c) const {
    std::string out;
    const auto* step = find_step(plan_, id);
    if (!step) return out;
    for (const auto& check : step->checks)
      if (const auto entry = c.checks.find(check.id); entry != c.checks.end() && !entry->second.within)
        out += (out.empty() ? "" : ", ") + value_words(entry->second);
    return out.empty() ? out : out + ": ";
  }

  /// A hold was passed on a line that is struck through since, and nothing else holds it up.
  std::string struck_from_under(const Event& line, const Cell& c) const {
    const auto* step = find_step(plan_, line.step);
    if (!step || struck_checks_.empty()) return "";
    for (const auto& check : step->checks) {
      if (!struck_checks_.count({line.step, line.unit, check.id})) continue;
      const auto entry = c.checks.find(check.id);
      if (step->hold && entry == c.checks.end())
        return fmt::format("what was written of '{}' is struck through", check.what);
      if (entry != c.checks.end() && !entry->second.within && is_blank(line.text))
        return value_words(entry->second);
    }
    return "";
  }

  /// What follows waits for it again.
  void fall_back(Cell& c, std::string why) {
    c.stand = Stand::again;
    c.again_because = std::move(why);
    c.start.reset();
    c.leave.reset();
    c.done.reset();
    c.done_event.clear();
  }

  /// The hands' part is over: one sample for all units that were begun together, from the first touch to the last. One by
  /// one, each would count the time of those before it, too.
  void hands_free(const Event& line, const Cell& c) {
    if (!c.start || break_at_ > c.start->seq) return;
    const Moment end = moment(line);
    const double seconds =
        static_cast<double>(touched_ms(end) - touched_ms(*c.start)) / 1000.0;
    const int units = ++begun_together_[{line.step, c.start->ran_ms}];
    if (seconds < 1 || others_in_hand(line.step, c)) return;
    state_.samples.push_back({line.step, units, seconds, line.seq});
  }

  bool others_in_hand(const StepId& step, const Cell& c) const {
    for (auto at = state_.cells.lower_bound({step, 0}); at != state_.cells.end() && at->first.first == step; ++at) {
      const Cell& other = at->second;
      const bool in_lot = at->first.second == 0 || state_.in_lot(at->first.second);
      if (&other != &c && in_lot && other.stand == Stand::started && other.start && other.start->ran_ms == c.start->ran_ms)
        return true;
    }
    return false;
  }

  void check(const Event& line) {
    const auto* step = find_step(plan_, line.step);
    const auto* check = step ? check_meant(*step, line) : nullptr;
    Entry entry{line.value, true, false, {}, line.id, moment(line)};
    if (check) entry.asked = record::asked(*check);
    if (const auto then = record::asked(line)) entry.asked = *then;
    if (line.value) entry.within = entry.asked.holds(*line.value);
    Cell& c = cell(line);
    if (step && !check) {
      c.gone.push_back(entry);
      return;
    }
    entry.early = step && !begun(c) && earlier_is_missing(*step, line);
    if (!entry.within) c.first_time_right = false;
    Entry& there = c.checks[check ? check->id : line.item];
    if (there.value) c.before.push_back(there);
    there = entry;
    if (c.stand == Stand::done && !entry.within) fall_back(c, value_words(entry));
  }

  static bool begun(const Cell& c) { return c.stand != Stand::open && c.stand != Stand::again; }

  bool earlier_is_missing(const plan::Step& step, const Event& line) const {
    const auto against = obstacles(plan_, state_, step, line.unit, plan::Edge::start, moment(line));
    return std::any_of(against.begin(), against.end(), [](const Obstacle& o) { return o.kind == Obstacle::Kind::order; });
  }

  void note(const Event& line) {
    if (line.step.empty())
      state_.notes.push_back(line.unit == 0 ? line.text : fmt::format("unit {}: {}", line.unit, line.text));
    else
      cell(line).notes.push_back(line.text);
  }

  UnitState* unit(int number) {
    return number >= 1 && number <= state_.lot ? &state_.units[static_cast<std::size_t>(number - 1)]
                                               : nullptr;
  }

  void scrap(const Event& line) {
    if (auto* u = unit(line.unit)) {
      u->scrapped = true;
      u->scrapped_because = line.text;
      u->scrapped_at = moment(line);
    }
    if (!line.step.empty()) cell(line).first_time_right = false;
  }

  void rework(const Event& line) {
    if (auto* u = unit(line.unit)) ++u->reworks;
    undo(line.step, line.unit, line.text, true);
    cell(line).first_time_right = false;
    for (const int n : reached(line.step, line.unit)) state_.cells[{line.step, n}].faults.push_back(line.text);
    const std::string why = "step '" + line.step.text + "' is reworked: " + line.text;
    for (const StepId& later : downstream(plan_, line.step)) undo(later, line.unit, why, false);
  }

  /// Rework of the whole lot (unit 0) reaches every unit.
  std::vector<int> reached(const StepId& id, int number) const {
    const auto* step = find_step(plan_, id);
    return number != 0 || !step || step->timing.whole_lot ? std::vector<int>{number} : state_.good_units();
  }

  void undo(const StepId& id, int number, const std::string& why, bool even_if_open) {
    for (const int n : reached(id, number)) undo_cell(id, n, why, even_if_open);
  }

  void undo_cell(const StepId& id, int number, const std::string& why, bool even_if_open) {
    const auto* step = find_step(plan_, id);
    const auto* now = step ? cell_of(state_, *step, number) : nullptr;
    const Cell before = now ? *now : Cell{};
    if (before.stand == Stand::open && !even_if_open) {
      if (const auto own = state_.cells.find({id, number}); own != state_.cells.end()) own->second.checks.clear();
      return;
    }
    Cell fresh;
    fresh.stand = Stand::again;
    fresh.again_because = why;
    fresh.passes = before.passes;
    fresh.last_done = before.last_done;
    fresh.first_time_right = before.first_time_right;
    fresh.because = before.because;
    fresh.before = before.before;
    for (const auto& [check, entry] : before.checks)
      if (entry.value) fresh.before.push_back(entry);
    fresh.faults = before.faults;
    fresh.photos = before.photos;
    fresh.notes = before.notes;
    state_.cells[{id, number}] = fresh;
  }

  void use(const Event& line) {
    auto& lots = state_.lots[line.item];
    auto at =
        std::find_if(lots.begin(), lots.end(), [&](const MaterialLot& l) { return l.lot == line.text; });
    if (at == lots.end()) at = lots.insert(lots.end(), {line.text, moment(line), 0});
    at->used += line.value.value_or(0);
  }

  void heard(const Event& line) {
    Heard h;
    if (line.value.value_or(0) > 0) {
      h.again_after = moment(line);
      h.again_s = *line.value;
    }
    state_.heard[line.item] = h;
  }

  void plan_change(const Event& line) {
    state_.plan = line.item;
    for (int n = 1; n <= state_.lot; ++n)
      if (line.unit == 0 || line.unit == n) {
        unit(n)->plan = line.item;
        unit(n)->revision = line.text;
      }
  }

  /// A clock set back while the machine ran took no time: nothing is open then, unless it takes back an
  /// earlier jump.
  void clock(const Event& line) {
    Gap gap{line.seq, line.at.ran_ms, line.at.wall_ms, line.value.value_or(0), false, 0, 0};
    double open = 0;
    for (const Gap& g : state_.gaps)
      if (!g.settled) open += g.claimed_s;
    if (gap.claimed_s < 0 && open <= 0 && line.at.boot == boot_) gap.settled = true;
    state_.gaps.push_back(gap);
  }

  const plan::Plan& plan_;
  State& state_;
  std::string boot_;
  std::int64_t break_at_ = 0;
  std::map<std::pair<StepId, std::int64_t>, int> begun_together_;  ///< of those, how many are out of the hands
  const StruckChecks struck_checks_;
};

StruckChecks struck_checks(const std::vector<Event>& lines, const State& state) {
  StruckChecks out;
  for (const Event& line : lines)
    if ((line.kind == Kind::tick || line.kind == Kind::value) && state.struck.count(line.id))
      out.emplace(line.step, line.unit, line.item);
  return out;
}

State blank(const plan::Plan& plan) {
  State state;
  state.lot = std::max(1, plan.head.lot);
  state.units.resize(static_cast<std::size_t>(state.lot));
  return state;
}

}  // namespace

std::string_view word(Stand stand) {
  switch (stand) {
    case Stand::open:
      return "open";
    case Stand::started:
      return "in hand";
    case Stand::running:
      return "runs by itself";
    case Stand::done:
      return "done";
    case Stand::again:
      return "to do again";
  }
  return "";
}

std::vector<int> State::good_units() const {
  std::vector<int> out;
  for (int n = 1; n <= lot; ++n)
    if (in_lot(n)) out.push_back(n);
  return out;
}

struct Ledgerbook::Inside {
  plan::Plan plan;
  std::vector<Event> lines;
  State state;
  Meant meant;
  std::unique_ptr<Fold> fold;

  void take(const Event& line) {
    state.seq = line.seq;
    state.ids[line.id] = line.seq;
    if (stands_in(line)) return;
    if (!state.struck.count(line.id)) return fold->take(line);
    if (const auto other = meant.instead_of(line)) fold->take(*other);
  }

  /// The last line of a person that nobody struck; looked for from the end, where it nearly always stands.
  void find_last() {
    const auto last = std::find_if(lines.rbegin(), lines.rend(), [&](const Event& line) {
      return by_a_person(line.kind) && !state.struck.count(line.id);
    });
    state.last = last == lines.rend() ? std::nullopt : std::optional(*last);
  }

  void start_over() {
    state = blank(plan);
    for (const Event& line : lines)
      if (line.kind == Kind::correction) state.struck[line.target] = line.id;
    meant = Meant(lines, state.struck);
    fold = std::make_unique<Fold>(plan, state, struck_checks(lines, state));
    state.ids.reserve(lines.size());
    for (const Event& line : lines) take(line);
    find_last();
  }
};

Ledgerbook::Ledgerbook(const plan::Plan& plan) : inside_(std::make_unique<Inside>()) {
  inside_->plan = plan;
  inside_->start_over();
}
Ledgerbook::~Ledgerbook() = default;
Ledgerbook::Ledgerbook(Ledgerbook&&) noexcept = default;
Ledgerbook& Ledgerbook::operator=(Ledgerbook&&) noexcept = default;

void Ledgerbook::load(std::vector<Event> lines) {
  inside_->lines = std::move(lines);
  inside_->start_over();
}

void Ledgerbook::add(const Event& line) {
  assert(line.seq == inside_->state.seq + 1);
  inside_->lines.push_back(line);
  if (line.kind == Kind::correction || stands_in(line)) {
    inside_->start_over();
    return;
  }
  inside_->take(line);
  inside_->find_last();
}

void Ledgerbook::cut_to(std::int64_t seq) {
  auto& lines = inside_->lines;
  const auto gone = std::find_if(lines.begin(), lines.end(), [&](const Event& e) { return e.seq > seq; });
  if (gone == lines.end()) return;
  lines.erase(gone, lines.end());
  inside_->start_over();
}

void Ledgerbook::set_plan(const plan::Plan& plan) {
  inside_->plan = plan;
  inside_->start_over();
}

const State& Ledgerbook::state() const {
  return inside_->state;
}
const std::vector<Event>& Ledgerbook::lines() const {
  return inside_->lines;
}

State derive(const plan::Plan& plan, std::span<const Event> lines) {
  Ledgerbook book(plan);
  book.load({lines.begin(), lines.end()});
  return book.state();
}

int home_unit(const State& state, const plan::Step& step, int unit) {
  if (!step.timing.whole_lot || unit == 0) return step.timing.whole_lot ? 0 : unit;
  return state.cells.count({step.id, unit}) ? unit : 0;
}

const Cell* cell_of(const State& state, const plan::Step& step, int unit) {
  const auto found = state.cells.find({step.id, home_unit(state, step, unit)});
  return found == state.cells.end() ? nullptr : &found->second;
}

bool is_melted(const plan::Plan& plan, const State& state, const StepId& print, int unit, const Moment& printed) {
  return std::any_of(plan.work.constraints.begin(), plan.work.constraints.end(), [&](const plan::Constraint& link) {
    if (link.from.step != print || link.reason.kind != plan::ReasonKind::paste) return false;
    const auto* oven = find_step(plan, link.to.step);
    const Cell* cell = oven && oven->process == "reflow" ? cell_of(state, *oven, unit) : nullptr;
    return cell && cell->last_done && cell->last_done->seq > printed.seq;
  });
}

bool is_done(const State& state, const plan::Step& step, int unit) {
  const Cell* cell = cell_of(state, step, unit);
  return cell && cell->stand == Stand::done;
}

}  // namespace handlot::record
