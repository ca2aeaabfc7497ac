// plot.h: the curve, the window and what decides, as an SVG picture that reads in grey.
#pragma once

#include <string>

#include "reflow/verdict.h"

namespace handlot::reflow {

struct PlotOptions {
  double width_mm = 180;
  double height_mm = 110;
  std::string title = "Reflow";
  const Trace* predicted = nullptr;  ///< drawn dashed with its band, if given
  Kelvin predicted_error{0};
};

/// Curves told apart by dash and by label at the end, never by colour alone; the four phases (heat, soak,
/// reflow, cool), liquidus and its crossings, the peak window, the steepest slopes, and the deciding figure.
/// Same input, same bytes.
std::string plot(const Log& log, const Verdict& verdict, const PasteWindow& paste,
                 const PlotOptions& options = {});

}  // namespace handlot::reflow
