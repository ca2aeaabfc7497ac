#include "geometry/checks.h"

#include <fmt/format.h>

#include <cmath>
#include <cstring>

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
  Vec3 where;
};

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
    for (TopExp_Explorer solids(common.Shape(), TopAbs_SOLID); solids.More(); solids.Next()) {
      const shapes::Amounts one = amounts_of(solids.Current());
      shared.volume += one.volume.value;
      shared.surface += one.surface.value;
      shared.where += one.centre * one.volume.value;
    }
    if (shared.volume > 0) shared.where = shared.where * (1 / shared.volume);
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
      fmt::format("common 1 {} {} {}", solids[a].key(), solids[b].key(), placement_text(b_in_a)));
  double run[5];
  if (const auto kept = cache.get("common", key); kept && kept->size() == sizeof run) {
    std::memcpy(run, kept->data(), sizeof run);
    return Shared{run[0], run[1], scene.part(a).at.point({run[2], run[3], run[4]})};
  }
  auto shared = intersect(solids[a], solids[b], b_in_a);
  if (!shared) return std::nullopt;
  const double fresh[5] = {shared->volume, shared->surface, shared->where.x, shared->where.y,
                           shared->where.z};
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
          Millimetres(2 * whole.volume.value / whole.surface.value),
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
    const double depth = shared->surface > 0 ? 2 * shared->volume / shared->surface : 0;
    const Overlap whole = swallowed(scene, solids, pair.a, pair.b);
    if (pair.how == Meeting::within && shared->volume > 0.999 * whole.volume.value) {
      found.overlaps.push_back(whole);
    } else if (shared->volume > rules.least_volume.value && depth > rules.least_depth.value) {
      found.overlaps.push_back({pair.a, pair.b, kind, CubicMillimetres(shared->volume), Millimetres(depth),
                                shared->where, CubicMillimetres(shared->volume * 1e-6)});
    }
  }
  return found;
}

std::string say(const Scene& scene, const Overlap& o) {
  const std::string a = scene.say(o.a), b = scene.say(o.b);
  const std::string amount =
      fmt::format("{} mm3, {} mm deep, at ({}, {}, {})", number(o.volume.value, 3), number(o.depth.value, 3),
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
