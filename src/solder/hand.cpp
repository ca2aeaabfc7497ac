#include "solder/hand.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"

namespace handlot::solder {

IronSetting iron_setting(bool lead_free, JointKind kind) {
  // Tips: circuitnet.com/experts/40069 (lead-free, 700 to 750 degF) and /39991 (tin-lead, 600 to 700 degF);
  // never above: a paste maker's data sheet of August 2020; contact: handbook.dannie.cc; all read 2026-11-25.
  // A space standard asks for 280 and at most 320 degC with tin-lead (ESA PSS-01-738).
  IronSetting s;
  s.low = Celsius(lead_free ? 371 : 316);
  s.high = Celsius(lead_free ? 399 : 371);
  s.never_above = Celsius(425);
  s.dwell_low = Seconds(kind == JointKind::surface ? 2 : 3);
  s.dwell_high = Seconds(kind == JointKind::surface ? 4 : 6);
  s.give_up = Seconds(kind == JointKind::surface ? 6 : 8);
  s.source = {"CIRCNET", lead_free ? "40069, 700 to 750 degF" : "39991, 600 to 700 degF", Standing::read};
  s.limit_source = {"MG4902P", "iron", Standing::read};
  s.dwell_source = {"DWELL", "hand soldering", Standing::read};
  return s;
}

HandPlan plan_hand(const std::vector<HandPart>& parts, Celsius oven_peak, Celsius tip, Millimetres reach) {
  HandPlan plan;
  std::vector<const HandPart*> hand;
  for (const HandPart& p : parts) {
    if (p.by_hand)
      hand.push_back(&p);
    else if (p.bears && *p.bears < oven_peak)
      plan.not_in_oven.push_back(p.part);
    else if (!p.bears)
      plan.undecided.push_back(fmt::format("how much heat {} bears is not known", p.part));
  }
  std::sort(hand.begin(), hand.end(), [](const HandPart* a, const HandPart* b) {
    return a->height != b->height ? a->height < b->height : a->part < b->part;
  });
  for (const HandPart* p : hand) {
    HandStep step;
    step.part = p->part;
    step.why = fmt::format("low parts first: {} mm high", number(p->height.value, 1));
    for (const HandPart& other : parts) {
      const bool done =
          !other.by_hand || (other.height < p->height || (other.height == p->height && other.part < p->part));
      if (&other == p || !done || !other.bears || *other.bears >= tip) continue;
      if (std::hypot(other.centre.x - p->centre.x, other.centre.y - p->centre.y) <= reach.value)
        step.shield.push_back(other.part);
    }
    std::sort(step.shield.begin(), step.shield.end());
    if (!p->bears)
      plan.undecided.push_back(
          fmt::format("how much heat {} bears is not known: keep the iron on its leads, and short", p->part));
    plan.steps.push_back(std::move(step));
  }
  if (!hand.empty()) {
    plan.notes.push_back(
        "if a joint does not flow in the time given, take a larger tip or preheat the board; a hotter tip "
        "lifts pads");
    plan.notes.push_back(
        "draw the fume away from the face; wash hands after handling solder that holds lead; local codes and "
        "licensed practice come first");
  }
  return plan;
}

CleaningPlan plan_cleaning(Flux flux, bool coated_later) {
  CleaningPlan plan;
  plan.needed = flux == Flux::water_soluble || coated_later;
  if (!plan.needed) {
    plan.notes.push_back(
        flux == Flux::no_clean
            ? "no-clean residue may stay unless the board is coated or measures very high resistances"
            : "rosin residue may stay; wipe it where it is in the way");
    return plan;
  }
  const Source practice{"", "", Standing::practice};
  const bool water = flux == Flux::water_soluble;
  plan.lags.push_back({"cleaning", "board cooled", "board washed", Duration(0),
                       water ? std::optional(hours(8)) : std::nullopt,
                       water ? "water-soluble residue corrodes: wash it off the same day"
                             : "residue hardens with time: wash before coating",
                       practice});
  plan.lags.push_back({"cleaning", "board washed", "board closed or coated", water ? hours(1) : minutes(10),
                       std::nullopt,
                       water ? "dry for an hour in warm air, or water stays under parts"
                             : "dry ten minutes in air of 20 to 50 degC before anything covers the board",
                       practice});
  if (water) {
    plan.notes.push_back("wash with warm deionised water and rinse with fresh");
  } else {
    plan.notes.push_back(
        "brush for one to two minutes with isopropanol of 99 % or more and rinse with fresh: wiping alone "
        "spreads the residue");
    plan.notes.push_back(
        "isopropanol takes fire from 12 degC on (from memory): no flame, no hot iron, and moving air");
  }
  plan.notes.push_back(
      "parts that must not be washed (open switches, buzzers, displays, lenses) go on afterwards");
  return plan;
}

}  // namespace handlot::solder
