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

struct StockLine {
  std::string id;       ///< a kit id or a card id
  double count = 0;     ///< in `unit`
  std::string unit;     ///< "pieces", "g", "ml" or "m"; empty: in the kit's own unit
  std::string expires;  ///< "2027-03-31", good to the end of that day; empty: not said
  std::string expiry_unread;  ///< what is said instead, as "03/2027"
  int line = 0;
};

/// What of a list counts for nothing, and why.
struct Remark {
  enum class Kind { not_read, expired, expires_meanwhile, expiry_not_read, other_unit, both_names, stranger };
  Kind kind = Kind::not_read;
  std::string text;
  int line = 0;
};

/// What is on the shelf.
struct Stock {
  std::string file;
  std::vector<StockLine> lines;  ///< as listed; equal ids add up
  std::vector<Remark> remarks;   ///< what of the list is not read
};

/// Reads a stock list: a column id (or part, card, item) and a column count (or quantity, qty, stock); where it has them,
/// unit (or units) and expiry (or expires, use by, best before). An amount may carry its unit: "50 g", "0.5 kg", "4 pcs".
///
/// Errors   stock-columns, stock-number, stock-unit (each with its line), and those of read_csv.
Result<Stock> read_stock(std::string text, const std::string& file);

struct Shortage {
  std::string id;
  std::string name;
  double needed = 0;   ///< for the lot with spare
  double lot = 0;      ///< without spare
  double there = 0;
  std::string unit;    ///< empty: pieces
  std::string step;    ///< where it is first needed: the lot can be built up to there
};

struct Clearance {
  std::optional<int> units;         ///< that can be built whole, without spare, as far as the list names the kit; empty: it names nothing of it
  std::map<std::string, double> there;  ///< by kit id, what the list has of it
  std::vector<Shortage> shortages;  ///< by the plan order of the step that stops first
  std::vector<std::string> unknown; ///< kit rows that the stock list does not name
  std::vector<Remark> remarks;      ///< those of the list, lines that count for nothing, and those that expire while the lot takes of them
  bool wants_last_days = false;     ///< a line expires after the lot begins, and nothing says until when the lot takes of it
};

/// What the stock is held against.
struct Wanted {
  std::span<const plan::KitRow> kit;       ///< in plan order of steps
  std::span<const plan::Step> steps;
  std::map<std::string, std::string> cards;  ///< kit id to card id, where they differ
  int lot = 1;
  std::string day;                         ///< the lot begins, "2027-01-11"; what has expired before is not there
  std::map<std::string, std::string> last_day = {};  ///< by kit id, the day the plan takes of it last; empty without a schedule
};

/// A line is a kit row's by its id or by its card's: rows of one card share the latter, beside what each has of its own.
Clearance clear_to_build(const Wanted& wanted, const Stock& stock);

/// The kit as text: rows, then shortages and how many units can be built when a stock list is given.
std::string text(const plan::Plan& plan, const std::optional<Clearance>& clearance);

}  // namespace handlot::kit
