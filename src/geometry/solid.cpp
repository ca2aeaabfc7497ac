#include "geometry/solid.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cstring>

#include "geometry/kernel.h"
#include "geometry/kernel_headers.h"

namespace handlot::geometry {

using shapes::Amounts;
using shapes::Cache;
using shapes::Mesh;

Solid::Solid() = default;
Solid::~Solid() = default;
Solid::Solid(const Solid&) = default;
Solid::Solid(Solid&&) noexcept = default;
Solid& Solid::operator=(const Solid&) = default;
Solid& Solid::operator=(Solid&&) noexcept = default;
Solid::Solid(std::shared_ptr<State> state) : state_(std::move(state)) {}

const std::string& Solid::key() const {
  return state_->key;
}

const TopoDS_Shape& shape_of(const Solid& solid) {
  Solid::State& state = solid.state();
  if (state.shape.IsNull()) {
    std::string why;
    state.shape = state.tree ? build(*state.tree, why) : shape_from(state.bytes);
  }
  assert(!state.shape.IsNull());
  return state.shape;
}

TopoDS_Shape placed(const Solid& solid, const shapes::Placement& at) {
  return shape_of(solid).Moved(TopLoc_Location(kernel_placement(at)));
}

std::string bytes_of(const TopoDS_Shape& shape) {
  std::ostringstream out;
  BinTools::Write(shape, out, Standard_False, Standard_False, BinTools_FormatVersion_CURRENT);
  return std::move(out).str();
}

TopoDS_Shape shape_from(const std::string& bytes) {
  TopoDS_Shape shape;
  try {
    std::istringstream in(bytes);
    BinTools::Read(shape, in);
  } catch (const Standard_Failure&) {
    return {};
  } catch (const std::exception&) {
    return {};
  }
  return shape;
}

SolidFault solid_fault(const TopoDS_Shape& shape) {
  int count = 0;
  for (TopExp_Explorer solids(shape, TopAbs_SOLID); solids.More(); solids.Next()) ++count;
  if (count == 0) return {"shape-empty", "nothing is left of the solid"};
  if (count > 1) return {"shape-in-pieces", fmt::format("the solid falls into {} loose pieces", count)};
  if (!BRepCheck_Analyzer(shape).IsValid()) return {"shape-not-solid", "the shape is not a valid solid"};
  GProp_GProps volume;
  BRepGProp::VolumeProperties(shape, volume);
  if (!(volume.Mass() > 1e-9)) return {"shape-not-solid", "the shape encloses no volume"};
  return {};
}

namespace {

std::string numbers(const Amounts& a) {
  const double run[6] = {a.volume.value, a.surface.value, a.centre.x, a.centre.y, a.centre.z, a.error};
  return {reinterpret_cast<const char*>(run), sizeof run};
}

std::optional<Amounts> amounts_from(const std::string& bytes) {
  double run[6];
  if (bytes.size() != sizeof run) return std::nullopt;
  std::memcpy(run, bytes.data(), sizeof run);
  return Amounts{CubicMillimetres(run[0]), SquareMillimetres(run[1]), {run[2], run[3], run[4]}, run[5]};
}

bool from_cache(Solid::State& state) {
  const auto mesh_bytes = state.cache.get("mesh", state.key);
  const auto amount_bytes = state.cache.get("amounts", state.key);
  if (!mesh_bytes || !amount_bytes) return false;
  auto mesh = shapes::mesh_from_bytes(*mesh_bytes);
  const auto amounts = amounts_from(*amount_bytes);
  if (!mesh || !amounts) return false;
  state.mesh = std::make_shared<const Mesh>(std::move(*mesh));
  state.amounts = amounts;
  return true;
}

/// Fills mesh and amounts from the kernel's form and keeps them. Gives the fault, if the form is no solid.
SolidFault settle(Solid::State& state) {
  try {
    if (const SolidFault fault = solid_fault(state.shape); !fault.code.empty()) return fault;
    state.amounts = amounts_of(state.shape);
    state.mesh = std::make_shared<const Mesh>(mesh_of(state.shape, state.fineness));
  } catch (const Standard_Failure& failure) {
    return {"shape-not-solid", fmt::format("the solid kernel gave up: {}", failure.GetMessageString())};
  }
  if (state.mesh->triangles.empty()) return {"shape-not-solid", "the solid could not be cut into triangles"};
  state.cache.put("mesh", state.key, to_bytes(*state.mesh));
  state.cache.put("amounts", state.key, numbers(*state.amounts));
  return {};
}

std::string key_of(std::string_view what, const Fineness& fineness) {
  return shapes::content_key(fmt::format("solid 3 {} {} {}", fineness.linear, fineness.angular, what));
}

}  // namespace

std::shared_ptr<const Mesh> Solid::mesh() const {
  return state_->mesh;
}
Amounts Solid::amounts() const {
  return *state_->amounts;
}

Result<Solid> make_solid(const shapes::SolidTree& tree, const Fineness& fineness, const Cache& cache) {
  if (Diagnostics wrong = shapes::faults(tree); !wrong.empty()) return fail(std::move(wrong));
  auto state = std::make_shared<Solid::State>();
  state->key = key_of(describe(tree), fineness);
  state->tree = tree;
  state->fineness = fineness;
  state->cache = cache;
  if (from_cache(*state)) return Solid(std::move(state));
  std::string why;
  state->shape = build(tree, why);
  if (state->shape.IsNull())
    return fail(error(why == "nothing is left of it" ? "shape-empty" : "shape-not-solid", tree.place,
                      fmt::format("the solid cannot be made: {}", why),
                      "check sizes and places of its shapes"));
  if (const SolidFault fault = settle(*state); !fault.code.empty())
    return fail(error(fault.code, tree.place, fault.text, "check sizes and places of its shapes"));
  return Solid(std::move(state));
}

Result<Solid> solid_from_bytes(std::string bytes, const Fineness& fineness, const Cache& cache) {
  auto state = std::make_shared<Solid::State>();
  state->key = key_of(bytes, fineness);
  state->fineness = fineness;
  state->cache = cache;
  state->bytes = std::move(bytes);
  if (from_cache(*state)) return Solid(std::move(state));
  state->shape = shape_from(state->bytes);
  SolidFault fault{"shape-not-solid", "the bytes are not a solid"};
  if (!state->shape.IsNull()) fault = settle(*state);
  if (!fault.code.empty())
    return fail(error(fault.code, {}, fault.text, "export the solid again, closed and valid"));
  return Solid(std::move(state));
}

std::string to_bytes(const Solid& solid) {
  return solid.state().bytes.empty() ? bytes_of(shape_of(solid)) : solid.state().bytes;
}

Fineness fineness_for(Millimetres diagonal) {
  return {std::clamp(2e-4 * diagonal.value, 0.01, 0.05), 0.35};
}

shapes::Part part(PartId id, std::string name, const Solid& solid, const shapes::Placement& at) {
  shapes::Part made;
  made.id = std::move(id);
  made.name = std::move(name);
  made.shape = solid.key();
  made.mesh = solid.mesh();
  made.at = at;
  return made;
}

}  // namespace handlot::geometry
