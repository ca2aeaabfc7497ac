// Boards and ovens fitted to their logs.
#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "core/text.h"
#include "reflow/figures.h"
#include "reflow/grid.h"
#include "reflow/oven_model.h"
#include "reflow/search.h"

namespace handlot::reflow {

namespace {

constexpr double kStep = 1.0;  // s, of simulations while fitting
constexpr std::size_t kNever = std::numeric_limits<std::size_t>::max();

/// One stretch of a log on an even grid.
struct Pass {
  std::vector<double> air;
  std::vector<double> board;
  std::size_t off = kNever;
  double weight = 1;
};

Pass make_pass(const Trace& board, const Trace& air, std::optional<Seconds> off, double weight) {
  const double start = std::max(board.seconds.front(), air.seconds.front());
  const double end = std::min(board.seconds.back(), air.seconds.back());
  const auto count = static_cast<std::size_t>(std::max(0.0, (end - start) / kStep)) + 1;
  Pass pass{grid::sampled(air, start, kStep, count), grid::sampled(board, start, kStep, count), kNever,
            weight};
  if (off) pass.off = static_cast<std::size_t>(std::max(0.0, (off->value - start) / kStep));
  return pass;
}

struct Error {
  double mean_square = 0;
  double worst = 0;
};

Error error_of(const std::vector<double>& made, const std::vector<double>& seen) {
  Error e;
  for (std::size_t i = 0; i < made.size(); ++i) {
    const double off = made[i] - seen[i];
    e.mean_square += off * off;
    e.worst = std::max(e.worst, std::abs(off));
  }
  e.mean_square /= static_cast<double>(std::max<std::size_t>(1, made.size()));
  return e;
}

Node node_from(const std::vector<double>& x) {
  Node node;
  node.convection_per_s = std::exp(x[0]);
  node.radiation = x[1];
  node.gain = x[2];
  node.cooling_per_s = x.size() > 3 ? std::exp(x[3]) : node.convection_per_s;
  return node;
}

/// What the node misses by, weighted so that the sum of squares is the weighted mean square.
std::vector<double> node_residuals(Node node, const std::vector<Pass>& passes, double room) {
  double weights = 0;
  for (const Pass& pass : passes) weights += pass.weight;
  std::vector<double> all;
  for (const Pass& pass : passes) {
    node.start = Celsius(pass.board.front());
    const auto made = grid::node_curve(node, pass.air, room, kStep, pass.off);
    const double scale = std::sqrt(pass.weight / weights / static_cast<double>(made.size()));
    for (std::size_t i = 0; i < made.size(); ++i) all.push_back(scale * (made[i] - pass.board[i]));
  }
  return all;
}

double node_cost(const Node& node, const std::vector<Pass>& passes, double room) {
  double cost = 0;
  for (const double r : node_residuals(node, passes, room)) cost += r * r;
  return cost;
}

Node fit_passes(const std::vector<Pass>& passes, Celsius room, int evaluations) {
  const bool cools =
      std::any_of(passes.begin(), passes.end(), [](const Pass& p) { return p.off + 20 < p.air.size(); });
  std::vector<double> low{std::log(1e-4), 0, 0.6}, high{std::log(0.5), 0.03, 1.3};
  if (cools) low.push_back(std::log(1e-4)), high.push_back(std::log(0.5));
  const auto cost = [&](const std::vector<double>& x) { return node_cost(node_from(x), passes, room.value); };
  SearchResult found;
  // Convection, radiation and gain make up for each other: the valley is long and is entered from several
  // sides.
  for (const double radiation : {0.0005, 0.005}) {
    for (const double gain : {0.92, 1.0, 1.05}) {
      std::vector<double> start{std::log(1.0 / 60), radiation, gain};
      if (cools) start.push_back(std::log(1.0 / 60));
      SearchResult one = search(cost, start, low, high, evaluations / 12);
      if (found.at.empty() || one.value < found.value) found = std::move(one);
    }
  }
  found =
      polish([&](const std::vector<double>& x) { return node_residuals(node_from(x), passes, room.value); },
             found.at, low, high, 60);
  Node node = node_from(found.at);
  node.rms = Kelvin(std::sqrt(found.value));
  for (const Pass& pass : passes) {
    node.start = Celsius(pass.board.front());
    node.worst = std::max(
        node.worst,
        Kelvin(error_of(grid::node_curve(node, pass.air, room.value, kStep, pass.off), pass.board).worst));
  }
  return node;
}

Diagnostic refused(const std::string& what, Kelvin rms, Kelvin worst, const FitLimits& limits) {
  return error(
      "fit-refused", {},
      fmt::format(
          "{} does not follow the model: the best fit misses by {} K (largest {} K), allowed are {} K ({} K)",
          what, number(rms.value, 1), number(worst.value, 1), number(limits.rms.value, 1),
          number(limits.worst.value, 1)),
      "check that the channels are what they are called and that the oven was not opened; or judge this oven "
      "by its logs alone");
}

}  // namespace

Result<Node> fit_node(const Trace& board, const Trace& air, Celsius room, const FitLimits& limits,
                      std::optional<Seconds> off) {
  if (board.size() < 20 || air.size() < 2) {
    return fail(error("fit-no-readings", {}, "too few readings to fit a board to",
                      "log a whole pass, a reading every second or two"));
  }
  const Node node = fit_passes({make_pass(board, air, off, 1)}, room, limits.evaluations);
  if (node.rms > limits.rms || node.worst > limits.worst)
    return fail(refused("the board", node.rms, node.worst, limits));
  return node;
}

ConstantFit best_single_constant(const Trace& board, const Trace& air) {
  const Pass pass = make_pass(board, air, {}, 1);
  const auto cost = [&](const std::vector<double>& x) {
    Node node;
    node.convection_per_s = node.cooling_per_s = std::exp(x[0]);
    node.start = Celsius(pass.board.front());
    return error_of(grid::node_curve(node, pass.air, 25, kStep, kNever), pass.board).mean_square;
  };
  const auto found = search(cost, {std::log(1.0 / 60)}, {std::log(1e-4)}, {std::log(1.0)}, 400);
  ConstantFit fit;
  fit.tau = Seconds(std::exp(-found.at[0]));
  fit.rms = Kelvin(std::sqrt(found.value));
  fit.readings = static_cast<int>(pass.board.size());
  return fit;
}

namespace {

const Channel* with_role(const Log& log, ChannelRole role) {
  const auto found = std::find_if(log.channels.begin(), log.channels.end(),
                                  [&](const Channel& c) { return c.role == role; });
  return found == log.channels.end() ? nullptr : &*found;
}

/// A logged set curve as corners; it ends where it drops for good.
SetCurve set_curve_of(const Trace& set) {
  const Peak top = peak(set);
  SetCurve curve;
  curve.end = Seconds(set.seconds.back());
  for (std::size_t i = 0; i < set.size(); ++i) {
    if (set.seconds[i] > top.last.value && set.celsius[i] < top.temperature.value - 20) {
      curve.end = Seconds(set.seconds[i]);
      break;
    }
    curve.points.push_back({Seconds(set.seconds[i]), Celsius(set.celsius[i])});
  }
  return curve;
}

/// One run made ready: its control channel, set temperatures and boards on one grid.
struct Run {
  std::vector<double> set;
  std::vector<double> control;
  std::size_t off = kNever;
  double start = 0;
  double weight = 1;
  const Log* log = nullptr;
  Trace control_trace;
  Seconds off_time;
};

Result<Run> make_run(const OvenRun& given, std::size_t index, double weight) {
  const std::string name = given.log.file.empty() ? fmt::format("run {}", index + 1) : given.log.file;
  const Channel* control = with_role(given.log, ChannelRole::control);
  if (!control) control = with_role(given.log, ChannelRole::air);
  if (!control) {
    return fail(error("fit-no-control", {name, 0, 0}, "no channel is the controller's sensor or the air",
                      "say which one is: --channel NAME=control"));
  }
  if (!with_role(given.log, ChannelRole::board)) {
    return fail(error("fit-no-board", {name, 0, 0}, "no channel sits on the board",
                      "say which one does: --channel NAME=board"));
  }
  std::optional<SetCurve> curve = given.set;
  const Channel* set = with_role(given.log, ChannelRole::set_curve);
  if (!curve && set) {
    const Trace trace = trace_of(given.log, *set);
    if (trace.size() > 2) curve = set_curve_of(trace);
  }
  Run run;
  run.control_trace = trace_of(given.log, *control);
  if (!curve || curve->points.empty() || run.control_trace.size() < 20) {
    return fail(error("fit-no-set-curve", {name, 0, 0}, "the set curve of this run is not known",
                      "log the set point as a channel, and say which one it is: --channel \"COLUMN=set\""));
  }
  run.log = &given.log;
  run.weight = weight;
  run.start = run.control_trace.seconds.front();
  const auto count = static_cast<std::size_t>((run.control_trace.seconds.back() - run.start) / kStep) + 1;
  run.control = grid::sampled(run.control_trace, run.start, kStep, count);
  for (std::size_t i = 0; i < count; ++i)
    run.set.push_back(at(*curve, Seconds(run.start + kStep * static_cast<double>(i))).value);
  run.off_time = curve->end;
  run.off = static_cast<std::size_t>(std::max(0.0, (curve->end.value - run.start) / kStep));
  return run;
}

Oven oven_from(const std::vector<double>& x) {
  Oven oven;
  oven.full_power_k_per_s = std::exp(x[0]);
  oven.loss_per_s = std::exp(x[1]);
  oven.wall_per_s = std::exp(x[2]);
  oven.cooling_per_s = std::exp(x[3]);
  oven.element_lag = Seconds(x[4]);
  oven.band = Kelvin(x[5]);
  oven.reset = Seconds(std::exp(x[6]));
  oven.wall_loss = x[7];
  oven.sensor_lag = Seconds(x[8]);
  return oven;
}

Oven fit_air(const std::vector<Run>& runs, Celsius room, int evaluations) {
  const auto cost = [&](const std::vector<double>& x) {
    const Oven oven = oven_from(x);
    double sum = 0, weights = 0;
    for (const Run& run : runs) {
      sum += run.weight *
             error_of(grid::oven_curve(oven, run.set, run.control.front(), room.value, kStep, run.off),
                      run.control)
                 .mean_square;
      weights += run.weight;
    }
    return sum / weights;
  };
  const std::vector<double> low{
      std::log(0.1), std::log(2e-4), std::log(1e-4), std::log(5e-4), 0.5, 1, std::log(5.0), 0, 0.5};
  const std::vector<double> high{
      std::log(20.0), std::log(0.1), std::log(0.05), std::log(0.2), 120, 120, std::log(2000.0), 3, 30};
  SearchResult best;
  // From brisk and sluggish ovens, strict and slack controllers: the valleys of this fit.
  for (const double power : {1.2, 3.0, 6.0}) {
    for (const double band : {12.0, 30.0}) {
      for (const double reset : {60.0, 300.0}) {
        const std::vector<double> start{std::log(power),
                                        std::log(power * 0.004),
                                        std::log(0.004),
                                        std::log(0.01),
                                        25,
                                        band,
                                        std::log(reset),
                                        0.3,
                                        4};
        SearchResult found = search(cost, start, low, high, evaluations / 12);
        if (best.at.empty() || found.value < best.value) best = std::move(found);
      }
    }
  }
  best = search(cost, best.at, low, high, evaluations / 2);
  Oven oven = oven_from(best.at);
  oven.rms = Kelvin(std::sqrt(best.value));
  for (const Run& run : runs) {
    oven.worst = std::max(
        oven.worst,
        Kelvin(error_of(grid::oven_curve(oven, run.set, run.control.front(), room.value, kStep, run.off),
                        run.control)
                   .worst));
  }
  return oven;
}

/// Predicts every run from its set curve alone and looks at what was measured.
Kelvin prediction_error(const OvenModel& model, const std::vector<Run>& runs) {
  double squares = 0, worst_peak = 0;
  std::size_t n = 0;
  for (const Run& run : runs) {
    const auto air =
        grid::oven_curve(model.oven, run.set, run.control.front(), model.room.value, kStep, run.off);
    for (Node node : model.boards) {
      for (const Channel& channel : run.log->channels) {
        if (channel.role != ChannelRole::board || channel.name != node.channel) continue;
        const Trace trace = trace_of(*run.log, channel);
        const auto seen = grid::sampled(trace, run.start, kStep, air.size());
        node.start = Celsius(seen.front());
        const auto made = grid::node_curve(node, air, model.room.value, kStep, run.off);
        squares += error_of(made, seen).mean_square;
        worst_peak = std::max(worst_peak, std::abs(*std::max_element(made.begin(), made.end()) -
                                                   *std::max_element(seen.begin(), seen.end())));
        ++n;
      }
    }
  }
  return Kelvin(
      std::max({1.0, 2 * std::sqrt(squares / static_cast<double>(std::max<std::size_t>(1, n))), worst_peak}));
}

void keep_last(OvenModel& model, const Run& run) {
  const auto air =
      grid::oven_curve(model.oven, run.set, run.control.front(), model.room.value, kStep, run.off);
  for (Node node : model.boards) {
    for (const Channel& channel : run.log->channels) {
      if (channel.role != ChannelRole::board || channel.name != node.channel) continue;
      model.last_seen.push_back(trace_of(*run.log, channel));
      node.start = Celsius(grid::sampled(model.last_seen.back(), run.start, kStep, 1).front());
      Trace made;
      made.celsius = grid::node_curve(node, air, model.room.value, kStep, run.off);
      for (std::size_t i = 0; i < made.celsius.size(); ++i)
        made.seconds.push_back(run.start + kStep * static_cast<double>(i));
      model.last_predicted.push_back(std::move(made));
      break;
    }
  }
}

}  // namespace

Result<OvenModel> fit_oven(const std::vector<OvenRun>& given, const FitLimits& limits) {
  if (given.empty()) return fail(error("fit-no-control", {}, "no run to fit to", "give at least one log"));
  std::vector<Run> runs;
  Diagnostics faults;
  for (std::size_t i = 0; i < given.size(); ++i) {
    // The last run is the nearest to what will be tried next: it weighs three times as much as all before.
    auto run =
        make_run(given[i], i, i + 1 == given.size() ? std::max(1.0, 3.0 * static_cast<double>(i)) : 1.0);
    if (run)
      runs.push_back(std::move(*run));
    else
      faults.insert(faults.end(), run.error().begin(), run.error().end());
  }
  if (!faults.empty()) return fail(std::move(faults));
  OvenModel model;
  model.logs = static_cast<int>(runs.size());
  double coldest = 1e9;
  for (const Run& run : runs) coldest = std::min(coldest, run.control.front());
  model.room = Celsius(std::min(coldest, 30.0));
  model.oven = fit_air(runs, model.room, limits.evaluations);
  if (model.oven.rms > limits.rms || model.oven.worst > limits.worst) {
    faults.push_back(refused("the oven", model.oven.rms, model.oven.worst, limits));
  }
  for (const Channel& channel : runs.back().log->channels) {
    if (channel.role != ChannelRole::board) continue;
    std::vector<Pass> passes;
    for (const Run& run : runs) {
      for (const Channel& c : run.log->channels) {
        if (c.role != ChannelRole::board || c.name != channel.name) continue;
        const Trace trace = trace_of(*run.log, c);
        if (trace.size() >= 20)
          passes.push_back(make_pass(trace, run.control_trace, run.off_time, run.weight));
      }
    }
    if (passes.empty()) continue;
    Node node = fit_passes(passes, model.room, limits.evaluations / 6);
    node.channel = channel.name;
    if (node.rms > limits.rms || node.worst > limits.worst)
      faults.push_back(refused("board channel '" + channel.name + "'", node.rms, node.worst, limits));
    model.boards.push_back(std::move(node));
  }
  if (!faults.empty()) return fail(std::move(faults));
  model.uncertainty = prediction_error(model, runs);
  keep_last(model, runs.back());
  model.notes.push_back(fmt::format("fitted to {}; the air is met to {} K",
                                    counted(model.logs, "run", "runs"), number(model.oven.rms.value, 1)));
  for (const Node& node : model.boards) {
    model.notes.push_back(
        fmt::format("'{}' follows the air with {} s at 200 degC, met to {} K (largest {} K)", node.channel,
                    number(node.tau().value, 1), number(node.rms.value, 1), number(node.worst.value, 1)));
  }
  return model;
}

}  // namespace handlot::reflow
