#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "kit/kit.h"
#include "pipeline/make_plan.h"
#include "pipeline/stock.h"
#include "small_job.h"
#include "support/folder.h"

using namespace handlot;
using namespace handlot::pipeline;

namespace {

Outcome made(int units, const std::string& uses, const std::string& marks = "") {
  auto outcome = make_plan(small_job::request("pieces", units,
                                              "<device><part id='post' card='standoff-m3x10'/></device><steps>"
                                              "<step id='tie' process='fit' title='Tie the cables' on='post' run='2 min'" + marks + ">" + uses + "</step></steps>"));
  REQUIRE(outcome);
  return std::move(*outcome);
}

plan::KitRow row_of(const plan::Plan& plan, const std::string& id) {
  const auto row = std::find_if(plan.kit.begin(), plan.kit.end(), [&](const plan::KitRow& r) { return r.id == id; });
  REQUIRE(row != plan.kit.end());
  return *row;
}

plan::StepMaterial told(const plan::Plan& plan) {
  REQUIRE(plan.work.steps.size() == 1);
  REQUIRE(plan.work.steps.front().materials.size() == 1);
  return plan.work.steps.front().materials.front();
}

}  // namespace

TEST_CASE("pieces are counted a unit and for the lot, with the spare of their card", "[pipeline]") {
  const auto outcome = made(25, "<uses material='label-serial' count='4'/>");
  const plan::KitRow row = row_of(outcome.plan, "label-serial");
  CHECK(row.unit.empty());
  CHECK(row.per_unit == 4);
  CHECK(row.lot == 100);
  CHECK(row.spare == 10);  // 10 % on its card
  CHECK(told(outcome.plan).amount_unit == "4 pieces");
  CHECK(told(outcome.plan).amount_lot == "100 pieces");
}

TEST_CASE("what is cut off a roll is told in pieces and bought by the metre", "[pipeline]") {
  const auto outcome = made(25, "<uses material='tape-acrylic' count='4' length='60 mm'/>");
  const plan::KitRow row = row_of(outcome.plan, "tape-acrylic");
  CHECK(row.unit == "m");
  CHECK(row.per_unit == Approx(0.24));
  CHECK(row.lot == Approx(6));
  CHECK(row.spec == "100 pieces of 60 mm");
  CHECK(told(outcome.plan).amount_unit == "4 × 60 mm");
  CHECK(told(outcome.plan).amount_lot == "100 × 60 mm");
  CHECK(kit::text(outcome.plan, std::nullopt).find("in all 100 pieces of 60 mm") != std::string::npos);
}

TEST_CASE("strips of two lengths add up, and the spare is of the longer", "[pipeline]") {
  const auto outcome = made(10, "<uses material='label-serial' count='2' length='60 mm'/><uses material='label-serial' length='250 mm'/>");
  const plan::KitRow row = row_of(outcome.plan, "label-serial");
  CHECK(row.lot == Approx(3.7));
  CHECK(row.spec == "20 pieces of 60 mm and 10 pieces of 250 mm");
  CHECK(row.spare == Approx(3 * 0.25));
}

TEST_CASE("an amount beside a count is of one piece", "[pipeline]") {
  const auto outcome = made(5, "<uses material='isopropanol' count='3' amount='0.5 g'/>");
  CHECK(row_of(outcome.plan, "isopropanol").per_unit == Approx(1.5));
  CHECK(row_of(outcome.plan, "isopropanol").lot == Approx(7.5));
  CHECK(told(outcome.plan).amount_unit == "3 × 500 mg");
  CHECK(told(outcome.plan).amount_lot == "7.5 g");
}

TEST_CASE("pieces of a step for the whole lot are those of the lot", "[pipeline]") {
  const auto outcome = made(25, "<uses material='label-serial' count='3'/>", " whole-lot='yes'");
  const plan::KitRow row = row_of(outcome.plan, "label-serial");
  CHECK(row.per_unit == 0);
  CHECK(row.lot == 3);
  CHECK(told(outcome.plan).amount_unit.empty());
  CHECK(told(outcome.plan).amount_lot == "3 pieces");
}

TEST_CASE("stock of pieces is held against all that the lot takes, until the day it takes the last", "[pipeline]") {
  const Folder folder;
  const auto cleared = [&](const std::string& line, const std::string& uses, const std::string& marks = "") {
    std::ofstream(folder.path / "shelf.csv") << "id,count,expiry\npost,99,\n" << line << "\n";
    const auto outcome = made(25, uses, marks);
    const auto clearance = clearance_of(outcome.job, outcome.plan, (folder.path / "shelf.csv").string());
    REQUIRE(clearance);
    return *clearance;
  };
  const std::string labels = "<uses material='label-serial' count='4'/>", strips = "<uses material='tape-acrylic' count='4' length='60 mm'/>";
  CHECK(cleared("label-serial,110,", labels).shortages.empty());
  CHECK(cleared("label-serial,90 pcs,", labels).units == 22);
  CHECK(cleared("label-serial,90,", labels).shortages.front().needed == 110);
  CHECK(cleared("tape-acrylic,5 m,", strips).units == 20);
  CHECK(cleared("tape-acrylic,100 pcs,", strips).remarks.front().kind == kit::Remark::Kind::other_unit);
  CHECK(cleared("label-serial,110,2026-11-30", labels).remarks.front().kind == kit::Remark::Kind::expired);
  CHECK(cleared("tape-acrylic,33 m,2026-12-01", strips).remarks.empty());
  const auto late = cleared("tape-acrylic,33 m,2026-12-01", strips, " setup='8 h'");  // the strips are cut on the second day
  REQUIRE(late.remarks.size() == 1);
  CHECK(late.remarks.front().kind == kit::Remark::Kind::expires_meanwhile);
}

TEST_CASE("what is mixed at once is counted in whole cups", "[pipeline]") {
  const auto outcome = made(2, "<uses material='epoxy-slow' amount='0.4 g' mixed-at-once='10 g'/>");
  CHECK(row_of(outcome.plan, "epoxy-slow").lot == Approx(10));
  CHECK(told(outcome.plan).amount_lot == "10 g");
}

TEST_CASE("a cup that the lot uses up whole changes nothing", "[pipeline]") {
  const auto outcome = made(25, "<uses material='epoxy-slow' amount='0.4 g' mixed-at-once='5 g'/>");
  CHECK(row_of(outcome.plan, "epoxy-slow").lot == Approx(10));
  CHECK(told(outcome.plan).amount_lot == "10 g");
}

TEST_CASE("each sub-batch that comes too late for a cup mixes its own", "[pipeline]") {
  // One unit after the other, 2 min each: a cup serves those that are done within its pot life.
  const auto outcome = made(6, "<uses material='epoxy-5min' amount='0.4 g' mixed-at-once='10 g'/>", " batch='1'");
  const Duration life = outcome.cards.find(CardId("epoxy-5min"))->get<Duration>("pot-life")->high;
  const int of_one = static_cast<int>(life.seconds / minutes(2).seconds), cups = (6 + of_one - 1) / of_one;
  REQUIRE(cups > 1);
  CHECK(row_of(outcome.plan, "epoxy-5min").lot == Approx(10 * cups));
  CHECK(told(outcome.plan).amount_lot == std::to_string(cups) + " × 10 g");
}

TEST_CASE("without a schedule as few cups are counted as clamps and batches let be", "[pipeline]") {
  auto request = small_job::request("pieces", 25,
                                    "<device><part id='post' card='standoff-m3x10'/></device><steps><step id='tie' process='fit' title='Glue' on='post' run='2 min' batch='1..6'>"
                                    "<uses material='epoxy-slow' amount='0.4 g' mixed-at-once='10 g'/></step></steps>");
  request.want_schedule = false;
  const auto outcome = make_plan(request);
  REQUIRE(outcome);
  CHECK(row_of(outcome->plan, "epoxy-slow").lot == Approx(50));
}
