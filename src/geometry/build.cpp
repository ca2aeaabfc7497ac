// The tree of a card turned into the kernel's form.
#include <fmt/format.h>

#include <cmath>

#include "geometry/kernel.h"
#include "geometry/kernel_headers.h"

namespace handlot::geometry {

namespace {

using namespace shapes;

TopoDS_Shape build_raw(const SolidTree& tree);

gp_Pnt at(Point2 p) {
  return {p.x, p.y, 0};
}

TopoDS_Wire wire(const Polygon& polygon) {
  BRepBuilderAPI_MakePolygon make;
  for (Point2 p : polygon) make.Add(at(p));
  make.Close();
  return make.Wire();
}

TopoDS_Wire circle(Point2 centre, double radius) {
  const gp_Circ round(gp_Ax2(at(centre), gp_Dir(0, 0, 1)), radius);
  return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(round)).Wire();
}

TopoDS_Wire rounded_rectangle(double x, double y, double radius) {
  if (radius <= 0) return wire({{-x, -y}, {x, -y}, {x, y}, {-x, y}});
  BRepBuilderAPI_MakeWire make;
  const double s = radius * (1 - std::sqrt(0.5));
  const auto corner = [&](double sx, double sy, bool flat_first) {
    const gp_Pnt side(sx * x, sy * (y - radius), 0), end(sx * (x - radius), sy * y, 0);
    const gp_Pnt middle(sx * (x - s), sy * (y - s), 0);
    const auto arc =
        flat_first ? GC_MakeArcOfCircle(side, middle, end) : GC_MakeArcOfCircle(end, middle, side);
    make.Add(BRepBuilderAPI_MakeEdge(arc.Value()).Edge());
  };
  const auto line = [&](gp_Pnt a, gp_Pnt b) {
    if (a.Distance(b) > 1e-6) make.Add(BRepBuilderAPI_MakeEdge(a, b).Edge());
  };
  line({x, -y + radius, 0}, {x, y - radius, 0});
  corner(1, 1, true);
  line({x - radius, y, 0}, {-x + radius, y, 0});
  corner(-1, 1, false);
  line({-x, y - radius, 0}, {-x, -y + radius, 0});
  corner(-1, -1, true);
  line({-x + radius, -y, 0}, {x - radius, -y, 0});
  corner(1, -1, false);
  return make.Wire();
}

/// A face with openings, pushed upwards.
TopoDS_Shape pushed(const TopoDS_Wire& outline, const std::vector<TopoDS_Wire>& openings, double height) {
  BRepBuilderAPI_MakeFace face(gp_Pln(gp::XOY()), outline);
  for (TopoDS_Wire opening : openings) {
    // An opening runs against its outline: try both ways, keep the one that takes material away.
    const TopoDS_Face alone = BRepBuilderAPI_MakeFace(gp_Pln(gp::XOY()), opening).Face();
    BRepTopAdaptor_FClass2d in(alone, 1e-7);
    if (in.PerformInfinitePoint() == TopAbs_OUT) opening.Reverse();
    face.Add(opening);
  }
  return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, height)).Shape();
}

double signed_area(const Polygon& p) {
  double twice = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Point2 a = p[i], b = p[(i + 1) % p.size()];
    twice += a.x * b.y - a.y * b.x;
  }
  return twice / 2;
}

Polygon counter_clockwise(Polygon p) {
  if (signed_area(p) < 0) std::reverse(p.begin(), p.end());
  return p;
}

TopoDS_Shape boolean(BRepAlgoAPI_BooleanOperation& operation, const std::vector<SolidTree>& of) {
  TopTools_ListOfShape first, rest;
  first.Append(build_raw(of.front()));
  for (std::size_t i = 1; i < of.size(); ++i) rest.Append(build_raw(of[i]));
  operation.SetArguments(first);
  operation.SetTools(rest);
  operation.SetNonDestructive(Standard_True);
  operation.Build();
  if (operation.HasErrors()) throw Standard_Failure("the shapes could not be joined or cut");
  return operation.Shape();
}

TopoDS_Shape build_shape(const BoxShape& v) {
  return BRepPrimAPI_MakeBox(gp_Pnt(-v.x.value / 2, -v.y.value / 2, 0), v.x.value, v.y.value, v.z.value)
      .Shape();
}
TopoDS_Shape build_shape(const CylinderShape& v) {
  return BRepPrimAPI_MakeCylinder(v.diameter.value / 2, v.height.value).Shape();
}
TopoDS_Shape build_shape(const ConeShape& v) {
  return BRepPrimAPI_MakeCone(v.lower.value / 2, v.upper.value / 2, v.height.value).Shape();
}
TopoDS_Shape build_shape(const SphereShape& v) {
  return BRepPrimAPI_MakeSphere(v.diameter.value / 2).Shape();
}
TopoDS_Shape build_shape(const ThreadShape& v) {
  const Millimetres d = v.inner ? core_diameter(v.nominal, v.pitch) : v.nominal;
  return BRepPrimAPI_MakeCylinder(d.value / 2, v.length.value).Shape();
}
TopoDS_Shape build_shape(const ExtrusionShape& v) {
  std::vector<TopoDS_Wire> openings;
  for (const Polygon& opening : v.openings) openings.push_back(wire(counter_clockwise(opening)));
  return pushed(wire(counter_clockwise(v.outline)), openings, v.height.value);
}

TopoDS_Shape build_shape(const PlateShape& v) {
  std::vector<TopoDS_Wire> openings;
  for (const PlateHole& h : v.holes) openings.push_back(circle(h.at, h.diameter.value / 2));
  const TopoDS_Wire outline = v.y.value > 0 ? rounded_rectangle(v.x.value / 2, v.y.value / 2, v.corner.value)
                                            : circle({0, 0}, v.x.value / 2);
  const TopoDS_Shape plate = pushed(outline, openings, v.thickness.value);
  TopTools_ListOfShape base, sinks;
  base.Append(plate);
  for (const PlateHole& h : v.holes) {
    const double sink = h.countersink.value / 2;
    if (sink <= h.diameter.value / 2) continue;
    const double depth = std::min(sink, v.thickness.value);
    const gp_Ax2 axis(gp_Pnt(h.at.x, h.at.y, v.thickness.value - depth), gp_Dir(0, 0, 1));
    sinks.Append(BRepPrimAPI_MakeCone(axis, sink - depth, sink, depth).Shape());
  }
  if (sinks.IsEmpty()) return plate;
  BRepAlgoAPI_Cut cutter;
  cutter.SetArguments(base);
  cutter.SetTools(sinks);
  cutter.Build();
  if (cutter.HasErrors()) throw Standard_Failure("the countersinks could not be cut");
  return cutter.Shape();
}

TopoDS_Shape build_shape(const CutShape& v) {
  BRepAlgoAPI_Cut operation;
  return boolean(operation, v.of);
}
TopoDS_Shape build_shape(const FuseShape& v) {
  if (v.of.size() == 1) return build_raw(v.of.front());
  BRepAlgoAPI_Fuse operation;
  return boolean(operation, v.of);
}
TopoDS_Shape build_shape(const CommonShape& v) {
  BRepAlgoAPI_Common operation;
  return boolean(operation, v.of);
}

TopoDS_Shape build_raw(const SolidTree& tree) {
  const TopoDS_Shape shape = std::visit([](const auto& v) { return build_shape(v); }, tree.shape);
  if (tree.at == Placement{}) return shape;
  return shape.Moved(TopLoc_Location(kernel_placement(tree.at)));
}

}  // namespace

gp_Trsf kernel_placement(const Placement& at) {
  gp_Trsf trsf;
  const auto& m = at.turn;
  trsf.SetValues(m[0], m[1], m[2], at.shift.x, m[3], m[4], m[5], at.shift.y, m[6], m[7], m[8], at.shift.z);
  return trsf;
}

TopoDS_Shape build(const SolidTree& tree, std::string& why) {
  try {
    const TopoDS_Shape made = build_raw(tree);
    // A boolean gives a compound even of one solid.
    TopExp_Explorer solids(made, TopAbs_SOLID);
    if (!solids.More()) {
      why = "nothing is left of it";
      return {};
    }
    const TopoDS_Shape first = solids.Current();
    solids.Next();
    return solids.More() ? made : first;
  } catch (const Standard_Failure& failure) {
    why = failure.GetMessageString();
  } catch (const std::exception& failure) {
    why = failure.what();
  }
  return {};
}

}  // namespace handlot::geometry
