// A boss has the core hole and the wall that its screw or insert wants.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"
#include "rules/screw_shapes.h"
#include "rules/shape_facts.h"
#include "shapes/round_pair.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "screw-hole";

void say(const Facts& facts, const job::Part& part, plan::Severity severity, const PartId& other, std::string message, std::string mend, Yield& yield) {
  plan::Finding f = about_parts(kRule, severity, {part.id, other}, std::move(message), std::move(mend), part.place);
  f.source = practice();
  if (const job::Step* step = facts.job.installer(part.id)) f.steps = {step->id};
  yield.findings.push_back(std::move(f));
}

/// The narrowest outside about the line that is wider than `hole` and stands beside the stretch; none: no boss, but a block.
std::optional<Millimetres> outside_of(const Facts& facts, std::size_t body, shapes::Vec3 on, shapes::Vec3 axis, Millimetres low, Millimetres high, Millimetres hole) {
  std::optional<Millimetres> narrowest;
  for (const shapes::RoundWall& wall : shapes::walls_about(*facts.device->scene, body, false, on, axis)) {
    const double beside = (std::min(wall.high, high) - std::max(wall.low, low)).value;
    if (wall.diameter <= hole || beside < (high - low).value / 2) continue;
    if (!narrowest || wall.diameter < *narrowest) narrowest = wall.diameter;
  }
  return narrowest;
}

/// A screw that forms its thread in plastic: a core hole of 0.75 to 0.85 of its diameter, and a boss of twice as much outside; what
/// is far from both is told [practice].
void forming(const Facts& facts, const job::Part& screw, Millimetres diameter, Yield& yield) {
  constexpr double kWide = 0.92, kNarrow = 0.65, kBoss = 1.6;
  const std::string name = facts.name(screw.id), usual = fmt::format("{} to {} mm are usual", number(0.75 * diameter.value, 2), number(0.85 * diameter.value, 2));
  for (const SeatedScrew& s : seated(facts, screw)) {
    const auto layer = std::find_if(s.sits.layers.begin(), s.sits.layers.end(), [](const shapes::Layer& l) { return l.threaded && l.hole.value > 0; });
    if (layer == s.sits.layers.end()) continue;
    const PartId in = facts.device->part_of[layer->part];
    const double share = layer->hole / diameter;
    const std::string core = fmt::format("{} of {} mm forms its thread in a hole of {} mm in {}, and {}", name, number(diameter.value, 2), number(layer->hole.value, 2), facts.name(in), usual);
    const std::string mend = fmt::format("draw the core hole {} mm wide", number(0.8 * diameter.value, 2));
    // Wider than the screw itself, it bites nothing, which is said elsewhere.
    if (share > kWide && layer->hole.value <= diameter.value + 0.055) say(facts, screw, plan::Severity::warn, in, core + ": it bites little and strips", mend, yield);
    if (share < kNarrow) say(facts, screw, plan::Severity::warn, in, core + ": it splits the boss, or breaks", mend, yield);
    const auto boss = outside_of(facts, layer->part, s.sits.seat, s.sits.down, layer->from, layer->to, layer->hole);
    if (boss && boss->value < kBoss * diameter.value) {
      say(facts, screw, plan::Severity::warn, in, fmt::format("{} of {} mm goes into a boss of {} that is {} mm wide outside: it splits", name, number(diameter.value, 2), facts.name(in), number(boss->value, 2)),
          fmt::format("make the boss twice as wide as the screw, {} mm", number(2 * diameter.value, 2)), yield);
    }
    if (share > kWide || share < kNarrow || (boss && boss->value < kBoss * diameter.value)) return;
  }
}

/// A stretch along a line.
struct Stretch {
  double low = 1e300, high = -1e300;
  double length() const { return high - low; }
};

/// Of all walls at least that wide: a hole that opens wider, an insert with collars.
Stretch stretch_of(const Facts& facts, std::size_t body, bool hollow, const shapes::RoundPair& about, double least) {
  Stretch all;
  for (const shapes::RoundWall& wall : shapes::walls_about(*facts.device->scene, body, hollow, about.at, about.axis)) {
    if (wall.diameter.value < least - 0.01) continue;
    all.low = std::min(all.low, wall.low.value);
    all.high = std::max(all.high, wall.high.value);
  }
  return all;
}

/// A hole often opens wider, for the insert to stand in before it is driven: what holds it is the hole that grips it longest, on a third of
/// its length at the least.
std::optional<shapes::RoundPair> gripped(const Facts& facts, std::size_t in, std::size_t body, const shapes::RoundPair& about) {
  constexpr double kRough = 0.05;  // mm: drawn as wide as the insert
  const Stretch own = stretch_of(facts, body, false, about, about.shaft.value * 0.7);
  std::optional<shapes::RoundPair> longest;
  for (const shapes::RoundWall& wall : shapes::walls_about(*facts.device->scene, in, true, about.at, about.axis)) {
    const double low = std::max(own.low, wall.low.value), high = std::min(own.high, wall.high.value);
    if (wall.diameter.value > about.shaft.value + kRough || high - low < own.length() / 3 || (longest && high - low <= longest->length.value)) continue;
    longest = shapes::RoundPair{wall.diameter, about.shaft, Millimetres(high - low), about.at + about.axis * ((low + high) / 2), about.axis};
  }
  return longest;
}

/// An insert that is melted into plastic: its hole is as deep as it is long, and the wall about it a fifth of its width, far less than
/// what makers ask for [practice]. Up to three tenths of it, 1.3 mm for M3, is worth a look: guides ask for 1.3 to 1.6 mm there.
void set_in_plastic(const Facts& facts, const job::Part& insert, std::size_t body, Yield& yield) {
  constexpr double kDeep = 0.3, kWall = 0.2, kGuide = 0.3;
  const auto seat = seat_of_insert(facts, insert, body);
  if (!seat || seat->pair.hole > seat->pair.shaft) return;
  const shapes::RoundPair& p = seat->pair;
  const std::string name = facts.name(insert.id), into = facts.name(insert.into);
  const Stretch hole = stretch_of(facts, seat->body, true, p, p.hole.value), own = stretch_of(facts, body, false, p, p.shaft.value * 0.7);
  if (own.length() > hole.length() + kDeep) {
    say(facts, insert, plan::Severity::warn, insert.into, fmt::format("{} is {} mm long, and its hole in {} {} mm deep: it stands out, or melts into the floor", name, number(own.length(), 2), into, number(hole.length(), 2)),
        "deepen the hole, by a millimetre more than the insert is long", yield);
  }
  const auto boss = outside_of(facts, seat->body, p.at, p.axis, Millimetres(-p.length.value / 2), Millimetres(p.length.value / 2), p.shaft);
  const double wall = boss ? (*boss - p.shaft).value / 2 : 1e9;
  if (wall >= kWall * p.shaft.value && wall < kGuide * p.shaft.value - 0.01) {
    say(facts, insert, plan::Severity::note, insert.into, fmt::format("{} is {} mm wide, and {} leaves {} mm of wall about it; guides ask for about {} mm", name, number(p.shaft.value, 2), into, number(wall, 2), number(kGuide * p.shaft.value, 1)),
        "try one first, or make the boss wider", yield);
    yield.findings.back().source = {"", "guides of makers of inserts, 1.3 to 1.6 mm for M3", Standing::memory};
  }
  if (wall < kWall * p.shaft.value) {
    say(facts, insert, plan::Severity::warn, insert.into, fmt::format("{} is {} mm wide, and {} leaves {} mm of wall about it: it bulges or splits", name, number(p.shaft.value, 2), into, number(wall, 2)),
        fmt::format("make the boss {} mm wide or wider", number(p.shaft.value + 3, 1)), yield);
  }
}

bool plastic(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  return material != nullptr && material->word_or("family") == "plastic";
}

}  // namespace

std::optional<InsertSeat> seat_of_insert(const Facts& facts, const job::Part& insert, std::size_t body) {
  const auto width = facts.card(insert.card).get<Millimetres>("outer-diameter");
  std::optional<InsertSeat> seat;
  const auto better = [&](const InsertSeat& s) {
    if (!seat || s.grips != seat->grips) return !seat || s.grips;
    return std::abs((s.pair.hole - s.pair.shaft).value) < std::abs((seat->pair.hole - seat->pair.shaft).value);
  };
  for (const std::size_t in : facts.device->set_of(facts.job.within(insert.into)).list()) {
    auto nearest = in == body ? std::nullopt : shapes::round_pair(*facts.device->scene, in, body);
    if (!nearest) continue;
    if (width) nearest->shaft = width->high;
    const auto grip = gripped(facts, in, body, *nearest);
    const InsertSeat here{in, grip.value_or(*nearest), grip.has_value()};
    if (better(here)) seat = here;
  }
  return seat;
}

void boss_holds(const Facts& facts, const job::Part& part, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty() || part.into.empty() || facts.job.part(part.into) == nullptr || !plastic(facts, part.into)) return;
  const catalogue::Card& card = facts.card(part.card);
  if (card.kind == catalogue::CardKind::screw) {
    const auto diameter = card.get<Millimetres>("thread-diameter");
    if (card.word_or("head") == "thread-forming" && diameter) forming(facts, part, diameter->high, yield);
    return;
  }
  const bool set_in = card.kind == catalogue::CardKind::part && !card.word_or("thread").empty() && (part.into_kind.empty() || part.into_kind == "boss");
  const auto bodies = facts.device->bodies_of.find(part.id);
  if (!set_in || card.word_or("material") == "" || bodies == facts.device->bodies_of.end()) return;
  for (const std::size_t body : bodies->second) {
    const std::size_t before = yield.findings.size();
    set_in_plastic(facts, part, body, yield);
    if (yield.findings.size() > before) return;
  }
}

}  // namespace handlot::rules
