// A coat insulates and resin fills what is plugged in later, unless its contacts were masked.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "coat-contacts";

/// The step uses contacts of what was coated; of what was poured over, those of its board: the shell around it has plugs of its own.
bool uses_what_is_coated(const Facts& facts, const job::Step& step, const job::Step& coat) {
  if (coat.process.text != "pot") return on_one_body(facts, step, coat);
  const std::vector<PartId> used = bodies_of(facts, step), poured = bodies_of(facts, coat);
  return std::any_of(used.begin(), used.end(), [&](const PartId& id) { return facts.card_of(id).yes("board") && std::any_of(poured.begin(), poured.end(), [&](const PartId& p) { return same_or_within(facts, p, id); }); });
}

/// A lead is plugged on by a step of process 'plug', or by one that wires and says so.
bool plugs(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 4> kWords{"plug", "connector", "socket", "header"};
  const std::string text = step_words(step);
  if (step.process.text != "wire" || text.find("unplug") != std::string::npos) return step.process.text == "plug";
  return says_one_of(kWords, text) || marked(facts, step.on, "socket");
}

bool programs(const Facts&, const job::Step& step) { return step.process.text == "program"; }

struct Use {
  bool (*of)(const Facts&, const job::Step&);
  plan::Severity severity;
};

/// Sockets on what is poured over, which the resin is not said to hide: their mouths have to stay open.
void sockets_filled(const Facts& facts, const job::Step& pot, Yield& yield) {
  const std::vector<PartId> bodies = bodies_of(facts, pot);
  for (const job::Part& part : facts.job.parts) {
    const job::Part* board = marked(facts, part.id, "socket") && !has(pot.hides, part.id) ? board_under(facts, part.id, pot) : nullptr;
    if (board == nullptr || !has(bodies, board->id)) continue;
    auto f = finding(kRule, plan::Severity::undecided, pot, fmt::format("nothing says what keeps the resin of {} out of {}", say(pot), facts.name(part.id)),
                     "stop or tape it in a step of process 'mask' on it; name it in hides=\"...\" if it is to lie in the resin", practice());
    f.parts = {part.id};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace

void coat_contacts(const Facts& facts, const KnownOrder& order, const job::Step& coat, Yield& yield) {
  if ((coat.process.text != "coat-board" && coat.process.text != "pot") || coat.on.empty()) return;
  const auto masks = [&](const job::Step& s) {
    const bool gives = std::any_of(s.face_gives.begin(), s.face_gives.end(), [](const job::FaceState& f) { return f.state == "masked"; });
    return (s.process.text == "mask" || gives) && (s.on.empty() || on_one_body(facts, s, coat));
  };
  if (std::any_of(facts.job.steps.begin(), facts.job.steps.end(), masks)) return;
  // A plug needs its socket; a program may come by another way.
  for (const auto& [uses, severity] : std::array{Use{plugs, plan::Severity::warn}, Use{programs, plan::Severity::note}}) {
    const auto& steps = facts.job.steps;
    const auto later = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) {
      return uses(facts, s) && s.on.text != "unit" && uses_what_is_coated(facts, s, coat) && order.before(coat.id, s.id);
    });
    if (later == steps.end()) continue;
    yield.findings.push_back(finding(kRule, severity, *later, fmt::format("{} comes after {}, and no step masks the contacts that it uses", say(*later), say(coat)),
                                     fmt::format("mask sockets and pads before the {}, or do it first", coat.process.text == "pot" ? "resin" : "coat"), practice()));
    return;
  }
  if (coat.process.text == "pot") sockets_filled(facts, coat, yield);
}

}  // namespace handlot::rules
