#include "joints/bond.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <numbers>

namespace handlot::joints {
namespace {

constexpr double kMpaPerPsi = 0.006894757;
constexpr Cite kHas{"HAS", "p. 390, table 10.16"};

constexpr LapShear lap(std::string_view a, std::string_view b, double ten, double days, bool failed) {
  return {a, b, Megapascals(ten * kMpaPerPsi),
          days > 0 ? std::optional(Megapascals(days * kMpaPerPsi)) : std::nullopt, failed, kHas};
}

const std::array kLap{
    lap("steel", "steel", 1920, 3300, false),      lap("aluminium", "aluminium", 1480, 2270, false),
    lap("acrylic", "acrylic", 810, 790, true),     lap("nylon", "nylon", 330, 600, false),
    lap("aluminium", "nylon", 500, 950, false),    lap("phenolic", "phenolic", 930, 940, true),
    lap("phenolic", "aluminium", 650, 920, true),  lap("polyester-glass", "polyester-glass", 680, 0, false),
};

}  // namespace

GapAnswer gap_verdict(const AdhesiveFigures& adhesive, Millimetres nominal, Millimetres tolerance) {
  GapAnswer answer;
  answer.worst = nominal + tolerance;
  if (!adhesive.gap_max) return answer;
  constexpr double kTouch = 1e-9;
  const auto above = [](Millimetres gap, Millimetres limit) { return gap.value > limit.value + kTouch; };
  if (above(nominal, *adhesive.gap_max)) {
    answer.verdict = GapVerdict::too_wide, answer.limit = adhesive.gap_max;
  } else if (above(answer.worst, *adhesive.gap_max)) {
    answer.verdict = GapVerdict::undecided, answer.limit = adhesive.gap_max, answer.near = true;
  } else if (adhesive.gap_warn && above(nominal, *adhesive.gap_warn)) {
    answer.verdict = GapVerdict::weak, answer.limit = adhesive.gap_warn;
  } else {
    answer.verdict = GapVerdict::filled, answer.limit = adhesive.gap_warn ? adhesive.gap_warn : adhesive.gap_max;
  }
  return answer;
}

std::span<const LapShear> instant_glue_lap_shear() { return kLap; }

std::optional<LapShear> instant_glue_lap_shear(std::string_view a, std::string_view b) {
  for (const LapShear& row : kLap)
    if ((row.a == a && row.b == b) || (row.a == b && row.b == a)) return row;
  return std::nullopt;
}

Megapascals from_psi(double psi) { return Megapascals(psi * kMpaPerPsi); }

Newtons capacity(Megapascals strength, SquareMillimetres area) { return Newtons(strength.value * area.value); }

LoadAnswer carry(Megapascals published, SquareMillimetres area, Newtons load, double wanted, double trusted) {
  LoadAnswer answer;
  answer.capacity = capacity(published * trusted, area);
  answer.factor = load.value > 0 ? answer.capacity / load : 1e9;
  answer.holds = answer.factor >= wanted;
  return answer;
}

Amount amount(const AdhesiveFigures& adhesive, SquareMillimetres area, std::optional<Millimetres> film) {
  const double mm = film.value_or(adhesive.film.value_or(Millimetres(0.1))).value;
  Amount a{Grams(area.value * mm * adhesive.density.value * 1e-3)};
  if (adhesive.drop) a.drops = std::max(1, static_cast<int>(std::lround(drops_in(a.mass, *adhesive.drop))));
  return a;
}

double drops_in(Grams mass, Grams drop) {
  assert(drop.value > 0);
  return mass / drop;
}

Millimetres squeeze_out_radius(CubicMillimetres excess, Millimetres edge) {
  if (excess.value <= 0 || edge.value <= 0) return Millimetres(0);
  return Millimetres(std::sqrt(4 * excess.value / (std::numbers::pi * edge.value)));
}

WoodHardness hardness(double specific_gravity) {
  if (specific_gravity < 0.45) return WoodHardness::soft;
  return specific_gravity < 0.60 ? WoodHardness::medium : WoodHardness::hard;
}

ClampPressure clamp_pressure(WoodHardness h) {
  switch (h) {
    case WoodHardness::soft: return {from_psi(100), from_psi(150)};
    case WoodHardness::medium: return {from_psi(150), from_psi(200)};
    case WoodHardness::hard: return {from_psi(200), from_psi(300)};
  }
  return {};
}

namespace {

constexpr Cite kMemory{"", "adhesion to plastics", Standing::memory};
constexpr Cite kAnaerobic{"", "anaerobic adhesives: ions of a metal start them, air stops them", Standing::memory};
constexpr Cite kLowEnergy{"LOWENERGY", "surface treatment and primers"};

/// What a chemistry does on a row of materials. The first row that fits counts.
struct Row {
  std::string_view materials;  ///< words between blanks
  std::string_view chemistries;
  SurfaceWord word;
};

constexpr std::string_view kPolyolefins = " hdpe ldpe pe pp ";
constexpr std::string_view kFluorinated = " ptfe fep ";
constexpr std::string_view kDense = " steel stainless aluminium brass copper zinc-dichromate glass abs asa pc petg pla pmma ps pvc nylon epoxy phenolic fr4 nitrile neoprene tpu metal plastic laminate rubber ceramic ";
constexpr std::string_view kUndissolved = " hdpe ldpe pe pp pom nylon ";
constexpr std::string_view kLiquids = " epoxy polyurethane polyurethane-moist acrylic light-cured ";

constexpr std::array kRows{
    Row{" brass copper ", " silicone ", {Affinity::corrodes, "silicone that gives off acetic acid corrodes it; take a neutral grade", {"HAS", "p. 401"}, Way::none}},
    Row{" zinc-dichromate ", " silicone ", {Affinity::corrodes, "silicone that gives off acetic acid eats the zinc; take a neutral grade", {"", "silicone sealants: acetoxy grades and metals", Standing::memory}, Way::none}},
    Row{" abs pmma pc ps ", " anaerobic ", {Affinity::never, "threadlocker cracks it", {"THREADLOCK", "plastics"}, Way::none}},
    Row{kPolyolefins, " cyanoacrylate ", {Affinity::none, "instant glue does not hold on it without a primer", kLowEnergy, Way::activator}},
    Row{kFluorinated, " cyanoacrylate ", {Affinity::none, "instant glue does not hold on it without a primer", kLowEnergy, Way::activator}},
    Row{" silicone ", " cyanoacrylate ", {Affinity::none, "instant glue does not hold on it without a primer", kMemory, Way::activator}},
    Row{" pom ", " cyanoacrylate ", {Affinity::poor, "instant glue holds poorly on it", {"COMPAT", "poor bond", Standing::memory}, Way::activator}},
    Row{kUndissolved, " solvent-cement ", {Affinity::none, "no cement dissolves it, so none welds it", kMemory, Way::none}},
    Row{kFluorinated, " solvent-cement ", {Affinity::none, "no cement dissolves it, so none welds it", kMemory, Way::none}},
    Row{" silicone ", " solvent-cement ", {Affinity::none, "no cement dissolves it, so none welds it", kMemory, Way::none}},
    Row{" steel stainless aluminium brass copper zinc-dichromate glass epoxy phenolic ", " solvent-cement ", {Affinity::poor, "a cement welds what it dissolves, and on this it only dries", kMemory, Way::none}},
    Row{" silicone ", kLiquids, {Affinity::none, "hardly anything but silicone holds on silicone rubber", kMemory, Way::primed}},
    Row{" silicone ", " hot-melt wood-glue anaerobic ", {Affinity::none, "hardly anything but silicone holds on silicone rubber", kMemory, Way::primed}},
    Row{" silicone ", " other ", {Affinity::poor, "hardly anything but silicone holds on silicone rubber", kMemory, Way::primed}},
    Row{kFluorinated, kLiquids, {Affinity::none, "nothing wets it unless it is etched or treated with plasma", kLowEnergy, Way::primed}},
    Row{kFluorinated, " silicone hot-melt wood-glue anaerobic ", {Affinity::none, "nothing wets it unless it is etched or treated with plasma", kLowEnergy, Way::primed}},
    Row{kFluorinated, " other ", {Affinity::unsure, "a tape made for it holds, any other peels off", kMemory, Way::primed}},
    Row{kPolyolefins, kLiquids, {Affinity::none, "it peels off, unless flame, plasma or a primer has changed the face", kLowEnergy, Way::primed}},
    Row{kPolyolefins, " silicone hot-melt ", {Affinity::poor, "it peels off, unless flame, plasma or a primer has changed the face", kMemory, Way::primed}},
    Row{kPolyolefins, " wood-glue ", {Affinity::none, "its water stands off the face", kMemory, Way::none}},
    Row{kPolyolefins, " other ", {Affinity::unsure, "a tape or glue made for slick plastics holds, any other peels off", kMemory, Way::primed}},
    Row{" pom ", kLiquids, {Affinity::poor, "it holds poorly on a face that is not roughened or treated", kMemory, Way::roughened}},
    Row{" pom ", " silicone hot-melt ", {Affinity::poor, "it holds poorly on a face that is not roughened or treated", kMemory, Way::roughened}},
    Row{" pom ", " wood-glue ", {Affinity::none, "its water stands off the face", kMemory, Way::none}},
    Row{" wood oak pine balsa fibre cork leather fabric paper ", " anaerobic ", {Affinity::none, "threadlocker hardens between metals and without air; in this it stays liquid", kAnaerobic, Way::none}},
    Row{" glass ceramic laminate plastic rubber ", " anaerobic ", {Affinity::poor, "threadlocker hardens between metals and without air; on this it stays soft for days, or for good", kAnaerobic, Way::activator}},
    Row{kDense, " wood-glue ", {Affinity::poor, "wood glue soaks into wood, cork and paper, and peels off a dense face", kMemory, Way::none}},
};

/// As one of the words between blanks.
bool within(std::string_view words, std::string_view wanted) {
  const auto at = wanted.empty() ? std::string_view::npos : words.find(wanted);
  return at != std::string_view::npos && words[at - 1] == ' ' && words[at + wanted.size()] == ' ';
}

}  // namespace

SurfaceWord affinity(Chemistry chemistry, std::string_view material) {
  for (const Row& row : kRows) {
    if (within(row.materials, material) && within(row.chemistries, word(chemistry))) return row.word;
  }
  return {};
}

}  // namespace handlot::joints
