#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/text.h"
#include "job/station_use.h"
#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;

/// What stands for longer than anybody is at it, on a table where as many lie as there are, is in nobody's way there.
bool lies_aside(const Facts& facts, const job::Step& step, const job::Station& station) {
  const Duration hands = step.setup + (step.hands_on ? step.run * (step.run_per_unit ? facts.job.units : 1) : Duration(0));
  return job::is_laid_out_on(station, facts.cards) && job::lies_alone(step) && step.unattended > hands && !station.together && station.change_over.seconds == 0;
}

plan::Timing timing_of(const Facts& facts, const job::Step& step, const rules::Yield& yield) {
  plan::Timing t;
  t.whole_lot = step.whole_lot;
  t.setup = step.setup;
  t.run = step.run;
  t.run_per_unit = step.run_per_unit;
  t.unattended = step.unattended;
  t.hands_on = step.hands_on && (step.setup.seconds > 0 || step.run.seconds > 0);
  t.may_pause = step.may_pause;
  t.people = step.people;
  t.batch_min = step.batch_min;
  t.batch_max = step.batch_max;
  t.material_family = step.material_family;
  for (const auto& most : yield.at_most) {
    if (most.step == step.id) t.batch_max = std::min(t.batch_max == 0 ? facts.job.units : t.batch_max, most.units);
  }
  if (job::takes_its_station(step)) {
    plan::Use use;
    use.resource = step.station;
    use.count = step.takes_places;
    const job::Station* station = facts.job.station(step.station);
    use.per_unit = station != nullptr && job::places_for_each_unit(step, *station, facts.cards);
    if (station != nullptr && !use.per_unit && lies_aside(facts, step, *station)) use.count = 0;
    t.uses.push_back(use);
  }
  for (const auto& held : yield.held) {
    if (held.step == step.id) t.uses.push_back(held.use);
  }
  const catalogue::Card& process = facts.process(step);
  const bool repeats = facts.job.units > 1 && !step.whole_lot;
  const bool risky = step.irreversible || process.yes("irreversible") || step.orientation_critical;
  t.first_piece = repeats && step.first_piece.value_or(risky && !step.checks.empty());
  return t;
}

std::string weighed(double grams) { return grams < 1 ? fmt::format("{} mg", number(grams * 1000, 1)) : fmt::format("{} g", number(grams, 2)); }

std::string poured(double ml) { return ml < 1 ? fmt::format("{} mm3", number(ml * 1000, 1)) : fmt::format("{} ml", number(ml, 2)); }

std::string cut(double mm) { return mm < 1000 ? fmt::format("{} mm", number(mm, 1)) : fmt::format("{} m", number(mm / 1000, 3)); }

std::string drops_in(double grams, const catalogue::Card& card) {
  const auto drop = card.get<Grams>("drop");
  if (!drop) return {};
  const long drops = static_cast<long>(grams / drop->high.value + 0.999);
  return fmt::format(" ({})", counted(std::max(1L, drops), "drop", "drops"));
}

std::string so_often(int times, const std::string& what) { return times == 1 ? what : fmt::format("{} × {}", times, what); }

/// One piece after the other as the hands take them; empty where the job says no amount.
std::string amount_of_unit(const job::MaterialUse& use, const catalogue::Card& card) {
  const int pieces = use.pieces.value_or(1);
  if (use.mass) return so_often(pieces, weighed(use.mass->value / pieces) + drops_in(use.mass->value / pieces, card));
  if (use.volume) return so_often(pieces, poured(use.volume->value / pieces / 1000));
  if (use.length) return so_often(pieces, cut(use.length->value / pieces));
  return use.pieces ? counted(pieces, "piece", "pieces") : std::string();
}

/// What is weighed or poured for the lot comes out of one vessel: all at once.
std::string amount_of_lot(const job::MaterialUse& use, int units) {
  const int pieces = use.pieces.value_or(1);
  if (use.mass) return weighed(use.mass->value * units);
  if (use.volume) return poured(use.volume->value * units / 1000);
  if (use.length) return so_often(pieces * units, cut(use.length->value / pieces));
  return use.pieces ? counted(static_cast<long>(pieces) * units, "piece", "pieces") : std::string();
}

void add_parts(const Facts& facts, const job::Step& step, plan::Step& out) {
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    plan::StepPart p;
    p.part = i.part;
    p.count = i.count > 0 ? i.count : part != nullptr ? part->count : 1;
    p.name = called(facts, i.part);
    const std::size_t n = out.parts.size();
    p.callout = n < 26 ? std::string(1, static_cast<char>('A' + n)) : fmt::format("{}", n + 1);
    out.parts.push_back(std::move(p));
  }
}

void add_tools(const Facts& facts, const job::Step& step, plan::Step& out) {
  for (const job::ToolUse& t : step.tools) {
    out.tools.push_back({t.card.empty() ? t.name : facts.card(t.card).name, t.setting});
  }
  if (const job::Station* s = facts.job.station(step.station)) out.tools.push_back({s->name, ""});
}

void add_materials(const Facts& facts, const job::Step& step, plan::Step& out) {
  std::vector<job::MaterialUse> all = step.materials;
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    for (const CardId& card : {joint.adhesive, joint.activator}) {
      const bool named = card.empty() || std::any_of(all.begin(), all.end(), [&](const job::MaterialUse& u) { return u.card == card; });
      if (!named && (card == joint.adhesive || step.process.text == "activate")) all.push_back({card, {}, {}, {}, {}, {}, joint.place});
    }
  }
  for (const job::MaterialUse& use : all) {
    const catalogue::Card& card = facts.card(use.card);
    const std::string one = amount_of_unit(use, card);
    if (step.whole_lot) out.materials.push_back({use.card, card.name, "", one});
    else out.materials.push_back({use.card, card.name, one, facts.job.units == 1 ? one : amount_of_lot(use, facts.job.units)});
  }
}

void add_checks(const job::Step& step, plan::Step& out) {
  for (const job::CheckLine& c : step.checks) {
    plan::Check check;
    check.id = c.id;
    check.what = c.what;
    check.value = c.value;
    check.weighs = c.weighs;
    check.unit = c.unit;
    if (c.limit) {
      check.low = c.limit->low;
      check.high = c.limit->high;
      const std::string unit = c.unit.empty() ? "" : " " + c.unit;
      constexpr int kAsWritten = 9;  // decimals
      const std::string low = number(c.limit->low, kAsWritten), high = number(c.limit->high, kAsWritten);
      check.limit = c.limit->low == c.limit->high ? low + unit : fmt::format("{} to {}{}", low, high, unit);
    }
    out.checks.push_back(std::move(check));
  }
}

std::string state_text(const Facts& facts, const job::StateOf& s) {
  std::string text = s.state.text;
  std::replace(text.begin(), text.end(), '-', ' ');
  return s.of.empty() ? text : fmt::format("{}: {}", called(facts, s.of), text);
}

std::string face_text(const Facts& facts, const job::FaceState& f) {
  std::string text = called(facts, f.part);
  if (!f.face.empty()) text += ", " + f.face;
  text += ": " + f.state;
  if (f.within) text += fmt::format(", no longer than {} before", in_words(*f.within));
  return text;
}

/// What the step asks for and leaves behind, as its builder wrote it; what a process implies stands under "why".
void add_states(const Facts& facts, const job::Step& step, plan::Step& out) {
  for (const job::StateOf& s : step.needs) out.needs.push_back(state_text(facts, s));
  for (const job::FaceState& f : step.face_needs) out.needs.push_back(face_text(facts, f));
  for (const job::JointNeed& j : step.joint_needs) {
    std::vector<std::string> members;
    for (const PartId& p : facts.job.joint(j.joint)->between) {
      // Copies of one part, glued to each other, are named once.
      if (const std::string name = called(facts, p); std::find(members.begin(), members.end(), name) == members.end()) members.push_back(name);
    }
    out.needs.push_back(fmt::format("bond of {}: {} strength", listed(members), job::word(j.cure)));
  }
  for (const job::StateOf& s : step.gives) out.gives.push_back(state_text(facts, s));
  for (const job::FaceState& f : step.face_gives) out.gives.push_back(face_text(facts, f));
  for (const job::StateOf& s : step.takes) out.takes.push_back(state_text(facts, s));
}

/// How many of each part that comes in numbers; of many kinds, how many in all.
std::string reminder_of(const Facts& facts, const job::Step& step, const plan::Step& out) {
  constexpr std::size_t kMostKinds = 3;
  if (!step.reminder.empty()) return step.reminder;
  std::vector<PartId> order;
  std::map<PartId, int> counts;
  int all = 0;
  for (const plan::StepPart& p : out.parts) {
    if (!counts.contains(p.part)) order.push_back(p.part);
    counts[p.part] += p.count;
    all += p.count;
  }
  std::vector<std::string> several;
  for (const PartId& id : order) {
    const job::Part* part = facts.job.part(id);
    const int here = counts[id], whole = part == nullptr ? here : std::max(here, part->count);
    if (here > 1) several.push_back(fmt::format("{} of {} {}", here, here < whole ? fmt::format("the {}", whole) : std::to_string(whole), called(facts, id)));
  }
  return several.size() > kMostKinds ? fmt::format("{0} of {0} parts", all) : several.empty() ? std::string{} : listed(several);
}

/// As the job says, else the process. Where it forbids it for its clock alone, as long as none that the step starts ends
/// with the shop day: a jar that stays good for weeks may wait. Twelve hours a day, common practice.
bool may_be_left(const job::Step& step, const catalogue::Card& process, std::span<const plan::Constraint> links) {
  constexpr Duration kShopDay = hours(12);
  const std::string word = process.word_or("stop-after", "yes");
  if (step.safe_to_stop || word != "clock") return step.safe_to_stop.value_or(word == "yes");
  return std::none_of(links.begin(), links.end(), [&](const plan::Constraint& link) { return link.from.step == step.id && link.max && *link.max <= kShopDay; });
}

}  // namespace

std::string called(const Facts& facts, const PartId& id) {
  if (const job::Part* part = facts.job.part(id)) return part->name.empty() ? facts.card(part->card).name : part->name;
  const job::Assembly* assembly = facts.job.assembly(id);
  return assembly == nullptr || assembly->name.empty() ? id.text : assembly->name;
}

plan::Step step_of(const Facts& facts, const job::Step& step, int number, const rules::Yield& yield) {
  const catalogue::Card& process = facts.process(step);
  plan::Step out;
  out.id = step.id;
  out.number = number;
  out.title = step.title;
  out.process = step.process.text;
  out.place = step.place;
  const std::vector<PartId> around = facts.job.around(step.on);
  if (const job::Assembly* own = facts.job.assembly(step.on)) {
    out.section = own->name;
  } else if (!around.empty()) {
    out.section = facts.job.assembly(around.front())->name;
  }
  out.timing = timing_of(facts, step, yield);
  add_parts(facts, step, out);
  add_tools(facts, step, out);
  add_materials(facts, step, out);
  out.actions = step.actions;
  add_checks(step, out);
  add_states(facts, step, out);
  for (const auto& told : yield.hints) {
    if (told.step == step.id) out.hints.push_back(told.hint);
  }
  out.orientation = step.orientation;
  out.irreversible = step.irreversible || process.yes("irreversible");
  out.hold = step.hold;
  out.safe_to_stop = may_be_left(step, process, yield.links);
  out.stop_note = step.stop_note.empty() && !out.safe_to_stop ? process.word_or("stop-note") : step.stop_note;
  out.reminder = reminder_of(facts, step, out);
  return out;
}

}  // namespace handlot::pipeline
