#include "kit/kit.h"

#include <catch2/catch.hpp>

using namespace handlot;

namespace {
plan::KitRow row(const std::string& id, double per_unit, double lot, double spare, const std::string& step) {
  plan::KitRow r;
  r.id = id;
  r.name = id;
  r.per_unit = per_unit;
  r.lot = lot;
  r.spare = spare;
  r.first_step = step;
  return r;
}
}  // namespace

TEST_CASE("a stock list is read in the dialects people have", "[kit]") {
  for (const char* text : {"id,count\nlens,4\nfoot,\"1,5\"\n", "ID;Quantity\nlens;4\nfoot;1,5\n", "\xEF\xBB\xBF# shelf\npart\tstock\nlens\t4\nfoot\t1.5\n"}) {
    const auto stock = kit::read_stock(text, "s.csv");
    REQUIRE(stock);
    CHECK(stock->at("lens") == 4);
    CHECK(stock->at("foot") == 1.5);
  }
}

TEST_CASE("a stock list that can't be read says where", "[kit][errors]") {
  const auto code = [](const std::string& text) {
    const auto stock = kit::read_stock(text, "s.csv");
    return stock ? std::string("read") : stock.error().front().code + " " + std::to_string(stock.error().front().place.line);
  };
  CHECK(code("name,price\na,1\n") == "stock-columns 1");
  CHECK(code("id,count\na,1\nb,many\n") == "stock-number 3");
  CHECK(code("id,count\na,-1\n") == "stock-number 2");
  CHECK(code("id,count\n\"a,1\n") == "csv-quote 2");
  CHECK(code("id,count\na,1,2\n") == "csv-ragged 2");
  CHECK(code("") == "file-empty 0");
}

TEST_CASE("units that can be built, and the step that each shortage stops", "[kit]") {
  std::vector<plan::Step> steps(2);
  steps[0].id = StepId("first");
  steps[1].id = StepId("second");
  const std::vector<plan::KitRow> rows{row("screw", 4, 24, 2, "second"), row("lens", 1, 6, 1, "first"), row("glue", 0, 0, 0, "second"), row("felt", 1, 6, 0, "second")};
  const auto c = kit::clear_to_build(rows, steps, 6, {{"screw", 18}, {"lens", 6}});
  CHECK(c.units == 4);  // 18 screws make 4 units
  REQUIRE(c.shortages.size() == 2);
  CHECK(c.shortages[0].id == "lens");  // one spare short, and needed first
  CHECK(c.shortages[1].id == "screw");
  CHECK(c.unknown == std::vector<std::string>{"felt"});
}
