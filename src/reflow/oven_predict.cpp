// What a fitted oven and its boards will do.
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "reflow/grid.h"
#include "reflow/oven_model.h"

namespace handlot::reflow {

Seconds Node::tau() const {
  const double k = 473.15;
  return Seconds(1 / (convection_per_s + radiation * k * k * k / (500.0 * 500 * 500)));
}

Celsius at(const SetCurve& curve, Seconds time) {
  assert(!curve.points.empty());
  const auto& p = curve.points;
  if (time <= p.front().time) return p.front().temperature;
  for (std::size_t i = 0; i + 1 < p.size(); ++i) {
    if (time >= p[i + 1].time) continue;
    const double share = (time - p[i].time).value / std::max(1e-9, (p[i + 1].time - p[i].time).value);
    return p[i].temperature + share * (p[i + 1].temperature - p[i].temperature);
  }
  return p.back().temperature;
}

Trace simulate(const Node& node, const Trace& air, Celsius room, Seconds step, std::optional<Seconds> off) {
  assert(!air.empty() && step.value > 0);
  const double start = air.seconds.front();
  const auto count = static_cast<std::size_t>((air.seconds.back() - start) / step.value + 1e-9) + 1;
  const std::size_t off_at = off ? static_cast<std::size_t>(std::max(0.0, (off->value - start) / step.value))
                                 : std::numeric_limits<std::size_t>::max();
  Trace out;
  out.celsius =
      grid::node_curve(node, grid::sampled(air, start, step.value, count), room.value, step.value, off_at);
  for (std::size_t i = 0; i < count; ++i) out.seconds.push_back(start + step.value * static_cast<double>(i));
  return out;
}

Prediction predict(const OvenModel& model, const SetCurve& curve, Seconds length, Seconds step) {
  const auto count = static_cast<std::size_t>(length.value / step.value) + 1;
  std::vector<double> set(count);
  Prediction out;
  for (std::size_t i = 0; i < count; ++i) {
    out.air.seconds.push_back(step.value * static_cast<double>(i));
    set[i] = at(curve, Seconds(out.air.seconds.back())).value;
  }
  const auto off = static_cast<std::size_t>(curve.end.value / step.value);
  out.air.celsius = grid::oven_curve(model.oven, set, model.room.value, model.room.value, step.value, off);
  for (Node node : model.boards) {
    node.start = model.room;
    out.boards.push_back(
        {out.air.seconds, grid::node_curve(node, out.air.celsius, model.room.value, step.value, off), {}});
  }
  out.uncertainty = model.uncertainty;
  return out;
}

}  // namespace handlot::reflow
