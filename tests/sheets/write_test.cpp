#include <catch2/catch.hpp>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sheets/sample_plan.h"
#include "sheets/svg_text.h"
#include "sheets/text.h"
#include "sheets/timeline.h"
#include "sheets/write.h"

using namespace handlot;
namespace fs = std::filesystem;

namespace {

std::string read(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

fs::path fresh(const std::string& name) {
  const fs::path folder = fs::path(HANDLOT_BUILD) / "sheets_test" / name;
  fs::remove_all(folder);
  return folder;
}

}  // namespace

TEST_CASE("the sheet is written whole, and the same bytes twice", "[sheets]") {
  const auto folder = fresh("whole");
  const auto first = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE(first);
  std::vector<std::string> before;
  for (const auto& path : *first) before.push_back(read(path));
  const auto second = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE(second);
  REQUIRE(*first == *second);
  for (std::size_t i = 0; i < first->size(); ++i) {
    INFO((*first)[i]);
    CHECK_FALSE(before[i].empty());
    CHECK((before[i] == read((*second)[i])));
  }
  for (const auto& entry : fs::directory_iterator(folder)) CHECK(entry.path().extension() != ".new");
}

TEST_CASE("a check of the whole lot stands once, and a station that no step uses is no equipment", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  REQUIRE(plan.head.lot > 1);
  const auto lot_step = std::find_if(plan.work.steps.begin(), plan.work.steps.end(), [](const plan::Step& s) { return s.timing.whole_lot && !s.checks.empty(); });
  REQUIRE(lot_step != plan.work.steps.end());
  lot_step->checks.front().what = "spare boards counted";
  plan.work.resources.push_back({ResourceId("kiln"), "kiln in the yard", plan::Resource::Kind::station, 1, minutes(8), minutes(20), {}, true});
  const auto folder = fresh("lot-checks");
  REQUIRE(sheets::write_sheet(plan, folder.string()));
  const std::string html = read((folder / "sheet.html").string());
  CHECK(html.find("kiln in the yard") == std::string::npos);
  CHECK(html.find("Values of the whole lot") != std::string::npos);
  for (std::size_t at = html.find("Record of each unit: stays"), i = 0; i < 2 && at != std::string::npos; ++i, at = html.find("Record of each unit: stays", at + 1)) {
    const std::size_t end = html.find("Closing the lot", at);
    CHECK(html.substr(at, end - at).find("pare boards counted") == std::string::npos);
  }
}

TEST_CASE("a folder that cannot be made is refused and nothing is left", "[sheets][errors]") {
  const auto folder = fresh("blocked");
  fs::create_directories(folder.parent_path());
  std::ofstream(folder) << "a file stands where the folder should be";
  const auto written = sheets::write_sheet(test::sample_plan(), (folder / "sheet").string());
  REQUIRE_FALSE(written);
  CHECK(written.error().front().code == "cannot-write");
  CHECK_FALSE(written.error().front().mend.empty());
  fs::remove(folder);
}

TEST_CASE("a file that cannot be put in place leaves the old sheet and no half of the new one",
          "[sheets][errors]") {
  const auto folder = fresh("half");
  fs::create_directories(folder / "sheet.html");  // a folder where a file is wanted: the rename fails
  std::ofstream(folder / "sheet.html" / "keep") << "old";
  std::ofstream(folder / "plan.json") << "old plan";
  const auto written = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE_FALSE(written);
  CHECK(written.error().front().code == "cannot-write");
  CHECK(read((folder / "plan.json").string()) == "old plan");
  for (const auto& entry : fs::directory_iterator(folder)) CHECK(entry.path().extension() != ".new");
}

TEST_CASE("a name longer than its column in the time line is broken at words, not inside one", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  const auto maker = std::find_if(plan.work.resources.begin(), plan.work.resources.end(), [](const plan::Resource& r) { return r.kind == plan::Resource::Kind::person; });
  REQUIRE(maker != plan.work.resources.end());
  maker->name = "Hired second hand on Fridays";
  const auto drawings = sheets::timeline(sheets::View(plan));
  REQUIRE_FALSE(drawings.empty());
  const std::string& svg = drawings.front().svg;
  CHECK(svg.find(">Hired second<") != std::string::npos);
  CHECK(svg.find(">hand on Fridays<") != std::string::npos);
  CHECK(svg.find("Hired secon..") == std::string::npos);
}

TEST_CASE("what is shortened ends behind a word", "[sheets]") {
  const double room = sheets::text_width("epoxy of the f..", 8);
  CHECK(sheets::shortened("epoxy of the feet cures", 8, room) == "epoxy of the..");
  CHECK(sheets::shortened("epoxy: of, the feet", 8, sheets::text_width("epoxy: of,..", 8)) == "epoxy: of..");
  CHECK(sheets::shortened("epoxy", 8, room) == "epoxy");
  CHECK(sheets::shortened("Epoxidharzklebstoffe", 8, room) == "Epoxidharzkleb..");
}

TEST_CASE("how good a schedule is, is said of those that leave time to spare where clocks run", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  const std::string of_those = "that leaves time to spare before latest ends";
  const auto said = [&](plan::Schedule::Status status) {
    plan.schedule.status = status;
    return sheets::plan_as_text(plan, {});
  };
  for (plan::Constraint& c : plan.work.constraints) c.max.reset();
  for (const auto status : {plan::Schedule::Status::optimal, plan::Schedule::Status::feasible}) CHECK(said(status).find("time to spare") == std::string::npos);
  plan.work.constraints.front().min = Duration(0);
  plan.work.constraints.front().max = minutes(20);
  for (const auto status : {plan::Schedule::Status::optimal, plan::Schedule::Status::feasible}) {
    std::string text = said(status);
    for (std::size_t at; (at = text.find("\n ")) != std::string::npos;) text.erase(at, 1);  // wrapped lines
    for (std::size_t at; (at = text.find("  ")) != std::string::npos;) text.erase(at, 1);
    CHECK(text.find(of_those) != std::string::npos);
  }
}

namespace {

plan::Operation done(const plan::Plan& plan, std::size_t step, int unit, Instant start, Duration takes) {
  plan::Operation op;
  op.step = plan.work.steps.at(step).id;
  op.first_unit = op.last_unit = unit;
  op.start = start;
  op.hands_end = op.end = start + takes;
  return op;
}

/// Only these operations, and one clock from the end of the first step to the start of the second.
plan::Plan with_clock(std::vector<plan::Operation> operations, Duration min, std::optional<Duration> max) {
  plan::Plan plan = test::sample_plan();
  plan.work.hours.clear();
  plan.schedule.operations = std::move(operations);
  plan::Wait wait;
  wait.from = {plan.work.steps[0].id, plan::Edge::end};
  wait.to = {plan.work.steps[1].id, plan::Edge::start};
  wait.min = min;
  wait.max = max;
  wait.what = "oil soaks in";
  plan.waits = {wait};
  return plan;
}

std::size_t white_bars(const std::string& svg) {
  const std::string bar = R"(fill="#fff" stroke="#000")";
  std::size_t count = 0;
  for (std::size_t at = svg.find(bar); at != std::string::npos; at = svg.find(bar, at + 1)) ++count;
  return count;
}

}  // namespace

TEST_CASE("a clock of each unit rests between the units and over night", "[sheets]") {
  const plan::Plan sample = test::sample_plan();
  const Instant first = sample.schedule.start;
  std::vector<plan::Operation> ops;
  for (int unit = 1; unit <= 4; ++unit) ops.push_back(done(sample, 0, unit, first + minutes(30 * (unit - 1)), minutes(5)));
  ops.push_back(done(sample, 0, 5, first + hours(24), minutes(5)));
  const plan::Plan plan = with_clock(ops, minutes(5), minutes(10));
  const auto drawings = sheets::timeline(sheets::View(plan));
  REQUIRE(drawings.size() == 2);
  CHECK(white_bars(drawings[0].svg) == 4);
  CHECK(white_bars(drawings[1].svg) == 1);
  CHECK(drawings[0].svg.find("l-7") == std::string::npos);  // no arrow: nothing goes on into the night
}

TEST_CASE("a clock with a latest end only is drawn until its step is done", "[sheets]") {
  const plan::Plan sample = test::sample_plan();
  const Instant first = sample.schedule.start;
  const std::vector<plan::Operation> ops{done(sample, 0, 1, first, minutes(30)), done(sample, 1, 1, first + hours(2), minutes(30)), done(sample, 2, 1, first + hours(24), minutes(30))};
  const auto drawings = sheets::timeline(sheets::View(with_clock(ops, Duration(0), hours(96))));
  REQUIRE(drawings.size() == 2);
  CHECK(white_bars(drawings[0].svg) == 1);
  CHECK(white_bars(drawings[1].svg) == 0);
}

TEST_CASE("no label of a clock stands left of the hours", "[sheets]") {
  const plan::Plan sample = test::sample_plan();
  const Instant first = sample.schedule.start;
  // The latest end comes early on the second day, and the bar goes on behind it to the third.
  const std::vector<plan::Operation> ops{done(sample, 0, 1, first, minutes(30)), done(sample, 2, 1, first + hours(24), hours(9)), done(sample, 2, 2, first + hours(48), hours(9))};
  const auto drawings = sheets::timeline(sheets::View(with_clock(ops, hours(72), hours(24))));
  REQUIRE(drawings.size() >= 2);
  const std::string& svg = drawings[1].svg;
  const auto label = svg.find("→");
  REQUIRE(label != std::string::npos);
  const auto x = svg.rfind("x=\"", label);
  REQUIRE(x != std::string::npos);
  CHECK(std::stod(svg.substr(x + 3)) >= 82);
}

namespace {

/// The sheet as a page of a browser.
std::string page_of(const plan::Plan& plan) {
  const auto folder = fresh("page-of");
  REQUIRE(sheets::write_sheet(plan, folder.string()));
  return read((folder / "sheet.html").string());
}

}  // namespace

TEST_CASE("where no unit has a value to write down, one page of rework lines does for the lot", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  for (plan::Step& step : plan.work.steps) {
    if (!step.timing.whole_lot) step.checks.clear();
  }
  const std::string text = page_of(plan);
  CHECK(text.find("copy this page") != std::string::npos);
  CHECK(text.find("Rework of unit 1") == std::string::npos);
}

TEST_CASE("what the lot prints itself stands apart in the kit, and tools stand there too", "[sheets]") {
  plan::Plan plan = test::sample_plan();
  plan.kit.clear();
  for (const char* kind : {"part", "made", "tool"}) {
    plan::KitRow row;
    row.id = row.kind = kind;
    row.name = std::string("the ") + kind;
    row.lot = row.kind == "tool" ? 0 : 6;
    row.first_step = plan.work.steps.front().id.text;
    plan.kit.push_back(row);
  }
  const std::string text = page_of(plan);
  const auto part = text.find("the part"), heading = text.find("Made in this lot"), made = text.find("the made"), tool = text.find("the tool");
  CHECK(part < heading);
  CHECK(heading < made);
  CHECK(made < tool);
  CHECK(tool != std::string::npos);
}
