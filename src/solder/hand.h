// hand.h: soldering by hand after reflow, cleaning and drying.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/quantity.h"
#include "core/source.h"
#include "solder/clock.h"
#include "solder/gerber.h"

namespace handlot::solder {

struct IronSetting {
  Celsius low, high;  ///< tip
  Celsius never_above;
  Seconds dwell_low, dwell_high;
  Seconds give_up;  ///< longer contact: change the tip or preheat, not the setting
  Source source, limit_source, dwell_source;
};
enum class JointKind { surface, through_hole };
/// Given lead-free or tin-lead solder.
IronSetting iron_setting(bool lead_free, JointKind kind);

struct HandPart {
  std::string part;
  Point centre;
  Millimetres height;
  std::optional<Celsius> bears;  ///< body; nothing = not known
  std::optional<Seconds> bears_for;
  bool by_hand = false;  ///< soldered by hand, after the oven
};
struct HandStep {
  std::string part;
  std::vector<std::string> shield;  ///< neighbours to shield from the iron or hot air
  std::string why;
};
struct HandPlan {
  std::vector<HandStep> steps;  ///< low first
  std::vector<std::string>
      not_in_oven;                     ///< parts that do not bear `oven_peak`: these must be soldered by hand
  std::vector<std::string> undecided;  ///< which limits are missing
  std::vector<std::string> notes;
};
/// Order by height; parts within `reach` of a hand-soldered part that bear less than the tip are to be
/// shielded.
HandPlan plan_hand(const std::vector<HandPart>& parts, Celsius oven_peak, Celsius tip,
                   Millimetres reach = Millimetres(5));

/// Cleaning and drying after soldering.
struct CleaningWash {
  std::string agent;  ///< "isopropanol"
  bool flammable = true;
  Duration brush;
  Duration dry_in_air;
  std::optional<Duration> dry_warm;
  Celsius warm_at{50};
  Source source;
};
struct CleaningPlan {
  bool needed = false;
  std::vector<Lag> lags;
  std::vector<std::string> notes;
};
enum class Flux { no_clean, rosin, water_soluble };
CleaningPlan plan_cleaning(Flux flux, bool coated_later);

}  // namespace handlot::solder
