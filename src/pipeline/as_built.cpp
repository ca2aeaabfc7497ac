// What is there at a step, and what it weighs.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"
#include "rules/saying.h"
#include "rules/siblings.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;
using shapes::PartSet;

/// Is the part in when step `at` begins?
class PutIn {
 public:
  PutIn(const Facts& facts, const plan::Plan& plan, std::size_t at) : facts_(facts) {
    for (std::size_t k = 0; k < at; ++k) done_.insert(plan.work.steps[k].id);
  }
  bool before(const PartId& id) const {
    const job::Step* step = facts_.job.installer(id);
    return step == nullptr || done_.contains(step->id);
  }
  /// The part and all that holds it, up to but not including `inside`; false when it belongs to another body.
  bool there(const PartId& part, const PartId& inside) const {
    const std::vector<PartId> around = facts_.job.around(part);
    const auto here = inside.empty() ? around.end() : std::find(around.begin(), around.end(), inside);
    if (!inside.empty() && here == around.end()) return false;
    return before(part) && std::all_of(around.begin(), here, [&](const PartId& outer) { return before(outer); });
  }

 private:
  const Facts& facts_;
  std::set<StepId> done_;
};

/// Parts that are in after the step and have no mass: without density, without body, without place.
std::vector<PartId> weightless(const Facts& facts, const PutIn& in, const PartId& inside) {
  const bodies::Device& d = *facts.device;
  std::vector<PartId> found;
  for (const job::Part& part : facts.job.parts) {
    if (part.jig || !in.there(part.id, inside)) continue;
    const auto bodies = d.bodies_of.find(part.id);
    if (bodies == d.bodies_of.end() || d.assembly.parts[bodies->second.front()].mass.value <= 0) found.push_back(part.id);
  }
  return found;
}

std::vector<PartId> bodies_in(const bodies::Device& d, const PartSet& set) {
  std::vector<PartId> ids;
  for (std::size_t i : set.list()) ids.push_back(d.assembly.parts[i].id);
  return ids;
}

std::string grams(double mass) { return number(mass, mass < 10 ? 2 : mass < 100 ? 1 : 0) + " g"; }

/// The part of the unit that a scale would miss last.
std::optional<std::size_t> lightest(const bodies::Device& d, const PartSet& set) {
  std::optional<std::size_t> found;
  for (std::size_t i : set.list()) {
    const double mass = d.assembly.parts[i].mass.value;
    if (mass > 0 && (!found || mass < d.assembly.parts[*found].mass.value)) found = i;
  }
  return found;
}

/// What the scale should show. A part left out is seen when the units are compared: wood and prints differ from their
/// published densities by more than a screw weighs.
void expect_on_scale(const Facts& facts, const plan::Built& built, Grams mass, const PartSet& set, plan::Check& check) {
  std::string text = fmt::format("{}: about {} by shapes and densities", check.what, grams(mass.value));
  if (!built.without_mass.empty()) {
    std::vector<std::string> names;
    for (const PartId& id : built.without_mass) names.push_back(rules::called(*facts.job.part(id)));
    if (names.size() > 4) {
      const std::size_t more = names.size() - 3;
      names.resize(3);
      names.push_back(fmt::format("{} more", more));
    }
    text += fmt::format(", without {}", listed(names));
  }
  if (const auto least = lightest(*facts.device, set)) {
    const shapes::Part& part = facts.device->assembly.parts[*least];
    text += fmt::format("; a unit that is lighter than the first by {} or more lacks a part (the lightest is one of {}, {})", grams(part.mass.value * 0.8), part.name, grams(part.mass.value));
  }
  check.what = text;
}

}  // namespace

shapes::PartSet present_at(const Facts& facts, const plan::Plan& plan, std::size_t at, const PartId& inside) {
  const bodies::Device& d = *facts.device;
  const PutIn in(facts, plan, at);
  PartSet present(d.part_of.size());
  for (const auto& [part, indices] : d.bodies_of) {
    if (!in.there(part, inside)) continue;
    for (std::size_t i : indices) present.add(i);
  }
  return present;
}

PartId body_of_step(const Facts& facts, const job::Step& step) {
  for (const job::Installs& i : step.installs) {
    if (facts.device->set_of(facts.job.within(i.part)).empty()) continue;
    return rules::holder_of(facts, i.part);
  }
  return step.on.text == "unit" ? PartId() : rules::level_of(facts, step);
}

void add_weights(const Facts& facts, plan::Plan& plan) {
  if (facts.device == nullptr || facts.device->empty()) return;
  const bodies::Device& d = *facts.device;
  for (std::size_t at = 0; at < plan.work.steps.size(); ++at) {
    plan::Step& step = plan.work.steps[at];
    const job::Step& from = *facts.job.step(step.id);
    if (from.on.empty() && from.installs.empty()) continue;
    const PartId inside = body_of_step(facts, from);
    const PartSet after = present_at(facts, plan, at + 1, inside);
    if (after.empty()) continue;
    const shapes::Weight weight = shapes::weight(d.assembly, bodies_in(d, after));
    plan::Built built;
    built.what = inside.empty() ? "unit" : facts.job.assembly(inside)->name;
    if (weight.mass.value > 0) step.weight_after = weight.mass;
    built.centre_mm = {weight.centre.x, weight.centre.y, weight.centre.z};
    built.without_mass = weightless(facts, PutIn(facts, plan, at + 1), inside);
    for (plan::Check& check : step.checks) {
      if (check.weighs) expect_on_scale(facts, built, weight.mass, after, check);
    }
    step.built = std::move(built);
  }
}

}  // namespace handlot::pipeline
