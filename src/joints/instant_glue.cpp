#include "joints/instant_glue.h"

#include <fmt/format.h>

#include <array>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr Cite k401{"TDS401", "fixture time"}, k403{"TDS403", "fixture time"}, k406{"TDS406", "fixture time"},
    k408{"TDS408", "fixture time"}, k420{"TDS420", "fixture time"}, k480{"TDS480", "fixture time"};

constexpr FixtureTime row(std::string_view grade, std::string_view surface, double least, double most, Cite cite) {
  return {grade, surface, Seconds(least), Seconds(most), cite};
}

constexpr std::array kFixture{
    row("401", "steel", 0, 5, k401),         row("401", "aluminium", 0, 5, k401),
    row("401", "neoprene", 0, 5, k401),      row("401", "nitrile", 0, 5, k401),
    row("401", "abs", 0, 5, k401),           row("401", "pvc", 0, 5, k401),
    row("401", "polycarbonate", 5, 10, k401), row("401", "phenolic", 0, 5, k401),
    row("401", "balsa", 0, 5, k401),         row("401", "oak", 15, 30, k401),
    row("401", "pine", 15, 20, k401),        row("401", "leather", 15, 30, k401),
    row("401", "fabric", 10, 20, k401),      row("401", "paper", 0, 5, k401),
    row("406", "steel", 10, 20, k406),       row("406", "aluminium", 2, 10, k406),
    row("406", "zinc-dichromate", 30, 90, k406), row("406", "neoprene", 0, 5, k406),
    row("406", "nitrile", 0, 5, k406),       row("406", "abs", 2, 10, k406),
    row("406", "pvc", 2, 10, k406),          row("406", "polycarbonate", 15, 50, k406),
    row("406", "phenolic", 5, 15, k406),
    row("420", "steel", 10, 30, k420),       row("420", "aluminium", 5, 15, k420),
    row("420", "zinc-dichromate", 30, 90, k420), row("420", "neoprene", 0, 5, k420),
    row("420", "nitrile", 0, 5, k420),       row("420", "abs", 10, 30, k420),
    row("420", "pvc", 3, 10, k420),          row("420", "polycarbonate", 20, 60, k420),
    row("420", "phenolic", 5, 20, k420),
    row("408", "steel", 30, 120, k408),      row("408", "aluminium", 0, 3, k408),
    row("408", "zinc-dichromate", 10, 20, k408), row("408", "neoprene", 0, 5, k408),
    row("408", "nitrile", 0, 5, k408),       row("408", "abs", 5, 10, k408),
    row("408", "pvc", 15, 30, k408),         row("408", "polycarbonate", 10, 15, k408),
    row("408", "phenolic", 5, 15, k408),     row("408", "pine", 10, 20, k408),
    row("408", "leather", 5, 10, k408),
    row("403", "pine", 20, 30, k403),        row("403", "paper", 0, 5, k403),
    row("480", "steel", 60, 120, k480),      row("480", "aluminium", 10, 30, k480),
    row("480", "zinc-dichromate", 50, 150, k480), row("480", "neoprene", 0, 20, k480),
    row("480", "nitrile", 0, 20, k480),      row("480", "abs", 20, 50, k480),
    row("480", "pvc", 50, 100, k480),        row("480", "polycarbonate", 30, 90, k480),
    row("480", "phenolic", 20, 60, k480),
};

}  // namespace

std::span<const FixtureTime> fixture_times() { return kFixture; }

std::optional<FixtureTime> fixture_time(std::string_view grade, std::string_view surface) {
  for (const FixtureTime& t : kFixture)
    if (t.grade == grade && t.surface == surface) return t;
  return std::nullopt;
}

HumidityEffect humidity_effect(RelativeHumidity room, RelativeHumidity driest, RelativeHumidity wettest) {
  if (room < driest) return HumidityEffect::slow;
  return room > wettest ? HumidityEffect::fast_and_weak : HumidityEffect::good;
}

Result<Seconds> gap_time(Millimetres gap, bool activator) {
  struct Point { double mm, bare, activated; };
  constexpr std::array<Point, 3> points{{{0.0254, 10, 1}, {0.127, 600, 50}, {0.381, 3600, 0}}};
  for (const Point& p : points) {
    const double seconds = activator ? p.activated : p.bare;
    if (gap.value <= p.mm && seconds > 0) return Seconds(seconds);
  }
  return fail(error("ca-gap-too-wide", {},
                    fmt::format("no time is published for instant glue in a gap of {} mm{}", number(gap.value, 3),
                                activator ? " with activator" : ""),
                    "close the gap, or take a gap-filling adhesive"));
}

Millimetres gap_limit(Thickness thickness) {
  switch (thickness) {
    case Thickness::low: return Millimetres(0.05);
    case Thickness::medium: return Millimetres(0.25);
    case Thickness::high: return Millimetres(0.5);
  }
  return Millimetres(0.05);
}

}  // namespace handlot::joints
