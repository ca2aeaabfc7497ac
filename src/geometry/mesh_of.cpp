// Triangles, faces and sharp edges of a kernel shape.
#include <algorithm>
#include <cmath>

#include "geometry/kernel.h"
#include "geometry/kernel_headers.h"

namespace handlot::geometry {

namespace {

using shapes::Mesh;
using shapes::Surface;
using shapes::Vec3;

Vec3 vec(const gp_Pnt& p) {
  return {p.X(), p.Y(), p.Z()};
}
Vec3 vec(const gp_Dir& d) {
  return {d.X(), d.Y(), d.Z()};
}

/// The kernel's normal of a turned face points away from the axis when its frame is right-handed.
bool is_hollow(const gp_Ax3& frame, bool reversed) {
  return frame.Direct() == reversed;
}

Surface surface_of(const TopoDS_Face& face) {
  const BRepAdaptor_Surface on(face, Standard_False);
  const bool reversed = face.Orientation() == TopAbs_REVERSED;
  Surface s;
  const auto turned = [&](Surface::Kind kind, const gp_Ax3& frame, double radius) {
    s = {kind, vec(frame.Location()), vec(frame.Direction()), radius, is_hollow(frame, reversed)};
  };
  switch (on.GetType()) {
    case GeomAbs_Plane: {
      const gp_Ax3 frame = on.Plane().Position();
      const Vec3 normal = vec(frame.Direction());
      s = {Surface::Kind::plane, vec(frame.Location()), frame.Direct() == reversed ? -normal : normal, 0,
           false};
      break;
    }
    case GeomAbs_Cylinder:
      turned(Surface::Kind::cylinder, on.Cylinder().Position(), on.Cylinder().Radius());
      break;
    case GeomAbs_Cone:
      turned(Surface::Kind::cone, on.Cone().Position(), on.Cone().RefRadius());
      break;
    case GeomAbs_Sphere:
      turned(Surface::Kind::sphere, on.Sphere().Position(), on.Sphere().Radius());
      break;
    case GeomAbs_Torus:
      turned(Surface::Kind::torus, on.Torus().Position(), on.Torus().MajorRadius());
      break;
    default:
      break;
  }
  return s;
}

/// The outward normal of a face at a point of one of its edges, if it has one.
std::optional<gp_Dir> normal_at(const TopoDS_Edge& edge, const TopoDS_Face& face) {
  double first = 0, last = 0;
  const Handle(Geom2d_Curve) curve = BRep_Tool::CurveOnSurface(edge, face, first, last);
  if (curve.IsNull()) return std::nullopt;
  const gp_Pnt2d uv = curve->Value(first + (last - first) * 0.4567);
  const BRepAdaptor_Surface on(face, Standard_False);
  gp_Pnt p;
  gp_Vec du, dv;
  on.D1(uv.X(), uv.Y(), p, du, dv);
  gp_Vec normal = du.Crossed(dv);
  if (normal.Magnitude() < 1e-12) return std::nullopt;
  if (face.Orientation() == TopAbs_REVERSED) normal.Reverse();
  return gp_Dir(normal);
}

constexpr double kSharp = 0.12;  ///< radians; smaller angles read as one smooth surface

bool is_sharp(const TopoDS_Edge& edge, const TopTools_ListOfShape& faces) {
  if (faces.Extent() < 2) return true;
  const TopoDS_Face& a = TopoDS::Face(faces.First());
  const TopoDS_Face& b = TopoDS::Face(faces.Last());
  if (a.IsSame(b)) return false;
  const auto na = normal_at(edge, a);
  const auto nb = normal_at(edge, b);
  return na && nb && na->Angle(*nb) > kSharp;
}

/// Collects faces one after another; vertices are made common at the end.
class Collector {
 public:
  Mesh mesh;

  void add(const TopoDS_Face& face) {
    TopLoc_Location location;
    const Handle(Poly_Triangulation) of = BRep_Tool::Triangulation(face, location);
    if (of.IsNull()) return;
    const auto offset = static_cast<std::uint32_t>(mesh.vertices.size());
    starts_.Add(face);
    offsets_.push_back(offset);
    const gp_Trsf trsf = location.Transformation();
    for (int i = 1; i <= of->NbNodes(); ++i) mesh.vertices.push_back(vec(of->Node(i).Transformed(trsf)));
    const bool reversed = face.Orientation() == TopAbs_REVERSED;
    for (int i = 1; i <= of->NbTriangles(); ++i) {
      int a = 0, b = 0, c = 0;
      of->Triangle(i).Get(a, b, c);
      if (reversed) std::swap(b, c);
      const auto index = [&](int k) { return offset + static_cast<std::uint32_t>(k - 1); };
      mesh.triangles.push_back({index(a), index(b), index(c)});
      mesh.face_of.push_back(static_cast<std::uint32_t>(mesh.faces.size()));
    }
    mesh.faces.push_back(surface_of(face));
  }

  void add(const TopoDS_Edge& edge, const TopTools_ListOfShape& faces) {
    if (BRep_Tool::Degenerated(edge) || !is_sharp(edge, faces)) return;
    const TopoDS_Face& face = TopoDS::Face(faces.First());
    const int start = starts_.FindIndex(face);
    TopLoc_Location location;
    const Handle(Poly_Triangulation) of = BRep_Tool::Triangulation(face, location);
    if (start == 0 || of.IsNull()) return;
    const Handle(Poly_PolygonOnTriangulation) run = BRep_Tool::PolygonOnTriangulation(edge, of, location);
    if (run.IsNull()) return;
    const std::uint32_t offset = offsets_[static_cast<std::size_t>(start - 1)];
    for (int i = 1; i < run->NbNodes(); ++i)
      mesh.sharp.push_back({offset + static_cast<std::uint32_t>(run->Node(i) - 1),
                            offset + static_cast<std::uint32_t>(run->Node(i + 1) - 1)});
  }

 private:
  TopTools_IndexedMapOfShape starts_;
  std::vector<std::uint32_t> offsets_;
};

}  // namespace

Mesh mesh_of(const TopoDS_Shape& shape, const Fineness& fineness) {
  BRepMesh_IncrementalMesh(shape, fineness.linear, Standard_False, fineness.angular, Standard_False);
  Collector collector;
  for (TopExp_Explorer faces(shape, TopAbs_FACE); faces.More(); faces.Next())
    collector.add(TopoDS::Face(faces.Current()));
  TopTools_IndexedDataMapOfShapeListOfShape edges;
  TopExp::MapShapesAndAncestors(shape, TopAbs_EDGE, TopAbs_FACE, edges);
  for (int i = 1; i <= edges.Extent(); ++i)
    collector.add(TopoDS::Edge(edges.FindKey(i)), edges.FindFromIndex(i));
  Mesh mesh = shapes::welded(std::move(collector.mesh));
  const bool flat = std::all_of(mesh.faces.begin(), mesh.faces.end(),
                                [](const Surface& s) { return s.kind == Surface::Kind::plane; });
  mesh.deflection = flat ? 0 : fineness.linear;
  return mesh;
}

shapes::Amounts amounts_of(const TopoDS_Shape& shape) {
  GProp_GProps volume, surface;
  // The default integration errs by up to 1.5 % on free-form faces; the adaptive one does not.
  BRepGProp::VolumeProperties(shape, volume, 1e-6);
  BRepGProp::SurfaceProperties(shape, surface, 1e-6);
  return {CubicMillimetres(volume.Mass()), SquareMillimetres(surface.Mass()), vec(volume.CentreOfMass()),
          1e-6};
}

}  // namespace handlot::geometry
