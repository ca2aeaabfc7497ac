// Open flammable vapour and oily rags are never out while an iron, oven or hot air is on.
#include "rules/hazards.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

void kept_apart(const Facts& facts, const job::Step& a, const job::Step& b, Yield& yield) {
  if (&b < &a) return;  // each pair once
  const safety::Apart apart = safety::apart(step_facts(facts, a), step_facts(facts, b), vapour_clears(facts, a), vapour_clears(facts, b));
  if (!apart.apart) return;
  plan::NeverTogether pair;
  pair.a = a.id;
  pair.b = b.id;
  pair.clear_after_a = apart.clear_after_a;
  pair.clear_after_b = apart.clear_after_b;
  pair.reason = reason(plan::ReasonKind::safety, "kept-apart", apart.why, apart.source, a.place);
  yield.apart.push_back(std::move(pair));
}

}  // namespace handlot::rules
