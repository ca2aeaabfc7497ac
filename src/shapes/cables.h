// cables.h: a cable along its path: long enough, not bent too sharply, not in the way.
#pragma once

#include <string>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"
#include "shapes/blocking.h"

namespace handlot::shapes {

struct Cable {
  std::string id;
  Millimetres length;
  Millimetres diameter;
  Millimetres least_bend;          ///< radius of the inner side; 0 = six diameters, common practice
  std::vector<Vec3> closed_path;   ///< mm, corners, unit closed; no two that follow each other are the same
  std::vector<Vec3> service_path;  ///< mm, corners, opened for service; empty = not asked
  Millimetres slack_wanted{0};     ///< to be left over when closed
};
struct CablePath {
  Millimetres length;      ///< with corners rounded at the least bend radius where there is room
  Millimetres slack;       ///< cable less path; negative = too short
  Millimetres tightest;    ///< largest radius that fits the sharpest corner; infinity = straight
  std::size_t corner = 0;  ///< where that is
  bool long_enough = true, bend_ok = true;
  std::vector<std::size_t> through;  ///< parts that the path passes through
};
struct CableCheck {
  CablePath closed;
  std::vector<CablePath> service;  ///< none or one
  std::vector<std::string> texts;  ///< what is wrong, in sentences
  Source bend_source;
};
/// `installed`: the parts that the path must keep out of. The ends (first and last 2 mm) may enter
/// connectors.
CableCheck check_cable(const Scene& scene, const Cable& cable, const PartSet& installed);

}  // namespace handlot::shapes
