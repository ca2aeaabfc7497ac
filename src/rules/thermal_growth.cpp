// Two materials that grow differently tear a rigid bond when it is warmed or cooled after it has set.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "joints/expansion.h"
#include "rules/bond_reach.h"
#include "rules/heat.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

// In use from a cold to a hot room, common practice.
constexpr Celsius kColdest{0}, kHottest{40};

struct Swing {
  Kelvin change;
  const job::Step* hot = nullptr;  ///< the step that brings it; null = in use
};

/// The largest change of temperature that the bond sees once it is made: in use, or in a later hot step.
Swing swing_after(const Facts& facts, const KnownOrder& order, const job::Step& glue, const job::Joint& joint) {
  const Celsius room = facts.job.bench.temperature.value_or(Celsius(20));
  Swing most{std::max(room - kColdest, kHottest - room), nullptr};
  for (const job::Step& later : facts.job.steps) {
    if (&later == &glue || order.before(later.id, glue.id)) continue;
    const auto heat = heat_of(facts, later);
    if (!heat || heat->reach == "touched") continue;
    const std::set<PartId> reached = worked_on(facts, later);
    const bool both = std::all_of(joint.between.begin(), joint.between.end(), [&](const PartId& p) { return reached.contains(p) || same_or_within(facts, p, later.on); });
    if (both && heat->temperature - room > most.change) most = {heat->temperature - room, &later};
  }
  return most;
}

/// A face by its longer and its shorter side.
struct Face {
  Millimetres length, width;
};

std::optional<Face> by_card(const Facts& facts, const PartId& part) {
  if (facts.job.part(part) == nullptr) return std::nullopt;
  const auto length = facts.card_of(part).get<Millimetres>("length"), width = facts.card_of(part).get<Millimetres>("width");
  if (!length || !width) return std::nullopt;
  return Face{std::max(length->high, width->high), std::min(length->high, width->high)};
}

/// The longest two sides of what both parts share, seen along the axes of the first.
std::optional<Face> by_shapes(const Facts& facts, const PartId& a, const PartId& b) {
  auto shared = shared_by_shapes(facts, a, b);
  if (!shared) return std::nullopt;
  std::sort(shared->along.begin(), shared->along.end());
  return Face{shared->along[2], shared->along[1]};
}

/// The smaller of two faces, or the one that is known.
std::optional<Face> smaller(const std::optional<Face>& a, const std::optional<Face>& b) {
  if (!a || !b) return a ? a : b;
  return Face{std::min(a->length, b->length), std::min(a->width, b->width)};
}

std::optional<Millimetres> reach(const Facts& facts, const job::Joint& joint, const PartId& a, const PartId& b) {
  if (joint.span) return joint.span;
  auto face = smaller(by_shapes(facts, a, b), by_shapes(facts, b, a));
  if (!face) face = smaller(by_card(facts, a), by_card(facts, b));
  if (!face) return std::nullopt;
  return reach_on_face(joint, face->length, face->width);
}

void judge(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& a, const PartId& b, const Swing& swing, Yield& yield) {
  const catalogue::Card *ma = material_of(facts, a), *mb = material_of(facts, b);
  if (ma == nullptr || mb == nullptr || ma == mb || wooden(facts, a) || wooden(facts, b)) return;
  if (ma->word_or("family") == "rubber" || mb->word_or("family") == "rubber") return;
  const auto ea = ma->get<PerKelvin>("expansion"), eb = mb->get<PerKelvin>("expansion");
  const auto across = reach(facts, joint, a, b);
  if (!ea || !eb || !across) return;
  const Millimetres difference = std::max(joints::mismatch(*across, ea->high, eb->low, swing.change), joints::mismatch(*across, ea->low, eb->high, swing.change));
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const bool gives = !rigid(adhesive);
  const auto film = joint.gap.value_or(Millimetres(0.1));
  const auto verdict = joints::across_bond(difference, gives, film);
  if (verdict == joints::BondMovement::bears) return;
  const bool parts = verdict == joints::BondMovement::parts;
  const std::string follows = gives ? fmt::format("follows {} mm of it", number(joints::flexible_bears(film).value, 2)) : "does not give";
  const std::string where = swing.hot == nullptr ? "in use" : fmt::format("in {}", say(*swing.hot));
  auto f = finding("thermal-growth", parts ? plan::Severity::stop : plan::Severity::warn, glue,
                   fmt::format("{} and {} differ by {} mm over {} mm when {} K away {}, and bond '{}' ({}) {}", facts.name(a), facts.name(b),
                               number(difference.value, 2), number(across->value, 0), number(swing.change.value, 0), where, joint.id.text, adhesive.name, follows),
                   gives ? fmt::format("make the film {} mm thick, the bond shorter, or heat before gluing", number(joints::flexible_film_for(difference).value, 1)) : "take a flexible adhesive, a shorter bond, or heat before gluing", ea->source);
  f.parts = {a, b};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void thermal_growth(const Facts& facts, const KnownOrder& order, const job::Step& glue, Yield& yield) {
  for (const JointId& id : glue.bonds) {
    const job::Joint joint = as_it_runs(facts, *facts.job.joint(id));
    const Swing swing = swing_after(facts, order, glue, joint);
    for (std::size_t i = 0; i < joint.between.size(); ++i) {
      for (std::size_t j = i + 1; j < joint.between.size(); ++j) judge(facts, glue, joint, joint.between[i], joint.between[j], swing, yield);
    }
  }
}

}  // namespace handlot::rules
