#include "input/units.h"

#include <catch2/catch.hpp>

using namespace handlot::input;

namespace {
tl::expected<Amount, Fault> read(std::string_view text, Dimension d) { return read_amount(text, d, sensible(d)); }
std::string code(std::string_view text, Dimension d) {
  const auto r = read(text, d);
  return r ? "read" : r.error().code;
}
}  // namespace

TEST_CASE("amounts are read in the units people write", "[input]") {
  CHECK(read("20 min", Dimension::duration)->low == 1200);
  CHECK(read("1 h 30 min", Dimension::duration)->low == 5400);
  CHECK(read("0.12 mm", Dimension::length)->low == Approx(0.12));
  CHECK(read("5 mil", Dimension::length)->low == Approx(0.127));
  CHECK(read("245 degC", Dimension::temperature)->low == 245);
  CHECK(read("440 degF", Dimension::temperature)->low == Approx(226.667).margin(0.001));
  CHECK(read("38 %RH", Dimension::humidity)->low == 38);
  CHECK(read("0.35Nm", Dimension::torque)->low == Approx(0.35));
  const auto range = read("60..120 s", Dimension::time);
  REQUIRE(range);
  CHECK(range->low == 60);
  CHECK(range->high == 120);
  CHECK(range->range);
}

TEST_CASE("an amount that can't be meant is refused with the reason", "[input][errors]") {
  CHECK(code("20", Dimension::duration) == "unit-missing");
  CHECK(code("20 parsecs", Dimension::length) == "unit-unknown");
  CHECK(code("20 mm", Dimension::duration) == "unit-kind");
  CHECK(code("0,12 mm", Dimension::length) == "number-comma");
  CHECK(code("abc", Dimension::length) == "number-bad");
  CHECK(code("", Dimension::length) == "number-bad");
  CHECK(code("-3 mm", Dimension::length) == "number-range");
  CHECK(code("1e300 mm", Dimension::length) == "number-range");
  CHECK(code("nan mm", Dimension::length) == "number-bad");
  CHECK(code("120..60 s", Dimension::time) == "number-range");
  CHECK(code("30 min 1 h", Dimension::duration) == "number-bad");
  CHECK(code("150 %RH", Dimension::humidity) == "number-range");
}

TEST_CASE("what a meter shows keeps its unit and its numbers", "[input]") {
  const auto current = read_measure("40..60 mA");
  REQUIRE(current);
  CHECK(current->amount.low == 40);
  CHECK(current->amount.high == 60);
  CHECK(current->unit == "mA");
  CHECK(read_measure("180..260 mV")->unit == "mV");
  CHECK(read_measure("-0.5..0.5 dB")->amount.low == -0.5);
  CHECK(read_measure("1.2..1.5 mS/cm")->unit == "mS/cm");
  CHECK(read_measure("1..3")->unit.empty());
  CHECK(read_measure("  3 V ")->amount.range == false);
}

TEST_CASE("what is no measure is refused with the reason", "[input][errors]") {
  const auto fault = [](std::string_view text) {
    const auto read = read_measure(text);
    return read ? std::string("read") : read.error().code;
  };
  CHECK(fault("") == "number-bad");
  CHECK(fault("some mA") == "number-bad");
  CHECK(fault("0,4 mA") == "number-comma");
  CHECK(fault("3..1 mm") == "number-range");
  CHECK(fault("1..nan V") == "number-bad");
  CHECK(fault("4 5 mm") == "unit-unknown");
  CHECK(fault("4 mm wide") == "unit-unknown");
  CHECK(fault("4 0123456789abcdefg") == "unit-unknown");
  CHECK(fault("4 abcdefghijklmnopq") == "unit-unknown");
}
