#include "kit/kit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "input/csv.h"
#include "input/pieces.h"
#include "input/units.h"
#include "kit/expiry.h"

namespace handlot::kit {

namespace {

struct Counted {
  double count = 0;
  std::string unit;
};

/// A number with its unit beside it: pieces, or what weighs, fills or reaches so far, as the kit counts it (g, ml, m).
std::optional<Counted> counted_in(double value, const std::string& unit) {
  if (unit.empty()) return Counted{value, ""};
  if (input::means_pieces(unit)) return Counted{value, "pieces"};
  const std::string amount = fmt::format("{} {}", value, unit);
  if (const auto mass = input::read_amount(amount, input::Dimension::mass, {0, 1e9})) return Counted{mass->low, "g"};
  if (const auto volume = input::read_amount(amount, input::Dimension::volume, {0, 1e12})) return Counted{volume->low / 1000, "ml"};
  if (const auto length = input::read_amount(amount, input::Dimension::length, {0, 1e9})) return Counted{length->low / 1000, "m"};
  return std::nullopt;
}

class StockReader {
 public:
  explicit StockReader(const input::Csv& table) : table_(table) {}

  Result<Stock> read() {
    stock_.file = table_.file;
    id_ = table_.column({"id", "part", "card", "item"});
    count_ = table_.column({"count", "quantity", "qty", "stock"});
    unit_ = table_.column({"unit", "units", "uom"});
    expiry_ = table_.column({"expiry", "expires", "expiry date", "use by", "use-by", "best before", "best-before"});
    if (!id_ || !count_) {
      return fail(error("stock-columns", {table_.file, table_.head_line, 0}, fmt::format("the head has {}, but a column for the id and one for the count are wanted", listed(table_.head)), "name them 'id' and 'count'"));
    }
    note_columns();
    for (const input::CsvRow& row : table_.rows) line(row);
    if (!faults_.empty()) return fail(std::move(faults_));
    return std::move(stock_);
  }

 private:
  std::string field(const input::CsvRow& row, const std::optional<std::size_t>& column) const { return column && *column < row.fields.size() ? row.fields[*column] : std::string(); }
  void fault(const char* code, const input::CsvRow& row, std::string what, std::string mend) { faults_.push_back(error(code, {table_.file, row.line, 0}, std::move(what), std::move(mend))); }

  /// "1.000" where points group digits: in a table whose commas are decimal marks, or of pieces, which have no thousandths.
  bool dots_may_be_thousands(const std::string& number, const std::string& unit) const {
    const auto dot = number.find('.');
    if (dot == std::string::npos || dot == 0 || dot > 3 || number.front() == '0' || number.size() - dot != 4 || number.find_first_not_of("0123456789.") != std::string::npos || number.rfind('.') != dot) return false;
    return table_.commas_are_decimal || input::means_pieces(unit) || (unit.empty() && number.ends_with("00"));
  }

  void note_columns() {
    std::vector<std::string> others;
    for (std::size_t i = 0; i < table_.head.size(); ++i) {
      if (i != *id_ && i != *count_ && i != unit_ && i != expiry_ && !table_.head[i].empty()) others.push_back(fmt::format("'{}'", table_.head[i]));
    }
    if (!others.empty()) stock_.remarks.push_back({Remark::Kind::not_read, fmt::format("of the stock list {} {} not read", listed(others), others.size() == 1 ? "is" : "are"), table_.head_line});
  }

  void line(const input::CsvRow& row) {
    StockLine l{field(row, id_), 0, "", field(row, expiry_), "", row.line};
    const std::string cell = field(row, count_);
    const auto end = cell.find_last_of("0123456789");
    const std::string number = end == std::string::npos ? cell : cell.substr(0, end + 1);
    std::string unit = end == std::string::npos ? std::string() : cell.substr(end + 1);
    unit.erase(0, std::min(unit.find_first_not_of(' '), unit.size()));
    if (table_.may_be_thousands(number) || dots_may_be_thousands(number, unit.empty() ? field(row, unit_) : unit)) return fault("csv-thousands", row, fmt::format("'{}' of '{}' may be a thousand or a decimal fraction", cell, l.id), "write it without that mark");
    const auto value = input::csv_number(number);
    if (l.id.empty() || !value || *value < 0) return fault("stock-number", row, fmt::format("'{}' of '{}' is no count", cell, l.id), "write an id and a number that is not negative");
    if (unit.empty()) unit = field(row, unit_);
    const auto amount = counted_in(*value, unit);
    if (!amount) return fault("stock-unit", row, fmt::format("'{}' of '{}' is no unit that the kit counts in", unit, l.id), "count pieces ('pcs'), or write a unit of mass, volume or length (mg, g, kg, ml, l, mm, m)");
    l.count = amount->count;
    l.unit = amount->unit;
    if (const std::string day = day_of(l.expires); day.empty()) std::swap(l.expires, l.expiry_unread);
    else l.expires = day;
    stock_.lines.push_back(std::move(l));
  }

  const input::Csv& table_;
  std::optional<std::size_t> id_, count_, unit_, expiry_;
  Stock stock_;
  Diagnostics faults_;
};

/// What lies there under one id.
struct Pile {
  double there = 0;
  double good_to_the_end = 0;            ///< of `there`, what has not expired when the lot takes of it last
};

/// The stock under one card, or under one kit id where the card is not listed, and the rows of the kit that it is for.
struct Shelf {
  std::vector<const plan::KitRow*> rows;
  Pile shared;
  std::map<std::string, Pile> own;       ///< by kit id, what is listed under that beside the card
  bool other_unit = false;               ///< a line is counted in what the kit is not
  std::vector<Remark> expire_meanwhile;  ///< lines that have

  /// By how much the rows want more than is there, by `want` of each; negative: left over.
  double lacks(double Pile::*what, const auto& want) const {
    double lack = -(shared.*what);
    for (const plan::KitRow* row : rows) {
      if (row->kind == "made") continue;  // what is not on the shelf is made by the lot itself
      const auto pile = own.find(row->id);
      lack += std::max(0.0, want(*row) - (pile == own.end() ? 0 : pile->second.*what));
    }
    return lack;
  }
};

/// The day on which the lot takes of these rows last; empty: not known.
std::string last_day_of(const std::vector<const plan::KitRow*>& rows, const Wanted& wanted) {
  std::string last;
  for (const plan::KitRow* row : rows) {
    if (const auto day = wanted.last_day.find(row->id); day != wanted.last_day.end()) last = std::max(last, day->second);
  }
  return last;
}

void put_on(Shelf& shelf, Pile& pile, const std::vector<const plan::KitRow*>& rows, const StockLine& line, double count, const Wanted& wanted, Clearance& c) {
  pile.there += count;
  const std::string last = last_day_of(rows, wanted);
  c.wants_last_days = c.wants_last_days || (!line.expires.empty() && wanted.last_day.empty());
  if (line.expires.empty() || line.expires >= last) pile.good_to_the_end += count;
  else shelf.expire_meanwhile.push_back({Remark::Kind::expires_meanwhile, fmt::format("'{}' of line {} expires on {}, and the plan takes of it until {}", line.id, line.line, line.expires, last), line.line});
}

/// How much of the row a line is; nothing if its unit does not compare.
std::optional<double> in_unit_of(const plan::KitRow& row, const StockLine& line) {
  if (line.unit.empty() || line.unit == (row.unit.empty() ? "pieces" : row.unit)) return line.count;
  return std::nullopt;
}

using Shelves = std::map<std::string, Shelf>;

Shelves shelves_of(const Wanted& wanted, const Stock& stock, Clearance& c) {
  Shelves shelves;
  const auto listed_as = [&](const std::string& id) { return std::any_of(stock.lines.begin(), stock.lines.end(), [&](const StockLine& l) { return l.id == id; }); };
  for (const plan::KitRow& row : wanted.kit) {
    const auto card = wanted.cards.find(row.id);
    const bool by_card = card != wanted.cards.end() && listed_as(card->second);
    if (by_card) shelves[card->second].rows.push_back(&row);
    else if (listed_as(row.id)) shelves[row.id].rows.push_back(&row);
    else if (row.lot > 0 && row.kind != "made") c.unknown.push_back(row.id);
    if (!by_card || card->second == row.id || !listed_as(row.id)) continue;
    c.remarks.push_back({Remark::Kind::both_names, fmt::format("'{}' and its card '{}' are both in the stock list: what they have is added up", row.id, card->second), 0});
  }
  return shelves;
}

/// Where a line is put: the shelf of its id, or the own pile of a row.
struct Spot {
  Shelf* shelf = nullptr;
  Pile* pile = nullptr;
  std::vector<const plan::KitRow*> rows;
};

Spot spot_of(Shelves& shelves, const std::string& id) {
  if (const auto shelf = shelves.find(id); shelf != shelves.end()) return {&shelf->second, &shelf->second.shared, shelf->second.rows};
  for (auto& [key, shelf] : shelves) {
    const auto row = std::find_if(shelf.rows.begin(), shelf.rows.end(), [&](const plan::KitRow* r) { return r->id == id; });
    if (row != shelf.rows.end()) return {&shelf, &shelf.own[id], {*row}};
  }
  return {};
}

/// Fills the shelves; says which lines are for nothing.
void stock_up(Shelves& shelves, const Wanted& wanted, const Stock& stock, Clearance& c) {
  constexpr std::size_t kNamed = 8;
  std::vector<std::string> strangers;
  for (const StockLine& line : stock.lines) {
    const Spot spot = spot_of(shelves, line.id);
    if (spot.shelf == nullptr) {
      if (std::find(strangers.begin(), strangers.end(), line.id) == strangers.end()) strangers.push_back(line.id);
      continue;
    }
    if (!line.expires.empty() && line.expires < wanted.day) {
      c.remarks.push_back({Remark::Kind::expired, fmt::format("'{}' of line {} has expired on {}, before the lot begins: it is not counted", line.id, line.line, line.expires), line.line});
      continue;
    }
    if (!line.expiry_unread.empty()) c.remarks.push_back({Remark::Kind::expiry_not_read, fmt::format("the expiry '{}' of '{}' (line {}) is not read: it is counted as if it were good", line.expiry_unread, line.id, line.line), line.line});
    const plan::KitRow& row = *spot.rows.front();
    if (const auto count = in_unit_of(row, line)) {
      put_on(*spot.shelf, *spot.pile, spot.rows, line, *count, wanted, c);
    } else {
      spot.shelf->other_unit = true;
      c.remarks.push_back({Remark::Kind::other_unit, fmt::format("'{}' of line {} is counted in {} and the kit wants it in {}: it is not judged", line.id, line.line, line.unit, row.unit.empty() ? "pieces" : row.unit), line.line});
    }
  }
  if (strangers.empty()) return;
  const std::size_t more = strangers.size() - std::min(strangers.size(), kNamed);
  strangers.resize(strangers.size() - more);
  c.remarks.push_back({Remark::Kind::stranger, fmt::format("in the stock list and not in this kit: {}{}", listed(strangers), more > 0 ? fmt::format(" and {} more", more) : ""), 0});
}

/// Whole units that the shelf gives, beside what the lot takes however many units it has.
int units_from(const Shelf& shelf, const Wanted& wanted) {
  int units = wanted.lot;
  const auto take = [&](const plan::KitRow& row) { return row.lot - row.per_unit * (wanted.lot - units); };
  while (units > 0 && shelf.lacks(&Pile::there, take) > 1e-9) --units;
  return units;
}

void judge(const Shelf& shelf, const Wanted& wanted, Clearance& c) {
  Shortage s;
  std::vector<std::string> names;
  for (const plan::KitRow* row : shelf.rows) {
    const auto pile = shelf.own.find(row->id);
    c.there[row->id] = shelf.shared.there + (pile == shelf.own.end() ? 0 : pile->second.there);
    if (row->kind == "made") continue;
    s.needed += row->lot + row->spare;
    s.lot += row->lot;
    names.push_back(row->name);
  }
  const auto lot = [](const plan::KitRow& row) { return row.lot; };
  // Who has enough that lasts takes the old first.
  if (shelf.lacks(&Pile::good_to_the_end, lot) > 1e-9 || s.lot <= 0) c.remarks.insert(c.remarks.end(), shelf.expire_meanwhile.begin(), shelf.expire_meanwhile.end());
  if (s.lot <= 0) return;
  c.units = std::min(c.units.value_or(wanted.lot), units_from(shelf, wanted));
  const double lack = shelf.lacks(&Pile::there, [](const plan::KitRow& row) { return row.lot + row.spare; }), of_lot = shelf.lacks(&Pile::there, lot);
  if (lack <= 1e-9) return;
  const plan::KitRow& first = *shelf.rows.front();
  s.id = first.id;
  s.name = listed(names);
  s.there = of_lot > 0 ? s.lot - of_lot : s.needed - lack;
  s.unit = first.unit;
  s.step = first.first_step;
  c.shortages.push_back(std::move(s));
}

}  // namespace

Result<Stock> read_stock(std::string csv, const std::string& file) {
  const auto table = input::read_csv(std::move(csv), file);
  if (!table) return fail(table.error());
  return StockReader(*table).read();
}

Clearance clear_to_build(const Wanted& wanted, const Stock& stock) {
  Clearance c;
  c.remarks = stock.remarks;
  auto shelves = shelves_of(wanted, stock, c);
  stock_up(shelves, wanted, stock, c);
  for (const auto& [id, shelf] : shelves) {
    if (!shelf.other_unit) judge(shelf, wanted, c);
  }
  const auto& steps = wanted.steps;
  const auto place = [&](const std::string& id) { return std::find_if(steps.begin(), steps.end(), [&](const plan::Step& s) { return s.id.text == id; }) - steps.begin(); };
  std::stable_sort(c.shortages.begin(), c.shortages.end(), [&](const Shortage& a, const Shortage& b) { return place(a.step) < place(b.step); });
  return c;
}

std::string text(const plan::Plan& plan, const std::optional<Clearance>& clearance) {
  std::string out = fmt::format("Kit of {} revision {}, lot of {}\n", plan.head.name, plan.head.revision, plan.head.lot);
  out += fmt::format("{:<24} {:<34} {:>9} {:>9} {:>7}  {}\n", "id", "what", "a unit", "the lot", "spare", "first at");
  for (const plan::KitRow& row : plan.kit) {
    const std::string unit = row.unit.empty() ? "" : " " + row.unit;
    out += fmt::format("{:<24} {:<34} {:>9} {:>9} {:>7}  {}\n", row.id, row.name.substr(0, 34), row.per_unit > 0 ? number(row.per_unit, 3) + unit : row.lot > 0 || row.kind == "tool" ? "" : "as needed", row.lot > 0 ? number(row.lot, 2) + unit : "", row.spare > 0 ? number(row.spare, 2) + unit : "", row.first_step);
    if (row.kind == "material" && !row.spec.empty()) out += fmt::format("{:<24} in all {}\n", "", row.spec);
    if (row.kind == "made") out += fmt::format("{:<24} made in this lot at '{}': not to be fetched\n", "", row.first_step);
    if (!row.look_alikes.empty()) out += fmt::format("{:<24} looks like {}: keep it in {}\n", "", listed(row.look_alikes), row.bag);
  }
  if (!clearance) return out;
  if (!clearance->units) out += "\nThe stock list names nothing of this kit: how many units can be built is not known.\n";
  else out += fmt::format("\nFrom this stock{} {} of {} can be built whole.\n", clearance->unknown.empty() ? "" : ", as far as it is listed,", counted(*clearance->units, "unit", "units"), plan.head.lot);
  for (const Shortage& s : clearance->shortages) {
    const std::string unit = s.unit.empty() ? "" : " " + s.unit;
    out += fmt::format("  short: {} ({}): {}{} there, {}{} wanted with spare{}\n", s.name, s.id, number(s.there, 2), unit, number(s.needed, 2), unit, s.step.empty() ? "; no step takes it" : fmt::format("; first needed at '{}'", s.step));
  }
  if (!clearance->unknown.empty()) out += fmt::format("  not in the stock list, so not judged: {}\n", listed(clearance->unknown));
  for (const Remark& remark : clearance->remarks) out += fmt::format("  note: {}\n", remark.text);
  return out;
}

}  // namespace handlot::kit
