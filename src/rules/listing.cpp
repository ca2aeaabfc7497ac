// Two steps that work on the same part can't run at once; where nothing decides, the job file's order is kept.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void listing(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  if (&later < &earlier) return;  // each pair once, as listed
  const std::set<PartId> a = worked_on(facts, earlier), b = worked_on(facts, later);
  const auto shared = std::find_if(a.begin(), a.end(), [&](const PartId& id) { return b.contains(id); });
  if (shared == a.end()) return;
  const std::string text = fmt::format("both work on {}, and the job lists {} first", facts.name(*shared), say(earlier));
  plan::Constraint as_listed = before(earlier, later, reason(plan::ReasonKind::listing, kListingRule, text, stated(), earlier.place));
  plan::Constraint turned = before(later, earlier, reason(plan::ReasonKind::listing, kListingRule, fmt::format("both work on {}", facts.name(*shared)), stated(), earlier.place));
  as_listed.reason.builders_choice = turned.reason.builders_choice = true;
  yield.choices.push_back({RuleId(std::string(kListingRule)), {{as_listed}, {turned}}, fmt::format("{} or {} first", say(earlier), say(later)), earlier.place});
}

}  // namespace handlot::rules
