// What a step hides is put in and worked on before it. Work on a hidden part may still be possible where a shaft or a plug stands
// out: that is for the job file to say.
#include <fmt/format.h>

#include <algorithm>

#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "in-before-hidden";

/// The hidden part, or what lies in a hidden subassembly, that the step names as its work. Work on what holds a hidden part is not
/// work on that part. Empty: none.
PartId works_on_hidden(const Facts& facts, const job::Step& step, const std::vector<PartId>& hides) {
  std::vector<PartId> named = step.touches;
  named.insert(named.begin(), step.on);
  const auto hidden = [&](const PartId& id) {
    if (has(hides, id)) return true;
    const std::vector<PartId> around = facts.job.around(id);
    return std::any_of(around.begin(), around.end(), [&](const PartId& outer) { return has(hides, outer); });
  };
  const auto found = std::find_if(named.begin(), named.end(), [&](const PartId& id) { return !id.empty() && hidden(id); });
  return found == named.end() ? PartId() : *found;
}

/// A test through its plug, a hand pressed on the arbor that stands out: such work is often done when the part is out of sight.
bool done_from_outside(const Facts& facts, const job::Step& step) {
  const std::string work = facts.process(step).word_or("class");
  return !step.hands_on || !step.installs.empty() || work == "test" || work == "check" || work == "pack" || step.process.text == "centre";
}

void work_first(const Facts& facts, const job::Step& hiding, Yield& yield) {
  for (const job::Step& step : facts.job.steps) {
    if (&step == &hiding || said_to_follow(step, hiding)) continue;
    const PartId part = works_on_hidden(facts, step, hiding.hides);
    if (part.empty()) continue;
    if (&step < &hiding) {
      yield.links.push_back(before(step, hiding, reason(plan::ReasonKind::access, kRule, fmt::format("{} hides {}, and {}, listed before, works on it", say(hiding), facts.name(part), say(step)), stated(), hiding.place)));
    } else if (!done_from_outside(facts, step)) {
      auto f = finding(kRule, plan::Severity::undecided, step, fmt::format("{} hides {}, and {}, listed after it, works on it", say(hiding), facts.name(part), say(step)),
                       fmt::format("list it before {}; or, if the part is still reached, write <after step=\"{}\" because=\"...\"/>", say(hiding), hiding.id.text), stated());
      f.parts = {part};
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace

void in_before_hidden(const Facts& facts, const job::Step& hiding, Yield& yield) {
  std::set<PartId> hidden = hidden_by(facts, hiding);
  hidden.insert(hiding.hides.begin(), hiding.hides.end());  // a subassembly is put in by a step of its own, beside its parts
  std::set<StepId> linked;
  for (const PartId& part : hidden) {
    const job::Step* step = facts.job.installer(part);
    if (step == nullptr || step == &hiding || !linked.insert(step->id).second) continue;
    yield.links.push_back(before(*step, hiding, reason(plan::ReasonKind::access, kRule, fmt::format("{} hides {}, which must be in by then", say(hiding), facts.name(part)), stated(), hiding.place)));
  }
  if (!hiding.hides.empty()) work_first(facts, hiding, yield);
}

}  // namespace handlot::rules
