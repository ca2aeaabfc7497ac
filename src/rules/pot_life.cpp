// A cup of mixed adhesive is used up before it goes off, and is not so large that it boils.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "joints/pot_life.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "pot-life";

void refused(const job::Step& step, const Diagnostic& why, const Source& source, Yield& yield) {
  const bool mass = why.code == "pot-mass-unknown";
  yield.findings.push_back(finding(kRule, mass ? plan::Severity::warn : plan::Severity::undecided, step, fmt::format("{}: {}", say(step), why.text), why.mend, source));
}

}  // namespace

void pot_life(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const catalogue::Card* adhesive : fluids_of(facts, step)) {
    const auto printed = adhesive->get<Duration>("pot-life");
    if (!printed || !adhesive->yes("two-part")) continue;
    const joints::AdhesiveFigures figures = adhesive_figures(*adhesive, {""});
    Grams mass = figures.pot_lives.front().mass;
    for (const job::MaterialUse& use : step.materials) {
      if (use.card == adhesive->id && use.at_once) mass = *use.at_once;
    }
    // A pot life printed without a mass holds for whatever small cup it was printed for.
    joints::AdhesiveFigures any = figures;
    if (figures.pot_lives.back().mass.value <= 0) any.pot_lives.back().mass = Grams(1e6);
    const auto life = joints::pot_life(any, mass, facts.job.bench.temperature.value_or(figures.pot_temperature));
    if (!life) {
      refused(step, life.error().front(), printed->source, yield);
      continue;
    }
    const bool mixes_elsewhere = step.process.text != "mix" && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
      return s.process.text == "mix" && std::any_of(s.materials.begin(), s.materials.end(), [&](const auto& u) { return u.card == adhesive->id; });
    });
    if (mixes_elsewhere || step.run <= life->life) continue;
    const bool per_unit = step.run_per_unit;
    // Part of the time goes before the mixing; only from twice the life on it can't have been meant so.
    const bool sure = step.run > life->life * 2;
    yield.findings.push_back(finding(kRule, sure ? plan::Severity::warn : plan::Severity::note, step,
                                     fmt::format("{} takes {} {}, and {} stays workable for {}", say(step), in_words(step.run), per_unit ? "a unit" : "a sub-batch", adhesive->name, in_words(life->life)),
                                     "mix several small cups, take a slower adhesive, or make a step of its own of what comes before the glue", printed->source));
  }
}

}  // namespace handlot::rules
