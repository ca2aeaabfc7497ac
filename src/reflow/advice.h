// advice.h: set points to try next, or that this oven cannot.
#pragma once

#include <string>
#include <vector>

#include "reflow/oven_model.h"
#include "reflow/verdict.h"

namespace handlot::reflow {

/// What the controller and the oven take.
struct OvenLimits {
  Celsius highest{260};  ///< set temperature
  int steps = 5;         ///< points of a set curve that the controller takes
  Seconds shortest_step{10};
  Seconds longest{720};           ///< of a whole run until the heat goes off
  Celsius coarse_temperature{1};  ///< set temperatures in steps of so many degrees
  Seconds coarse_time{1};
};

struct ExpectedFigure {
  Criterion criterion;
  std::string channel;
  double value = 0;
  double low = 0, high = 0;  ///< through the model's uncertainty
  double short_by = 0;       ///< outside the window by so much, in unit(kind); 0 inside
};

struct Advice {
  enum class Status {
    try_this,  ///< the predicted worst figure is inside its window
    marginal,  ///< inside, but not for certain: within the model's uncertainty of an edge
    cannot,    ///< no set curve within the limits gets there; `why` says which figure and by how much
    stopped    ///< the search stopped at its limit before it could tell
  };
  Status status = Status::stopped;
  SetCurve set;
  Prediction predicted;
  std::vector<ExpectedFigure> figures;
  double worst_share = 0;  ///< largest |share of the window|, in percent
  int evaluations = 0;
  std::string why;
};

/// Set points that bring the worst figure nearest the middle of its window.
///
/// Given    a model that fits; criteria as for judge().
/// Returns  the best curve found within `limits`, always with its prediction.
/// Accuracy of the prediction: OvenModel::uncertainty, carried into low and high of every figure.
/// Cost     `evaluations` simulations of a run, each about 20 us per node.
Advice advise(const OvenModel& model, const std::vector<Criterion>& criteria, const OvenLimits& limits,
              int evaluations = 12000);

/// The set points as lines: "1. to 150 degC within 90 s", ...
std::string in_words(const Advice& advice);

}  // namespace handlot::reflow
