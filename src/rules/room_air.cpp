// Vapour in the room stays under a tenth of what lights, and under what may be breathed.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/sub_batch.h"
#include "safety/vapour.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "room-air";
constexpr Grams kMuch{20};  // from here the room must be known; common practice

/// A lacquer or a can of spray paint whose card has no figures: as those of nitrocellulose lacquer in the catalogue (from memory).
constexpr double kLacquerDries = 0.75;
std::optional<safety::Volatile> of_family(const catalogue::Card& card) {
  if (card.kind != catalogue::CardKind::coating || card.word_or("family") != "lacquer" || !card.yes("flammable")) return std::nullopt;
  safety::Volatile v;
  v.name = card.name;
  v.molar_mass = safety::MolarMass(88.1);
  v.lower_limit = Percent(1.2);
  v.limit_8h = PartsPerMillion(200);
  v.limit_15min = PartsPerMillion(400);
  v.source = {"HANDBOOK", "lacquers, taken as ethyl and butyl acetate", Standing::memory};
  return v;
}

/// The card's own figures, as the vapour model wants them; else those of its family; empty without either.
std::optional<safety::Volatile> volatile_of(const catalogue::Card& card) {
  const catalogue::Figure* molar = card.find("molar-mass");
  if (molar == nullptr) return of_family(card);
  safety::Volatile v;
  v.name = card.name;
  v.molar_mass = molar->high;
  if (const auto f = card.get<Percent>("lower-limit")) v.lower_limit = f->low, v.source = f->source;
  if (const catalogue::Figure* f = card.find("vapour-pressure")) v.pressure_20 = Kilopascals(f->high);
  if (const auto f = card.get<PartsPerMillion>("exposure-limit")) v.limit_8h = f->low;
  if (const auto f = card.get<PartsPerMillion>("exposure-limit-short")) v.limit_15min = f->low;
  return v;
}

/// What evaporates while the step runs: a sub-batch, as large as it may be.
Grams evaporates(const Facts& facts, const job::Step& step, const catalogue::Card& card, Grams per_unit) {
  const auto share = card.get<Percent>("volatile");
  const double usual = card.find("molar-mass") == nullptr ? kLacquerDries : 1.0;
  return per_unit * largest_sub_batch(facts, step) * (share ? share->high.value / 100 : usual);
}

/// Drawn off where it is let out, by the card of the station. What draws the fume from an iron is no place for solvent.
bool drawn_off(const Facts& facts, const job::Step& step) {
  return std::any_of(facts.job.bench.stations.begin(), facts.job.bench.stations.end(), [&](const job::Station& s) {
    const catalogue::Card* card = s.id == step.station ? facts.cards.find(s.card) : nullptr;  // a station need not have one
    return card != nullptr && card->yes("extracts") && !card->yes("hot");
  });
}

/// "160 g of acetone", or "the 120 g of solvent in 160 g of lacquer".
std::string vapour_of(const catalogue::Card& fluid, Grams mass, Grams opened) {
  if (mass > opened * 0.99) return fmt::format("{} g of {}", number(mass.value, 1), fluid.name);
  return fmt::format("the {} g of solvent in {} g of {}", number(mass.value, 1), number(opened.value, 1), fluid.name);
}

/// The figures are those of the room: how much of it an extraction leaves there, no card says.
void over_extracted(const job::Step& step, const safety::VapourAnswer& air, const std::string& vapour, const Source& source, Yield& yield) {
  const std::string what = fmt::format("{}: the extraction must draw off {}", say(step), vapour);
  if (air.fire) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, step, fmt::format("{}, which would make {} % in this room of what lights", what, number(*air.lower_share * 100, 0)),
                                     "see that it is made for vapour that lights, leads outdoors and runs before the first drop; else work in smaller sub-batches", source));
  } else if (air.over_15min || air.over_8h) {
    yield.findings.push_back(finding(kRule, plan::Severity::note, step, fmt::format("{}, which would bring this room over the {} limit", what, air.over_15min ? "15 min" : "8 h"), "let it run from the first drop until all is dry, and outdoors", source));
  }
}

/// The plan may well do the units apart, where the job does not say that they go together.
bool maybe_apart(const Facts& facts, const job::Step& step) { return step.run_per_unit && !step.whole_lot && largest_sub_batch(facts, step) > std::max(1, step.batch_min); }

void over(const Facts& facts, const job::Step& step, const safety::VapourAnswer& air, const std::string& vapour, const Source& source, Yield& yield) {
  if (drawn_off(facts, step)) {
    over_extracted(step, air, vapour, source, yield);
    return;
  }
  const std::string airing = air.airing_never ? "the room has no air change" : fmt::format("air it for {} before anything hot", in_words(air.airing));
  const std::string run = maybe_apart(facts, step) ? fmt::format("if {} are done in a row, ", counted(largest_sub_batch(facts, step), "unit", "units")) : "";
  const std::string apart = run.empty() ? "" : "leave time between the units, or ";
  if (air.fire) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step,
                                     fmt::format("{}: {}{} make {} ppm in this room, {} % of what lights", say(step), run, vapour,
                                                 number(air.level.value, 0), number(*air.lower_share * 100, 0)),
                                     fmt::format("work in smaller sub-batches, in a larger or better aired room, or outdoors; {}", airing), source));
  } else if (air.over_15min || air.over_8h) {
    yield.findings.push_back(finding(kRule, plan::Severity::warn, step,
                                     fmt::format("{}: {}{} reach {} ppm in this room, over the {} limit", say(step), run, vapour,
                                                 number(air.level.value, 0), air.over_15min ? "15 min" : "8 h"),
                                     air.airing_never ? apart + "open a window" : fmt::format("{}work by the open window; the room clears in {}", apart, in_words(air.airing)), source));
  }
}

/// Its vapour lights in a room: as the card says, with a flash point that a warm day reaches.
/// Source   23 degC parts the labels H225 and H226: CLP, annex I, table 2.6.1 (from memory).
bool lights(const catalogue::Card& fluid) {
  constexpr Celsius kWarmDay{23};
  const auto flash = fluid.get<Celsius>("flash-point");
  return flash ? flash->low <= kWarmDay : fluid.yes("flammable");
}

void not_reckoned(const job::Step& step, const catalogue::Card& fluid, Grams mass, Yield& yield) {
  if (mass < kMuch || !lights(fluid)) return;
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, step,
                                   fmt::format("{} opens {} g of {}, whose vapour lights, and its card has nothing to reckon the air of the room by", say(step), number(mass.value, 0), fluid.name),
                                   "add molar-mass, lower-limit, exposure-limit and volatile to the card, from sections 3, 8 and 9 of its safety data sheet; work outdoors or by the open window until then", practice()));
}

/// Glue that hardens keeps what it is made of; one that dries lets its solvent go.
bool dries(const catalogue::Card& fluid) { return fluid.kind != catalogue::CardKind::adhesive || fluid.find("volatile") != nullptr; }

}  // namespace

void room_air(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    if (fluid->kind == catalogue::CardKind::flux) continue;
    const auto per_unit = mass_used(facts, step, *fluid);
    const auto v = volatile_of(*fluid);
    if (!per_unit) continue;
    if (!v || (!v->lower_limit && !v->limit_8h && !v->limit_15min)) {
      not_reckoned(step, *fluid, *per_unit * largest_sub_batch(facts, step), yield);
      continue;
    }
    if (!dries(*fluid)) continue;
    const Grams mass = evaporates(facts, step, *fluid, *per_unit);
    if (!facts.job.bench.room) {
      if (mass < kMuch) continue;
      yield.findings.push_back(finding(kRule, plan::Severity::undecided, step,
                                       fmt::format("{} lets {} g of {} into the air, and the room is not known", say(step), number(mass.value, 0), fluid->name),
                                       "add volume=\"... m3\" and air-changes=\"... /h\" to <room>", practice()));
      continue;
    }
    safety::Air air{*facts.job.bench.room};
    if (facts.job.bench.air_changes) air.changes = *facts.job.bench.air_changes;
    if (facts.job.bench.temperature) air.temperature = *facts.job.bench.temperature;
    const std::string vapour = vapour_of(*fluid, mass, *per_unit * largest_sub_batch(facts, step));
    over(facts, step, safety::assess(*v, mass, air, run_of_largest(facts, step)), vapour, v->source, yield);
  }
}

}  // namespace handlot::rules
