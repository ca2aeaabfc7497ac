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

template <std::size_t N>
bool among(std::string_view word, const std::array<std::string_view, N>& words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

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

SurfaceWord affinity(Chemistry chemistry, std::string_view material) {
  constexpr std::array<std::string_view, 2> slick{"hdpe", "pp"};
  constexpr std::array<std::string_view, 2> hard_to_wet{"pom", "silicone"};
  constexpr std::array<std::string_view, 2> red_metals{"brass", "copper"};
  constexpr std::array<std::string_view, 4> cracking{"abs", "pmma", "pc", "ps"};
  if (chemistry == Chemistry::cyanoacrylate && among(material, slick))
    return {Affinity::none, "instant glue does not hold on it without a primer", {"", "", Standing::practice}};
  if (chemistry == Chemistry::cyanoacrylate && among(material, hard_to_wet))
    return {Affinity::poor, "instant glue holds poorly on it", {"", "", Standing::practice}};
  if (chemistry == Chemistry::silicone && among(material, red_metals))
    return {Affinity::corrodes, "silicone that gives off acetic acid corrodes it; take a neutral grade",
            {"HAS", "p. 401"}};
  if (chemistry == Chemistry::anaerobic && among(material, cracking))
    return {Affinity::never, "threadlocker cracks it", {"THREADLOCK", "plastics"}};
  return {};
}

}  // namespace handlot::joints
