// Open flammable vapour and oily rags are never out while an iron, oven or hot air is on, nor before it has cooled.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/hazards.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "kept-apart";

/// The job itself lets the vapour follow sooner than the tool has cooled: wax is rubbed into a warm face.
const job::After* wanted_warm(const job::Step& hot, const job::Step& vapour, Duration cools) {
  const auto sooner = std::find_if(vapour.after.begin(), vapour.after.end(), [&](const job::After& after) {
    if (after.step != hot.id || !after.at_most) return false;
    return *after.at_most < cools + (after.from_start ? hot.run + hot.unattended : Duration(0));
  });
  return sooner == vapour.after.end() ? nullptr : &*sooner;
}

void carried_away(const job::Step& hot, const job::Step& vapour, const job::After& sooner, Duration cools, Yield& yield) {
  yield.findings.push_back(finding(kRule, plan::Severity::note, vapour,
                                   fmt::format("{} follows {} within {}, and what was hot there needs {} to cool", say(vapour), say(hot), in_words(*sooner.at_most), in_words(cools)),
                                   "switch it off, and carry the work well away from it before anything is opened whose vapour lights", practice()));
}

/// Until the vapour of the second may be opened after the first. Zero: nothing was hot, or the job wants it warm.
Duration cooled(const job::Step& hot, const job::Step& vapour, Duration cools, Yield& yield) {
  const job::After* sooner = wanted_warm(hot, vapour, cools);
  if (sooner == nullptr) return cools;
  carried_away(hot, vapour, *sooner, cools, yield);
  return Duration(0);
}

}  // namespace

void kept_apart(const Facts& facts, const job::Step& a, const job::Step& b, Yield& yield) {
  if (&b < &a) return;  // each pair once
  const safety::Apart apart = safety::apart(step_facts(facts, a), step_facts(facts, b), vapour_clears(facts, a), vapour_clears(facts, b));
  if (!apart.apart) return;
  const Duration cools_a = cooled(a, b, apart.cools_a, yield), cools_b = cooled(b, a, apart.cools_b, yield);
  plan::NeverTogether pair;
  pair.a = a.id;
  pair.b = b.id;
  pair.clear_after_a = std::max(apart.clear_after_a, cools_a);
  pair.clear_after_b = std::max(apart.clear_after_b, cools_b);
  pair.reason = reason(plan::ReasonKind::safety, kRule, apart.why, apart.source, a.place);
  yield.apart.push_back(std::move(pair));
}

}  // namespace handlot::rules
