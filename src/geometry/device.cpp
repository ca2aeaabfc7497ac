#include "geometry/device.h"

#include <map>

namespace handlot::geometry {

namespace {

/// Solids by the text of their tree.
class Shop {
 public:
  Shop(const Fineness& fineness, const shapes::Cache& cache) : fineness_(fineness), cache_(cache) {}

  const Result<Solid>& of(const shapes::SolidTree& tree) {
    const std::string key = describe(tree);
    const auto known = made_.find(key);
    if (known != made_.end()) return known->second;
    return made_.emplace(key, make_solid(tree, fineness_, cache_)).first->second;
  }

 private:
  const Fineness& fineness_;
  const shapes::Cache& cache_;
  std::map<std::string, Result<Solid>> made_;
};

}  // namespace

Device make_device(const PlannedDevice& plan, const Fineness& fineness, const shapes::Cache& cache) {
  Shop shop(fineness, cache);
  Device device;
  for (const PlannedPart& p : plan.parts) {
    const auto* tree = std::get_if<shapes::SolidTree>(&p.solid);
    const Result<Solid> solid = tree ? shop.of(*tree) : Result<Solid>(std::get<Solid>(p.solid));
    if (!solid) {
      device.left_out.push_back({p.id, solid.error()});
      continue;
    }
    shapes::Part made = part(p.id, p.name, *solid, p.at);
    made.insert_along = p.insert_along;
    made.fastener = p.fastener;
    made.frame = p.frame;
    made.mass = p.mass.value > 0 ? p.mass : shapes::mass(solid->amounts().volume, p.density);
    device.assembly.parts.push_back(std::move(made));
    device.solids.push_back(*solid);
  }
  device.assembly.declared = plan.declared;
  device.assembly.subassemblies = plan.subassemblies;
  return device;
}

}  // namespace handlot::geometry
