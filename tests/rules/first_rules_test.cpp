#include <catch2/catch.hpp>

#include "rules/cure.h"
#include "rules/rules.h"
#include "support/small_job.h"

using namespace handlot;
using namespace handlot::rules;
using handlot::test::small_job;
using handlot::test::test_cards;

namespace {

/// Asks one rule about every step or pair, as the pipeline does.
template <class F>
Yield ask(const job::Job& job, F rule) {
  const Facts facts{job, test_cards()};
  Yield yield;
  if constexpr (std::is_same_v<F, PerStep>) {
    for (const auto& s : job.steps) rule(facts, s, yield);
  } else if constexpr (std::is_same_v<F, PerPair>) {
    for (const auto& a : job.steps) {
      for (const auto& b : job.steps) {
        if (&a != &b) rule(facts, a, b, yield);
      }
    }
  } else {
    for (const auto& p : job.parts) rule(facts, p, yield);
  }
  return yield;
}

std::string link(const plan::Constraint& c) { return c.from.step.text + ">" + c.to.step.text; }
std::vector<std::string> links(const Yield& y) {
  std::vector<std::string> all;
  for (const auto& c : y.links) all.push_back(link(c));
  return all;
}
using Links = std::vector<std::string>;

}  // namespace

TEST_CASE("stated order carries its waits and its reason", "[rules]") {
  const auto job = small_job("<part id='a' card='t-plain'/>", "",
                             "<step id='one' process='inspect' title='One' on='a' run='1 min'/>"
                             "<step id='two' process='inspect' title='Two' on='a' run='1 min'><after step='one' because='dust settles' at-least='10 min' at-most='4 h'/></step>");
  const Yield y = ask(job, PerStep(&stated_order));
  REQUIRE(links(y) == Links{"one>two"});
  CHECK(y.links[0].min == minutes(10));
  CHECK(y.links[0].max == hours(4));
  CHECK(y.links[0].reason.text == "dust settles");
  CHECK(y.links[0].reason.builders_choice);
}

TEST_CASE("a subassembly is whole before it goes in", "[rules]") {
  const auto job = small_job("<part id='case' card='t-case'/><assembly id='front'><part id='frame' card='t-plain'/><part id='disp' card='t-display'/></assembly>", "",
                             "<step id='fit-front' process='fit' title='Fit front' on='case' run='1 min'><installs part='front'/></step>"
                             "<step id='fit-disp' process='fit' title='Fit display' on='frame' run='1 min'><installs part='disp'/></step>");
  CHECK(links(ask(job, PerStep(&assembly_whole))) == Links{"fit-disp>fit-front"});
}

TEST_CASE("heat: a part that would not survive the oven comes in after it", "[rules]") {
  const std::string device = "<part id='board' card='t-board'/><part id='disp' card='t-display'/>";
  const std::string fit = "<step id='fit' process='fit' title='Fit' on='board' run='1 min'><installs part='disp'/></step>";
  const auto job = small_job(device, "", fit + "<step id='bake' process='bake' title='Bake' on='board' unattended='5 min' reaches='125 degC'/>");
  const Yield y = ask(job, PerStep(&heat_limit));
  CHECK(links(y) == Links{"bake>fit"});
  REQUIRE(y.links.size() == 1);
  CHECK(y.links[0].reason.kind == plan::ReasonKind::heat);

  SECTION("the boundary: exactly at the limit is allowed, one degree more is not") {
    const auto at = small_job(device, "", fit + "<step id='bake' process='bake' title='Bake' on='board' unattended='5 min' reaches='60 degC'/>");
    CHECK(ask(at, PerStep(&heat_limit)).links.empty());
    const auto over = small_job(device, "", fit + "<step id='bake' process='bake' title='Bake' on='board' unattended='5 min' reaches='61 degC'/>");
    CHECK(ask(over, PerStep(&heat_limit)).links.size() == 1);
  }
  SECTION("a part that is there from the start, or goes in with the heat, is a stop") {
    const auto stuck = small_job("<part id='board' card='t-board'/><part id='disp' card='t-display'/>", "",
                                 "<step id='bake' process='bake' title='Bake' on='board' unattended='5 min' reaches='125 degC'><installs part='disp'/></step>");
    const Yield s = ask(stuck, PerStep(&heat_limit));
    REQUIRE(s.findings.size() == 1);
    CHECK(s.findings[0].severity == plan::Severity::stop);
  }
  SECTION("the nearest twin stays silent: the part sits in another body that is joined later by its own step") {
    const auto apart = small_job("<part id='board' card='t-board'/><assembly id='front'><part id='frame' card='t-plain'/><part id='disp' card='t-display'/></assembly>", "",
                                 "<step id='fit' process='fit' title='Fit' on='frame' run='1 min'><installs part='disp'/></step>"
                                 "<step id='join' process='fit' title='Join' on='board' run='1 min'><installs part='front'/></step>"
                                 "<step id='bake' process='bake' title='Bake' on='board' unattended='5 min' reaches='125 degC'/>");
    const Yield a = ask(apart, PerStep(&heat_limit));
    CHECK(a.findings.empty());
    REQUIRE(a.choices.size() == 1);  // before the display is fitted, or before the front is joined
    CHECK(a.choices[0].options.size() == 2);
  }
}

TEST_CASE("cure: the wait is that of the state asked, from the slow end of the figure", "[rules]") {
  const auto job = small_job("<part id='case' card='t-case'/><part id='foot' card='t-plain'/>", "<bond id='b' between='foot case' adhesive='t-glue'/>",
                             "<step id='glue' process='glue' title='Glue' on='case' run='1 min' bonds='b'><installs part='foot'/></step>"
                             "<step id='turn' process='inspect' title='Turn' on='case' run='1 min'><needs joint='b' cure='handling'/></step>"
                             "<step id='load' process='test' title='Load' on='case' run='1 min'><needs joint='b' cure='working'/></step>");
  const Facts facts{job, test_cards()};
  CHECK(cure_time(facts, job.joints[0], job::Cure::handling)->wait == minutes(30));
  const auto working = cure_time(facts, job.joints[0], job::Cure::working);
  REQUIRE(working);
  CHECK(working->wait == hours(24));  // the card knows no working time: the next higher state is taken
  CHECK(working->reached == job::Cure::full);
  CHECK_FALSE(cure_time(facts, job.joints[0], job::Cure::fixture)->wait == minutes(0));
  const Yield y = ask(job, PerPair(&cure_first));
  CHECK(links(y) == Links{"glue>turn", "glue>load"});
  CHECK(y.links[0].min == minutes(30));
  CHECK(y.links[1].min == hours(24));
}

TEST_CASE("states: given before, not taken between, and a stop when nobody gives", "[rules]") {
  const std::string device = "<part id='board' card='t-board'/>";
  const auto step = [](const std::string& id, const std::string& inside) { return "<step id='" + id + "' process='test' title='" + id + "' on='board' run='1 min'>" + inside + "</step>"; };
  const std::string need = "<needs state='loaded' of='board'/>";
  CHECK(links(ask(small_job(device, "", step("use", need) + step("load", "<gives state='loaded' of='board'/>")), PerStep(&states_held))) == Links{"load>use"});
  const Yield nobody = ask(small_job(device, "", step("use", need)), PerStep(&states_held));
  REQUIRE(nobody.findings.size() == 1);
  CHECK(nobody.findings[0].severity == plan::Severity::stop);
  // Taken but never given: it holds from the start.
  CHECK(links(ask(small_job(device, "", step("use", need) + step("close", "<takes state='loaded' of='board'/>")), PerStep(&states_held))) == Links{"use>close"});
  const Yield two = ask(small_job(device, "", step("use", need) + step("g1", "<gives state='loaded' of='board'/>") + step("g2", "<gives state='loaded' of='board'/>")), PerStep(&states_held));
  REQUIRE(two.choices.size() == 1);
  CHECK(two.choices[0].options.size() == 2);
}

TEST_CASE("screws go in after all that they hold, subassemblies included", "[rules]") {
  const auto job = small_job("<part id='case' card='t-case'/><part id='board' card='t-board'/><assembly id='front'><part id='frame' card='t-plain'/></assembly>"
                             "<part id='s' card='m3x8-pan' count='2' clamps='board frame' into='case'/>", "",
                             "<step id='drive' process='screw' title='Drive' on='case' run='1 min'><installs part='s'/></step>"
                             "<step id='lay' process='fit' title='Lay' on='case' run='1 min'><installs part='board'/></step>"
                             "<step id='join' process='fit' title='Join' on='case' run='1 min'><installs part='front'/></step>");
  CHECK(links(ask(job, PerPart(&screws_last))) == Links{"lay>drive", "join>drive"});
}

TEST_CASE("what an irreversible step hides is tested before, or said to be untested", "[rules]") {
  const std::string device = "<part id='case' card='t-case'/><part id='board' card='t-board'/><part id='lid' card='t-plain'/>";
  const std::string close = "<step id='close' process='glue' title='Close' on='case' run='1 min' irreversible='yes' hides='board'><installs part='lid'/></step>";
  const Yield none = ask(small_job(device, "", close), PerStep(&tested_before_hidden));
  REQUIRE(none.findings.size() == 1);
  CHECK(none.findings[0].severity == plan::Severity::warn);
  CHECK(links(ask(small_job(device, "", close + "<step id='try' process='test' title='Try' on='board' run='1 min' tests='board'/>"), PerStep(&tested_before_hidden))) == Links{"try>close"});
  const std::string open = "<step id='close' process='fit' title='Close' on='case' run='1 min' hides='board'><installs part='lid'/></step>";
  CHECK(ask(small_job(device, "", open), PerStep(&tested_before_hidden)).findings.empty());
}

TEST_CASE("processes: the first print goes with the first placing, and a lone wash with the last solder", "[rules]") {
  const std::string device = "<part id='board' card='t-board'/>";
  const auto step = [](const std::string& id, const std::string& process) { return "<step id='" + id + "' process='" + process + "' title='" + id + "' on='board' run='1 min'/>"; };
  const Yield y = ask(small_job(device, "", step("place2", "place") + step("print1", "print-paste") + step("print2", "print-paste") + step("place1", "place")), PerPair(&process_result));
  CHECK(links(y) == Links{"print1>place2", "print2>place1"});
  const Yield once = ask(small_job(device, "", step("solder", "hand-solder") + step("cut", "cut-lead")), PerPair(&process_result));
  CHECK(links(once) == Links{"solder>cut"});
}

TEST_CASE("the order of tightening is said in numbers one finds on the heads", "[rules]") {
  // Four heads at the corners of a square, counted clockwise from the upper left: across, then across.
  const auto said = [](const std::string& places) {
    const auto job = small_job("<part id='box' card='t-plain'/><part id='lid' card='t-plain'/><part id='screws' card='m3x8-pan' name='lid screws' count='4' clamps='lid' into='box'>" + places + "</part>", "",
                               "<step id='shut' process='screw' title='Shut' on='box' run='1 min'><installs part='screws'/></step>");
    const Yield y = ask(job, PerStep(&screw_order));
    REQUIRE(y.hints.size() == 1);
    const std::string& text = y.hints[0].hint.text;
    const auto colon = text.find(": ");
    return colon == std::string::npos ? std::string() : text.substr(colon + 2, text.find(" (") - colon - 2);
  };
  CHECK(said("<place at='-10 10 0 mm'/><place at='10 10 0 mm'/><place at='10 -10 0 mm'/><place at='-10 -10 0 mm'/>") == "1, 3, 2, 4");
  // Listed in another order, and from below, the heads are counted as they are seen: the order is the same.
  CHECK(said("<place at='10 -10 0 mm'/><place at='-10 10 0 mm'/><place at='-10 -10 0 mm'/><place at='10 10 0 mm'/>") == "1, 3, 2, 4");
  CHECK(said("<place at='-10 10 0 mm' turn='180 0 0 deg'/><place at='10 10 0 mm' turn='180 0 0 deg'/><place at='10 -10 0 mm' turn='180 0 0 deg'/><place at='-10 -10 0 mm' turn='180 0 0 deg'/>") == "1, 3, 2, 4");
  // A row of four: the ends first, then the middle.
  CHECK(said("<place at='-30 0 0 mm'/><place at='-10 0 0 mm'/><place at='10 0 0 mm'/><place at='30 0 0 mm'/>").starts_with("1, "));
  // Heads that face two ways have no order that one could count.
  CHECK(said("<place at='-10 10 0 mm' turn='180 0 0 deg'/><place at='10 10 0 mm'/><place at='10 -10 0 mm'/><place at='-10 -10 0 mm'/>").empty());
}
