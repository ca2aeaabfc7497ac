// What creeps under a screw's head lets the screw go slack within a day: it is drawn down again.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "tighten-again";
constexpr Duration kADay = hours(24);  // [practice]: most of the creep is over

/// The name of what creeps under the screws of that part; empty: nothing does.
std::string creeps(const Facts& facts, const job::Part& screw) {
  for (const PartId& held : screw.clamps) {
    const catalogue::Card* material = material_of(facts, held);
    if (material == nullptr) continue;
    // Plastics creep too, but small screws in plastic hold by their threads: a second round strips more than it mends.
    const std::string family = material->word_or("family");
    if (wooden(facts, held) || natural_fibre(facts, held) || family == "rubber" || family == "cork") return fmt::format("{} ({})", facts.name(held), material->name);
  }
  return {};
}

std::vector<const job::Part*> screws_of(const Facts& facts, const job::Step& step) {
  std::vector<const job::Part*> found;
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part != nullptr && facts.card(part->card).kind == catalogue::CardKind::screw) found.push_back(part);
  }
  return found;
}

/// A later round over the same screws: a screwing step that works on them and puts none in.
bool draws_again(const job::Step& later, const PartId& screw) {
  return later.process.text == "screw" && (later.on == screw || has(later.touches, screw)) && !puts_in(later, screw);
}

}  // namespace

void tighten_again(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::Part* screw : screws_of(facts, step)) {
    const std::string soft = creeps(facts, *screw);
    if (soft.empty()) continue;
    bool planned = false;
    for (const job::Step& later : facts.job.steps) {
      if (&later == &step || !draws_again(later, screw->id)) continue;
      planned = true;
      yield.links.push_back(before(step, later, kADay, reason(plan::ReasonKind::fastener, kRule, fmt::format("{} creeps under the heads for a day before {} draws them down again", soft, say(later)), practice(), later.place)));
    }
    if (planned) continue;
    yield.hints.push_back({step.id, {RuleId(std::string(kRule)), fmt::format("Draw the {} down again after a day: {} creeps under the heads", called(*screw), soft), practice()}});
  }
}

}  // namespace handlot::rules
