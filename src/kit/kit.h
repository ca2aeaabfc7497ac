// kit.h: is everything there? What can be built from the stock, how far the rest gets, what a good unit costs.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/diagnostic.h"
#include "plan/plan.h"

namespace handlot::kit {

/// What is on the shelf, by kit id or card id, in the kit's units (pieces, g, ml).
using Stock = std::map<std::string, double>;

/// Reads a stock list: a column id (or part, card) and a column count (or quantity, stock). Equal ids add up.
///
/// Errors   stock-columns, stock-number (each with its line), and those of read_csv.
Result<Stock> read_stock(std::string text, const std::string& file);

struct Shortage {
  std::string id;
  std::string name;
  double needed = 0;   ///< for the lot with spare
  double there = 0;
  std::string step;    ///< where it is first needed: the lot can be built up to there
};

struct Clearance {
  int units = 0;                  ///< that can be built whole, without spare
  std::vector<Shortage> shortages;  ///< by the plan order of the step that stops first
  std::vector<std::string> unknown; ///< kit rows that the stock list does not name
};

/// Given    rows of a plan's kit, in plan order of steps.
Clearance clear_to_build(std::span<const plan::KitRow> kit, std::span<const plan::Step> steps, int lot, const Stock& stock);

/// The kit as text: rows, then shortages and how many units can be built when a stock list is given.
std::string text(const plan::Plan& plan, const std::optional<Clearance>& clearance);

}  // namespace handlot::kit
