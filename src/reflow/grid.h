// grid.h: curves on an even grid of time, for simulations. Used by the oven model only.
#pragma once

#include <cmath>
#include <vector>

#include "reflow/oven_model.h"

namespace handlot::reflow::grid {

/// `trace` at start, start + step, ... (`count` values).
inline std::vector<double> sampled(const Trace& trace, double start, double step, std::size_t count) {
  std::vector<double> out(count);
  std::size_t i = 0;
  for (std::size_t n = 0; n < count; ++n) {
    const double t = start + step * static_cast<double>(n);
    while (i + 1 < trace.size() && trace.seconds[i + 1] <= t) ++i;
    if (i + 1 >= trace.size() || t <= trace.seconds[i]) {
      out[n] = trace.celsius[i];
      continue;
    }
    const double share = (t - trace.seconds[i]) / (trace.seconds[i + 1] - trace.seconds[i]);
    out[n] = trace.celsius[i] + share * (trace.celsius[i + 1] - trace.celsius[i]);
  }
  return out;
}

/// One exponential step of a node under an air temperature that holds for the step.
inline double node_step(const Node& node, double temperature, double air, double room, double step,
                        bool off) {
  const double reached = room + node.gain * (air - room);
  const double a = reached + 273.15, b = temperature + 273.15;
  const double radiated = node.radiation * (a * a + b * b) * (a + b) / (4.0 * 500 * 500 * 500);
  const double rate = (off ? node.cooling_per_s : node.convection_per_s) + radiated;
  return reached + (temperature - reached) * std::exp(-rate * step);
}

/// The node on the grid of `air`; `off` counts in steps, beyond the end = never.
inline std::vector<double> node_curve(const Node& node, const std::vector<double>& air, double room,
                                      double step, std::size_t off) {
  std::vector<double> out(air.size());
  double t = node.start.value;
  for (std::size_t i = 0; i < air.size(); ++i) {
    out[i] = t;
    if (i + 1 < air.size()) t = node_step(node, t, (air[i] + air[i + 1]) / 2, room, step, i >= off);
  }
  return out;
}

/// The oven's air, as its sensor sees it, on a grid under set temperatures on the same grid.
inline std::vector<double> oven_curve(const Oven& oven, const std::vector<double>& set, double start,
                                      double room, double step, std::size_t off) {
  std::vector<double> out(set.size());
  double air = start, walls = start, sensor = start, element = 0, held = 0;
  const double lag = 1 - std::exp(-step / std::fmax(0.1, oven.element_lag.value));
  const double settle = 1 - std::exp(-step / std::fmax(0.1, oven.sensor_lag.value));
  const double band = std::fmax(0.5, oven.band.value);
  for (std::size_t i = 0; i < set.size(); ++i) {
    out[i] = sensor;
    const bool is_off = i >= off;
    const double missing = (set[i] - sensor) / band;
    const double wanted = missing + held;
    const double power = is_off ? 0.0 : std::fmin(1.0, std::fmax(0.0, wanted));
    // The controller learns what holds the temperature, but not while it gives all or nothing.
    if (wanted > 0 && wanted < 1) held += step * missing / std::fmax(5.0, oven.reset.value);
    element += (power - element) * lag;
    const double loss = is_off ? oven.cooling_per_s * (air - room) : oven.loss_per_s * (air - walls);
    walls += step * oven.wall_per_s * (air - walls - oven.wall_loss * (walls - room));
    air += step * (oven.full_power_k_per_s * element - loss);
    sensor += (air - sensor) * settle;
  }
  return out;
}

}  // namespace handlot::reflow::grid
