// Faces that lie opposite each other: the area of a bond and the thickness of its glue.
#include <fmt/format.h>

#include <BRepBndLib.hxx>
#include <Bnd_Box.hxx>
#include <Extrema_ExtPS.hxx>
#include <algorithm>
#include <cmath>
#include <deque>
#include <limits>

#include "geometry/checks.h"
#include "geometry/kernel.h"
#include "geometry/kernel_headers.h"

namespace handlot::geometry {

using shapes::Vec3;

namespace {

constexpr double kAngle =
    0.00873;                 ///< radians, half a degree: flat faces no further from parallel face each other
constexpr int kFine = 200;   ///< samples across a round face, each way
constexpr int kCoarse = 60;  ///< across a free-form face

Vec3 vec(const gp_Pnt& p) {
  return {p.X(), p.Y(), p.Z()};
}
Vec3 vec(const gp_Vec& p) {
  return {p.X(), p.Y(), p.Z()};
}

/// A face with what is asked of it again and again.
struct Side {
  explicit Side(const TopoDS_Face& f) : face(f), on(f), inside(f, 1e-7) { BRepBndLib::Add(f, box); }
  TopoDS_Face face;
  BRepAdaptor_Surface on;
  mutable BRepTopAdaptor_FClass2d inside;
  Bnd_Box box;

  bool turned() const {
    return on.GetType() == GeomAbs_Cylinder || on.GetType() == GeomAbs_Cone || on.GetType() == GeomAbs_Sphere;
  }
  /// Outward unit normal and area per du dv.
  std::pair<gp_Vec, double> normal(double u, double v) const {
    gp_Pnt p;
    gp_Vec du, dv;
    on.D1(u, v, p, du, dv);
    gp_Vec n = du.Crossed(dv);
    const double size = n.Magnitude();
    if (size > 1e-12) n /= size;
    if (face.Orientation() == TopAbs_REVERSED) n.Reverse();
    return {n, size};
  }
  /// The foot of a point, if it lies on the face.
  std::optional<gp_Pnt2d> foot(const gp_Pnt& p) const {
    double u = 0, v = 0;
    switch (on.GetType()) {
      case GeomAbs_Plane:
        ElSLib::Parameters(on.Plane(), p, u, v);
        break;
      case GeomAbs_Cylinder:
        ElSLib::Parameters(on.Cylinder(), p, u, v);
        break;
      case GeomAbs_Cone:
        ElSLib::Parameters(on.Cone(), p, u, v);
        break;
      case GeomAbs_Sphere:
        ElSLib::Parameters(on.Sphere(), p, u, v);
        break;
      default: {
        Extrema_ExtPS search(p, on, 1e-7, 1e-7);
        if (!search.IsDone() || search.NbExt() == 0) return std::nullopt;
        int best = 1;
        for (int i = 2; i <= search.NbExt(); ++i)
          if (search.SquareDistance(i) < search.SquareDistance(best)) best = i;
        search.Point(best).Parameter(u, v);
      }
    }
    const gp_Pnt2d uv(u, v);
    return inside.Perform(uv) == TopAbs_IN ? std::optional(uv) : std::nullopt;
  }
};

struct Sum {
  double area = 0;
  double least = std::numeric_limits<double>::infinity(), most = -std::numeric_limits<double>::infinity();
  Vec3 moment, normal;
  std::size_t faces = 0;
  double error = 0;

  void add(double a, double gap, Vec3 at, Vec3 n) {
    area += a;
    least = std::min(least, gap);
    most = std::max(most, gap);
    moment += at * a;
    normal += n * a;
  }
  void add(const Sum& o, double weight) {
    area += o.area * weight;
    least = std::min(least, o.least);
    most = std::max(most, o.most);
    moment += o.moment * weight;
    normal += o.normal * weight;
  }
};

/// Flat on flat: one face is moved onto the other and what they share is measured exactly.
Sum flat(const Side& a, const Side& b, double gap) {
  const auto [na, size_a] = a.normal(a.on.FirstUParameter(), a.on.FirstVParameter());
  const auto [nb, size_b] = b.normal(b.on.FirstUParameter(), b.on.FirstVParameter());
  Sum sum;
  if (na.Dot(nb) > -std::cos(kAngle)) return sum;
  const gp_Vec between(a.on.Plane().Location(), b.on.Plane().Location());
  const double apart = between.Dot(na);
  if (std::abs(apart) > gap + 1e-9) return sum;
  gp_Trsf shift;
  shift.SetTranslation(na * -apart);
  BRepAlgoAPI_Common common(a.face, b.face.Moved(TopLoc_Location(shift)));
  if (common.HasErrors()) return sum;
  for (TopExp_Explorer faces(common.Shape(), TopAbs_FACE); faces.More(); faces.Next()) {
    GProp_GProps surface;
    BRepGProp::SurfaceProperties(faces.Current(), surface, 1e-6);
    sum.add(surface.Mass(), apart, vec(surface.CentreOfMass()), vec(na));
  }
  return sum;
}

/// Points of one face that have the other opposite within the gap.
Sum sampled(const Side& from, const Side& to, double gap, int n) {
  Sum sum;
  double u0 = 0, u1 = 0, v0 = 0, v1 = 0;
  BRepTools::UVBounds(from.face, u0, u1, v0, v1);
  const double du = (u1 - u0) / n, dv = (v1 - v0) / n;
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j) {
      const double u = u0 + (i + 0.5) * du, v = v0 + (j + 0.5) * dv;
      if (from.inside.Perform(gp_Pnt2d(u, v)) != TopAbs_IN) continue;
      const gp_Pnt p = from.on.Value(u, v);
      const auto foot = to.foot(p);
      if (!foot) continue;
      const auto [normal, size] = from.normal(u, v);
      const auto other = to.normal(foot->X(), foot->Y()).first;
      if (normal.Dot(other) > -0.9) continue;
      const double apart = gp_Vec(p, to.on.Value(foot->X(), foot->Y())).Dot(normal);
      if (std::abs(apart) > gap + 1e-9) continue;
      sum.add(size * du * dv, apart, vec(p), vec(normal));
    }
  return sum;
}

Sum facing(const Side& a, const Side& b, double gap) {
  if (a.box.Distance(b.box) > gap + 1e-6) return {};
  const bool flat_a = a.on.GetType() == GeomAbs_Plane, flat_b = b.on.GetType() == GeomAbs_Plane;
  if (flat_a && flat_b) return flat(a, b, gap);
  const bool both_turned = a.turned() && b.turned();
  // A flat and a round face share a line at most.
  if ((flat_a && b.turned()) || (flat_b && a.turned())) return {};
  if (both_turned && a.on.GetType() != b.on.GetType()) return {};
  const int n = both_turned ? kFine : kCoarse;
  const Sum there = sampled(a, b, gap, n);
  if (there.area == 0) return {};
  Sum back = sampled(b, a, gap, n);
  back.normal = back.normal * -1;
  Sum mean;
  mean.add(there, 0.5);
  mean.add(back, 0.5);
  mean.error = both_turned ? 0.002 : 0.05;
  return mean;
}

std::deque<Side> sides_of(const TopoDS_Shape& shape) {
  std::deque<Side> sides;
  for (TopExp_Explorer faces(shape, TopAbs_FACE); faces.More(); faces.Next())
    sides.emplace_back(TopoDS::Face(faces.Current()));
  return sides;
}

}  // namespace

Result<Contact> contact(const shapes::Scene& scene, const std::vector<Solid>& solids, std::size_t a,
                        std::size_t b, Millimetres gap) {
  Sum sum;
  try {
    const TopoDS_Shape shape_a = placed(solids[a], scene.part(a).at),
                       shape_b = placed(solids[b], scene.part(b).at);
    const std::deque<Side> sides_a = sides_of(shape_a), sides_b = sides_of(shape_b);
    for (const Side& one : sides_a)
      for (const Side& other : sides_b) {
        const Sum found = facing(one, other, gap.value);
        if (found.area <= 1e-9) continue;
        sum.add(found, 1);
        sum.error = std::max(sum.error, found.error);
        ++sum.faces;
      }
  } catch (const Standard_Failure& failure) {
    return fail(error("shape-not-checked", {},
                      fmt::format("the contact of {} and {} could not be measured: {}", scene.say(a),
                                  scene.say(b), failure.GetMessageString()),
                      "check that both solids are whole"));
  }
  Contact found;
  found.faces = sum.faces;
  if (sum.faces == 0) return found;
  found.area = SquareMillimetres(sum.area);
  found.error = std::max(sum.error, 1e-6);
  found.least_gap = Millimetres(sum.least);
  found.most_gap = Millimetres(sum.most);
  found.middle = sum.moment * (1 / sum.area);
  // Round a pin the normals cancel: there is no one direction then.
  if (length(sum.normal) > 0.1 * sum.area) found.normal = unit(sum.normal);
  return found;
}

}  // namespace handlot::geometry
