// Two steps that work on the same part can't run at once; where nothing decides, the job file's order is kept. The same for work on
// what lies in a body and the step that shuts it, and for what frames the whole work: looking at what came in, listed before the
// work on the units, and putting away, listed after it.
#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

#include "rules/board_work.h"
#include "rules/hidden.h"
#include "rules/matter.h"
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

/// Put in by a step listed later, by itself or with what it sits on.
bool comes_later(const Facts& facts, const PartId& part, const job::Step& step) {
  std::vector<PartId> bodies = sits_in(facts, part, step);
  bodies.push_back(part);
  return std::any_of(bodies.begin(), bodies.end(), [&](const PartId& p) {
    const job::Step* in = facts.job.installer(p);
    return in != nullptr && &step < in;
  });
}

/// Work on the whole unit is no work on what comes in later; but what runs before its electronics is in runs that on the bench.
void strike_what_comes_later(const Facts& facts, const job::Step& step, std::set<PartId>& parts) {
  std::set<PartId> in;
  for (const PartId& id : parts) {
    if (!comes_later(facts, id, step)) in.insert(id);
  }
  const auto electric = [&](const PartId& id) { return marked(facts, id, "board") || marked(facts, id, "display") || marked(facts, id, "cell"); };
  if (gets_power(step) && std::none_of(in.begin(), in.end(), electric)) {
    for (const PartId& id : parts) {
      if (electric(id)) in.insert(id);
    }
  }
  parts = std::move(in);
}

/// What the step reaches as the job file has it: what it tests too, and the board that a part sits on; of the whole unit what is
/// not put in by a step listed later.
std::set<PartId> reached_as_listed(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts = worked_on(facts, step);
  if (step.on.text == "unit") strike_what_comes_later(facts, step, parts);
  for (const PartId& id : step.tests) {
    for (const PartId& inside : facts.job.within(id)) parts.insert(inside);
  }
  std::vector<PartId> named = step.touches;
  named.push_back(step.on);
  for (const PartId& id : named) {
    if (const job::Part* board = board_under(facts, id, step)) parts.insert(board->id);
  }
  return parts;
}

/// What the parts hang on when `by` is done, as listed: what they were put on, what that was put on, the subassembly that is there from the
/// start, and so on; the parts themselves too. What is not put in yet lies by itself.
std::vector<PartId> hangs_on(const Facts& facts, const std::set<PartId>& parts, const job::Step& by) {
  std::vector<PartId> all(parts.begin(), parts.end());
  const auto add = [&](const PartId& id) {
    const job::Part* part = facts.job.part(id);
    if (!id.empty() && id.text != "unit" && (part == nullptr || !part->jig) && !has(all, id)) all.push_back(id);
  };
  for (std::size_t i = 0; i < all.size(); ++i) {
    const PartId at = all[i];  // by value: the list grows
    const job::Step* put = brings_in(facts, at);
    const std::vector<PartId> around = facts.job.around(at);
    if (put == nullptr && !around.empty()) add(around.front());  // in it from the start
    if (put != nullptr && put <= &by) add(put->on);
  }
  return all;
}

/// Of two steps on parts of one body: what both hang on when the earlier is done. Empty: nothing.
PartId one_body(const Facts& facts, const std::set<PartId>& a, const std::set<PartId>& b, const job::Step& earlier) {
  const std::vector<PartId> mine = hangs_on(facts, a, earlier), its = hangs_on(facts, b, earlier);
  const auto shared = std::find_if(mine.begin(), mine.end(), [&](const PartId& id) { return has(its, id); });
  return shared == mine.end() ? PartId() : *shared;
}

/// The jar is for the board, and no hand is laid on the board for it.
bool warms_a_jar(const job::Step& step) { return step.process.text == "warm-paste"; }

std::string opens_or_ends(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  if (opens_the_work(facts, earlier)) return "what came in is looked at before it is used";
  if (ends_the_work(facts, later)) return "things are put away after the work";
  return "";
}

// Why the job file's order of the two matters at all; empty if it does not.
std::string what_they_share(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  if (warms_a_jar(earlier) || warms_a_jar(later)) return opens_or_ends(facts, earlier, later);
  const std::set<PartId> a = reached_as_listed(facts, earlier), b = reached_as_listed(facts, later);
  const auto shared = std::find_if(a.begin(), a.end(), [&](const PartId& id) { return b.contains(id); });
  if (shared != a.end() && earlier.on.text == "unit" && later.on.text == "unit") return "both work on the whole unit";
  if (shared != a.end()) return fmt::format("both work on {}", facts.name(*shared));
  if (const PartId inside = worked_on_inside(facts, earlier, later); !inside.empty()) return fmt::format("{} shuts {} in, which {} works on", say(later), facts.name(inside), say(earlier));
  if (const PartId body = one_body(facts, a, b, earlier); !body.empty()) return fmt::format("both work on what hangs on {} by then", facts.name(body));
  return opens_or_ends(facts, earlier, later);
}

plan::Constraint by_listing(const job::Step& first, const job::Step& second, const std::string& text) {
  plan::Constraint link = before(first, second, reason(plan::ReasonKind::listing, kListingRule, text, stated(), std::min(&first, &second)->place));
  link.reason.builders_choice = true;
  return link;
}

/// The first step listed after a mixing that uses up what it mixes. Null: none, or nothing is mixed.
const job::Step* use_of_mix(const Facts& facts, const job::Step& mix) {
  if (mix.process.text != "mix") return nullptr;
  const std::vector<const catalogue::Card*> mixed = fluids_of(facts, mix);
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  const auto* use = std::find_if(&mix + 1, end, [&](const job::Step& s) {
    const std::vector<const catalogue::Card*> used = fluids_of(facts, s);
    return s.process.text != "mix" && std::any_of(used.begin(), used.end(), [&](const catalogue::Card* c) { return std::find(mixed.begin(), mixed.end(), c) != mixed.end(); });
  });
  return use == end ? nullptr : use;
}

/// The clock of a cup runs: what is listed behind its use, and has to come sooner, comes before the mixing as well, if it can.
bool apart_from_mixing(const Facts& facts, const job::Step& mix, const job::Step& work, Yield& yield) {
  const job::Step* use = use_of_mix(facts, mix);
  if (use == nullptr || &work <= use) return false;
  std::string shared = what_they_share(facts, mix, work);
  if (shared.empty()) shared = what_they_share(facts, *use, work);
  if (shared.empty()) return true;
  const std::string text = fmt::format("nothing comes between {} and {} without need", say(mix), say(*use));
  yield.choices.push_back({RuleId(std::string(kListingRule)), {{by_listing(*use, work, shared)}, {by_listing(work, mix, text)}, {by_listing(mix, work, shared)}}, fmt::format("{} or {} first", say(mix), say(work)), mix.place});
  return true;
}

/// What is listed before the mixing is done by then, also where only the use of the mix meets it.
std::string shared_with_mix(const Facts& facts, const job::Step& work, const job::Step& mix) {
  const job::Step* use = use_of_mix(facts, mix);
  return use == nullptr ? std::string() : what_they_share(facts, work, *use);
}

}  // namespace

void listing(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  if (&later < &earlier) return;  // each pair once, as listed
  if (apart_from_mixing(facts, earlier, later, yield)) return;
  std::string shared = what_they_share(facts, earlier, later);
  if (shared.empty()) shared = shared_with_mix(facts, earlier, later);
  if (shared.empty()) return;
  const std::string text = fmt::format("{}, and the job lists {} first", shared, say(earlier));
  yield.choices.push_back({RuleId(std::string(kListingRule)), {{by_listing(earlier, later, text)}, {by_listing(later, earlier, shared)}}, fmt::format("{} or {} first", say(earlier), say(later)), earlier.place});
}

}  // namespace handlot::rules
