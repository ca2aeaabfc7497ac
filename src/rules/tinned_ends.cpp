// Tinned strands do not stay tight under a screw: the solder gives way, and the joint gets hot.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/matter.h"
#include "rules/named.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

std::vector<PartId> wires_of(const Facts& facts, const job::Step& tin) {
  std::vector<PartId> wires;
  for (const job::Part& part : facts.job.parts) {
    if (!part.jig && is_wire(facts, part.id) && names(tin, part.id)) wires.push_back(part.id);
  }
  return wires;
}

/// The terminal that the step clamps wires in, by what it works on or its words; null: none is a part.
const job::Part* terminal_of(const Facts& facts, const job::Step& step) {
  for (const job::Part& part : facts.job.parts) {
    const bool terminal = !part.jig && both_names(facts, part.id).find("terminal") != std::string::npos;
    if (terminal && (names(step, part.id) || names_part(facts, step_words(step), part.id))) return &part;
  }
  return nullptr;
}

/// The step clamps bare ends under screws; a spring follows the solder as it gives.
bool under_screws(const Facts& facts, const job::Step& step, const job::Part* terminal) {
  constexpr std::array<std::string_view, 6> kSprings{"spring", "push-in", "push in", "lever", "cage clamp", "solder terminal"};
  if (step.process.text != "wire" && step.process.text != "screw") return false;
  const std::string text = step_words(step) + " " + (terminal == nullptr ? "" : both_names(facts, terminal->id));
  return text.find("terminal") != std::string::npos && text.find("screw") != std::string::npos && !says_one_of(kSprings, text);
}

/// Ferrules are crimped on, or the tinned end comes off again.
bool says_no_solder(const Facts& facts, const job::Step& tin, const job::Step& joint, const PartId& wire) {
  constexpr std::array<std::string_view, 4> kWords{"ferrule", "cut the tinned", "cut off the tinned", "other end"};
  if (says_one_of(kWords, step_words(joint) + " " + step_words(tin))) return true;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "crimp" && names(s, wire); });
}

/// Tinned to be soldered: another end of the wire, where the iron goes to it.
bool soldered_too(const Facts& facts, const job::Step& tin, const PartId& wire) {
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return std::any_of(&tin + 1, end, [&](const job::Step& s) { return s.process.text == "hand-solder" && names(s, wire); });
}

}  // namespace

void tinned_ends(const Facts& facts, const KnownOrder& order, const job::Step& tin, Yield& yield) {
  if (tin.process.text != "tin") return;
  for (const PartId& wire : wires_of(facts, tin)) {
    for (const job::Step& joint : facts.job.steps) {
      const job::Part* terminal = terminal_of(facts, joint);
      if (&joint == &tin || order.before(joint.id, tin.id) || !names(joint, wire) || !under_screws(facts, joint, terminal)) continue;
      const bool mains = marked(facts, wire, "mains") || (terminal != nullptr && marked(facts, terminal->id, "mains"));
      if (!mains || says_no_solder(facts, tin, joint, wire)) continue;
      const bool may_be_other_end = soldered_too(facts, tin, wire) && step_words(tin).find("terminal") == std::string::npos;
      auto f = finding("tinned-ends", may_be_other_end ? plan::Severity::undecided : plan::Severity::warn, tin,
                       may_be_other_end ? fmt::format("{} tins {}, which {} clamps under screws and another step solders: nothing says which end is tinned", say(tin), facts.name(wire), say(joint))
                                        : fmt::format("{} tins {}, and {} clamps it under screws: the solder gives way, and the joint loosens and gets hot", say(tin), facts.name(wire), say(joint)),
                       may_be_other_end ? "say so in an action: 'Tin the other end'" : "crimp ferrules on, or clamp the bare strands, and leave the solder off", {"IEC60335", "clause 23.9, strands under contact pressure", Standing::memory});
      f.steps.push_back(joint.id);
      f.parts = {wire};
      yield.findings.push_back(std::move(f));
      return;
    }
  }
}

}  // namespace handlot::rules
