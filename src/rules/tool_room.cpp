// An iron, a nozzle, tweezers or a clamp gets at the spot that the step names while it can.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/tool_facts.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "tool-room";
const Source kSource{"", "the shapes of the parts and the card of the tool", Standing::measured};

/// What the tool is meant to touch: all that the step works on, but not the whole unit.
shapes::PartSet touched(const Facts& facts, const job::Step& step) {
  std::vector<PartId> parts;
  const auto add = [&](const PartId& id) {
    if (id.empty() || id.text == "unit" || facts.job.assembly(id) != nullptr) return;
    parts.push_back(id);
  };
  add(step.on);
  for (const PartId& id : step.touches) add(id);
  for (const job::Installs& i : step.installs) {
    for (const PartId& inside : facts.job.within(i.part)) parts.push_back(inside);
  }
  for (const JointId& id : step.bonds) {
    for (const PartId& p : facts.job.joint(id)->between) add(p);
  }
  return facts.device->set_of(parts);
}

std::string say_those(const Facts& facts, const shapes::PartSet& bodies) {
  std::set<PartId> parts;
  for (std::size_t body : bodies.list()) parts.insert(facts.device->part_of[body]);
  std::vector<std::string> names;
  for (const PartId& id : parts) names.push_back(facts.name(id));
  return listed(names);
}

/// The ways of holding the tool, by the steps that must come later; a way that something there from the start closes is none.
std::map<std::set<StepId>, shapes::PartSet> open_ways(const std::vector<Sibling>& all, const job::Step& step, const std::vector<shapes::PartSet>& ways) {
  std::map<std::set<StepId>, shapes::PartSet> open;
  for (const shapes::PartSet& way : ways) {
    std::set<StepId> later;
    bool closed = false;
    for (const Sibling& s : all) {
      if (!way.meets(s.bodies) || s.step == &step) continue;
      if (s.step == nullptr) closed = true;
      if (s.step != nullptr) later.insert(s.step->id);
    }
    if (!closed) open.emplace(std::move(later), way);
  }
  return open;
}

void look(const Facts& facts, const job::Step& step, const job::ToolUse& use, Yield& yield) {
  const catalogue::Card& card = facts.card(use.card);
  const auto tool = tool_of(card);
  if (!tool) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, step, fmt::format("whether {} gets at its spot was not checked: its card gives no shank", card.name), "add shank-diameter and shank-length to its card", kSource));
    return;
  }
  const shapes::Spot spot{{(*use.at_mm)[0], (*use.at_mm)[1], (*use.at_mm)[2]}, shapes::unit({use.along[0], use.along[1], use.along[2]})};
  const std::vector<Sibling> all = siblings(facts, level_of(facts, step));
  const auto ways = shapes::in_the_way_of(*facts.device->scene, *tool, spot, others_of(facts, step, all), touched(facts, step));
  const auto open = open_ways(all, step, ways);
  const std::string where = fmt::format("({}, {}, {})", number(spot.at.x, 1), number(spot.at.y, 1), number(spot.at.z, 1));
  if (open.empty()) {
    shapes::PartSet by = ways.front();
    auto f = finding(kRule, plan::Severity::stop, step, fmt::format("{} does not get at {}: {} is in its way{}", card.name, where, say_those(facts, by), tool->may_lean.value > 0 ? ", however it leans" : ""),
                     "take a thinner or longer tool (tool card), or work there before it is built in", kSource);
    for (std::size_t body : by.list()) f.parts.push_back(facts.device->part_of[body]);
    yield.findings.push_back(std::move(f));
    return;
  }
  if (open.begin()->first.empty()) return;
  std::vector<std::vector<plan::Constraint>> options;
  const std::string last = last_place(facts, step, ways, all);
  for (const auto& [later, by] : open) {
    const bool harder = std::any_of(open.begin(), open.end(), [&](const auto& o) { return o.first != later && std::includes(later.begin(), later.end(), o.first.begin(), o.first.end()); });
    if (harder) continue;
    std::vector<plan::Constraint> way;
    for (const StepId& id : later) {
      way.push_back(before(step, *facts.job.step(id), reason(plan::ReasonKind::access, kRule, fmt::format("{} no longer gets at {}: {} is in its way{}", card.name, where, say_those(facts, by), last), kSource, use.place)));
    }
    options.push_back(std::move(way));
  }
  std::stable_sort(options.begin(), options.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
  at_least_one(yield, kRule, std::move(options), fmt::format("how {} gets at {}", card.name, where), use.place);
}

}  // namespace

void tool_room(const Facts& facts, const job::Step& step, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  for (const job::ToolUse& use : step.tools) {
    if (use.at_mm && !use.card.empty()) look(facts, step, use, yield);
  }
}

}  // namespace handlot::rules
