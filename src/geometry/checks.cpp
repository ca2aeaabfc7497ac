#include "geometry/checks.h"

#include <fmt/format.h>

#include <BRepBndLib.hxx>
#include <Bnd_Box.hxx>
#include <GProp_PrincipalProps.hxx>
#include <algorithm>
#include <cmath>
#include <cstring>
#include <gp_Ax3.hxx>

#include "core/text.h"
#include "geometry/kernel.h"
#include "geometry/kernel_headers.h"

namespace handlot::geometry {

using shapes::Declared;
using shapes::Meeting;
using shapes::MeetingPair;
using shapes::Scene;
using shapes::Vec3;

namespace {

constexpr double kReach = 0.2;  ///< mm; pairs further apart are of no interest here

/// What two solids share, in the coordinates of the first.
struct Shared {
  double volume = 0, surface = 0;
  Vec3 where;        ///< the middle of the largest piece
  double shift = 0;  ///< 0 = none was found
};

/// Directions in which a part is likely to come free by a short way: the axes, the normals of the flat faces of what is shared, and the
/// principal axes of it (of a lens or a round rim the shortest is the way out).
std::vector<gp_Dir> ways_out(const TopoDS_Shape& shared) {
  std::vector<gp_Dir> ways;
  const auto add = [&](const gp_Dir& d) {
    for (const gp_Dir& known : ways)
      if (known.IsParallel(d, 1e-4)) return;
    ways.push_back(d);
  };
  for (const gp_Dir& axis : {gp::DX(), gp::DY(), gp::DZ()}) add(axis);
  for (TopExp_Explorer faces(shared, TopAbs_FACE); faces.More(); faces.Next()) {
    const BRepAdaptor_Surface on(TopoDS::Face(faces.Current()));
    if (on.GetType() == GeomAbs_Plane) add(on.Plane().Axis().Direction());
  }
  GProp_GProps volume;
  BRepGProp::VolumeProperties(shared, volume);
  const GProp_PrincipalProps principal = volume.PrincipalProperties();
  for (const gp_Vec& axis :
       {principal.FirstAxisOfInertia(), principal.SecondAxisOfInertia(), principal.ThirdAxisOfInertia()})
    if (axis.Magnitude() > 1e-9) add(gp_Dir(axis));
  return ways;
}

/// How far a shape reaches along a direction.
double extent(const TopoDS_Shape& shape, const gp_Dir& along) {
  gp_Trsf upright;
  upright.SetTransformation(gp_Ax3(gp::Origin(), along), gp_Ax3(gp::Origin(), gp::DZ()));
  Bnd_Box box;
  BRepBndLib::AddOptimal(shape.Moved(TopLoc_Location(upright.Inverted())), box, false, false);
  double low[3], high[3];
  box.Get(low[0], low[1], low[2], high[0], high[1], high[2]);
  return high[2] - low[2];
}

double shared_volume(const TopoDS_Shape& a, const TopoDS_Shape& b) {
  BRepAlgoAPI_Common common(a, b);
  double volume = 0;
  for (TopExp_Explorer solids(common.Shape(), TopAbs_SOLID); solids.More(); solids.Next())
    volume += amounts_of(solids.Current()).volume.value;
  return volume;
}

/// The shortest of the ways along which `b`, moved by as much as the shared piece reaches that way, shares nothing with `a` any more.
/// A part pushed through a flat face comes free that way exactly. Where the way is far longer than the piece is thick, as from a tight
/// hole or off a spike, it says nothing of how far the one goes into the other, and there is none.
double shift_that_frees(const TopoDS_Shape& a, const TopoDS_Shape& b, const TopoDS_Shape& piece, double volume,
                        double thickness) {
  constexpr double kLonger = 5, kFree = 1e-4;
  constexpr std::size_t kTries = 4;
  std::vector<std::pair<double, gp_Dir>> ways;
  for (const gp_Dir& way : ways_out(piece)) ways.push_back({extent(piece, way), way});
  std::stable_sort(ways.begin(), ways.end(), [](const auto& x, const auto& y) { return x.first < y.first - 1e-6; });
  for (std::size_t i = 0; i < std::min(kTries, ways.size()) && ways[i].first <= kLonger * thickness; ++i)
    for (const double sign : {1.0, -1.0}) {
      gp_Trsf shift;
      shift.SetTranslation(gp_Vec(ways[i].second) * (sign * ways[i].first));
      if (shared_volume(a, b.Moved(TopLoc_Location(shift))) <= kFree * volume) return ways[i].first;
    }
  return 0;
}

std::optional<Shared> intersect(const Solid& a, const Solid& b, const shapes::Placement& b_in_a) {
  try {
    BRepAlgoAPI_Common common;
    TopTools_ListOfShape first, second;
    first.Append(shape_of(a));
    second.Append(placed(b, b_in_a));
    common.SetArguments(first);
    common.SetTools(second);
    common.SetNonDestructive(Standard_True);
    common.Build();
    if (common.HasErrors()) return std::nullopt;
    Shared shared;
    double largest = 0;
    std::size_t pieces = 0;
    TopoDS_Shape piece;
    for (TopExp_Explorer solids(common.Shape(), TopAbs_SOLID); solids.More(); solids.Next(), ++pieces) {
      const shapes::Amounts one = amounts_of(solids.Current());
      shared.volume += one.volume.value;
      shared.surface += one.surface.value;
      if (one.volume.value <= largest * (1 + 1e-9)) continue;
      largest = one.volume.value;
      shared.where = one.centre;
      piece = solids.Current();
    }
    // A part that is held in two places has no one way out.
    if (pieces == 1 && shared.surface > 0)
      shared.shift = shift_that_frees(first.First(), second.First(), piece, shared.volume,
                                      2 * shared.volume / shared.surface);
    return shared;
  } catch (const Standard_Failure&) {
    return std::nullopt;
  }
}

/// Numbers rounded so that the same pair elsewhere in the unit has the same text.
std::string placement_text(const shapes::Placement& at) {
  std::string text;
  for (double v : at.turn) text += fmt::format("{:.9f} ", v + 0.0);
  return text + fmt::format("{:.7f} {:.7f} {:.7f}", at.shift.x + 0.0, at.shift.y + 0.0, at.shift.z + 0.0);
}

std::optional<Shared> intersect_cached(const Scene& scene, const std::vector<Solid>& solids, std::size_t a,
                                       std::size_t b, const shapes::Cache& cache) {
  const shapes::Placement b_in_a = then(scene.part(b).at, inverse(scene.part(a).at));
  const std::string key = shapes::content_key(
      fmt::format("common 2 {} {} {}", solids[a].key(), solids[b].key(), placement_text(b_in_a)));
  double run[6];
  if (const auto kept = cache.get("common", key); kept && kept->size() == sizeof run) {
    std::memcpy(run, kept->data(), sizeof run);
    return Shared{run[0], run[1], scene.part(a).at.point({run[2], run[3], run[4]}), run[5]};
  }
  auto shared = intersect(solids[a], solids[b], b_in_a);
  if (!shared) return std::nullopt;
  const double fresh[6] = {shared->volume,  shared->surface, shared->where.x,
                           shared->where.y, shared->where.z, shared->shift};
  cache.put("common", key, {reinterpret_cast<const char*>(fresh), sizeof fresh});
  shared->where = scene.part(a).at.point(shared->where);
  return shared;
}

Overlap::Kind kind_of(std::optional<Declared::Kind> declared) {
  if (declared == Declared::Kind::press_fit) return Overlap::Kind::press_fit;
  if (declared == Declared::Kind::thread) return Overlap::Kind::thread;
  if (declared == Declared::Kind::gears) return Overlap::Kind::gears;
  return Overlap::Kind::overlap;
}

Overlap swallowed(const Scene& scene, const std::vector<Solid>& solids, std::size_t a, std::size_t b) {
  const bool a_smaller = solids[a].amounts().volume < solids[b].amounts().volume;
  const std::size_t inner = a_smaller ? a : b;
  const shapes::Amounts whole = solids[inner].amounts();
  return {a,
          b,
          Overlap::Kind::within,
          whole.volume,
          Millimetres(0),
          scene.part(inner).at.point(whole.centre),
          whole.volume * whole.error};
}

}  // namespace

Interference interference(const Scene& scene, const std::vector<Solid>& solids,
                          const InterferenceRules& rules, const shapes::Cache& cache) {
  Interference found;
  found.meetings = shapes::meetings(scene, kReach);
  std::size_t exact = 0;
  for (const MeetingPair& pair : found.meetings) {
    if (pair.how != Meeting::crossing && pair.how != Meeting::within) continue;
    const Overlap::Kind kind = kind_of(scene.declared(pair.a, pair.b));
    if (kind == Overlap::Kind::thread || kind == Overlap::Kind::gears) {
      found.overlaps.push_back({pair.a, pair.b, kind, {}, {}, {}, {}});
      continue;
    }
    const auto shared =
        exact++ < rules.exact ? intersect_cached(scene, solids, pair.a, pair.b, cache) : std::nullopt;
    if (!shared) {
      found.not_checked.push_back({pair.a, pair.b});
      continue;
    }
    const double thickness = shared->surface > 0 ? 2 * shared->volume / shared->surface : 0;
    const Overlap whole = swallowed(scene, solids, pair.a, pair.b);
    if (pair.how == Meeting::within && shared->volume > 0.999 * whole.volume.value) {
      found.overlaps.push_back(whole);
    } else if (shared->volume > rules.least_volume.value && thickness > rules.least_depth.value) {
      found.overlaps.push_back({pair.a, pair.b, kind, CubicMillimetres(shared->volume), Millimetres(shared->shift),
                                shared->where, CubicMillimetres(shared->volume * 1e-6)});
    }
  }
  return found;
}

std::string say(const Scene& scene, const Overlap& o) {
  const std::string a = scene.say(o.a), b = scene.say(o.b);
  const std::string amount =
      fmt::format("{} mm3, {}at ({}, {}, {})", number(o.volume.value, 3),
                  o.depth.value > 0 ? fmt::format("{} mm deep, ", number(o.depth.value, 3)) : "",
                  number(o.where.x, 1), number(o.where.y, 1), number(o.where.z, 1));
  switch (o.kind) {
    case Overlap::Kind::within: {
      const auto bulk = [&](std::size_t part) {
        const Vec3 size = scene.body(part).box.size();
        return size.x * size.y * size.z;
      };
      const bool a_inner = bulk(o.a) <= bulk(o.b);
      return fmt::format("{} lies wholly inside {}", a_inner ? a : b, a_inner ? b : a);
    }
    case Overlap::Kind::press_fit:
      return fmt::format("{} and {} are a press fit: they share {}", a, b, amount);
    case Overlap::Kind::thread:
      return fmt::format("{} and {} share their thread, as declared", a, b);
    case Overlap::Kind::gears:
      return fmt::format("{} and {} mesh, as declared; their teeth are not judged", a, b);
    case Overlap::Kind::overlap:
      break;
  }
  return fmt::format("{} and {} share {}", a, b, amount);
}

Result<Clearance> clearance(const Scene& scene, const std::vector<Solid>& solids, std::size_t a,
                            std::size_t b) {
  const auto refuse = [&] {
    return fail(
        error("shape-not-checked", {},
              fmt::format("the gap between {} and {} could not be measured", scene.say(a), scene.say(b)),
              "check that both solids are whole"));
  };
  try {
    BRepExtrema_DistShapeShape distance(placed(solids[a], scene.part(a).at),
                                        placed(solids[b], scene.part(b).at));
    if (!distance.IsDone() || distance.NbSolution() == 0) return refuse();
    const gp_Pnt p = distance.PointOnShape1(1), q = distance.PointOnShape2(1);
    return Clearance{
        Millimetres(distance.Value()), Millimetres(1e-6), {p.X(), p.Y(), p.Z()}, {q.X(), q.Y(), q.Z()}};
  } catch (const Standard_Failure&) {
    return refuse();
  }
}

}  // namespace handlot::geometry
