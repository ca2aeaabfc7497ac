// station_use.h: whether a step takes places of the station that it names, and for how many units.
#pragma once

#include "catalogue/catalogue.h"
#include "job/job.h"

namespace handlot::job {

/// A jar of paste stands in nobody's way while it warms; all else takes its place from begin to end.
inline bool takes_its_station(const Step& step) { return !step.station.empty() && step.process.text != "warm-paste"; }

/// Of a station whose places the job does not say, one is reckoned.
inline int places_of(const Station& station) { return station.capacity > 0 ? station.capacity : 1; }

/// Units lie there side by side while it runs by itself, or where one run is for all of them; what hands do to unit after unit, they
/// do at one place.
inline bool lies_at_its_station(const Step& step) {
  return step.unattended.seconds > 0 || !step.hands_on || (!step.run_per_unit && !step.whole_lot);
}

/// One place holds one unit at a time while nobody is there; in run after run of a machine it does so anyway.
inline bool lies_alone(const Step& step) {
  return step.unattended.seconds > 0 || (!step.hands_on && step.run.seconds > 0 && !step.run_per_unit);
}

/// As many as there are lie on a table, shelf or rack whose places nobody counted.
inline bool is_laid_out_on(const Station& station, const catalogue::Catalogue& cards) {
  const catalogue::Card* card = station.capacity > 0 ? nullptr : cards.find(station.card);
  return card != nullptr && card->yes("lays-out");
}

/// Whether each unit of a sub-batch takes its own places, or the sub-batch those of one unit. A whole lot at a station of one
/// place, and a `batch` where no places are said, are the builder's word for how many go in together.
///
/// Given  `station` is the one that `step` names.
inline bool places_for_each_unit(const Step& step, const Station& station, const catalogue::Catalogue& cards) {
  if (station.together) return true;
  if (station.capacity > 1) return lies_at_its_station(step);
  if (step.whole_lot || !lies_alone(step)) return false;
  return station.capacity > 0 || (step.batch_max == 0 && !is_laid_out_on(station, cards));
}

}  // namespace handlot::job
