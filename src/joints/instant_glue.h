// instant_glue.h: what cyanoacrylate does by humidity, gap, surface and activator. Published points, never between them.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/cite.h"

namespace handlot::joints {

/// Fixture times at 22 degC, 50 % RH, to 0.1 N/mm2 in shear. `least` 0 stands for "less than `most`".
struct FixtureTime {
  std::string_view grade;    ///< "401", "406" ...: ethyl low, ethyl, ethyl very low, low-bloom, low-bloom thick, toughened
  std::string_view surface;  ///< "steel", "abs", "oak" ...
  Seconds least;
  Seconds most;
  Cite cite;
};
std::span<const FixtureTime> fixture_times();
/// Empty: that grade was not published on that surface.
std::optional<FixtureTime> fixture_time(std::string_view grade, std::string_view surface);

enum class HumidityEffect { slow, good, fast_and_weak };
/// Source   40 to 60 % RH at 22 degC; below slower, above faster and weaker: TDS403 (read).
HumidityEffect humidity_effect(RelativeHumidity room, RelativeHumidity driest = RelativeHumidity(40),
                               RelativeHumidity wettest = RelativeHumidity(60));

/// Time in a gap on steel at 25 degC, by the next published gap above. Time grows 60-fold in 0.1 mm, so nothing is
/// read in between.
/// Errors   ca-gap-too-wide above 0.381 mm (0.127 mm with activator): nothing is published there.
/// Source   HAT, speed of cure (read): ~0 and 1 mil 10 s, 5 mil 600 s (1 s and 50 s with activator), 15 mil 1 h.
Result<Seconds> gap_time(Millimetres gap, bool activator);

/// What a film of instant glue may be by its thickness class, 0.05 / 0.25 / 0.5 mm.
/// Source   HAT joint gaps (read): low 2 mil, medium 10 mil, high 15 to 20 mil. 0.25 mm as the depth to which it cures
///          without light: Machine Design 2002 (read); hence warn above 0.25 mm, refuse above 0.5 mm.
enum class Thickness { low, medium, high };
Millimetres gap_limit(Thickness thickness);
inline constexpr Millimetres kInstantGapWarn{0.25};
inline constexpr Millimetres kInstantGapMax{0.5};

/// No oil, solvent or fragrance before this.
/// Source   every instant-glue sheet seen: TDS401, 406, 408, 480 (read).
inline constexpr Duration kChemicalResistance = hours(24);

/// Mass of a drop and shear strength. Source HAT (read): 0.006 g, 167 drops a gram.
inline constexpr Grams kInstantDrop{0.006};

}  // namespace handlot::joints
