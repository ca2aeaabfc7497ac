// adhesive.h: the figures of one adhesive, as its card states them.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "core/source.h"

namespace handlot::joints {

/// What it cures by. Laws are never lent from one chemistry to another.
enum class Chemistry {
  cyanoacrylate,
  epoxy,
  polyurethane,         ///< two-part
  polyurethane_moist,   ///< one-part, cures by moisture
  acrylic,              ///< two-part
  silicone,
  wood_glue,            ///< water-borne (PVA, aliphatic)
  anaerobic,
  hot_melt,
  light_cured,
  solvent_cement,
  other
};
/// The words of the cards: "wood-glue", "light-cured".
std::string_view word(Chemistry chemistry);
std::optional<Chemistry> chemistry_named(std::string_view word);

/// How strong a bond has become. A later state holds whatever an earlier one does.
///   fixture    it can no longer be wiggled
///   handling   it may be unclamped and moved, without load
///   working    about 60 % of the final strength
///   full       load, oil, solvent and vapour
enum class CureState { fixture, handling, working, full };
std::string_view word(CureState state);
std::optional<CureState> cure_state_named(std::string_view word);

/// One published point: this long at this temperature.
struct CureAt {
  Celsius temperature;
  Duration time;
};

/// Times to one state, coldest first; at least one point.
struct CureSeries {
  CureState state = CureState::full;
  std::vector<CureAt> points;
  Source source;
};

/// Working life of one mixed mass.
struct PotLife {
  Grams mass;
  Duration time;
};

struct AdhesiveFigures {
  CardId card;
  std::string name;
  Chemistry chemistry = Chemistry::other;
  std::vector<CureSeries> cures;       ///< at most one a state
  std::optional<Celsius> coldest;      ///< the product's own window of cure
  std::optional<Celsius> hottest;
  std::optional<RelativeHumidity> driest;
  std::optional<RelativeHumidity> wettest;
  std::optional<Millimetres> gap_warn; ///< weaker above
  std::optional<Millimetres> gap_max;  ///< does not cure, or not to strength, above
  std::vector<PotLife> pot_lives;      ///< two-part: smallest mass first
  Celsius pot_temperature{23};         ///< the pot lives hold here
  std::optional<Duration> open_time;   ///< spread to closed, at most
  std::optional<Duration> trim_from;   ///< squeeze-out may be cut from here ...
  std::optional<Duration> trim_until;  ///< ... to here
  std::optional<Millimetres> section_per_day;  ///< one-part, cures through a skin: depth reached in 24 h
  std::optional<Millimetres> section_max;
  std::optional<Millimetres> film;     ///< usual film
  GramsPerCubicCentimetre density{1.05};
  std::optional<Grams> drop;           ///< mass of a drop, where it is dispensed by the drop
  std::optional<Celsius> softens;      ///< service limit once cured
  bool flexible = false;               ///< follows movement (silicone, soft hot melt)
  bool low_bloom = false;
  Source source;
};

}  // namespace handlot::joints
