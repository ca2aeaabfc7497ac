#include <algorithm>
#include <catch2/catch.hpp>

#include <fmt/format.h>

#include "pipeline/make_plan.h"
#include "small_job.h"

using namespace handlot;
using namespace handlot::pipeline;

TEST_CASE("while the oil of one unit soaks, the other units are oiled", "[pipeline]") {
  const auto waits_for = [](int units) {
    const auto outcome = make_plan(small_job::request("waits", units,
                                                      "<device><part id='box' card='t-walnut'/></device><steps>"
                                                      "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='danish-oil' amount='8 g'/></step>"
                                                      "<step id='wipe' process='wipe-off' title='Wipe' on='box' run='2 min'/>"
                                                      "</steps>"));
    REQUIRE(outcome);
    return outcome->plan.waits;
  };
  const auto soaking = [](const plan::Wait& w) { return w.from.step.text == "oil" && w.to.step.text == "wipe"; };
  const auto of_three = waits_for(3), of_one = waits_for(1);
  const auto three = std::find_if(of_three.begin(), of_three.end(), soaking), one = std::find_if(of_one.begin(), of_one.end(), soaking);
  REQUIRE(three != of_three.end());
  REQUIRE(one != of_one.end());
  REQUIRE_FALSE(three->meanwhile.empty());
  CHECK(three->meanwhile.front().text == "oil");
  CHECK(one->meanwhile.empty());
}

TEST_CASE("of two floor lives the shorter names the wait, and each part keeps its own bake", "[pipeline]") {
  const auto waits_with = [](const std::string& parts) {
    const auto outcome = make_plan(small_job::request("floor-lives", 2,
                                                      "<device><part id='board' card='t-board'/>" + parts + "</device><steps>"
                                                      "<step id='place' process='place' title='Place' on='board' run='4 min'><installs part='slow'/><installs part='quick'/></step>"
                                                      "<step id='reflow' process='reflow' title='Reflow' on='board' unattended='8 min'/>"
                                                      "</steps>",
                                                      "<room temperature='22 degC' humidity='48 %RH'/>"));
    REQUIRE(outcome);
    return outcome->plan.waits;
  };
  const auto floor_life = [](const plan::Wait& w) { return w.from.step.text == "place" && w.to.step.text == "reflow"; };
  const std::string level_3 = "<part id='slow' card='qfn-32' name='module'><bag opened='no'/></part>", level_5a = "<part id='quick' card='t-level-5a' name='sensor'><bag opened='no'/></part>";
  for (const std::string& parts : {level_3 + level_5a, level_5a + level_3}) {
    const auto waits = waits_with(parts);
    const auto wait = std::find_if(waits.begin(), waits.end(), floor_life);
    REQUIRE(wait != waits.end());
    CHECK(wait->what == "floor life of 'sensor' (level 5a)");
    CHECK(wait->max == hours(24));
    CHECK(wait->if_late.find("do not heat it") == 0);
    CHECK(wait->if_late.find("; floor life of 'module' (level 3) ends after 7 d: do not heat it") != std::string::npos);
  }
}

TEST_CASE("a jar of paste that warms is in nobody's way", "[pipeline]") {
  // Two places for twelve units: the jar takes neither, and the bench is worked at meanwhile.
  const auto request = small_job::request("jar", 12,
                                          "<device><part id='board' card='t-board'/></device><steps>"
                                          "<step id='warm' process='warm-paste' title='Take the paste out' on='board' whole-lot='yes' station='table' setup='1 min' unattended='4 h'><uses material='sac305-paste'/></step>"
                                          "<step id='sort' process='inspect' title='Look at the board' on='board' station='table' run='2 min'/>"
                                          "<step id='print' process='print-paste' title='Print' on='board' run='3 min'><uses material='sac305-paste' amount='0.3 g'/></step></steps>",
                                          "<station id='table' card='bench' places='2'/>");
  const auto outcome = make_plan(request);
  if (!outcome) FAIL(format(outcome.error().front()));
  const auto& all = outcome->plan.schedule.operations;
  const auto of = [&](const char* id) { return std::find_if(all.begin(), all.end(), [&](const plan::Operation& o) { return o.step.text == id; }); };
  REQUIRE(of("warm") != all.end());
  REQUIRE(of("sort") != all.end());
  CHECK(std::none_of(of("warm")->uses.begin(), of("warm")->uses.end(), [](const plan::Use& use) { return use.resource.text == "table"; }));
  CHECK(of("sort")->start < of("warm")->end);
}

TEST_CASE("two waits that leave no time between them are told, and two that clash are named by what clashes", "[pipeline]") {
  const auto findings = [](const std::string& times) {
    const auto outcome = make_plan(small_job::request("no-time", 2,
                                                      "<device><part id='box' card='t-walnut'/></device><steps>"
                                                      "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='danish-oil' amount='8 g'/></step>"
                                                      "<step id='wipe' process='wipe-off' title='Wipe' on='box' run='2 min'><after step='oil' " + times + " because='it soaks'/></step>"
                                                      "</steps>"));
    REQUIRE(outcome);
    return outcome->plan.findings;
  };
  const auto said = [](const std::vector<plan::Finding>& all, const std::string& text) {
    const auto f = std::find_if(all.begin(), all.end(), [&](const plan::Finding& one) { return one.message.find(text) != std::string::npos; });
    return f == all.end() ? nullptr : &*f;
  };
  const auto latest = [] {
    const auto outcome = make_plan(small_job::request("no-time", 1,
                                                      "<device><part id='box' card='t-walnut'/></device><steps>"
                                                      "<step id='oil' process='oil' title='Oil' on='box' run='5 min'><uses material='danish-oil' amount='8 g'/></step>"
                                                      "<step id='wipe' process='wipe-off' title='Wipe' on='box' run='2 min'/></steps>"));
    REQUIRE(outcome);
    const auto& waits = outcome->plan.waits;
    const auto w = std::find_if(waits.begin(), waits.end(), [](const plan::Wait& one) { return one.from.step.text == "oil" && one.to.step.text == "wipe"; });
    REQUIRE(w != waits.end());
    REQUIRE(w->max);
    return w->max->seconds / 60;
  }();
  const auto none = findings(fmt::format("at-least='{} min'", latest));
  const auto* to_the_second = said(none, "to the second");
  REQUIRE(to_the_second);
  CHECK(to_the_second->severity == plan::Severity::warn);
  CHECK(to_the_second->mend == "write a shorter at-least: hands want some minutes between the two");
  CHECK(said(findings(fmt::format("at-least='{} min'", latest - 1)), "to the second") == nullptr);
  CHECK(said(findings(fmt::format("at-least='{0} min' at-most='{0} min'", latest - 1)), "to the second") == nullptr);  // whoever writes that means it
  const auto clash = findings(fmt::format("at-least='{} min' at-most='{} min'", latest + 2, latest + 10));
  const auto* c = said(clash, "these waits can't all be kept");
  REQUIRE(c);
  CHECK(c->message.find(fmt::format("at least {} min", latest + 2)) != std::string::npos);
  CHECK(c->message.find(fmt::format("at most {} min", latest)) != std::string::npos);
  CHECK(c->message.find(fmt::format("at most {} min", latest + 10)) == std::string::npos);
  CHECK(c->steps == std::vector<StepId>{StepId("oil"), StepId("wipe")});
}

TEST_CASE("a cup that is mixed in its own step says how long it lasts", "[pipeline]") {
  const auto hints = [](const std::string& adhesive, const std::string& mix) {
    const auto outcome = make_plan(small_job::request("cup", 1,
                                                      "<device><part id='a' card='t-steel'/><part id='b' card='t-steel'/></device>"
                                                      "<joints><bond id='j' between='a b' adhesive='" + adhesive + "'/></joints><steps>" + mix +
                                                      "<step id='glue' process='glue' title='Glue' on='a' run='4 min' bonds='j'><uses material='" + adhesive + "' amount='0.5 g'/></step></steps>"));
    if (!outcome) FAIL(format(outcome.error().front()));
    std::vector<std::string> out;
    for (const plan::Step& s : outcome->plan.work.steps)
      for (const plan::Hint& h : s.hints)
        if (h.rule.text == "pot-life") out.push_back(h.text);
    return out;
  };
  CHECK(hints("epoxy-5min", "") == std::vector<std::string>{"Use up each cup of 5 min epoxy within 5 min of mixing: what has begun to stiffen does not wet"});
  CHECK(hints("epoxy-5min", "<step id='mix' process='mix' title='Mix' on='a' run='1 min'><uses material='epoxy-5min' amount='0.5 g'/></step>").empty());  // its clock runs from there
  CHECK(hints("wood-glue", "").empty());
}

TEST_CASE("a cup that lasts each sub-batch has a clock, and several cups have none", "[pipeline]") {
  const auto cups = [](const std::string& adhesive, int units, const std::string& attributes) {
    const auto outcome = make_plan(small_job::request("cup-clock", units,
                                                      "<device><part id='a' card='t-steel'/><part id='b' card='t-steel'/></device>"
                                                      "<joints><bond id='j' between='a b' adhesive='" + adhesive + "'/></joints><steps>"
                                                      "<step id='glue' process='glue' title='Glue' on='a' bonds='j' " + attributes + "><uses material='" + adhesive + "' amount='0.5 g' mixed-at-once='2 g'/></step></steps>"));
    if (!outcome) FAIL(format(outcome.error().front()));
    return outcome->plan.work.steps.front().cups;
  };
  const auto one = cups("epoxy-5min", 1, "run='4 min'");
  REQUIRE(one.size() == 1);
  CHECK(one.front().life == minutes(5));
  CHECK(one.front().what == "5 min epoxy stays workable for 5 min in the cup");
  CHECK(cups("epoxy-5min", 1, "run='5 min'").size() == 1);
  CHECK(cups("epoxy-5min", 1, "run='6 min'").empty());                     // more than one cup, and nobody knows when the second is mixed
  CHECK(cups("epoxy-5min", 3, "run='2 min' batch='1'").size() == 1);       // each its own
  CHECK(cups("epoxy-5min", 3, "run='2 min' batch='3'").empty());           // 6 min in one go
  CHECK(cups("epoxy-5min", 1, "setup='3 min' run='3 min'").empty());
  CHECK(cups("wood-glue", 1, "run='4 min'").empty());
  CHECK(cups("epoxy-10min", 1, "run='4 min'").size() == 1);  // its pot life is printed without a mass
}

TEST_CASE("a face that goes stale is called by what it is, and not by the reason of its link", "[pipeline]") {
  const auto outcome = make_plan(small_job::request("stale", 1,
                                                    "<device><part id='box' card='t-steel'/><part id='foot' card='t-brass-foot'/></device>"
                                                    "<joints><bond id='j' between='box foot' adhesive='epoxy-slow'/></joints><steps>"
                                                    "<step id='abrade' process='abrade' title='Abrade' on='box' run='5 min'><gives face='box.seat' is='abraded'/></step>"
                                                    "<step id='glue' process='glue' title='Glue' on='box' run='5 min' bonds='j'><installs part='foot'/><needs face='box.seat' is='abraded' within='1 h'/></step>"
                                                    "</steps>"));
  REQUIRE(outcome);
  const auto& waits = outcome->plan.waits;
  const auto wait = std::find_if(waits.begin(), waits.end(), [](const plan::Wait& w) { return w.to.step.text == "glue" && w.max == hours(1); });
  REQUIRE(wait != waits.end());
  CHECK(wait->what == "the face 'seat' of 'box' stays abraded");
}
