#include "rules/tool_facts.h"

#include <fmt/format.h>

#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// One arm of an L-key down, the other lying across at its upper end.
std::vector<shapes::ToolStretch> l_key(Millimetres down, Millimetres across, Millimetres thick) {
  return {{Millimetres(0), down, thick, Millimetres(0)}, {down, down + thick, across, thick, across * 0.5}};
}

}  // namespace

std::optional<shapes::Tool> tool_of(const catalogue::Card& card) {
  const auto shank = card.get<Millimetres>("shank-diameter"), reach = card.get<Millimetres>("shank-length");
  const auto width = card.get<Millimetres>("width"), thickness = card.get<Millimetres>("thickness");
  if ((!shank && !(width && thickness)) || !reach) return std::nullopt;
  shapes::Tool tool;
  tool.id = card.id.text;
  if (const auto arm = card.get<Millimetres>("reach"); arm && shank && card.word_or("form") == "hex-key") {
    tool.stretches = l_key(reach->low, arm->low, shank->high);
    tool.turned_round = l_key(arm->low, reach->low, shank->high);
    return tool;
  }
  Millimetres from(0);
  if (const auto tip = card.get<Millimetres>("tip-diameter"), length = card.get<Millimetres>("tip-length"); tip && length) {
    tool.stretches.push_back({from, length->low, tip->high, Millimetres(0)});
    from = length->low;
  }
  const Millimetres end = from + reach->low;
  if (width && thickness) {
    tool.stretches.push_back({from, end, width->high, thickness->high});
  } else {
    tool.stretches.push_back({from, end, shank->high, Millimetres(0)});
  }
  const auto handle = card.get<Millimetres>("handle-diameter"), length = card.get<Millimetres>("handle-length");
  if (handle && length) tool.stretches.push_back({end, end + length->high, handle->high, Millimetres(0)});
  if (const auto lean = card.get<Degrees>("lean")) tool.may_lean = lean->high;
  return tool;
}

shapes::PartSet others_of(const Facts& facts, const job::Step& step, const std::vector<Sibling>& all) {
  shapes::PartSet others(facts.device->part_of.size());
  for (const Sibling& s : all) {
    if (s.step != &step) others |= s.bodies;
  }
  return others;
}

std::string last_place(const Facts& facts, const job::Step& step, const std::vector<shapes::PartSet>& ways, const std::vector<Sibling>& all) {
  shapes::PartSet in(facts.device->part_of.size());
  for (const Sibling& s : all) {
    if (s.step == nullptr) in |= s.bodies;
  }
  // What is in before each listed step; the tool's own step may stand in every one of these places.
  std::vector<shapes::PartSet> states;
  std::vector<const job::Step*> listed;
  bool own_seen = false;
  std::size_t own = 0;
  for (const job::Step& other : facts.job.steps) {
    if (&other == &step) {
      own = states.size();
      own_seen = true;
      continue;
    }
    shapes::PartSet brought(facts.device->part_of.size());
    for (const Sibling& s : all) {
      if (s.step == &other) brought |= s.bodies;
    }
    if (brought.empty()) continue;
    states.push_back(in);
    listed.push_back(&other);
    in |= brought;
  }
  states.push_back(in);
  const auto last = shapes::last_access(ways, states);
  if (!last) return "; there is no place in the order where it reaches";
  if (!own_seen || own <= *last) return {};
  return fmt::format("; as listed, the last place where it still reached is before {}", say(*listed[*last]));
}

}  // namespace handlot::rules
