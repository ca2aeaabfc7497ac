#include "kit/kit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "input/csv.h"

namespace handlot::kit {

Result<Stock> read_stock(std::string csv, const std::string& file) {
  const auto table = input::read_csv(std::move(csv), file);
  if (!table) return fail(table.error());
  const auto id = table->column({"id", "part", "card", "item"}), count = table->column({"count", "quantity", "qty", "stock"});
  if (!id || !count) {
    return fail(error("stock-columns", {file, 1, 0}, fmt::format("the head has {}, but a column for the id and one for the count are wanted", listed(table->head)), "name them 'id' and 'count'"));
  }
  Stock stock;
  Diagnostics faults;
  for (const input::CsvRow& row : table->rows) {
    const std::string name = *id < row.fields.size() ? row.fields[*id] : "";
    const std::string number = *count < row.fields.size() ? row.fields[*count] : "";
    const auto value = input::csv_number(number);
    if (name.empty() || !value || *value < 0) {
      faults.push_back(error("stock-number", {file, row.line, 0}, fmt::format("'{}' of '{}' is no count", number, name), "write an id and a number that is not negative"));
      continue;
    }
    stock[name] += *value;
  }
  if (!faults.empty()) return fail(std::move(faults));
  return stock;
}

Clearance clear_to_build(std::span<const plan::KitRow> kit, std::span<const plan::Step> steps, int lot, const Stock& stock) {
  Clearance c;
  c.units = lot;
  for (const plan::KitRow& row : kit) {
    if (row.per_unit <= 0) continue;
    const auto found = stock.find(row.id);
    if (found == stock.end()) {
      c.unknown.push_back(row.id);
      continue;
    }
    c.units = std::min(c.units, static_cast<int>(std::floor(found->second / row.per_unit + 1e-9)));
    const double needed = row.lot + row.spare;
    if (found->second + 1e-9 < needed) c.shortages.push_back({row.id, row.name, needed, found->second, row.first_step});
  }
  const auto place = [&](const std::string& id) { return std::find_if(steps.begin(), steps.end(), [&](const plan::Step& s) { return s.id.text == id; }) - steps.begin(); };
  std::stable_sort(c.shortages.begin(), c.shortages.end(), [&](const Shortage& a, const Shortage& b) { return place(a.step) < place(b.step); });
  return c;
}

std::string text(const plan::Plan& plan, const std::optional<Clearance>& clearance) {
  std::string out = fmt::format("Kit of {} revision {}, lot of {}\n", plan.head.name, plan.head.revision, plan.head.lot);
  out += fmt::format("{:<24} {:<34} {:>9} {:>9} {:>7}  {}\n", "id", "what", "a unit", "the lot", "spare", "first at");
  for (const plan::KitRow& row : plan.kit) {
    const std::string unit = row.unit.empty() ? "" : " " + row.unit;
    out += fmt::format("{:<24} {:<34} {:>9} {:>9} {:>7}  {}\n", row.id, row.name.substr(0, 34), row.per_unit > 0 ? number(row.per_unit, 3) + unit : "as needed", row.lot > 0 ? number(row.lot, 2) + unit : "", row.spare > 0 ? number(row.spare, 0) : "", row.first_step);
    if (!row.look_alikes.empty()) out += fmt::format("{:<24} looks like {}: keep it in {}\n", "", listed(row.look_alikes), row.bag);
  }
  if (!clearance) return out;
  out += fmt::format("\nFrom this stock {} of {} can be built whole.\n", counted(clearance->units, "unit", "units"), plan.head.lot);
  for (const Shortage& s : clearance->shortages) {
    out += fmt::format("  short: {} ({}): {} there, {} wanted with spare; first needed at '{}'\n", s.name, s.id, number(s.there, 2), number(s.needed, 2), s.step);
  }
  if (!clearance->unknown.empty()) out += fmt::format("  not in the stock list, so not judged: {}\n", listed(clearance->unknown));
  return out;
}

}  // namespace handlot::kit
