// oven_model.h: a board's and an oven's response to heat, fitted to logs, and refused where it does not fit.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "reflow/log.h"
#include "reflow/trace.h"

namespace handlot::reflow {

// ---- closed forms -----------------------------------------------------------------------------------------

/// First-order answer to a step of the air: T(t) = air + (start - air) exp(-t / tau).
Celsius step_response(Celsius start, Celsius air, Seconds tau, Seconds elapsed);
/// When that reaches `level`. Given start < level < air.
Seconds step_time_to(Celsius start, Celsius air, Seconds tau, Celsius level);
/// How far the node has risen `elapsed` seconds into an air ramp of `rate`; the lag tends to rate x tau.
Kelvin ramp_response(KelvinPerSecond rate, Seconds tau, Seconds elapsed);
/// The part of the heat transfer that walls of one temperature radiate, linearised between wall and board:
/// e s (Tw^2 + Tb^2)(Tw + Tb).
WattsPerSquareMetreKelvin radiative_transfer(double emissivity, Celsius wall, Celsius board);
/// One layer of a board: areal heat capacity = density x heat x thickness.
struct Sheet {
  double density_kg_per_m3 = 0;
  double heat_j_per_kg_k = 0;
  Millimetres thickness;
};
/// Time constant of a board heated on `sides` sides: sum of areal heat capacities / (sides h).
/// Given h > 0. Only for a Biot number under 0.1: see docs/why/oven-model.md.
Seconds time_constant(const std::vector<Sheet>& sheets, WattsPerSquareMetreKelvin h, int sides = 2);
/// Heat capacity of G-10 laminate at a temperature, J/(kg K), 4 K to 300 K.
/// Source   NIST cryogenic polynomial, coefficients in oven_closed.cpp.
double laminate_heat(double kelvin);

// ---- one constant under constant air
// ------------------------------------------------------------------------

struct ConstantFit {
  Seconds tau;
  Kelvin rms;
  Kelvin worst;
  int readings = 0;
};
/// Time constant by a straight line through ln(air - T) over the readings between two times, ends included.
/// Errors   fit-no-readings (fewer than 5), fit-air-crossed (a reading at or above the air).
Result<ConstantFit> fit_constant(const Trace& board, Celsius air, Seconds from, Seconds to);
/// From two readings.
Seconds two_point_constant(Seconds t1, Celsius at1, Seconds t2, Celsius at2, Celsius air);

// ---- a node under air that moves
// ------------------------------------------------------------------------------

/// dT/dt = convection (air' - T) + radiation (air'^4 - T^4), air' = room + gain (air - room).
/// Once the heat is off (door open, fan), `cooling` stands for convection.
struct Node {
  std::string channel;
  double convection_per_s = 0;
  double cooling_per_s = 0;
  double radiation = 0;  ///< 1/s at 500 K: the fourth powers are divided by 4 x 500^3
  double gain = 1.0;     ///< how much of the air's rise over the room arrives at this place
  Celsius start{25};
  Kelvin rms{0};
  Kelvin worst{0};
  /// 1 / (convection + linearised radiation) at 200 degC.
  Seconds tau() const;
};
struct FitLimits {
  Kelvin rms{3.0};  ///< [practice]: about the error of a common thermocouple
  Kelvin worst{12.0};
  int evaluations = 8000;  ///< of the search
};
/// The node's temperature under `air`, by the exponential step that is exact for constant air (never
/// unstable).
Trace simulate(const Node& node, const Trace& air, Celsius room, Seconds step = Seconds(0.5),
               std::optional<Seconds> off = {});
/// Fits convection, radiation and gain (>= 0) to one board trace.
/// Errors   fit-refused: the best fit misses by more than the limits; the message says by how much.
Result<Node> fit_node(const Trace& board, const Trace& air, Celsius room, const FitLimits& limits = {},
                      std::optional<Seconds> off = {});
/// The best single constant over a whole pass, never refused: the caller looks at `rms`.
ConstantFit best_single_constant(const Trace& board, const Trace& air);

// ---- oven and board together
// ----------------------------------------------------------------------------------

/// One corner of a set curve.
struct SetPoint {
  Seconds time;
  Celsius temperature;
};
/// A set curve: straight lines between points; the last temperature holds until `end`, then the heat is off.
struct SetCurve {
  std::vector<SetPoint> points;
  Seconds end;
};
Celsius at(const SetCurve& curve, Seconds time);

/// The oven as its controller's sensor sees it: an element that lags, air that loses heat to walls, walls
/// that warm up and lose heat to the room, and a controller that gives full power until `band` below its set
/// point.
struct Oven {
  double full_power_k_per_s = 1.0;  ///< air rise at full power with no loss
  double loss_per_s = 0.005;        ///< of the air's excess over the walls, while shut
  double wall_per_s = 0.003;        ///< how fast the walls follow the air
  double cooling_per_s = 0.01;      ///< of the air's excess over the room once the heat is off
  Seconds element_lag{15};
  Kelvin band{15};
  Seconds reset{60};  ///< in which the controller learns the power that holds
  Seconds sensor_lag{3};
  double wall_loss = 0.3;  ///< of the walls to the room, against what they take from the air
  Kelvin rms{0};
  Kelvin worst{0};
};
struct OvenModel {
  Oven oven;
  std::vector<Node> boards;
  Celsius room{25};
  int logs = 0;
  /// How far a predicted board temperature may be off: twice the error of whole runs predicted from their set
  /// curves alone, or the largest error of a peak if that is more.
  Kelvin uncertainty{0};
  /// The newest run's boards as measured, and as this model predicts them from its set curve; in the order of
  /// `boards`. What they differ by is taken into account when the next curve is chosen.
  std::vector<Trace> last_seen, last_predicted;
  std::vector<std::string> notes;
};
struct OvenRun {
  Log log;
  std::optional<SetCurve> set;  ///< if the log has no set_curve channel
};
/// Fits oven and boards to one or more runs; each run needs a control or air channel and a board channel.
/// Errors   fit-no-control, fit-no-set-curve, fit-no-board, fit-refused.
Result<OvenModel> fit_oven(const std::vector<OvenRun>& runs,
                           const FitLimits& limits = {Kelvin(6), Kelvin(25), 40000});

struct Prediction {
  Trace air;
  std::vector<Trace> boards;  ///< as OvenModel::boards
  Kelvin uncertainty;
};
Prediction predict(const OvenModel& model, const SetCurve& curve, Seconds length,
                   Seconds step = Seconds(0.5));

}  // namespace handlot::reflow
