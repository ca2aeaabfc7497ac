#include "kit/expiry.h"
#include "kit/kit.h"

#include <algorithm>
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

namespace {

/// What the list has of an id; -1 where it names it not.
double there(const kit::Stock& stock, const std::string& id) {
  double sum = -1;
  for (const kit::StockLine& l : stock.lines) {
    if (l.id == id) sum = std::max(sum, 0.0) + l.count;
  }
  return sum;
}

kit::Stock stock_of(const std::string& text) {
  auto stock = kit::read_stock(text, "s.csv");
  REQUIRE(stock);
  return *stock;
}

bool remarks(const std::vector<kit::Remark>& all, kit::Remark::Kind kind, const std::string& what) {
  return std::any_of(all.begin(), all.end(), [&](const kit::Remark& r) { return r.kind == kind && r.text.find(what) != std::string::npos; });
}

}  // namespace

TEST_CASE("a stock list is read in the dialects people have", "[kit]") {
  for (const char* text : {"id,count\nlens,4\nfoot,\"1,5\"\n", "ID;Quantity\nlens;4\nfoot;1,5\n", "\xEF\xBB\xBF# shelf\npart\tstock\nlens\t4\nfoot\t1.5\n", "id,count\rlens,4\rfoot,\"1,5\"\r"}) {
    const kit::Stock stock = stock_of(text);
    CHECK(there(stock, "lens") == 4);
    CHECK(there(stock, "foot") == 1.5);
    CHECK(stock.remarks.empty());
  }
}

TEST_CASE("amounts carry their unit, in the cell or in a column of its own", "[kit]") {
  const kit::Stock stock = stock_of("id,count,unit\nlens,4,pcs\npaste,0.5,kg\nglue,50 mg,\noil,200 ml,\nfelt,3 pieces,\nbare,2,\ntape,33 m,\nstrip,300 mm,\n");
  CHECK(there(stock, "paste") == Approx(500));
  CHECK(there(stock, "glue") == Approx(0.05));
  CHECK(there(stock, "oil") == Approx(200));
  CHECK(there(stock, "felt") == 3);
  CHECK(there(stock, "tape") == 33);
  CHECK(there(stock, "strip") == Approx(0.3));
  const std::vector<std::string> units{"pieces", "g", "g", "ml", "pieces", "", "m", "m"};
  for (std::size_t i = 0; i < units.size(); ++i) CHECK(stock.lines[i].unit == units[i]);
}

TEST_CASE("columns that are not read are named, an expiry that is no date is asked about", "[kit]") {
  const kit::Stock stock = stock_of("id,count,pack,expiry\npaste,50,jar,03/04/2027\nglue,5,tube,2027-03-31\nother,5,tube,soon\n");
  CHECK(remarks(stock.remarks, kit::Remark::Kind::not_read, "'pack' is not read"));
  CHECK(stock.remarks.size() == 1);
  CHECK(stock.lines[1].expires == "2027-03-31");
  const std::vector<plan::KitRow> rows{row("paste", 1, 6, 0, "a"), row("glue", 1, 6, 0, "a")};
  const auto c = kit::clear_to_build({rows, {}, {}, 6, "2027-01-11"}, stock);
  CHECK(remarks(c.remarks, kit::Remark::Kind::expiry_not_read, "the expiry '03/04/2027' of 'paste' (line 2)"));
  CHECK_FALSE(remarks(c.remarks, kit::Remark::Kind::expiry_not_read, "glue"));
  CHECK_FALSE(remarks(c.remarks, kit::Remark::Kind::expiry_not_read, "other"));  // not of this kit
}

TEST_CASE("an expiry is read as people write it, where there is one way to read it", "[kit]") {
  for (const char* same : {"2025-12-31", "31.12.2025", "31/12/2025", "12/31/2025", "2025/12/31", "2025-12", "12/2025", "12.2025", "20251231", "31 Dec 2025", "31-DEC-2025", "Dec 31, 2025",
                           "December 2025", "2025-12-31T00:00", "31.12.2025 00:00"}) {
    INFO(same);
    CHECK(kit::day_of(same) == "2025-12-31");
  }
  CHECK(kit::day_of("03.04.2027") == "2027-04-03");
  CHECK(kit::day_of("04/04/2027") == "2027-04-04");
  CHECK(kit::day_of("02/2028") == "2028-02-29");
  for (const char* open : {"03/04/2027", "03-04-2027", "31.12.25", "32.12.2025", "2025-13", "29.02.2027", "soon", "", "2025", "12", "1.2.3.2025"}) {
    INFO(open);
    CHECK(kit::day_of(open).empty());
  }
}

TEST_CASE("what lies under a kit id and under its card adds up", "[kit]") {
  const std::vector<plan::KitRow> rows{row("left-foot", 1, 6, 0, "a"), row("right-foot", 1, 6, 0, "a")};
  const kit::Wanted wanted{rows, {}, {{"left-foot", "foot"}, {"right-foot", "foot"}}, 6, "2027-01-11"};
  const auto judged = [&](const std::string& lines) { return kit::clear_to_build(wanted, stock_of("id,count\n" + lines)); };
  const auto enough = judged("left-foot,2\nfoot,10\n");
  CHECK(enough.units == 6);
  CHECK(enough.shortages.empty());
  CHECK(enough.there.at("left-foot") == 12);
  CHECK(remarks(enough.remarks, kit::Remark::Kind::both_names, "'left-foot' and its card 'foot'"));
  // Many of one are none of the other.
  const auto left_only = judged("left-foot,100\nfoot,2\n");
  CHECK(left_only.units == 2);
  REQUIRE(left_only.shortages.size() == 1);
  CHECK(left_only.shortages[0].there == 8);  // six of the left that the lot takes, and two
  CHECK(judged("left-foot,2\nfoot,9\n").units == 5);
  CHECK(judged("left-foot,6\nright-foot,4\nfoot,1\n").units == 5);
  CHECK(judged("foot,12\n").remarks.empty());
}

TEST_CASE("a comma before three digits is asked about where nothing shows what it is", "[kit][errors]") {
  const auto refused = kit::read_stock("id,count\nscrew,\"1,000\"\npaste,50\n", "s.csv");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().front().code == "csv-thousands");
  CHECK(refused.error().front().place.line == 2);
  CHECK_FALSE(kit::read_stock("id\tcount\nscrew\t1,500\n", "s.csv"));
  // Another number of the table, its delimiter, or the number itself settles it.
  CHECK(there(stock_of("id,count\nfelt,\"1,125\"\nglue,\"2,5\"\n"), "felt") == 1.125);
  CHECK(there(stock_of("id;count\nfelt;1,125\n"), "felt") == 1.125);
  CHECK(there(stock_of("id,count\nfelt,\"0,125\"\n"), "felt") == 0.125);
  CHECK(there(stock_of("id,count\nscrew,1000\nlens,1 000\n"), "lens") == 1000);
}

TEST_CASE("a stock list that can't be read says where", "[kit][errors]") {
  const auto code = [](const std::string& text) {
    const auto stock = kit::read_stock(text, "s.csv");
    return stock ? std::string("read") : stock.error().front().code + " " + std::to_string(stock.error().front().place.line);
  };
  CHECK(code("name,price\na,1\n") == "stock-columns 1");
  CHECK(code("id,count\na,1\nb,many\n") == "stock-number 3");
  CHECK(code("id,count\na,-1\n") == "stock-number 2");
  CHECK(code("id,count,unit\na,1,box of 100\n") == "stock-unit 2");
  CHECK(code("id,count\na,2 boxes\n") == "stock-unit 2");
  CHECK(code("id,count\n\"a,1\n") == "csv-quote 2");
  CHECK(code("id,count\na,1,2\n") == "csv-ragged 2");
  CHECK(code("") == "csv-empty 0");
}

TEST_CASE("units that can be built, and the step that each shortage stops", "[kit]") {
  std::vector<plan::Step> steps(2);
  steps[0].id = StepId("first");
  steps[1].id = StepId("second");
  const std::vector<plan::KitRow> rows{row("screw", 4, 24, 2, "second"), row("lens", 1, 6, 1, "first"), row("glue", 0, 0, 0, "second"), row("felt", 1, 6, 0, "second")};
  const auto c = kit::clear_to_build({rows, steps, {}, 6, "2027-01-11"}, stock_of("id,count\nscrew,18\nlens,6\n"));
  CHECK(c.units == 4);  // 18 screws make 4 units
  REQUIRE(c.shortages.size() == 2);
  CHECK(c.shortages[0].id == "lens");  // one spare short, and needed first
  CHECK(c.shortages[1].id == "screw");
  CHECK(c.unknown == std::vector<std::string>{"felt"});
}

TEST_CASE("a list that names nothing of the kit judges nothing", "[kit]") {
  const std::vector<plan::KitRow> rows{row("lens", 1, 6, 1, "first")};
  const kit::Wanted wanted{rows, {}, {}, 6, "2027-01-11"};
  for (const char* text : {"id,count\n", "id,count\nLENS-2,9\nscrew,9\n"}) {
    const auto c = kit::clear_to_build(wanted, stock_of(text));
    CHECK_FALSE(c.units.has_value());
    CHECK(c.unknown == std::vector<std::string>{"lens"});
    plan::Plan plan;
    plan.head.lot = 6;
    plan.kit = rows;
    CHECK(kit::text(plan, c).find("names nothing of this kit") != std::string::npos);
  }
  CHECK(remarks(kit::clear_to_build(wanted, stock_of("id,count\nlens,7\nscrew,9\n")).remarks, kit::Remark::Kind::stranger, "not in this kit: screw"));
  CHECK(kit::clear_to_build(wanted, stock_of("id,count\nlens,7\n")).remarks.empty());
}

TEST_CASE("stock by card is shared by the parts of that card", "[kit]") {
  const std::vector<plan::KitRow> rows{row("left-foot", 1, 6, 0, "a"), row("right-foot", 1, 6, 0, "a"), row("lens", 1, 6, 0, "a")};
  const kit::Wanted wanted{rows, {}, {{"left-foot", "foot"}, {"right-foot", "foot"}, {"lens", "lens-4mm"}}, 6, "2027-01-11"};
  const auto c = kit::clear_to_build(wanted, stock_of("card,count\nfoot,9\nlens-4mm,6\n"));
  CHECK(c.units == 4);
  REQUIRE(c.shortages.size() == 1);
  CHECK(c.shortages[0].name == "left-foot and right-foot");
  CHECK(c.shortages[0].needed == 12);
  CHECK(c.there.at("lens") == 6);
  CHECK(c.unknown.empty());
}

TEST_CASE("what has expired is not there, what is counted otherwise is not judged", "[kit]") {
  std::vector<plan::KitRow> rows{row("paste", 2, 12, 0, "a"), row("glue", 1, 6, 0, "a")};
  for (plan::KitRow& r : rows) r.unit = "g";
  const kit::Wanted wanted{rows, {}, {}, 6, "2027-01-11"};
  const auto old = kit::clear_to_build(wanted, stock_of("id,count,expiry\npaste,50 g,2027-01-10\npaste,4 g,2027-01-11\nglue,9 g,\n"));
  CHECK(old.units == 2);  // 4 g are good to the end of the day
  CHECK(remarks(old.remarks, kit::Remark::Kind::expired, "line 2 has expired on 2027-01-10"));
  const auto jars = kit::clear_to_build(wanted, stock_of("id,count\npaste,1 pcs\nglue,9 g\n"));
  CHECK(jars.units == 6);
  CHECK(remarks(jars.remarks, kit::Remark::Kind::other_unit, "'paste' of line 2 is counted in pieces"));
}

TEST_CASE("what expires before the lot takes of it last is told of, unless there is enough that lasts", "[kit]") {
  std::vector<plan::KitRow> rows{row("paste", 2, 12, 0, "a")};
  rows.front().unit = "g";
  const auto judged = [&](const std::string& lines, const std::string& last) {
    kit::Wanted wanted{rows, {}, {}, 6, "2027-01-11"};
    if (!last.empty()) wanted.last_day["paste"] = last;
    return kit::clear_to_build(wanted, stock_of("id,count,expiry\n" + lines));
  };
  const auto says = [&](const std::string& lines, const std::string& last) { return remarks(judged(lines, last).remarks, kit::Remark::Kind::expires_meanwhile, "'paste' of line 2 expires on 2027-01-15"); };
  CHECK(says("paste,50 g,2027-01-15\n", "2027-01-16"));
  CHECK_FALSE(says("paste,50 g,2027-01-15\n", "2027-01-15"));  // good to the end of the day
  CHECK_FALSE(says("paste,50 g,2027-01-15\npaste,12 g,2027-06-30\n", "2027-01-16"));
  CHECK(says("paste,50 g,2027-01-15\npaste,11 g,2027-06-30\n", "2027-01-16"));
  CHECK_FALSE(says("paste,50 g,2027-01-15\n", ""));
  CHECK(judged("paste,50 g,2027-01-15\n", "").wants_last_days);
  CHECK_FALSE(judged("paste,50 g,\n", "").wants_last_days);
}

TEST_CASE("a point before three digits is asked about where it may group them", "[kit][errors]") {
  for (const char* text : {"id,count\nscrew,1.000\n", "id,count\nscrew,1.000 pcs\n", "id,count,unit\nscrew,1.250,pcs\n", "id;count\nglue;1.250 g\n"}) {
    INFO(text);
    const auto refused = kit::read_stock(text, "s.csv");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().front().code == "csv-thousands");
  }
  CHECK(there(stock_of("id,count\nglue,1.250 g\n"), "glue") == 1.25);
  CHECK(there(stock_of("id,count\nglue,12.125\n"), "glue") == 12.125);
  CHECK(there(stock_of("id;count\nglue;0.125 g\n"), "glue") == 0.125);
  CHECK(there(stock_of("id,count\nscrew,1000\n"), "screw") == 1000);
}

TEST_CASE("a part that no step takes is short at no step", "[kit]") {
  const std::vector<plan::KitRow> rows{row("spare-knob", 1, 6, 0, "")};
  plan::Plan plan;
  plan.kit = rows;
  const std::string text = kit::text(plan, kit::clear_to_build({rows, {}, {}, 6, ""}, stock_of("id,count\nspare-knob,2\n")));
  CHECK(text.find("wanted with spare; no step takes it") != std::string::npos);
}

TEST_CASE("what the lot takes once is not taken by each unit", "[kit]") {
  std::vector<plan::KitRow> rows{row("bath", 0, 200, 0, "a"), row("wipe", 5, 230, 0, "a")};  // 200 g once, 5 g a unit of 6
  const auto units = [&](const std::string& bath, const std::string& wipe) { return kit::clear_to_build({rows, {}, {}, 6, ""}, stock_of("id,count\nbath," + bath + "\nwipe," + wipe + "\n")).units; };
  CHECK(units("250", "230") == 6);
  CHECK(units("199", "230") == 0);
  CHECK(units("200", "215") == 3);
}

TEST_CASE("what the lot makes itself is neither short nor asked of the stock list", "[kit]") {
  std::vector<plan::KitRow> rows{row("lens", 1, 6, 0, "a"), row("housing", 1, 6, 0, "a"), row("lid", 1, 6, 0, "a"), row("iron", 0, 0, 0, "a")};
  rows[1].kind = rows[2].kind = "made";
  rows[3].kind = "tool";
  const kit::Wanted wanted{rows, {}, {}, 6, "2027-01-11"};
  const auto c = kit::clear_to_build(wanted, stock_of("id,count\nlens,6\nhousing,1\n"));
  CHECK(c.units == 6);
  CHECK(c.shortages.empty());
  CHECK(c.unknown.empty());
  CHECK(c.there.at("housing") == 1);
}
