// toy_ovens.h: ovens to try advice on, written for these tests and built otherwise than the fitted model: an
// element with a temperature of its own that also radiates, walls, a sensor that lags, a PI controller that
// switches in half-second bursts, boards of skin and core. Invented figures.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "reflow/oven_model.h"

namespace toy {

struct Place {
  std::string name;
  double air_share = 1.0;  ///< of the air's excess over the room
  double convect = 0.017;  ///< 1/s
  double radiate = 0.004;  ///< share of element radiation, 1/s at 600 K
};

struct Oven {
  double power_w = 1700;
  double element_j_per_k = 160;
  double air_j_per_k = 420;
  double wall_j_per_k = 2600;
  double element_to_air = 5.5;  ///< W/K
  double air_to_wall = 3.2;
  double wall_to_room = 1.6;
  double leak = 0.7;
  double door = 22.0;  ///< W/K once opened
  double sensor_lag = 5;
  double band = 18;
  double reset_s = 120;
  std::vector<Place> places{{"centre", 1.0, 0.017, 0.004}, {"corner", 0.98, 0.016, 0.0037}};
};

inline handlot::reflow::Log run(const Oven& oven, const handlot::reflow::SetCurve& set, unsigned seed) {
  using namespace handlot;
  using namespace handlot::reflow;
  const double room = 24, dt = 0.1;
  double element = room, air = room, wall = room, sensor = room, integral = 0;
  std::vector<double> skin(oven.places.size(), room), core(oven.places.size(), room);
  Log log;
  log.file = "toy.csv";
  log.channels.push_back({"Set", ChannelRole::set_curve, "", "", {}, 0, 0, 0});
  log.channels.push_back({"Control", ChannelRole::control, "", "", {}, 0, 0, 0});
  for (const Place& p : oven.places)
    log.channels.push_back({p.name, ChannelRole::board, p.name, "tape", {}, 0, 0, 0});
  const auto read = [&](double c) {  // quarter-degree steps and a little noise
    seed = seed * 1664525u + 1013904223u;
    const double noise = (static_cast<double>(seed >> 8) / 16777216.0 - 0.5) * 0.6;
    return std::round((c + noise) * 4) / 4;
  };
  const double end = set.end.value + 240;
  bool on = false;
  for (int n = 0; n * dt <= end; ++n) {
    const double t = static_cast<double>(n) * dt;
    const bool off = t >= set.end.value;
    const double wanted = off ? room : at(set, Seconds(t)).value;
    if (n % 10 == 0) {
      log.seconds.push_back(t);
      log.channels[0].celsius.push_back(wanted);
      log.channels[1].celsius.push_back(read(sensor));
      for (std::size_t k = 0; k < skin.size(); ++k) log.channels[2 + k].celsius.push_back(read(core[k]));
    }
    const double error = wanted - sensor;
    const double drive = error / oven.band + integral;
    const double duty = std::clamp(drive, 0.0, 1.0);
    if (!(drive > duty) && !(drive < duty)) integral += dt * error / oven.band / oven.reset_s;
    if (n % 5 == 0) on = !off && duty * 20 > static_cast<double>((n / 5) % 20);  // bursts over ten seconds
    const double heat = on ? oven.power_w : 0;
    const double to_air = oven.element_to_air * (element - air);
    const double radiated = 1.1e-9 * (std::pow(element + 273, 4) - std::pow(wall + 273, 4));
    const double loss = (off ? oven.door : oven.leak) * (air - room);
    element += dt * (heat - to_air - radiated) / oven.element_j_per_k;
    air += dt * (to_air - oven.air_to_wall * (air - wall) - loss) / oven.air_j_per_k;
    wall += dt * (oven.air_to_wall * (air - wall) + radiated - oven.wall_to_room * (wall - room)) /
            oven.wall_j_per_k;
    sensor += dt * (air - sensor) / oven.sensor_lag;
    for (std::size_t k = 0; k < skin.size(); ++k) {
      const Place& p = oven.places[k];
      const double local = room + p.air_share * (air - room);
      const double rays = p.radiate * (std::pow(element + 273, 4) - std::pow(skin[k] + 273, 4)) /
                          (4 * std::pow(600.0, 3)) / 6;
      skin[k] += dt * (2 * p.convect * (local - skin[k]) + rays - 0.25 * (skin[k] - core[k]));
      core[k] += dt * 0.25 * (skin[k] - core[k]);
    }
  }
  log.step = Seconds(1);
  return log;
}

}  // namespace toy
