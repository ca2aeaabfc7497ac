// Figures of the published board log (board_log.h), and of exact curves.
// TRUTH   The expected figures are solder-examples A1 to A19 of ../shared/reference: computed from the log by
// one
//         implementation outside this project, with the tolerances stated there.
#include "reflow/figures.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "board_log.h"

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::reflow;

namespace {

Trace curve(std::vector<double> seconds, std::vector<double> celsius) {
  return {std::move(seconds), std::move(celsius), {}};
}

double rise(const Trace& log, double from, double to) {
  return rise_time(log, Celsius(from), Celsius(to)).value().value;
}

}  // namespace

TEST_CASE("A1-A4, A7, A8: peak and times above a level of the board log", "[reflow][truth]") {
  NEED_BOARD_LOG(log);
  REQUIRE(log.size() == 709);
  const Peak top = peak(log);
  CHECK(top.temperature.value == Approx(242.28).margin(0.005));
  CHECK(top.first.value == Approx(295.0).margin(0.01));
  CHECK(top.last.value == Approx(295.5).margin(0.01));
  CHECK(first_reach(log, 217_degC)->value == Approx(243.4286).margin(0.002));
  CHECK(last_leave(log, 217_degC)->value == Approx(323.7278).margin(0.002));
  CHECK(time_above(log, 217_degC).value == Approx(80.2993).margin(0.002));
  CHECK(time_above(log, 220_degC).value == Approx(74.2145).margin(0.002));
  CHECK(time_above(log, 227_degC).value == Approx(59.2661).margin(0.002));
  CHECK(time_above(log, 235_degC).value == Approx(37.9611).margin(0.002));
  CHECK(time_above(log, 183_degC).value == Approx(137.0722).margin(0.002));
  CHECK(time_above(log, Celsius(242.28 - 5)).value == Approx(30.2321).margin(0.002));
  CHECK(time_above(log, Celsius(245 - 5)).value == Approx(19.0315).margin(0.002));
  CHECK(time_above(log, Celsius(250 - 5)).value == 0.0);
  CHECK(time_above(log, Celsius(260 - 5)).value == 0.0);
}

TEST_CASE("A5, A6: the soak of the board log by its rising crossings", "[reflow][truth]") {
  NEED_BOARD_LOG(log);
  CHECK(rise(log, 150, 190) == Approx(99.5439).margin(0.002));
  CHECK(first_reach(log, 150_degC)->value == Approx(114.4400).margin(0.002));
  CHECK(first_reach(log, 190_degC)->value == Approx(213.9839).margin(0.002));
  CHECK(rise(log, 150, 200) == Approx(107.8368).margin(0.002));
  CHECK(rise(log, 100, 150) == Approx(54.7733).margin(0.002));
  CHECK(rise(log, 200, 217) == Approx(21.1518).margin(0.002));
}

TEST_CASE("A9-A11: slopes of the board log, window by window", "[reflow][truth]") {
  NEED_BOARD_LOG(log);
  const Peak top = peak(log);
  const double up217 = first_reach(log, 217_degC)->value;
  const double up200 = first_reach(log, 200_degC)->value;
  CHECK((top.temperature.value - 217) / (top.first.value - up217) == Approx(0.4902).margin(0.0005));
  CHECK((top.temperature.value - 200) / (top.first.value - up200) == Approx(0.5814).margin(0.0005));
  CHECK((217 - top.temperature.value) / (last_leave(log, 217_degC)->value - top.last.value) ==
        Approx(-0.8956).margin(0.0005));
  const double windows[] = {0.5, 1, 5, 10, 20, 60};
  const double rises[] = {2.0600, 2.0600, 2.0520, 2.0320, 1.9630, 1.5693};
  const double falls[] = {-1.6600, -1.6500, -1.6460, -1.6400, -1.6225, -1.4750};
  for (int i = 0; i < 6; ++i) {
    const SlopeRange found = secant_slopes(log, Seconds(windows[i])).value();
    CHECK(found.steepest_rise.value.value == Approx(rises[i]).margin(0.0005));
    CHECK(found.steepest_fall.value.value == Approx(falls[i]).margin(0.0005));
  }
  const double fitted[] = {1, 5, 10, 20};
  const double fitted_rises[] = {2.0600, 2.0540, 2.0411, 1.9954};
  const double fitted_falls[] = {-1.6500, -1.6460, -1.6423, -1.6311};
  for (int i = 0; i < 4; ++i) {
    const SlopeRange found = least_squares_slopes(log, Seconds(fitted[i])).value();
    CHECK(found.steepest_rise.value.value == Approx(fitted_rises[i]).margin(0.0005));
    CHECK(found.steepest_fall.value.value == Approx(fitted_falls[i]).margin(0.0005));
  }
}

TEST_CASE("A12, A13: areas over liquidus of the board log", "[reflow][truth]") {
  NEED_BOARD_LOG(log);
  CHECK(area_above(log, 217_degC) == Approx(1267.180).margin(0.05));
  CHECK(area_above(log, 220_degC) == Approx(1035.416).margin(0.05));
  CHECK(area_above(log, 183_degC) == Approx(5030.122).margin(0.05));
  CHECK(area_above(log, 217_degC, peak(log).first) == Approx(782.879).margin(0.05));
}

TEST_CASE("A15, C1, C2: share of the window", "[reflow][truth]") {
  // C1: kiwix.lema.org Thermal_profile (and Wikipedia mirrors), worked example, printed -60 %.
  CHECK(window_share(188, 180, 220).value == Approx(-60).margin(1e-9));
  CHECK(window_share(200, 180, 220).value == Approx(0).margin(1e-9));
  CHECK(window_share(220, 180, 220).value == Approx(100).margin(1e-9));
  CHECK(window_share(225, 180, 220).value == Approx(125).margin(1e-9));
  NEED_BOARD_LOG(log);
  const SlopeRange slopes = secant_slopes(log, 0.5_s).value();
  CHECK(window_share(slopes.steepest_rise.value.value, 0, 3).value == Approx(37.33).margin(0.02));
  CHECK(window_share(rise(log, 150, 190), 60, 120).value == Approx(31.81).margin(0.02));
  CHECK(window_share(time_above(log, 217_degC).value, 40, 90).value == Approx(61.20).margin(0.02));
  CHECK(window_share(peak(log).temperature.value, 240, 250).value == Approx(-54.40).margin(0.02));
  CHECK(window_share(slopes.steepest_fall.value.value, -3, 0).value == Approx(-10.67).margin(0.02));
}

TEST_CASE("A16: the board log sampled at 1, 2, 5 and 10 s", "[reflow][truth]") {
  NEED_BOARD_LOG(log);
  const std::size_t steps[] = {2, 4, 10, 20};
  const double above[] = {80.3053, 80.3007, 80.3143, 80.2795};
  const double tops[] = {242.28, 242.28, 242.23, 241.89};
  for (int i = 0; i < 4; ++i) {
    const Trace part = board_log::every(log, steps[i]);
    CHECK(time_above(part, 217_degC).value == Approx(above[i]).margin(0.002));
    CHECK(peak(part).temperature.value == Approx(tops[i]).margin(0.005));
  }
}

TEST_CASE("A17: the board log with half a kelvin of zig-zag", "[reflow][truth]") {
  NEED_BOARD_LOG(clean);
  Trace log = clean;
  for (std::size_t i = 0; i < log.size(); ++i) log.celsius[i] += i % 2 == 0 ? 0.5 : -0.5;
  CHECK(secant_slopes(log, 0.5_s)->steepest_rise.value.value == Approx(4.0600).margin(0.001));
  CHECK(secant_slopes(log, 1_s)->steepest_rise.value.value == Approx(2.0600).margin(0.001));
  CHECK(time_above(log, 217_degC).value == Approx(80.2095).margin(0.001));
  CHECK((*last_leave(log, 217_degC) - *first_reach(log, 217_degC)).value == Approx(81.0935).margin(0.001));
  CHECK(crossings(log, 217_degC).size() == 6);
  // Only two of them settle: up and down.
  CHECK(settled_crossings(log, 217_degC, 1_K).size() == 2);
}

TEST_CASE("A18, A19: the shifted log, and counting samples is not the time above", "[reflow][truth]") {
  NEED_BOARD_LOG(clean);
  int samples = 0;
  for (double t : clean.celsius) samples += t >= 217 ? 1 : 0;
  CHECK(samples * 0.5 == Approx(80.5));
  CHECK_FALSE(time_above(clean, 217_degC).value == Approx(80.5).margin(0.1));
  Trace log = clean;
  for (double& t : log.celsius) t += 4.72;
  CHECK(peak(log).temperature.value == Approx(247.00).margin(0.002));
  CHECK(time_above(log, 240_degC).value == Approx(37.0655).margin(0.002));
  CHECK(time_above(log, 217_degC).value == Approx(90.1891).margin(0.002));
}

TEST_CASE("B5: a trapezoid has its closed-form figures", "[reflow][truth]") {
  const Trace log = curve({0, 62.5, 152.5, 202.5, 212.5, 262.5}, {25, 150, 200, 250, 250, 150});
  CHECK(time_above(log, 217_degC).value == Approx(59.500).margin(1e-3));
  CHECK(time_above(log, 245_degC).value == Approx(17.500).margin(1e-3));
  CHECK(area_above(log, 217_degC) == Approx(1146.75).margin(0.01));
  const double slopes[] = {2.0, 0.55556, 1.0, 0, -2.0};
  for (std::size_t i = 0; i < 5; ++i) {
    const Trace piece = curve({log.seconds[i], log.seconds[i + 1]}, {log.celsius[i], log.celsius[i + 1]});
    const auto found = secant_slopes(piece, Seconds(log.seconds[i + 1] - log.seconds[i])).value();
    CHECK(found.steepest_rise.value.value == Approx(slopes[i]).margin(1e-4));
  }
}

TEST_CASE("a slid least-squares slope is the plain sum's, window by window", "[reflow][twin]") {
  NEED_BOARD_LOG(clean);
  Trace log = clean;
  unsigned seed = 7;
  for (double& t : log.celsius) {
    seed = seed * 1664525u + 1013904223u;
    t += (static_cast<double>(seed >> 8) / 16777216.0 - 0.5) * 2;
  }
  double best = -1e9;
  for (std::size_t i = 0; i + 20 < log.size(); ++i) {
    double mt = 0, my = 0, tt = 0, ty = 0;
    for (std::size_t k = i; k <= i + 20; ++k) mt += log.seconds[k] / 21, my += log.celsius[k] / 21;
    for (std::size_t k = i; k <= i + 20; ++k) {
      tt += (log.seconds[k] - mt) * (log.seconds[k] - mt);
      ty += (log.seconds[k] - mt) * (log.celsius[k] - my);
    }
    best = std::max(best, ty / tt);
  }
  CHECK(least_squares_slopes(log, 10_s)->steepest_rise.value.value == Approx(best).margin(1e-9));
}

TEST_CASE("a slope window never spans a gap", "[reflow]") {
  Trace log;
  for (int i = 0; i <= 60; ++i) log.seconds.push_back(i), log.celsius.push_back(i < 30 ? 25 + i : 200 + i);
  log.gaps = {{29_s, 30_s, "no row"}};
  CHECK(least_squares_slopes(log, 10_s)->steepest_rise.value.value == Approx(1.0).margin(1e-9));
  log.gaps.clear();
  CHECK(least_squares_slopes(log, 10_s)->steepest_rise.value.value > 10);
}

TEST_CASE("scatter finds white noise to a tenth and leaves a clean curve alone", "[reflow]") {
  NEED_BOARD_LOG(clean);
  CHECK(scatter(clean).value < 0.02);
  Trace log = clean;
  unsigned seed = 3;
  for (double& t : log.celsius) {
    double sum = 0;  // twelve uniform draws: variance 1
    for (int k = 0; k < 12; ++k) {
      seed = seed * 1664525u + 1013904223u;
      sum += static_cast<double>(seed >> 8) / 16777216.0;
    }
    t += 0.5 * (sum - 6);
  }
  CHECK(scatter(log).value == Approx(0.5).epsilon(0.1));
}
