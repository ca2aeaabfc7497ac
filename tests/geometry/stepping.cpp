#include "geometry/stepping.h"

#include <BRepAlgoAPI_Common.hxx>
#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_ListOfShape.hxx>

#include <algorithm>
#include <cmath>

#include "geometry/kernel.h"

namespace handlot::testing {

using namespace shapes;

namespace {

double shared_volume(const TopoDS_Shape& a, const TopoDS_Shape& b) {
  BRepAlgoAPI_Common common;
  TopTools_ListOfShape first, second;
  first.Append(a);
  second.Append(b);
  common.SetArguments(first);
  common.SetTools(second);
  common.SetNonDestructive(true);
  common.Build();
  double volume = 0;
  for (TopExp_Explorer s(common.Shape(), TopAbs_SOLID); s.More(); s.Next()) {
    GProp_GProps props;
    BRepGProp::VolumeProperties(s.Current(), props, 1e-4);
    volume += props.Mass();
  }
  return volume;
}

std::pair<double, double> range(const Body& body, Vec3 along) {
  double low = 1e300, high = -1e300;
  for (const Vec3& v : body.vertices) {
    low = std::min(low, dot(v, along));
    high = std::max(high, dot(v, along));
  }
  return {low, high};
}

}  // namespace

bool swept_boxes_meet(const Scene& scene, std::size_t part, std::size_t blocker, Vec3 along) {
  const Placement turn = looking_along(along);
  Box a, b;
  for (const Vec3& v : scene.body(part).vertices) a.add(turn.direction(v));
  for (const Vec3& v : scene.body(blocker).vertices) b.add(turn.direction(v));
  return a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y &&
         a.low.z < b.high.z;
}

bool overlap_now(const Scene& scene, const std::vector<geometry::Solid>& solids, std::size_t a,
                 std::size_t b) {
  return scene.body(a).box.meets(scene.body(b).box) &&
         shared_volume(geometry::placed(solids[a], scene.part(a).at),
                       geometry::placed(solids[b], scene.part(b).at)) > 1e-4;
}

Stepped blocked_by_steps(const Scene& scene, const std::vector<geometry::Solid>& solids, std::size_t part,
                         std::size_t blocker, Vec3 along) {
  const auto [a0, a1] = range(scene.body(part), along);
  const auto [b0, b1] = range(scene.body(blocker), along);
  // Walls overlap for as long as both are thick together; twice the volume over the surface is a mean
  // thickness.
  const auto thick = [&](std::size_t i) {
    return 2 * solids[i].amounts().volume.value / solids[i].amounts().surface.value;
  };
  const double step = std::max(0.2, 0.5 * std::min({thick(part) + thick(blocker), a1 - a0, b1 - b0}));
  if (a0 > b1) return {};
  const TopoDS_Shape still = geometry::placed(solids[blocker], scene.part(blocker).at);
  for (double t = 0.05; t < b1 - a0; t += t < 0.1 ? std::min(step, 0.2) : step) {
    Placement at = scene.part(part).at;
    at.shift += along * t;
    Box now = scene.body(part).box;
    now.low += along * t;
    now.high += along * t;
    if (!now.meets(scene.body(blocker).box)) continue;
    const double volume = shared_volume(geometry::placed(solids[part], at), still);
    if (volume > 1e-4) return {true, t, volume};
  }
  return {};
}

}  // namespace handlot::testing
