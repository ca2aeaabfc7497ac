// A trimmer that lies in resin or behind a lid is not turned any more: what is adjusted by hand is adjusted before.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/hidden.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/said_between.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "adjusted-late";

/// By its words a hand or a blade goes to something on the board: what stands in a front panel has a knob outside.
bool adjusts_inside(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kThings{"trimmer", "trim pot", "trimpot", "trim-pot", "trim cap", "jumper", "dip switch"};
  constexpr std::array<std::string_view, 4> kHands{"turn", "adjust", "set", "move"};
  return says_one_of(kThings, step_words(step)) && says_one_word(kHands, step_words(step));
}

bool reached_from_outside(const job::Step& step) {
  constexpr std::array<std::string_view, 16> kWays{"through", "hole", "opening", "from outside", "window", "by wire", "over the air", "radio", "bluetooth", "wireless", "serial", "usb", "digital", "software", "stands out", "before the lid"};
  return says_one_of(kWays, step_words(step));
}

bool opens(const job::Step& step) {
  constexpr std::array<std::string_view, 7> kOpening{"lid off", "cover off", "take off the lid", "take the lid", "open the", "lid open", "cover open"};
  return says_one_of(kOpening, step_words(step));
}

/// What the step names that lies in what `hiding` hides, by itself or with what it sits on. Empty: nothing.
PartId hidden_part(const Facts& facts, const job::Step& step, const job::Step& hiding) {
  const std::set<PartId> hidden = hidden_by(facts, hiding);
  std::vector<PartId> named = step.touches;
  named.insert(named.begin(), step.on);
  for (const PartId& id : named) {
    std::vector<PartId> bodies = sits_in(facts, id, hiding);
    bodies.insert(bodies.begin(), id);
    if (std::any_of(bodies.begin(), bodies.end(), [&](const PartId& b) { return hidden.contains(b) || has(hiding.hides, b); })) return id;
  }
  return {};
}

/// What the step names of what the resin is poured round; it may stand out of it.
PartId poured_round(const Facts& facts, const job::Step& step, const job::Step& pot) {
  if (pot.process.text != "pot") return {};
  for (const JointId& id : pot.bonds) {
    const std::vector<PartId>& members = facts.job.joint(id)->between;
    if (facts.card_of(step.on).yes("board") && has(members, step.on)) return step.on;
  }
  return {};
}

/// A lid that stays on: it is not opened between, and the body is not shut once more after the step.
bool stays_shut(const Facts& facts, const KnownOrder& order, const job::Step& closing, const job::Step& step) {
  const bool again = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &closing && shuts(facts, s) && s.on == closing.on && order.before(step.id, s.id); });
  return !again && !said_between(facts, order, closing, step, &opens);
}

plan::Finding about(plan::Severity severity, const job::Step& step, const PartId& part, std::string message, std::string mend) {
  auto f = finding(kRule, severity, step, std::move(message), std::move(mend), practice());
  f.parts = {part};
  return f;
}

}  // namespace

void adjusted_late(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  if (step.on.empty() || !adjusts_inside(step) || reached_from_outside(step)) return;
  for (const job::Step& s : facts.job.steps) {
    if (!order.before(s.id, step.id) || said_to_follow(step, s)) continue;
    const std::string way = fmt::format("list it before {}; or, if it is still reached, say how in an action: through a hole, by wire", say(s));
    if (const PartId part = hidden_part(facts, step, s); !part.empty()) {
      yield.findings.push_back(about(plan::Severity::stop, step, part, fmt::format("{} adjusts something on {} by hand, and {} has hidden it for good", say(step), facts.name(part), say(s)), way));
      return;
    }
    if (const PartId part = poured_round(facts, step, s); !part.empty()) {
      yield.findings.push_back(about(plan::Severity::undecided, step, part, fmt::format("{} adjusts something on {} by hand, and nothing says whether the resin of {} leaves it free", say(step), facts.name(part), say(s)), way));
      return;
    }
    if (const PartId part = worked_on_inside(facts, step, s); !part.empty() && stays_shut(facts, order, s, step)) {
      yield.findings.push_back(about(plan::Severity::warn, step, part, fmt::format("{} adjusts something on {} by hand, and {} has shut it in", say(step), facts.name(part), say(s)), way));
      return;
    }
  }
}

}  // namespace handlot::rules
