#include <fmt/format.h>

#include <algorithm>

#include "pipeline/parts_of_plan.h"
#include "rules/siblings.h"
#include "shapes/access.h"
#include "shapes/order.h"
#include "shapes/picture.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;
using shapes::PartSet;

/// Everything that a picture depends on, as text.
std::string key_of(const Facts& facts, const shapes::StepPicture& what) {
  std::string key = fmt::format("step {} {} ", what.size.width.value, what.size.height.value);
  const bodies::Device& d = *facts.device;
  const auto tell = [&](std::size_t body) {
    const shapes::Part& p = d.scene->part(body);
    key += fmt::format("{} {} {} {} {} {}", p.name, p.shape, p.at.shift.x, p.at.shift.y, p.at.shift.z, fmt::join(p.at.turn, " "));
  };
  for (std::size_t body : what.present.list()) tell(body);
  for (const shapes::Newcomer& n : what.newcomers) {
    key += fmt::format(" new {} {} {} ", n.way.last.x, n.way.last.y, n.way.last.z);
    tell(n.part);
  }
  if (what.tool_at) key += fmt::format(" tool {} {} {} {}", what.tool_name, what.tool_at->x, what.tool_at->y, what.tool_at->z);
  return shapes::content_key(key);
}

std::string drawn(const Facts& facts, const shapes::StepPicture& what) {
  const std::string key = key_of(facts, what);
  if (auto kept = facts.shape_cache.get("picture", key)) return *kept;
  std::string svg = shapes::picture(*facts.device->scene, what);
  facts.shape_cache.put("picture", key, svg);
  return svg;
}

/// What is in when the step begins, as far as it belongs to the same body: put in by an earlier step, or there from the start.
PartSet present_at(const Facts& facts, const plan::Plan& plan, std::size_t at, const PartId& inside) {
  const bodies::Device& d = *facts.device;
  PartSet present(d.part_of.size());
  const auto put_in_before = [&](const PartId& id) {
    const job::Step* step = facts.job.installer(id);
    if (step == nullptr) return true;
    for (std::size_t k = 0; k < at; ++k) {
      if (plan.work.steps[k].id == step->id) return true;
    }
    return false;
  };
  for (const auto& [part, indices] : d.bodies_of) {
    const std::vector<PartId> around = facts.job.around(part);
    const auto here = inside.empty() ? around.end() : std::find(around.begin(), around.end(), inside);
    if (!inside.empty() && here == around.end()) continue;  // another body
    bool in = put_in_before(part);
    for (auto outer = around.begin(); outer != here; ++outer) in = in && put_in_before(*outer);
    if (!in) continue;
    for (std::size_t i : indices) present.add(i);
  }
  return present;
}

void picture_of(const Facts& facts, plan::Plan& plan, std::size_t at) {
  plan::Step& step = plan.work.steps[at];
  const job::Step& from = *facts.job.step(step.id);
  const bodies::Device& d = *facts.device;
  PartId inside;
  std::vector<PartId> newcomers;
  for (const job::Installs& i : from.installs) {
    if (d.set_of(facts.job.within(i.part)).empty()) continue;
    const std::vector<PartId> around = facts.job.around(i.part);
    if (newcomers.empty() && !around.empty()) inside = around.front();
    newcomers.push_back(i.part);
  }
  if (newcomers.empty()) return;
  shapes::StepPicture what;
  what.present = present_at(facts, plan, at, inside);
  for (const PartId& id : newcomers) {
    const PartSet moving = d.set_of(facts.job.within(id));
    shapes::Insertion in = shapes::can_go_in(*d.scene, *d.blocking, moving, what.present, true);
    if (!in.possible) in.way = {{0, 0, -1}, {}, {}};
    const job::Assembly* whole = facts.job.assembly(id);
    for (std::size_t body : moving.list()) what.newcomers.push_back({body, in.way, whole == nullptr ? std::string() : whole->name});
    const job::Part* part = facts.job.part(id);
    if (part != nullptr && facts.card(part->card).kind == catalogue::CardKind::screw && !step.tools.empty()) {
      if (const auto spot = shapes::head_of(*d.scene, moving.list().front())) {
        what.tool_at = spot->at;
        what.tool_axis = spot->axis;
        what.tool_name = step.tools.front().name;
      }
    }
  }
  step.picture_svg = drawn(facts, what);
}

}  // namespace

void draw_pictures(const Facts& facts, plan::Plan& plan) {
  if (facts.device == nullptr || facts.device->empty()) return;
  for (std::size_t at = 0; at < plan.work.steps.size(); ++at) picture_of(facts, plan, at);
  for (plan::KitRow& row : plan.kit) {
    const auto found = facts.device->bodies_of.find(PartId(row.id));
    if (found == facts.device->bodies_of.end()) continue;
    const shapes::Part& body = facts.device->scene->part(found->second.front());
    const std::string key = shapes::content_key(fmt::format("kit {} {}", body.shape, row.name));
    if (auto kept = facts.shape_cache.get("picture", key)) {
      row.picture_svg = *kept;
      continue;
    }
    row.picture_svg = shapes::kit_picture(*facts.device->solids[found->second.front()].mesh(), row.name);
    facts.shape_cache.put("picture", key, row.picture_svg);
  }
}

}  // namespace handlot::pipeline
