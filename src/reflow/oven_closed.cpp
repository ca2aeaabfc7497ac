// Closed forms of a heated board, and the fit of one constant under constant air.
#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>

#include "core/text.h"
#include "reflow/oven_model.h"

namespace handlot::reflow {

Celsius step_response(Celsius start, Celsius air, Seconds tau, Seconds elapsed) {
  return air + (start - air) * std::exp(-elapsed.value / tau.value);
}

Seconds step_time_to(Celsius start, Celsius air, Seconds tau, Celsius level) {
  assert(start < level && level < air);
  return tau * std::log((air - start).value / (air - level).value);
}

Kelvin ramp_response(KelvinPerSecond rate, Seconds tau, Seconds elapsed) {
  const double t = elapsed.value, s = tau.value;
  return Kelvin(rate.value * (t - s * (1 - std::exp(-t / s))));
}

WattsPerSquareMetreKelvin radiative_transfer(double emissivity, Celsius wall, Celsius board) {
  constexpr double kStefanBoltzmann = 5.670374419e-8;  // W/(m2 K4), CODATA 2018
  const double w = wall.kelvin(), b = board.kelvin();
  return WattsPerSquareMetreKelvin(emissivity * kStefanBoltzmann * (w * w + b * b) * (w + b));
}

Seconds time_constant(const std::vector<Sheet>& sheets, WattsPerSquareMetreKelvin h, int sides) {
  assert(h.value > 0 && sides > 0);
  double areal = 0;
  for (const Sheet& s : sheets) areal += s.density_kg_per_m3 * s.heat_j_per_kg_k * s.thickness.value * 1e-3;
  return Seconds(areal / (sides * h.value));
}

double laminate_heat(double kelvin) {
  // NIST cryogenic material properties, G-10 CR, specific heat, log-polynomial (trc.nist.gov/cryogenics).
  // Coefficients from memory; their value at 300 K is the one printed there (998.7 J/kg K).
  constexpr double kTerms[] = {-2.4083, 7.6006, -8.2982, 7.3301, -4.2386, 1.4294, -0.24396, 0.015236};
  const double x = std::log10(kelvin);
  double power = 1, sum = 0;
  for (const double term : kTerms) {
    sum += term * power;
    power *= x;
  }
  return std::pow(10.0, sum);
}

Result<ConstantFit> fit_constant(const Trace& board, Celsius air, Seconds from, Seconds to) {
  const Trace part = cut(board, from, to);
  if (part.size() < 5) {
    return fail(error("fit-no-readings", {},
                      fmt::format("only {} readings between {} s and {} s", part.size(), number(from.value),
                                  number(to.value)),
                      "choose a stretch with at least 5 readings"));
  }
  double n = 0, st = 0, sy = 0, stt = 0, sty = 0;
  for (std::size_t i = 0; i < part.size(); ++i) {
    const double below = air.value - part.celsius[i];
    if (below <= 0) {
      return fail(
          error("fit-air-crossed", {},
                fmt::format("the board is at {} degC at {} s, not below the air's {} degC",
                            number(part.celsius[i], 1), number(part.seconds[i], 1), number(air.value, 1)),
                "choose a stretch in which the board stays below the air"));
    }
    const double t = part.seconds[i] - from.value, y = std::log(below);
    n += 1, st += t, sy += y, stt += t * t, sty += t * y;
  }
  const double slope = (n * sty - st * sy) / (n * stt - st * st);
  const double level = (sy - slope * st) / n;
  ConstantFit fit;
  fit.tau = Seconds(-1 / slope);
  fit.readings = static_cast<int>(part.size());
  double squares = 0;
  for (std::size_t i = 0; i < part.size(); ++i) {
    const double off =
        part.celsius[i] - (air.value - std::exp(level + slope * (part.seconds[i] - from.value)));
    squares += off * off;
    fit.worst = std::max(fit.worst, Kelvin(std::abs(off)));
  }
  fit.rms = Kelvin(std::sqrt(squares / n));
  return fit;
}

Seconds two_point_constant(Seconds t1, Celsius at1, Seconds t2, Celsius at2, Celsius air) {
  return Seconds((t2 - t1).value / std::log((air - at1).value / (air - at2).value));
}

}  // namespace handlot::reflow
