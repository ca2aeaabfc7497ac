// Two steps that work on the same part can't run at once; where nothing decides, the job file's order is kept. The same for work on
// what lies in a body and the step that shuts it, and for what frames the whole work: looking at what came in, listed before the
// work on the units, and putting away, listed after it.
#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

#include "rules/board_work.h"
#include "rules/hidden.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

bool of_the_whole_bench(const Facts& facts, const job::Step& step, std::string_view process) {
  return step.whole_lot && step.process.text == process && worked_on(facts, step).empty();
}

// Only where no unit is in work yet, or none any more: in between it would hold up what may be drying.
bool opens_the_work(const Facts& facts, const job::Step& step) {
  return of_the_whole_bench(facts, step, "receive") &&
         std::all_of(facts.job.steps.data(), &step, [](const job::Step& s) { return s.whole_lot; });
}

bool ends_the_work(const Facts& facts, const job::Step& step) {
  return of_the_whole_bench(facts, step, "put-away") &&
         std::all_of(&step, facts.job.steps.data() + facts.job.steps.size(), [](const job::Step& s) { return s.whole_lot; });
}

/// What the step reaches as the job file has it: what it tests too, and the board that a part sits on; of the whole unit what is
/// not put in by a step listed later, by itself or on something else.
std::set<PartId> reached_as_listed(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts = worked_on(facts, step);
  for (const PartId& id : step.tests) {
    for (const PartId& inside : facts.job.within(id)) parts.insert(inside);
  }
  std::vector<PartId> named = step.touches;
  named.push_back(step.on);
  for (const PartId& id : named) {
    if (const job::Part* board = board_under(facts, id, step)) parts.insert(board->id);
  }
  if (step.on.text != "unit") return parts;
  std::erase_if(parts, [&](const PartId& id) {
    const std::vector<PartId> bodies = sits_in(facts, id, step);
    const auto comes_later = [&](const PartId& p) {
      const job::Step* in = facts.job.installer(p);
      return in != nullptr && &step < in;
    };
    return comes_later(id) || std::any_of(bodies.begin(), bodies.end(), comes_later);
  });
  return parts;
}

// Why the job file's order of the two matters at all; empty if it does not.
std::string what_they_share(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  const std::set<PartId> a = reached_as_listed(facts, earlier), b = reached_as_listed(facts, later);
  const auto shared = std::find_if(a.begin(), a.end(), [&](const PartId& id) { return b.contains(id); });
  if (shared != a.end() && earlier.on.text == "unit" && later.on.text == "unit") return "both work on the whole unit";
  if (shared != a.end()) return fmt::format("both work on {}", facts.name(*shared));
  if (const PartId inside = worked_on_inside(facts, earlier, later); !inside.empty()) return fmt::format("{} shuts {} in, which {} works on", say(later), facts.name(inside), say(earlier));
  if (opens_the_work(facts, earlier)) return "what came in is looked at before it is used";
  if (ends_the_work(facts, later)) return "things are put away after the work";
  return "";
}

}  // namespace

void listing(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  if (&later < &earlier) return;  // each pair once, as listed
  const std::string shared = what_they_share(facts, earlier, later);
  if (shared.empty()) return;
  const std::string text = fmt::format("{}, and the job lists {} first", shared, say(earlier));
  plan::Constraint as_listed = before(earlier, later, reason(plan::ReasonKind::listing, kListingRule, text, stated(), earlier.place));
  plan::Constraint turned = before(later, earlier, reason(plan::ReasonKind::listing, kListingRule, shared, stated(), earlier.place));
  as_listed.reason.builders_choice = turned.reason.builders_choice = true;
  yield.choices.push_back({RuleId(std::string(kListingRule)), {{as_listed}, {turned}}, fmt::format("{} or {} first", say(earlier), say(later)), earlier.place});
}

}  // namespace handlot::rules
