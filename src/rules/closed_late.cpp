// A closed body is neither filled nor soldered in: what is listed before its lid and comes after it all the same is said, and an iron
// that goes to what is shut in.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "closed-late";

/// The body around the part that the step shuts; empty: none.
PartId shut_body(const Facts& facts, const job::Step& closing, const PartId& part) {
  const std::vector<PartId> bodies = sits_in(facts, part, closing);
  const auto found = std::find_if(bodies.begin(), bodies.end(), [&](const PartId& id) { return id == closing.on || has(closing.touches, id); });
  return found == bodies.end() ? PartId() : *found;
}

/// A body may be shut on one side, filled from the other and shut there.
bool shut_again_later(const Facts& facts, const job::Step& closing) {
  return std::any_of(&closing + 1, facts.job.steps.data() + facts.job.steps.size(), [&](const job::Step& s) { return shuts(facts, s) && s.on == closing.on; });
}

/// The part goes into the body after the work: its board lies on the bench yet.
bool not_in_yet(const Facts& facts, const KnownOrder& order, const job::Step& work, const job::Step& closing, const PartId& part) {
  const PartId body = shut_body(facts, closing, part);
  std::vector<PartId> carried = sits_in(facts, part, closing);
  carried.push_back(part);
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool puts_in = s.on == body && std::any_of(s.installs.begin(), s.installs.end(), [&](const job::Installs& i) { return has(carried, i.part); });
    return puts_in && order.before(work.id, s.id);
  });
}

void soldered_late(const Facts& facts, const KnownOrder& order, const job::Step& work, Yield& yield) {
  for (const job::Step& close : facts.job.steps) {
    // Listed after the lid, it may still have to come before what is shut in: a board is whole when it goes into its box.
    const bool turned = &work < &close;
    if (turned ? !order.before(close.id, work.id) : order.before(work.id, close.id)) continue;
    const PartId part = soldered_inside(facts, work, close);
    if (part.empty() || not_in_yet(facts, order, work, close, part)) continue;
    const std::string what = fmt::format("{} takes the iron to {} in {}, which {}{}", say(work), facts.name(part), facts.name(shut_body(facts, close, part)), say(close), turned ? " closes before that" : ", listed before it, closes");
    auto f = finding(kRule, plan::Severity::warn, work, turned ? what + ": the job lists them the other way round, and another demand turns them" : what,
                     turned ? fmt::format("'handlot why JOB {} {}' says which; take that demand out", close.id.text, work.id.text)
                            : fmt::format("list it before {}; or, if the joints are still reached, write <after step=\"{}\" because=\"...\"/>", say(close), close.id.text),
                     practice());
    f.parts = {part};
    yield.findings.push_back(std::move(f));
    return;
  }
}

/// Screws that draw down what the closing puts on: they shut the body, and come after its lid.
bool screws_the_lid(const Facts& facts, const job::Step& fill, const job::Step& close) {
  const auto lid = [&](const PartId& clamped) { return std::any_of(close.installs.begin(), close.installs.end(), [&](const job::Installs& i) { return same_or_within(facts, i.part, clamped); }); };
  return std::all_of(fill.installs.begin(), fill.installs.end(), [&](const job::Installs& i) {
    const job::Part* screw = facts.job.part(i.part);
    return screw != nullptr && std::any_of(screw->clamps.begin(), screw->clamps.end(), lid);
  });
}

/// A ring or a gasket, by its name; a foot of rubber is none.
bool seal(const Facts& facts, const PartId& id) {
  const job::Part* part = facts.job.part(id);
  if (part == nullptr || !gives(facts, id)) return false;
  constexpr std::array<std::string_view, 5> kNames{"o-ring", "o ring", "seal", "gasket", "packing"};
  return says_one_of(kNames, lower(facts.card(part->card).name) + " " + lower(part->name));
}

/// The closing puts on the lid that the seal is laid in, and nothing is laid over it there.
bool laid_in_its_lid(const Facts& facts, const job::Step& fill, const job::Step& close) {
  return puts_in(close, fill.on) && std::none_of(&fill + 1, facts.job.steps.data() + facts.job.steps.size(), [&](const job::Step& s) { return !s.installs.empty() && s.on == fill.on; });
}

/// Shut later by a lid of the other side: it says that it goes over the ring, or on the body and over no other ring.
bool shut_over(const Facts& facts, const job::Step& fill, const PartId& ring) {
  return std::any_of(&fill + 1, facts.job.steps.data() + facts.job.steps.size(), [&](const job::Step& s) {
    if (!shuts(facts, s)) return false;
    const bool other_ring = std::any_of(s.touches.begin(), s.touches.end(), [&](const PartId& id) { return seal(facts, id); });
    return s.on == ring || has(s.touches, ring) || (has(s.touches, fill.on) && !other_ring);
  });
}

/// What seals a lid lies under it: laid in when the lid is on, it seals nothing, unless the body is shut again.
void sealed_late(const Facts& facts, const KnownOrder& order, const job::Step& fill, Yield& yield) {
  const auto ring = std::find_if(fill.installs.begin(), fill.installs.end(), [&](const job::Installs& i) { return seal(facts, i.part); });
  if (ring == fill.installs.end() || shuts(facts, fill) || shut_over(facts, fill, ring->part)) return;
  for (const job::Step& close : facts.job.steps) {
    const bool lidded = close.process.text == "close" && (close.on == fill.on || laid_in_its_lid(facts, fill, close)) && !close.installs.empty() && &close < &fill && order.before(close.id, fill.id);
    if (!lidded || shut_again_later(facts, close) || said_to_follow(fill, close)) continue;
    auto f = finding(kRule, plan::Severity::warn, fill, fmt::format("{} lays {} into {}, which {} has closed: a seal lies under what it seals", say(fill), facts.name(ring->part), facts.name(fill.on), say(close)),
                     fmt::format("list it before {}; or, if it seals another side, write <after step=\"{}\" because=\"...\"/>", say(close), close.id.text), practice());
    f.parts = {ring->part};
    yield.findings.push_back(std::move(f));
    return;
  }
}

}  // namespace

bool shuts(const Facts& facts, const job::Step& closing) { return facts.process(closing).yes("closes") && closing.process.text != "pack"; }

PartId worked_on_inside(const Facts& facts, const job::Step& step, const job::Step& closing) {
  if (!shuts(facts, closing)) return {};
  for (const PartId& part : worked_on(facts, step)) {
    if (!shut_body(facts, closing, part).empty()) return part;
  }
  return {};
}

PartId soldered_inside(const Facts& facts, const job::Step& step, const job::Step& closing) {
  const bool iron = step.process.text == "hand-solder" || step.process.text == "desolder";
  if (!iron || !shuts(facts, closing) || said_to_follow(step, closing) || shut_again_later(facts, closing)) return {};
  const std::set<PartId> hidden = hidden_by(facts, closing);  // another rule's business
  std::vector<PartId> named = step.touches;
  named.push_back(step.on);
  for (const PartId& id : named) {
    for (const PartId& part : facts.job.within(id)) {
      if (!is_wire(facts, part) && !hidden.contains(part) && !shut_body(facts, closing, part).empty()) return part;
    }
  }
  return {};
}

void closed_late(const Facts& facts, const KnownOrder& order, const job::Step& fill, Yield& yield) {
  soldered_late(facts, order, fill, yield);
  if (fill.installs.empty() || fill.on.empty()) return;
  sealed_late(facts, order, fill, yield);
  for (const job::Step& close : facts.job.steps) {
    if (close.process.text != "close" || close.on != fill.on || !(&fill < &close) || !order.before(close.id, fill.id) || screws_the_lid(facts, fill, close)) continue;
    yield.findings.push_back(finding(kRule, plan::Severity::warn, fill, fmt::format("{} puts {} into {}, which {} closes before that: the job lists them the other way round, and another demand turns them", say(fill), facts.name(fill.installs.front().part), facts.name(fill.on), say(close)),
                                     fmt::format("'handlot why JOB {} {}' says which; take that demand out", close.id.text, fill.id.text), practice()));
    return;
  }
}

}  // namespace handlot::rules
