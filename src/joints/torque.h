// torque.h: how hard a screw is tightened, what caps that, and whether a thread wants locking.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/cite.h"
#include "joints/screws.h"

namespace handlot::joints {

/// One published cell: class "8.8", "A2-70" with friction 0.1 or 0.2 (0 where the table states none).
struct TorqueRow {
  std::string_view size;
  std::string_view strength;
  double friction;
  NewtonMetres torque;
  Cite cite;
};
std::span<const TorqueRow> torque_table();

/// Rows of one class and friction whose torque does not rise with size: misprints, with the larger size that is
/// contradicted. Given rows in any order.
std::vector<TorqueRow> torque_misprints(std::span<const TorqueRow> rows);

/// What a soft parent takes, whatever the screw could bear. Empty: no cap is known.
/// Source   memory and [practice]; per row.
struct TorqueCap {
  std::string_view size;
  std::string_view parent;  ///< "brass", "insert", "plastic", "nylon-screw"
  NewtonMetres least;
  NewtonMetres most;
  Cite cite;
};
std::span<const TorqueCap> torque_caps();

struct TorqueAnswer {
  NewtonMetres torque;
  std::string how;   ///< "1.2 N m for class 8.8", "0.5 N m: a brass insert in plastic takes no more"
  Source source;
  bool capped = false;
};
/// The torque for a screw of a class in a parent: the table's (stainless: the lower, friction 0.1), capped by the
/// parent. A class of the misprinted M3 stainless row is answered with M4 x (3/4)^3.
/// Errors   torque-unknown: no row for that size and class.
Result<TorqueAnswer> tightening_torque(std::string_view size, std::string_view strength, std::string_view parent);

/// Force over stress area with nut factor 0.2: T / (K d At), MPa. For comparing rows.
Megapascals implied_stress(const MetricSize& size, NewtonMetres torque, double nut_factor = 0.2);

/// What threadlocker does on a thread of this material.
/// Source   works on brass and stainless: THREADLOCK (read). Times on M10: steel 10 min, brass 5, stainless 10 to 20,
///          full 24 h (memory). Zinc, passivated and anodised threads are slow [practice]. Plastics: never (read).
enum class LockSpeed { fast, normal, slow, never };
struct Locking {
  LockSpeed speed = LockSpeed::normal;
  std::optional<Duration> fixture;
  std::string_view why;
  Cite cite;
};
Locking threadlocker_on(std::string_view material);

/// Plastics that the supplier says crack or craze where threadlocker runs: ABS, acrylic, polycarbonate, polystyrene.
/// Source   THREADLOCK (read).
bool cracked_by_threadlocker(std::string_view plastic);

/// Parents that creep under the head (plastic, wood, cork, rubber): tighten again after a day [practice].
bool wants_retorque(std::string_view material);

}  // namespace handlot::joints
