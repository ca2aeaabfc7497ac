// pair.h: two solids as a scene, for short tests.
#pragma once

#include <catch2/catch.hpp>

#include "geometry/checks.h"

namespace handlot::testing {

struct Pair {
  shapes::Assembly assembly;
  std::vector<geometry::Solid> solids;

  Pair(const shapes::SolidTree& a, const shapes::SolidTree& b, const shapes::Placement& at_b = {}) {
    for (const auto* tree : {&a, &b}) {
      const auto solid = geometry::make_solid(*tree);
      REQUIRE(solid);
      const bool first = solids.empty();
      assembly.parts.push_back(geometry::part(PartId(first ? "a" : "b"), first ? "part a" : "part b", *solid,
                                              first ? shapes::Placement{} : at_b));
      solids.push_back(*solid);
    }
  }
  void declare(shapes::Declared::Kind kind) { assembly.declared.push_back({kind, PartId("a"), PartId("b")}); }
};

}  // namespace handlot::testing
