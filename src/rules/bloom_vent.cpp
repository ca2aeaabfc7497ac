// Vapour of instant glue has gone before a box with a window, lens or display is closed.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "bloom-vent";

const catalogue::Card* blooming(const Facts& facts, const job::Step& glue) {
  for (const JointId& id : glue.bonds) {
    const catalogue::Card& adhesive = facts.card(facts.job.joint(id)->adhesive);
    if (adhesive.yes("bloom")) return &adhesive;
  }
  return nullptr;
}

/// "Close the case" is also what some call a fitting or a screwing.
bool shuts(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 4> kProcesses{"fit", "screw", "snap", "press-fit"};
  constexpr std::array<std::string_view, 4> kWords{"close the", "close it", "shut the", "shut it"};
  const bool could = std::find(kProcesses.begin(), kProcesses.end(), step.process.text) != kProcesses.end();
  return facts.process(step).yes("closes") || (could && says_one_of(kWords, step_words(step)));
}

/// What an earlier step put on the parts: a window in the lid.
void add_what_sits_on(const Facts& facts, const job::Step& step, std::set<PartId>& parts) {
  const std::set<PartId> bare = parts;
  for (const job::Part& part : facts.job.parts) {
    const job::Step* in = brings_in(facts, part.id);
    if (in != nullptr && in <= &step && sits_on_one_of(facts, part.id, step, bare)) parts.insert(part.id);
  }
}

/// The parts that are shut in by the step, with all that was put on them before.
std::set<PartId> shut_in(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts;
  for (const PartId& id : step.hides) {
    for (const PartId& inside : facts.job.within(id)) parts.insert(inside);
  }
  if (!shuts(facts, step)) return parts;
  const std::set<PartId> reached = worked_on(facts, step);
  parts.insert(reached.begin(), reached.end());
  add_what_sits_on(facts, step, parts);
  return parts;
}

std::optional<PartId> window_among(const Facts& facts, const std::set<PartId>& parts) {
  for (const PartId& p : parts) {
    if (optical(facts, p)) return p;
  }
  return std::nullopt;
}

Duration vent_time(const catalogue::Card& adhesive, Source& source) {
  const auto vent = adhesive.get<Duration>("vent");
  source = vent ? vent->source : practice();
  return vent ? vent->high : hours(24);
}

}  // namespace

void bloom_vent(const Facts& facts, const job::Step& glue, const job::Step& closing, Yield& yield) {
  const catalogue::Card* adhesive = blooming(facts, glue);
  if (adhesive == nullptr) return;
  const std::set<PartId> inside = shut_in(facts, closing);
  const auto window = window_among(facts, inside);
  if (!window) return;
  const std::set<PartId> glued = worked_on(facts, glue);
  const bool same_box = std::any_of(glued.begin(), glued.end(), [&](const PartId& p) { return inside.contains(p); });
  if (!same_box) return;
  Source source;
  const Duration vent = vent_time(*adhesive, source);
  plan::Constraint wait = before(glue, closing, vent,
                                 reason(plan::ReasonKind::chemistry, kRule,
                                        fmt::format("{} shuts {} in, and vapour of {} hazes it until it has vented for {}", say(closing), facts.name(*window), adhesive->name, in_words(vent)),
                                        source, closing.place));
  plan::Constraint sooner = before(closing, glue, reason(plan::ReasonKind::listing, kListingRule, fmt::format("listed before {}", say(glue)), stated(), closing.place));
  sooner.reason.builders_choice = true;
  const bool listed_first = &closing < &glue;
  std::vector<std::vector<plan::Constraint>> options{{wait}, {sooner}};
  if (listed_first) std::swap(options[0], options[1]);
  at_least_one(yield, kListingRule, std::move(options), fmt::format("{} before or after {}", say(closing), say(glue)), closing.place);
}

void bloom_inside(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* adhesive = blooming(facts, step);
  if (adhesive == nullptr) return;
  const auto window = window_among(facts, shut_in(facts, step));
  if (!window) return;
  auto f = finding("bloom-inside", plan::Severity::warn, step, fmt::format("{} shuts vapour of {} in with {}: it hazes", say(step), adhesive->name, facts.name(*window)),
                   "take a low-bloom grade, an ultraviolet adhesive or screws for the last joint", {"PERMABOND", "white residue", Standing::read});
  f.parts = {*window};
  yield.findings.push_back(std::move(f));
}

void bloom_on(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* adhesive = blooming(facts, step);
  if (adhesive == nullptr || window_among(facts, shut_in(facts, step))) return;  // shut in is worse, and said already
  std::set<PartId> glued;
  for (const JointId& id : step.bonds) {
    const std::vector<PartId>& between = facts.job.joint(id)->between;
    glued.insert(between.begin(), between.end());
  }
  const auto window = window_among(facts, glued);
  if (!window) return;
  auto f = finding("bloom-on", plan::Severity::warn, step, fmt::format("{} glues {} with {}: its vapour leaves a white haze round the joint", say(step), facts.name(*window), adhesive->name),
                   "take a low-bloom grade or an ultraviolet adhesive, or as little as holds in moving air", {"PERMABOND", "white residue", Standing::read});
  f.parts = {*window};
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
