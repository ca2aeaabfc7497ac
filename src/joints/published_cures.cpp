// The cure tables that the laws of the chemistries rest on, as printed (minutes). A copy stands in tests' public data.
#include "joints/cure.h"

namespace handlot::joints {
namespace {

std::vector<CureAt> in_minutes(std::initializer_list<std::pair<double, long>> rows) {
  std::vector<CureAt> points;
  for (const auto& [celsius, minutes_printed] : rows) points.push_back({Celsius(celsius), minutes(minutes_printed)});
  return points;
}

Source read(const char* key, const char* at) { return {key, at, Standing::read}; }

}  // namespace

const std::vector<PublishedCure>& published_cures() {
  // The points at 150 degC of EPX46 are left out: there the heating up of the joint decides, not the reaction.
  static const std::vector<PublishedCure> tables{
      {"AY103 with HY951 or HY956", Chemistry::epoxy, "minimum cure", CureState::full,
       in_minutes({{25, 1440}, {40, 480}, {60, 180}, {100, 20}}), read("AY103", "cure table")},
      {"AY557 with HY951 or HY956", Chemistry::epoxy, "minimum cure", CureState::full,
       in_minutes({{40, 720}, {60, 180}, {100, 20}}), read("AY103", "cure table")},
      {"46-0047-00, 100:80", Chemistry::epoxy, "handling", CureState::handling,
       in_minutes({{20, 720}, {25, 420}, {40, 120}, {70, 30}, {100, 6}}), read("EPX46", "cure table")},
      {"46-0047-00, 100:80", Chemistry::epoxy, "minimum cure", CureState::full,
       in_minutes({{20, 900}, {25, 720}, {40, 180}, {70, 50}, {100, 10}}), read("EPX46", "cure table")},
      {"Araldite 2026", Chemistry::polyurethane, "lap shear over 1 MPa", CureState::handling,
       in_minutes({{10, 240}, {15, 150}, {23, 60}, {40, 15}}), read("AR2026", "p. 2")},
      {"Araldite 2026", Chemistry::polyurethane, "lap shear over 10 MPa", CureState::full,
       in_minutes({{10, 3600}, {15, 900}, {23, 480}, {40, 240}, {60, 30}, {100, 12}}), read("AR2026", "p. 2")},
  };
  return tables;
}

}  // namespace handlot::joints
