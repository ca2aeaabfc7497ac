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
  std::string key = fmt::format("step 2 {} {} ", what.size.width.value, what.size.height.value);
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

shapes::Way way_in(const bodies::Device& d, const PartSet& moving, const PartSet& present) {
  const shapes::Insertion in = shapes::can_go_in(*d.scene, *d.blocking, moving, present, true);
  return in.possible ? in.way : shapes::Way{{0, 0, -1}, {}, {}};
}

void picture_of(const Facts& facts, plan::Plan& plan, std::size_t at) {
  plan::Step& step = plan.work.steps[at];
  const job::Step& from = *facts.job.step(step.id);
  const bodies::Device& d = *facts.device;
  std::vector<PartId> newcomers;
  for (const job::Installs& i : from.installs) {
    if (!d.set_of(facts.job.within(i.part)).empty()) newcomers.push_back(i.part);
  }
  if (newcomers.empty()) return;
  shapes::StepPicture what;
  what.present = present_at(facts, plan, at, body_of_step(facts, from));
  for (const PartId& id : newcomers) {
    const PartSet moving = d.set_of(facts.job.within(id));
    const job::Assembly* whole = facts.job.assembly(id);
    if (whole != nullptr) {
      const shapes::Way way = way_in(d, moving, what.present);
      for (std::size_t body : moving.list()) what.newcomers.push_back({body, way, whole->name});
    } else {
      // Equal parts go in one by one, each its own way.
      for (std::size_t body : moving.list()) {
        PartSet one(d.part_of.size());
        one.add(body);
        what.newcomers.push_back({body, way_in(d, one, what.present), std::string()});
      }
    }
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
