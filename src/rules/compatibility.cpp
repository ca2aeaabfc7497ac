// A liquid does not reach a material or a finish that it dissolves, swells or cracks.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "safety/compatibility.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "compatibility";

/// Where the liquid goes: the joined parts for an adhesive, what is worked on for a wash or a wipe.
std::set<PartId> wetted(const Facts& facts, const job::Step& step, const catalogue::Card& fluid) {
  if (fluid.kind != catalogue::CardKind::adhesive && fluid.kind != catalogue::CardKind::activator) return worked_on(facts, step);
  std::set<PartId> parts;
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    if (joint.adhesive == fluid.id || joint.activator == fluid.id) parts.insert(joint.between.begin(), joint.between.end());
  }
  return parts.empty() ? worked_on(facts, step) : parts;
}

safety::Condition condition_of(const Facts& facts, const job::Step& step, const PartId& part) {
  safety::Condition c;
  const job::Part* p = facts.job.part(part);
  c.stressed = !step.holds.empty() || (p != nullptr && !p->presses.empty());
  c.annealed = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "anneal" && same_or_within(facts, s.on, part); });
  if (step.unattended > c.contact) c.contact = step.unattended;
  return c;
}

/// Finishes put on in the job, unless they surely come later.
std::string finish_put_on(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  for (const job::Step& s : facts.job.steps) {
    if (&s == &step || !same_or_within(facts, s.on, part) || order.before(step.id, s.id)) continue;
    if (s.process.text == "shellac") return "shellac";
    if (s.process.text == "lacquer") return "lacquer";
  }
  return {};
}

void judge(const Facts& facts, const job::Step& step, const catalogue::Card& fluid, const PartId& part, const std::string& row, Yield& yield) {
  const std::string column = compatibility_column(fluid);
  if (row.empty() || column.empty() || (row == "fibre" && column == "cyanoacrylate")) return;  // glue-on-fibre speaks of that
  const safety::ContactAnswer answer = safety::contact(row, column, condition_of(facts, step, part));
  if (answer.verdict != safety::Verdict::refuse) return;
  // A wipe of a stressed plastic cracks some; what dissolves it spoils all.
  const bool dissolves = safety::table_cell(row, column)->attack == safety::Attack::refuse;
  const bool is_finish = row == "shellac" || row == "lacquer" || row == "varnish" || row == "oil-finish";
  auto f = finding(kRule, dissolves ? plan::Severity::stop : plan::Severity::warn, step,
                   fmt::format("{} brings {} to {} ({}): {}", say(step), fluid.name, facts.name(part), is_finish ? row : row + ", by the table", answer.why),
                   dissolves ? "take another liquid, keep it off by masking, or do this before the part is there"
                             : "anneal the part first, wipe it unclamped and briefly, or take a liquid that the table passes",
                   answer.source);
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// Whether the part is there, or may be, when the step is done.
bool may_be_there(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  const job::Step* comes = facts.job.installer(part);
  if (comes == nullptr || comes == &step) return true;
  return step.on == part || has(step.touches, part) || !order.before(step.id, comes->id);
}

}  // namespace

void compatibility(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    for (const PartId& part : wetted(facts, step, *fluid)) {
      if (facts.job.part(part) == nullptr || !may_be_there(facts, order, step, part)) continue;
      judge(facts, step, *fluid, part, compatibility_row(facts, part), yield);
      judge(facts, step, *fluid, part, finish_row(facts, part), yield);
      judge(facts, step, *fluid, part, finish_put_on(facts, order, step, part), yield);
    }
  }
}

}  // namespace handlot::rules
