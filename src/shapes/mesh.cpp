#include "shapes/mesh.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstring>
#include <map>
#include <numeric>
#include <optional>
#include <unordered_map>

namespace handlot::shapes {

Amounts amounts(const Mesh& mesh) {
  const Vec3 origin = box_of(mesh).empty() ? Vec3{} : box_of(mesh).middle();
  double volume = 0;
  double surface = 0;
  Vec3 moment;
  for (const auto& t : mesh.triangles) {
    const Vec3 a = mesh.vertices[t[0]] - origin;
    const Vec3 b = mesh.vertices[t[1]] - origin;
    const Vec3 c = mesh.vertices[t[2]] - origin;
    const double sixfold = dot(a, cross(b, c));
    volume += sixfold / 6;
    moment += (a + b + c) * (sixfold / 24);
    surface += length(cross(b - a, c - a)) / 2;
  }
  Amounts found;
  found.volume = CubicMillimetres(volume);
  found.surface = SquareMillimetres(surface);
  found.centre = volume == 0 ? origin : origin + moment * (1 / volume);
  found.error = volume == 0 ? 1 : std::min(1.0, mesh.deflection * surface / std::abs(volume) + 1e-12);
  return found;
}

Grams mass(CubicMillimetres volume, GramsPerCubicCentimetre density) {
  return Grams(volume.value * 1e-3 * density.value);
}

Box box_of(const Mesh& mesh) {
  Box box;
  for (const Vec3& v : mesh.vertices) box.add(v);
  return box;
}

namespace {

/// Vertices in cells of a grid; the first that came within reach stands for the others.
class Welder {
 public:
  explicit Welder(double within) : within_(within), cell_(std::max(within * 4, 1e-9)) {}

  std::uint32_t add(Vec3 p) {
    const std::array<std::int64_t, 3> c = cell(p);
    for (std::int64_t dx = -1; dx <= 1; ++dx)
      for (std::int64_t dy = -1; dy <= 1; ++dy)
        for (std::int64_t dz = -1; dz <= 1; ++dz)
          if (const auto found = look({c[0] + dx, c[1] + dy, c[2] + dz}, p)) return *found;
    kept.push_back(p);
    const auto index = static_cast<std::uint32_t>(kept.size() - 1);
    cells_[hash(c)].push_back(index);
    return index;
  }
  std::vector<Vec3> kept;

 private:
  std::array<std::int64_t, 3> cell(Vec3 p) const {
    return {std::llround(p.x / cell_), std::llround(p.y / cell_), std::llround(p.z / cell_)};
  }
  static std::uint64_t hash(const std::array<std::int64_t, 3>& c) {
    std::uint64_t h = 1469598103934665603ULL;
    for (std::int64_t v : c) h = (h ^ static_cast<std::uint64_t>(v)) * 1099511628211ULL, h ^= h >> 29;
    return h;
  }
  std::optional<std::uint32_t> look(const std::array<std::int64_t, 3>& c, Vec3 p) const {
    const auto it = cells_.find(hash(c));
    if (it == cells_.end()) return std::nullopt;
    for (std::uint32_t i : it->second)
      if (length(kept[i] - p) <= within_) return i;
    return std::nullopt;
  }
  double within_;
  double cell_;
  std::unordered_map<std::uint64_t, std::vector<std::uint32_t>> cells_;
};

}  // namespace

Mesh welded(Mesh mesh, double within) {
  Welder welder(within);
  std::vector<std::uint32_t> now(mesh.vertices.size());
  for (std::size_t i = 0; i < now.size(); ++i) now[i] = welder.add(mesh.vertices[i]);
  mesh.vertices = std::move(welder.kept);
  std::size_t kept = 0;
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    auto t = mesh.triangles[i];
    for (auto& corner : t) corner = now[corner];
    if (t[0] == t[1] || t[1] == t[2] || t[0] == t[2]) continue;
    mesh.triangles[kept] = t;
    mesh.face_of[kept++] = mesh.face_of[i];
  }
  mesh.triangles.resize(kept);
  mesh.face_of.resize(kept);
  for (auto& edge : mesh.sharp) edge = {now[edge[0]], now[edge[1]]};
  std::erase_if(mesh.sharp, [](const auto& edge) { return edge[0] == edge[1]; });
  return mesh;
}

std::string fault(const Mesh& mesh) {
  if (mesh.triangles.empty()) return "it has no surface";
  std::map<std::pair<std::uint32_t, std::uint32_t>, int> edges;
  for (const auto& t : mesh.triangles)
    for (std::size_t k = 0; k < 3; ++k) ++edges[{t[k], t[(k + 1) % 3]}];
  std::size_t open = 0;
  for (const auto& [edge, times] : edges) {
    const auto back = edges.find({edge.second, edge.first});
    if (back == edges.end() || back->second != times) ++open;
  }
  if (open > 0) return fmt::format("its surface is open along {} edges", open);
  if (amounts(mesh).volume.value <= 0) return "it encloses no volume";
  return {};
}

namespace {

constexpr std::string_view kHead = "handlot mesh 1\n";

template <class T>
void write_run(std::string& out, const std::vector<T>& run) {
  const std::uint64_t count = run.size();
  out.append(reinterpret_cast<const char*>(&count), sizeof count);
  if (count > 0) out.append(reinterpret_cast<const char*>(run.data()), count * sizeof(T));
}

template <class T>
bool read_run(std::string_view& in, std::vector<T>& run) {
  std::uint64_t count = 0;
  if (in.size() < sizeof count) return false;
  std::memcpy(&count, in.data(), sizeof count);
  in.remove_prefix(sizeof count);
  if (count > in.size() / sizeof(T)) return false;
  run.resize(count);
  if (count > 0) std::memcpy(static_cast<void*>(run.data()), in.data(), count * sizeof(T));
  in.remove_prefix(count * sizeof(T));
  return true;
}

struct StoredFace {
  double numbers[7];
  std::uint8_t kind, hollow, pad[6];
};

bool in_range(const Mesh& mesh) {
  const auto good = [&](std::uint32_t v) { return v < mesh.vertices.size(); };
  for (const auto& t : mesh.triangles)
    if (!std::all_of(t.begin(), t.end(), good)) return false;
  for (const auto& e : mesh.sharp)
    if (!std::all_of(e.begin(), e.end(), good)) return false;
  return mesh.face_of.size() == mesh.triangles.size() &&
         std::all_of(mesh.face_of.begin(), mesh.face_of.end(),
                     [&](std::uint32_t f) { return f < mesh.faces.size(); });
}

}  // namespace

std::string to_bytes(const Mesh& mesh) {
  std::string out(kHead);
  std::vector<StoredFace> faces;
  for (const Surface& s : mesh.faces)
    faces.push_back({{s.point.x, s.point.y, s.point.z, s.axis.x, s.axis.y, s.axis.z, s.radius},
                     static_cast<std::uint8_t>(s.kind),
                     s.hollow,
                     {}});
  write_run(out, mesh.vertices);
  write_run(out, mesh.triangles);
  write_run(out, mesh.face_of);
  write_run(out, mesh.sharp);
  write_run(out, faces);
  write_run(out, std::vector<double>{mesh.deflection});
  return out;
}

Result<Mesh> mesh_from_bytes(std::string_view bytes) {
  const auto refuse = [] {
    return fail(
        error("cache-damaged", {}, "a stored mesh is damaged", "delete the cache folder and run again"));
  };
  if (bytes.substr(0, kHead.size()) != kHead) return refuse();
  bytes.remove_prefix(kHead.size());
  Mesh mesh;
  std::vector<StoredFace> faces;
  std::vector<double> deflection;
  const bool whole = read_run(bytes, mesh.vertices) && read_run(bytes, mesh.triangles) &&
                     read_run(bytes, mesh.face_of) && read_run(bytes, mesh.sharp) && read_run(bytes, faces) &&
                     read_run(bytes, deflection) && bytes.empty() && deflection.size() == 1;
  if (!whole) return refuse();
  mesh.deflection = deflection[0];
  for (const StoredFace& f : faces) {
    if (f.kind > static_cast<std::uint8_t>(Surface::Kind::other)) return refuse();
    mesh.faces.push_back({static_cast<Surface::Kind>(f.kind),
                          {f.numbers[0], f.numbers[1], f.numbers[2]},
                          {f.numbers[3], f.numbers[4], f.numbers[5]},
                          f.numbers[6],
                          f.hollow != 0});
  }
  if (!in_range(mesh)) return refuse();
  return mesh;
}

}  // namespace handlot::shapes
