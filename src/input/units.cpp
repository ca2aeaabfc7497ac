#include "input/units.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <vector>

#include "core/text.h"

namespace handlot::input {

namespace {

struct Unit {
  Dimension dimension;
  std::string_view name;
  double factor;
  double offset = 0;  // canonical = written * factor + offset
};

// The first unit of a dimension is its canonical one.
constexpr std::array kUnits{
    Unit{Dimension::length, "mm", 1},
    Unit{Dimension::length, "um", 1e-3},
    Unit{Dimension::length, "cm", 10},
    Unit{Dimension::length, "m", 1000},
    Unit{Dimension::length, "in", 25.4},
    Unit{Dimension::length, "mil", 0.0254},
    Unit{Dimension::area, "mm2", 1},
    Unit{Dimension::area, "cm2", 100},
    Unit{Dimension::volume, "mm3", 1},
    Unit{Dimension::volume, "ml", 1000},
    Unit{Dimension::volume, "l", 1e6},
    Unit{Dimension::room_volume, "m3", 1},
    Unit{Dimension::room_volume, "l", 1e-3},
    Unit{Dimension::mass, "g", 1},
    Unit{Dimension::mass, "mg", 1e-3},
    Unit{Dimension::mass, "kg", 1000},
    Unit{Dimension::density, "g/cm3", 1},
    Unit{Dimension::density, "kg/m3", 1e-3},
    Unit{Dimension::duration, "s", 1},
    Unit{Dimension::duration, "min", 60},
    Unit{Dimension::duration, "h", 3600},
    Unit{Dimension::duration, "d", 86400},
    Unit{Dimension::time, "s", 1},
    Unit{Dimension::time, "min", 60},
    Unit{Dimension::time, "h", 3600},
    Unit{Dimension::time, "d", 86400},
    Unit{Dimension::temperature, "degC", 1},
    Unit{Dimension::temperature, "degF", 5.0 / 9, -160.0 / 9},
    Unit{Dimension::difference, "K", 1},
    Unit{Dimension::ramp, "K/s", 1},
    Unit{Dimension::ramp, "degC/s", 1},
    Unit{Dimension::force, "N", 1},
    Unit{Dimension::force, "kN", 1000},
    Unit{Dimension::stress, "MPa", 1},
    Unit{Dimension::stress, "GPa", 1000},
    Unit{Dimension::stress, "psi", 0.00689476},
    Unit{Dimension::torque, "Nm", 1},
    Unit{Dimension::torque, "N.m", 1},
    Unit{Dimension::torque, "N.cm", 0.01},
    Unit{Dimension::humidity, "%RH", 1},
    Unit{Dimension::percent, "%", 1},
    Unit{Dimension::vapour, "ppm", 1},
    Unit{Dimension::concentration, "mg/m3", 1},
    Unit{Dimension::air_changes, "/h", 1},
    Unit{Dimension::activation, "kJ/mol", 1},
    Unit{Dimension::power, "W", 1},
    Unit{Dimension::power, "kW", 1000},
    Unit{Dimension::voltage, "V", 1},
    Unit{Dimension::voltage, "mV", 1e-3},
    Unit{Dimension::angle, "deg", 1},
    Unit{Dimension::pressure, "kPa", 1},
    Unit{Dimension::pressure, "bar", 100},
    Unit{Dimension::expansion, "1e-6/K", 1},
    Unit{Dimension::viscosity, "mPa.s", 1},
    Unit{Dimension::price, "EUR", 1},
    Unit{Dimension::price, "USD", 1},
    Unit{Dimension::price, "GBP", 1},
    Unit{Dimension::molar_mass, "g/mol", 1},
    Unit{Dimension::resistance, "ohm", 1},
    Unit{Dimension::resistance, "kohm", 1000},
    Unit{Dimension::count, "", 1},
    Unit{Dimension::ratio, "", 1},
};

struct DimensionRow {
  Dimension dimension;
  std::string_view word;
  Range range;
};

constexpr double kYear = 366.0 * 86400;
constexpr std::array kDimensions{
    DimensionRow{Dimension::length, "a length", {0, 10000}},
    DimensionRow{Dimension::area, "an area", {0, 1e7}},
    DimensionRow{Dimension::volume, "a volume", {0, 1e9}},
    DimensionRow{Dimension::room_volume, "a volume of air", {0, 10000}},
    DimensionRow{Dimension::mass, "a mass", {0, 1e6}},
    DimensionRow{Dimension::density, "a density", {0.001, 25}},
    DimensionRow{Dimension::duration, "a duration", {0, 5 * kYear}},
    DimensionRow{Dimension::time, "a time", {0, 5 * kYear}},
    DimensionRow{Dimension::temperature, "a temperature", {-80, 1200}},
    DimensionRow{Dimension::difference, "a temperature difference", {0, 1200}},
    DimensionRow{Dimension::ramp, "a rate of heating", {-100, 100}},
    DimensionRow{Dimension::force, "a force", {0, 1e5}},
    DimensionRow{Dimension::stress, "a stress", {0, 1e6}},
    DimensionRow{Dimension::torque, "a torque", {0, 1000}},
    DimensionRow{Dimension::humidity, "a relative humidity", {0, 100}},
    DimensionRow{Dimension::percent, "a percentage", {0, 100}},
    DimensionRow{Dimension::vapour, "a share of vapour in air", {0, 1e6}},
    DimensionRow{Dimension::concentration, "a concentration in air", {0, 1e6}},
    DimensionRow{Dimension::air_changes, "a number of air changes", {0, 100}},
    DimensionRow{Dimension::activation, "an activation energy", {0, 500}},
    DimensionRow{Dimension::power, "a power", {0, 20000}},
    DimensionRow{Dimension::voltage, "a voltage", {-1000, 1000}},
    DimensionRow{Dimension::angle, "an angle", {-720, 720}},
    DimensionRow{Dimension::pressure, "a pressure", {0, 1e5}},
    DimensionRow{Dimension::expansion, "a thermal expansion", {-10, 1000}},
    DimensionRow{Dimension::viscosity, "a viscosity", {0, 1e8}},
    DimensionRow{Dimension::price, "a price", {0, 1e6}},
    DimensionRow{Dimension::molar_mass, "a molar mass", {1, 10000}},
    DimensionRow{Dimension::resistance, "a resistance", {0, 1e9}},
    DimensionRow{Dimension::count, "a number", {0, 1e6}},
    DimensionRow{Dimension::ratio, "a number", {-1e6, 1e6}},
};

const DimensionRow& row(Dimension dimension) {
  for (const DimensionRow& r : kDimensions) {
    if (r.dimension == dimension) return r;
  }
  return kDimensions.back();
}

std::string units_of(Dimension dimension) {
  std::vector<std::string> names;
  for (const Unit& u : kUnits) {
    if (u.dimension == dimension) names.emplace_back(u.name);
  }
  return listed(names);
}

std::string_view trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
}

/// Takes a number off the front of `rest`.
std::optional<double> take_number(std::string_view& rest) {
  rest = trimmed(rest);
  double value = 0;
  const char* begin = rest.data();
  if (!rest.empty() && *begin == '+') ++begin;
  const auto [end, code] = std::from_chars(begin, rest.data() + rest.size(), value, std::chars_format::general);
  if (code != std::errc() || !std::isfinite(value)) return std::nullopt;
  std::size_t used = static_cast<std::size_t>(end - rest.data());
  if (used > 1 && rest[used - 1] == '.' && used < rest.size() && rest[used] == '.') --used;  // "60..120"
  rest.remove_prefix(used);
  return value;
}

std::string_view take_unit(std::string_view& rest) {
  rest = trimmed(rest);
  std::size_t end = 0;
  while (end < rest.size() && rest[end] != ' ' && rest[end] != '\t') ++end;
  const std::string_view unit = rest.substr(0, end);
  rest.remove_prefix(end);
  return unit;
}

Fault number_fault(std::string_view text, Dimension dimension) {
  const std::string unit(canonical_unit(dimension));
  if (text.find(',') != std::string_view::npos) {
    std::string dotted(text);
    for (char& c : dotted) c = c == ',' ? '.' : c;
    return {"number-comma", fmt::format("'{}' has a decimal comma", text), fmt::format("write '{}'", dotted)};
  }
  return {"number-bad", fmt::format("'{}' is not {}", text, word(dimension)),
          unit.empty() ? std::string("write a number") : fmt::format("write a number and a unit, as in \"3 {}\"", unit)};
}

tl::expected<const Unit*, Fault> find_unit(std::string_view name, std::string_view text, Dimension dimension) {
  const Unit* other = nullptr;
  for (const Unit& unit : kUnits) {
    if (unit.name != name) continue;
    if (unit.dimension == dimension) return &unit;
    other = &unit;
  }
  if (name.empty()) {
    return tl::unexpected(Fault{"unit-missing", fmt::format("'{}' has no unit", text),
                                fmt::format("write a unit behind the number: {}", units_of(dimension))});
  }
  const std::string fit = units_of(dimension);
  const std::string mend = fit.empty() ? "write the number without a unit" : fmt::format("write it in {}", fit);
  if (other != nullptr) {
    return tl::unexpected(
        Fault{"unit-kind", fmt::format("'{}' is {}, but {} is wanted", text, word(other->dimension), word(dimension)), mend});
  }
  return tl::unexpected(Fault{"unit-unknown", fmt::format("'{}' is no unit that is known here", name), mend});
}

/// Takes "60..120" or "60" off the front of `rest`.
tl::expected<Amount, Fault> take_numbers(std::string_view& rest, std::string_view whole, Dimension dimension) {
  if (rest.size() > 100) return tl::unexpected(Fault{"number-bad", "the amount is longer than 100 characters", "shorten it"});
  Amount amount;
  const auto low = take_number(rest);
  if (!low || (!rest.empty() && rest.front() == ',')) return tl::unexpected(number_fault(whole, dimension));
  amount.low = amount.high = *low;
  if (!rest.starts_with("..")) return amount;
  rest.remove_prefix(2);
  const auto high = take_number(rest);
  if (!high) return tl::unexpected(number_fault(whole, dimension));
  amount.high = *high;
  amount.range = true;
  return amount;
}

Fault from_high_to_low(std::string_view whole) {
  return {"number-range", fmt::format("'{}' runs from high to low", whole), "write the smaller number first"};
}

bool may_be_compound(Dimension dimension) { return dimension == Dimension::duration || dimension == Dimension::time; }

std::string in_unit(double canonical, Dimension dimension) {
  if (may_be_compound(dimension)) return in_words(Duration(static_cast<std::int64_t>(canonical)));
  const std::string unit(canonical_unit(dimension));
  return number(canonical, 4) + (unit.empty() ? "" : " " + unit);
}

}  // namespace

Range sensible(Dimension dimension) { return row(dimension).range; }
std::string_view word(Dimension dimension) { return row(dimension).word; }

std::string_view canonical_unit(Dimension dimension) {
  for (const Unit& unit : kUnits) {
    if (unit.dimension == dimension) return unit.name;
  }
  return {};
}

tl::expected<Amount, Fault> read_amount(std::string_view text, Dimension dimension, Range range) {
  const std::string_view whole = trimmed(text);
  std::string_view rest = whole;
  const auto numbers = take_numbers(rest, whole, dimension);
  if (!numbers) return numbers;
  Amount amount = *numbers;
  const auto unit = find_unit(take_unit(rest), whole, dimension);
  if (!unit) return tl::unexpected(unit.error());
  amount.low = amount.low * (*unit)->factor + (*unit)->offset;
  amount.high = amount.high * (*unit)->factor + (*unit)->offset;
  double last_factor = (*unit)->factor;
  while (!trimmed(rest).empty()) {
    const auto more = may_be_compound(dimension) && !amount.range ? take_number(rest) : std::nullopt;
    if (!more) return tl::unexpected(number_fault(whole, dimension));
    const auto smaller = find_unit(take_unit(rest), whole, dimension);
    if (!smaller) return tl::unexpected(smaller.error());
    if ((*smaller)->factor >= last_factor) return tl::unexpected(number_fault(whole, dimension));
    last_factor = (*smaller)->factor;
    amount.low += *more * last_factor;
    amount.high = amount.low;
  }
  if (amount.low > amount.high) return tl::unexpected(from_high_to_low(whole));
  if (amount.low < range.low || amount.high > range.high) {
    return tl::unexpected(Fault{"number-range",
                                fmt::format("'{}' is outside {} to {}", whole, in_unit(range.low, dimension),
                                            in_unit(range.high, dimension)),
                                "check the number and its unit"});
  }
  return amount;
}

tl::expected<Measure, Fault> read_measure(std::string_view text) {
  constexpr std::size_t kLongest = 16;
  const std::string_view whole = trimmed(text);
  std::string_view rest = whole;
  const auto numbers = take_numbers(rest, whole, Dimension::ratio);
  if (!numbers) return tl::unexpected(numbers.error());
  const std::string_view unit = take_unit(rest);
  const bool a_word = unit.size() <= kLongest && (unit.empty() || std::string_view("0123456789.,+-;:").find(unit.front()) == std::string_view::npos);
  if (!a_word || !trimmed(rest).empty()) {
    return tl::unexpected(Fault{"unit-unknown", fmt::format("'{}' has no unit of one word behind its numbers", whole), "write a range and a unit, as in \"0.2..0.4 mm\""});
  }
  if (numbers->low > numbers->high) return tl::unexpected(from_high_to_low(whole));
  return Measure{*numbers, std::string(unit)};
}

}  // namespace handlot::input
