// board_log.h: the published board-temperature record that many tests look at.
// SOURCE  2020 CUMCM problem A "furnace temperature curve", as republished (MIT licence) at
//         github.com/BNSWT/Furnace-Temperature-Curve-cumcm2020, data.txt @420122f; read 2026-11-25.
//         709 rows, 0.5 s apart. Noise at the rounding level: smoothed or model-made, not a raw thermocouple
//         trace.
#pragma once

#include <fstream>
#include <optional>
#include <sstream>
#include <string>

#include "reflow/trace.h"

namespace board_log {

inline std::optional<std::string> text() {
  std::ifstream in(HANDLOT_TOP "/../shared/reference/data/board_log.csv");
  if (!in) return std::nullopt;
  std::ostringstream all;
  all << in.rdbuf();
  return all.str();
}

/// Read by the plainest means, so that the log reader is not its own judge.
inline std::optional<handlot::reflow::Trace> trace() {
  const auto all = text();
  if (!all) return std::nullopt;
  handlot::reflow::Trace trace;
  std::istringstream in(*all);
  std::string line;
  std::getline(in, line);
  while (std::getline(in, line)) {
    const auto comma = line.find(',');
    trace.seconds.push_back(std::stod(line.substr(0, comma)));
    trace.celsius.push_back(std::stod(line.substr(comma + 1)));
  }
  return trace;
}

inline handlot::reflow::Trace every(const handlot::reflow::Trace& trace, std::size_t step) {
  handlot::reflow::Trace part;
  for (std::size_t i = 0; i < trace.size(); i += step) {
    part.seconds.push_back(trace.seconds[i]);
    part.celsius.push_back(trace.celsius[i]);
  }
  return part;
}

}  // namespace board_log

// Published data lies outside the checkout; a checkout alone says so and goes on.
#define NEED_BOARD_LOG(name)                                              \
  const auto name##_read = board_log::trace();                            \
  if (!name##_read) {                                                     \
    WARN("skipped: ../shared/reference/data/board_log.csv is not there"); \
    return;                                                               \
  }                                                                       \
  const handlot::reflow::Trace& name = *name##_read
