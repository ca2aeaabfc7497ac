// pot_life.h: how long a mixed cup, a spread face or a soft bead may wait. All of these are latest ends.
#pragma once

#include "core/diagnostic.h"
#include "core/quantity.h"
#include "joints/adhesive.h"

namespace handlot::joints {

/// Working life at another temperature by "half for each 10 K warmer".
/// Errors   pot-life-range beyond 15 K to either side: at 60 degC the rule is 29 % short of a printed table, at
///          100 degC 60 % (AY103), so it is not used there.
/// Source   EPOXYWORKS (read): halves for each 18 degF above 72 degF.
Result<Duration> pot_life_at(Duration printed, Celsius printed_at, Celsius room);

struct PotLifeAnswer {
  Duration life;         ///< of the mass, at the room
  Duration use_within;   ///< half of it: what to plan a cup with
  bool warm_mix = false; ///< 100 g or more in one cup: it heats itself; see kHotMix
};

/// Working life of a cup of `mass` at `room`.
///
/// Returns  between two printed masses a straight line in log time over log mass; below the smallest, the smallest's.
///          Warmer or colder by pot_life_at, only for epoxies; colder than printed never counts as longer. Other
///          chemistries: as printed up to 5 K warmer [practice]. Printed without a mass (0) it holds for any cup, as it
///          is meant for whatever small cup it was printed for [practice].
/// Errors   pot-life-unknown: the card has none. pot-mass-unknown: more than the largest printed mass, where it is
///          shorter by an amount nobody printed: split the mix.
Result<PotLifeAnswer> pot_life(const AdhesiveFigures& adhesive, Grams mass, Celsius room);

/// A confined mix of this or more can melt a plastic cup and burn skin.
/// Source   8 fl oz (237 ml): PROMISE exotherm page (read); about 260 g of epoxy at 1.1 g/cm3 (derived). We warn from
///          100 g, the mass that most pot lives are printed for [practice].
inline constexpr Grams kWarmMix{100};
inline constexpr Grams kHotMix{260};

}  // namespace handlot::joints
