// simple_meshes.h: meshes made by hand, so that the logic on meshes is tested without the solid kernel.
#pragma once

#include <cmath>
#include <memory>
#include <numbers>
#include <random>
#include <string>

#include "shapes/assembly.h"
#include "shapes/solid_tree.h"

namespace handlot::testing {

/// A convex outline pushed up by `height`; `round` faces count as a cylinder about z.
inline shapes::Mesh prism(const shapes::Polygon& outline, double height, double round = 0,
                          bool hollow = false) {
  using namespace shapes;
  Mesh m;
  const auto n = static_cast<std::uint32_t>(outline.size());
  for (double z : {0.0, height})
    for (Point2 p : outline) m.vertices.push_back({p.x, p.y, z});
  const auto add = [&](std::uint32_t a, std::uint32_t b, std::uint32_t c, std::uint32_t face) {
    m.triangles.push_back({a, b, c});
    m.face_of.push_back(face);
  };
  m.faces = {{Surface::Kind::plane, {0, 0, 0}, {0, 0, -1}, 0, false},
             {Surface::Kind::plane, {0, 0, height}, {0, 0, 1}, 0, false}};
  for (std::uint32_t i = 1; i + 1 < n; ++i) add(0, i + 1, i, 0), add(n, n + i, n + i + 1, 1);
  for (std::uint32_t i = 0; i < n; ++i) {
    const std::uint32_t j = (i + 1) % n;
    if (round > 0) {
      if (i == 0) m.faces.push_back({Surface::Kind::cylinder, {0, 0, 0}, {0, 0, 1}, round, hollow});
    } else {
      const double dx = outline[j].x - outline[i].x, dy = outline[j].y - outline[i].y,
                   far = std::hypot(dx, dy);
      m.faces.push_back({Surface::Kind::plane, m.vertices[i], {dy / far, -dx / far, 0}, 0, false});
      m.sharp.push_back({i, n + i});
    }
    const auto face = static_cast<std::uint32_t>(m.faces.size() - 1);
    add(i, j, n + j, face), add(i, n + j, n + i, face);
    m.sharp.push_back({i, j});
    m.sharp.push_back({n + i, n + j});
  }
  return m;
}

inline shapes::Mesh block(double x, double y, double z) {
  return prism({{-x / 2, -y / 2}, {x / 2, -y / 2}, {x / 2, y / 2}, {-x / 2, y / 2}}, z);
}

inline shapes::Mesh drum(double diameter, double height, int facets = 24) {
  shapes::Polygon outline;
  for (int i = 0; i < facets; ++i) {
    const double a = 2 * std::numbers::pi * i / facets;
    outline.push_back({diameter / 2 * std::cos(a), diameter / 2 * std::sin(a)});
  }
  return prism(outline, height, diameter / 2);
}

/// Several meshes as one body (they may touch but not overlap).
inline shapes::Mesh together(const std::vector<std::pair<shapes::Mesh, shapes::Vec3>>& parts) {
  shapes::Mesh all;
  for (const auto& [mesh, at] : parts) {
    const auto v = static_cast<std::uint32_t>(all.vertices.size()),
               f = static_cast<std::uint32_t>(all.faces.size());
    for (shapes::Vec3 p : mesh.vertices) all.vertices.push_back(p + at);
    for (auto t : mesh.triangles) all.triangles.push_back({t[0] + v, t[1] + v, t[2] + v});
    for (std::uint32_t face : mesh.face_of) all.face_of.push_back(face + f);
    for (shapes::Surface s : mesh.faces) s.point += at, all.faces.push_back(s);
    for (auto e : mesh.sharp) all.sharp.push_back({e[0] + v, e[1] + v});
  }
  return all;
}

/// An open box of walls around a hollow, open at the top unless `lid`.
inline shapes::Mesh tub(double x, double y, double z, double wall, bool lid = false) {
  std::vector<std::pair<shapes::Mesh, shapes::Vec3>> parts{
      {block(x, y, wall), {0, 0, 0}},
      {block(wall, y, z - 2 * wall), {-x / 2 + wall / 2, 0, wall}},
      {block(wall, y, z - 2 * wall), {x / 2 - wall / 2, 0, wall}},
      {block(x - 2 * wall, wall, z - 2 * wall), {0, -y / 2 + wall / 2, wall}},
      {block(x - 2 * wall, wall, z - 2 * wall), {0, y / 2 - wall / 2, wall}}};
  if (lid) parts.push_back({block(x, y, wall), {0, 0, z - wall}});
  return together(parts);
}

class SceneMaker {
 public:
  shapes::Assembly assembly;
  shapes::Part& add(const std::string& id, shapes::Mesh mesh, const shapes::Placement& at = {}) {
    shapes::Part part;
    part.id = PartId(id);
    part.name = id;
    part.mesh = std::make_shared<const shapes::Mesh>(std::move(mesh));
    part.at = at;
    assembly.parts.push_back(std::move(part));
    return assembly.parts.back();
  }
  shapes::Part& add(const std::string& id, shapes::Mesh mesh, shapes::Vec3 at) {
    return add(id, std::move(mesh), shapes::placed_at(at));
  }
  void declare(shapes::Declared::Kind kind, const std::string& a, const std::string& b) {
    assembly.declared.push_back({kind, PartId(a), PartId(b)});
  }
};

inline shapes::PartSet set_of(const shapes::Scene& scene, std::initializer_list<const char*> ids);

}  // namespace handlot::testing

#include "shapes/blocking.h"

namespace handlot::testing {

inline shapes::PartSet set_of(const shapes::Scene& scene, std::initializer_list<const char*> ids) {
  shapes::PartSet set(scene.size());
  for (const char* id : ids) set.add(scene.find(PartId(id)).value());
  return set;
}

/// Blocks and drums scattered in a cube, some over each other.
inline shapes::Assembly scattered(unsigned seed, int parts, double room) {
  std::mt19937 random(seed);
  const auto in = [&](double low, double high) {
    return low + (high - low) * static_cast<double>(random() % 10007) / 10007.0;
  };
  SceneMaker make;
  for (int i = 0; i < parts; ++i) {
    shapes::Mesh mesh = random() % 2 == 0 ? block(in(2, 9), in(2, 9), in(2, 9)) : drum(in(2, 9), in(2, 9));
    make.add("p" + std::to_string(i), std::move(mesh),
             shapes::placed_at({in(-room, room), in(-room, room), in(-room, room)}, Degrees(in(0, 360)),
                               Degrees(in(0, 360)), Degrees(in(0, 360))));
  }
  return make.assembly;
}

}  // namespace handlot::testing
