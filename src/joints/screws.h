// screws.h: metric coarse screws M1.6 to M6: sizes, holes, engagement, stacks, look-alikes. Tables, not formulas.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/cite.h"

namespace handlot::joints {

/// Millimetres throughout; 0 = the standard has no such size.
struct MetricSize {
  std::string_view name;  ///< "M3"
  double diameter;
  double pitch;
  double stress_area;     ///< mm2
  double minor;           ///< of the internal thread
  double tap_drill;
  double hole_fine, hole_medium, hole_coarse;         ///< ISO 273
  double socket_head, socket_knurled, socket_height, socket_key;  ///< ISO 4762
  double button_head, button_height, button_key;      ///< ISO 7380-1
  double pan_torx_head, pan_torx_height;              ///< ISO 14583
  double pan_cross_head, pan_cross_height;            ///< ISO 7045 (from memory)
  double countersunk_iso, countersunk_din;            ///< ISO 7046 actual (from memory, M4 read), DIN 965
  double nut_flats, nut_height;                       ///< ISO 4032
  double washer_hole, washer_outer, washer_height;    ///< ISO 7089
};
/// Source   FASTENERS (read): open tables of the ISO numbers, two data sets compared; columns marked above (memory).
std::span<const MetricSize> metric_sizes();
std::optional<MetricSize> find_size(std::string_view name);

enum class HoleFit { fine, medium, coarse };
/// ISO 273 clearance hole.
Millimetres clearance_hole(const MetricSize& size, HoleFit fit);
/// The larger of the two head diameters in use (ISO 7046 and DIN 965): countersink to this unless the screw is measured.
Millimetres countersink(const MetricSize& size);

/// What the thread is cut or pressed into.
enum class Parent { steel, brass, aluminium, plastic, plastic_forming, wood };
std::string_view word(Parent parent);

/// Least engagement by rule of thumb: steel 1 d, brass and bronze 1.5 d, aluminium, zinc and plastic 2 d; thread-forming
/// in plastic 2.3 d. Wood: 4 d [practice].
/// Source   ENGAGE (read), REMFORM (read).
Millimetres least_engagement(const MetricSize& size, Parent parent);
/// 2 At / (0.5 pi (d - 0.64952 P)), equal materials. Source: ENGAGE (read).
Millimetres engagement_by_area(const MetricSize& size);

/// A screw through `grip` (everything clamped, washers too) into a thread `depth` deep. A through hole: `beyond` is
/// the room behind it before something is touched.
///
///   head |===grip===|======engaged======|  tip
///                   |---- depth --------|-- beyond --|
struct Stack {
  Millimetres grip;
  Millimetres grip_tolerance;
  Millimetres depth;              ///< usable thread
  Millimetres beyond;             ///< empty space behind the thread: blind hole relief, or up to a board
  Parent parent = Parent::steel;
};
struct StackAnswer {
  enum class Verdict { good, too_short, bottoms };
  Verdict verdict = Verdict::good;
  Millimetres engaged_least;
  Millimetres engaged_most;
  Millimetres wanted;             ///< least engagement asked for, never more than the thread is deep
  bool shallow = false;           ///< the thread itself is less deep than the rule asks
};
/// One screw of `length` in the stack, worst case both ways.
StackAnswer check_stack(const MetricSize& size, Millimetres length, const Stack& stack);

enum class LengthSeries { socket, pan };
/// Source   ISO 4762; ISO 7045, 7046, 14583: FASTENERS (read).
std::span<const double> nominal_lengths(LengthSeries series);
/// The shortest nominal length that engages enough and does not bottom.
/// Errors   screw-no-length: none does; says the gap between too short and too long.
Result<Millimetres> nominal_length(const MetricSize& size, const Stack& stack, LengthSeries series);

/// Same thread and a length within 2 mm, or the same length in the next thread: taken for one another at the bench.
struct ScrewName {
  std::string id;
  std::string size;  ///< "M3"
  std::string head;
  Millimetres length;
};
bool look_alike(const ScrewName& a, const ScrewName& b);

/// Order of tightening round a ring of screws: each next one as far across as can be.
/// Given    positions in one plane. Returns indices into them; deterministic.
struct PlanePoint { double x = 0, y = 0; };
std::vector<std::size_t> crosswise(std::span<const PlanePoint> at);

}  // namespace handlot::joints
