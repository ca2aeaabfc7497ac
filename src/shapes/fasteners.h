// fasteners.h: a screw through what it clamps: does it hold, bottom out, stick out, sit?
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::shapes {

/// The metric coarse row of a thread; none outside 1.6 to 6 mm.
/// Source   fasteners_metric.csv.
struct ThreadRow {
  Millimetres nominal, pitch, tap_drill;
  SquareMillimetres stress_area;
  Millimetres washer_inner, washer_outer;
};
std::optional<ThreadRow> thread_row(Millimetres nominal);

enum class ThreadIn { nut, steel, brass, aluminium, zinc, cast_iron, plastic, plastic_forming, wood };

struct EngagementNeed {
  Millimetres least;
  Source source;
};
/// How deep a thread must be in to carry the screw: times the diameter by material.
EngagementNeed engagement_needed(Millimetres nominal, ThreadIn in);
/// The length by the tensile area, equal materials: 2 At / (pi/2 (d - 0.64952 P)).
Millimetres engagement_by_area(Millimetres nominal, Millimetres pitch, SquareMillimetres stress_area);

/// A layer between head and thread.
struct Clamped {
  std::string what;
  Millimetres thickness, minus, plus;
  Millimetres hole;             ///< diameter of its hole; 0 = not known, not checked
};
struct ScrewStack {
  Millimetres nominal, pitch;
  Millimetres length, length_minus, length_plus;  ///< under the head (countersunk: overall)
  Millimetres head;                               ///< diameter
  std::vector<Clamped> clamped;
  Millimetres thread_depth, thread_minus, thread_plus;  ///< depth of thread to be had, measured from the last layer
  std::optional<Millimetres> hole_depth;   ///< to the bottom of a blind hole, from the last layer; none = through
  Millimetres lead{0};                     ///< threads at the point that do not hold; 0 = one pitch
  std::optional<Millimetres> room_behind;  ///< how far it may stick out of a through thread
  ThreadIn in = ThreadIn::nut;
};
struct ScrewCheck {
  struct Item {
    std::string rule;  ///< engagement, bottoming, protrusion, head-seat, hole
    bool worst_ok = true, likely_ok = true;  ///< worst case; root of the sum of squares
    Millimetres value, wanted;               ///< value: worst case
    std::string text;
    Source source;
  };
  std::vector<Item> items;
  std::vector<std::string> not_checked;
  bool ok() const;
};
ScrewCheck check_screw(const ScrewStack& stack);

/// Screws a hand would mix up: same thread or head, lengths nearer than a pitch and a half... or one diameter apart.
struct KitScrew {
  std::string name;
  Millimetres nominal, length, head;
  std::string drive;
};
struct LookAlike {
  std::size_t a = 0, b = 0;
  std::string text;
};
std::vector<LookAlike> look_alikes(const std::vector<KitScrew>& kit);

}  // namespace handlot::shapes
