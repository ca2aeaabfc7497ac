// Pages, findings and reasons of the soldering in a job: made from files written for the test.
#include "pipeline/soldering.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <functional>

#include "pipeline/make_plan.h"
#include "pipeline/references.h"

using namespace handlot;
using namespace handlot::pipeline;
namespace fs = std::filesystem;

namespace {

struct Folder {
  fs::path path = fs::path(HANDLOT_BUILD) / "soldering_test";
  Folder() {
    fs::remove_all(path);
    fs::create_directories(path);
  }
  void put(const std::string& name, const std::string& text) const { std::ofstream(path / name) << text; }
};

struct Words {
  std::string files, parts, steps, waivers;
  int units = 2;
  std::string oven = "";  ///< more about the oven
};

const std::string kSteps =
    "<step id='warm' process='warm-paste' title='Warm the paste' on='board' whole-lot='yes' setup='1 min' unattended='4 h'><uses material='sac305-paste'/></step>"
    "<step id='print' process='print-paste' title='Print' on='board' run='3 min'><uses material='sac305-paste' amount='0.3 g'/></step>"
    "<step id='place' process='place' title='Place' on='board' run='5 min'><installs part='r'/><installs part='u'/></step>"
    "<step id='reflow' process='reflow' title='Reflow' on='board' station='oven' unattended='8 min' hands='no'><uses material='sac305-paste'/></step>";

const std::string kParts =
    "<part id='board' card='board-bare'/><part id='r' card='resistor-0603' name='resistors' count='3' refs='R1-R3'/>"
    "<part id='u' card='qfn-32' name='controller' refs='U1'><bag opened='no'/></part>";

Result<Outcome> made(const Folder& folder, const Words& words) {
  folder.put("job.xml", fmt::format("<job version='1' name='Small' revision='A'><lot units='{}' start='2026-12-01 08:30'/>{}"
                                    "<bench zone='Europe/Paris'><room temperature='22 degC' humidity='50 %RH'/><hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/>"
                                    "<station id='oven' card='reflow-oven' places='2' together='yes' {}/></bench><device>{}</device><joints/><steps>{}</steps>{}</job>",
                                    words.units, words.files, words.oven, words.parts.empty() ? kParts : words.parts, words.steps.empty() ? kSteps : words.steps, words.waivers));
  folder.put("parts/none", "");
  Request request;
  request.job_file = (folder.path / "job.xml").string();
  fs::create_directories(folder.path / "parts");
  folder.put("parts/board.xml", "<cards version='1'><part id='board-bare' name='Bare board' board='yes' material='fr4'><figure name='length' value='30 mm' standing='measured'/>"
                                "<figure name='width' value='20 mm' standing='measured'/><figure name='height' value='1.6 mm' standing='measured'/></part></cards>");
  request.card_folders = card_folders(request.job_file, {});
  request.want_pictures = false;
  return make_plan(request);
}

Outcome good(const Folder& folder, const Words& words) {
  auto outcome = made(folder, words);
  if (!outcome) {
    for (const Diagnostic& d : outcome.error()) UNSCOPED_INFO(format(d));
    FAIL("the job does not read");
  }
  return std::move(*outcome);
}

const plan::Page* page(const plan::Plan& plan, const std::string& id) {
  const auto found = std::find_if(plan.pages.begin(), plan.pages.end(), [&](const plan::Page& p) { return p.id == id; });
  return found == plan.pages.end() ? nullptr : &*found;
}

const plan::Finding* finding(const plan::Plan& plan, const std::string& rule, plan::Severity severity) {
  const auto found = std::find_if(plan.findings.begin(), plan.findings.end(), [&](const plan::Finding& f) { return f.rule.text == rule && f.severity == severity; });
  return found == plan.findings.end() ? nullptr : &*found;
}

const std::string kList = "ref,value,package,x (mm),y (mm),rotation,side\nR1,10k,0603,5,5,0,top\nR2,10k,0603,9,5,0,top\nR3,4k7,0603,13,5,90,top\nU1,controller,QFN-32,20,12,0,top\n";

/// A cycle that passes a lead-free window: two board channels, a second a row.
std::string cycle(double hotter, double start = 25) {
  std::string text = "time (s),middle (degC),edge (degC)\n";
  const std::vector<std::pair<double, double>> corners{{0, start}, {100, 150}, {190, 200}, {220, 225}, {245, 242}, {260, 242}, {285, 217}, {400, 60}};
  for (int t = 0; t <= 400; ++t) {
    double c = 25;
    for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
      if (t >= corners[i].first) c = corners[i].second + (corners[i + 1].second - corners[i].second) * (t - corners[i].first) / (corners[i + 1].first - corners[i].first);
    }
    text += fmt::format("{},{:.2f},{:.2f}\n", t, c + hotter, c - 1.5 + hotter);
  }
  return text;
}

const std::string kChannels = "channel = middle (degC) | board | middle | tape\nchannel = edge (degC) | board | edge | tape\n";

}  // namespace

TEST_CASE("a placement list gives a page with bags in order and a drawing for each", "[pipeline]") {
  const Folder folder;
  folder.put("list.csv", kList);
  const Outcome o = good(folder, {"<file what='placement' path='list.csv'/>", "", "", ""});
  const plan::Page* all = page(o.plan, "placing-place");
  REQUIRE(all != nullptr);
  CHECK(all->step == StepId("place"));
  REQUIRE(all->tables.size() == 1);
  const auto& rows = all->tables[0].rows;
  REQUIRE(rows.size() == 3);  // one value after the other: 4k7 and 10k are two bags; the controller, higher, comes last
  CHECK(rows[2][1] == "controller");
  CHECK(rows[2][5] == "pin 1 dot");
  const auto tens = std::find_if(rows.begin(), rows.end(), [](const auto& r) { return r[1] == "10k"; });
  REQUIRE(tens != rows.end());
  CHECK((*tens)[3] == "2");
  CHECK((*tens)[4] == "R1 R2");
  CHECK(all->ticks.size() == 3);
  for (const char* id : {"placing-place-1", "placing-place-2", "placing-place-3"}) {
    REQUIRE(page(o.plan, id) != nullptr);
    CHECK(page(o.plan, id)->picture_svg.find("</svg>") != std::string::npos);
  }
  CHECK(page(o.plan, "placing-place-4") == nullptr);
  CHECK(finding(o.plan, "placement-list", plan::Severity::stop) == nullptr);
  CHECK(finding(o.plan, "placement-list", plan::Severity::warn) == nullptr);
}

TEST_CASE("parts that only the placement list places stand on their board", "[pipeline]") {
  const Folder folder;
  folder.put("list.csv", "ref,value,package,x (mm),y (mm),rotation,side\nR1,10k,0603,5,4,0,top\nR2,10k,0603,9,4,30,bottom\nR3,4k7,0603,13,4,90,top\nU1,controller,QFN-32,20,12,0,top\n");
  // The board is built in a quarter turn about z: x of the board is y of the unit, y of the board is -x.
  const std::string parts = "<part id='board' card='board-bare' at='100 50 10 mm' turn='0 0 90 deg'/><part id='r' card='resistor-0603' name='resistors' count='3' refs='R1-R3'/>"
                            "<part id='u' card='qfn-32' name='controller' refs='U1'><bag opened='no'/></part>";
  const Outcome o = good(folder, {"<file what='placement' path='list.csv'/>", parts, "", ""});
  const auto& bodies = o.device.bodies_of.at(PartId("r"));
  REQUIRE(bodies.size() == 3);
  const auto corner = [&](std::size_t i, shapes::Vec3 p) { return o.device.assembly.parts[bodies[i]].at.point(p); };
  const auto near = [](shapes::Vec3 a, shapes::Vec3 b) { return shapes::length(a - b) < 1e-9; };
  CHECK(near(corner(0, {0, 0, 0}), {96, 55, 11.6}));      // on top of the board, 1.6 mm above z = 10
  CHECK(near(corner(0, {0.8, 0, 0}), {96, 55.8, 11.6}));  // its length lies along x of the board
  CHECK(near(corner(1, {0, 0, 0}), {96, 59, 10}));        // below the board, hanging down
  CHECK(near(corner(1, {0, 0, 0.45}), {96, 59, 9.55}));
  CHECK(near(corner(2, {0.8, 0, 0}), {95.2, 63, 11.6}));  // turned a quarter on the board, and a quarter with it
  CHECK(std::find(o.device.not_modelled.begin(), o.device.not_modelled.end(), PartId("r")) == o.device.not_modelled.end());
}

TEST_CASE("a placement list that does not fit the job is found", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='placement' path='list.csv'/>";
  folder.put("list.csv", "ref,package,x (mm),y (mm),side,rot\nR1,0603,5,5,top,0\nR2,0603,9,5,top,0\nU1,QFN-32,20,12,top,0\n");
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "placement-list", plan::Severity::stop)->message.find("2 of 'resistors', and the job places 3") != std::string::npos);
  folder.put("list.csv", "ref,package,x (mm),y (mm),side,rot\nR1,0603,5,5,top,0\nR2,0603,9,5,top,0\nR3,0805,9,9,top,0\nU1,QFN-32,20,12,top,0\n");
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "placement-list", plan::Severity::stop)->message.find("R3 is an inch 0805") != std::string::npos);
  const std::string head = "ref,package,x (mm),y (mm),side,rot\n", rest = "R3,0603,13,5,top,0\nU1,QFN-32,20,12,top,0\n";
  folder.put("list.csv", head + "R1,0603,5,5,top,0\nR2,0603,5,5,top,0\n" + rest);
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "placement-list", plan::Severity::warn)->message == "R1 (line 2) and R2 (line 3) of the placement list have the same place, x 5 and y 5 mm on the top side");
  folder.put("list.csv", head + "R1,0603,5,5,top,0\nR2,0603,9,5,top,0\nFID1,fid,5,5,top,0\n" + rest);
  for (const plan::Finding& f : good(folder, {file, "", "", ""}).plan.findings) CHECK(f.message.find("the same place") == std::string::npos);
  folder.put("list.csv", kList + "X9,extra,TP,1,1,0,top\n");
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "placement-list", plan::Severity::warn)->message.find("X9") != std::string::npos);
  folder.put("list.csv", "ref,x,y\nR1,1,2\n");
  const auto refused = made(folder, {file, "", "", ""});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().front().code == "placement-unit");
}

TEST_CASE("an oven log in a job: pass is silent, fail stops with line and source, a waiver of it holds", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='profile' path='oven.csv'/>";
  folder.put("oven.csv.channels", kChannels);
  folder.put("oven.csv", cycle(0));
  const Outcome passes = good(folder, {file, "", "", ""});
  REQUIRE(page(passes.plan, "oven") != nullptr);
  CHECK(page(passes.plan, "oven")->because.front() == "verdict: pass");
  CHECK(finding(passes.plan, "oven-verdict", plan::Severity::stop) == nullptr);
  CHECK_FALSE(passes.stops());

  folder.put("oven.csv", cycle(-12));
  const Outcome fails = good(folder, {file, "", "", ""});
  const plan::Finding* f = finding(fails.plan, "oven-verdict", plan::Severity::stop);
  REQUIRE(f != nullptr);
  CHECK(fails.stops());
  CHECK(f->steps == std::vector<StepId>{StepId("reflow")});
  CHECK(f->place.line > 200);  // where in the log the figure is settled
  CHECK(f->place.line < 300);
  const auto& because = page(fails.plan, "oven")->because;
  const auto says = [&](const std::string& what) { return std::any_of(because.begin(), because.end(), [&](const std::string& line) { return line.find(what) != std::string::npos; }); };
  CHECK(says("verdict: fail"));
  CHECK(says("source: "));
  CHECK(says("oven.csv, channel 'edge"));
  CHECK(says(", line "));
  CHECK(says("window: "));

  const Outcome waived = good(folder, {file, "", "", "<waive rule='oven-verdict' because='the paste of this lot is the bismuth one, tried on scrap'/>"});
  CHECK_FALSE(waived.stops());
  for (const plan::Finding& one : waived.plan.findings) CHECK(one.message.find("meets nothing") == std::string::npos);
}

TEST_CASE("an oven log that spoils no board is warned of, and a lost thermocouple is the mend of an undecided one", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='profile' path='oven.csv'/>";
  folder.put("oven.csv.channels", kChannels);
  const auto of_rows = [](const std::function<std::string(int, double)>& row) {
    std::string text = "time (s),middle (degC),edge (degC)\n";
    for (int t = 0; t <= 380; ++t) {
      const double c = t < 218 ? 25 + t : t < 234 ? 243 : std::max(60.0, 243 - (t - 234) * 1.5);
      text += row(t, c);
    }
    return text;
  };
  folder.put("oven.csv", of_rows([](int t, double c) { return fmt::format("{},{:.2f},{:.2f}\n", t, c, c - 1.5); }));
  const Outcome straight = good(folder, {file, "", "", ""});
  CHECK(finding(straight.plan, "oven-verdict", plan::Severity::stop) == nullptr);
  const plan::Finding* warned = finding(straight.plan, "oven-verdict", plan::Severity::warn);
  REQUIRE(warned != nullptr);
  CHECK(warned->message.find("rising from 150 to 200 degC is 50 s") != std::string::npos);
  CHECK(warned->mend.find("straight-ramp=") != std::string::npos);

  folder.put("oven.csv", of_rows([](int t, double c) { return t > 190 ? fmt::format("{},{:.2f},\n", t, c) : fmt::format("{},{:.2f},{:.2f}\n", t, c, c - 1.5); }));
  const Outcome lost = good(folder, {file, "", "", ""});
  CHECK(finding(lost.plan, "oven-verdict", plan::Severity::stop) == nullptr);
  const plan::Finding* undecided = finding(lost.plan, "oven-verdict", plan::Severity::undecided);
  REQUIRE(undecided != nullptr);
  CHECK(undecided->message.find("the readings end at 213.5 degC, 190 s before the log does") != std::string::npos);
  CHECK(undecided->mend.starts_with("see to the thermocouple of 'edge"));
}

TEST_CASE("parts that lie in the room are held against the schedule", "[pipeline]") {
  const Folder folder;
  const auto parts = [](const std::string& bag) {
    return "<part id='board' card='board-bare'/><part id='r' card='resistor-0603' name='resistors' count='3' refs='R1-R3'/><part id='u' card='qfn-32' name='controller' refs='U1'>" + bag + "</part>";
  };
  // 168 h of level 3: opened so that 6 h are left at 08:30. The paste warms for four hours, then two boards: about half past four hours.
  const Outcome fits = good(folder, {"", parts("<bag opened='2026-11-24 14:30'/>"), "", ""});
  CHECK(finding(fits.plan, "moisture", plan::Severity::stop) == nullptr);
  CHECK_FALSE(fits.stops());
  // What is left ends at 14:30 by the calendar, however late the placing begins.
  const auto wait = std::find_if(fits.plan.waits.begin(), fits.plan.waits.end(), [](const plan::Wait& w) { return w.id == "place.start>reflow.start"; });
  REQUIRE(wait != fits.plan.waits.end());
  REQUIRE(wait->latest.has_value());
  CHECK(*wait->latest == fits.plan.work.start + hours(6));
  // Two hours are left: the paste is still cold by then.
  const Outcome late = good(folder, {"", parts("<bag opened='2026-11-24 10:30'/>"), "", ""});
  const plan::Finding* f = finding(late.plan, "moisture", plan::Severity::stop);
  REQUIRE(f != nullptr);
  CHECK(late.stops());
  CHECK(f->mend.find("125 degC for 7 h") != std::string::npos);
  // The same hours, but kept in the cabinet until they are placed.
  const Outcome kept = good(folder, {"", parts("<bag opened='2026-11-24 10:30' in-room='166 h' kept='cabinet-5'/>"), "", ""});
  CHECK_FALSE(kept.stops());
}

TEST_CASE("paste and moisture clocks are waits of the plan, and the schedule keeps them", "[pipeline]") {
  const Folder folder;
  const Outcome o = good(folder, {"", "", "", "", 4});
  const auto wait = [&](const std::string& id) {
    const auto found = std::find_if(o.plan.waits.begin(), o.plan.waits.end(), [&](const plan::Wait& w) { return w.id == id; });
    return found == o.plan.waits.end() ? nullptr : &*found;
  };
  REQUIRE(wait("warm.start>print.start") != nullptr);
  CHECK(wait("warm.start>print.start")->min == hours(4));
  REQUIRE(wait("warm.end>print.end") != nullptr);
  CHECK(wait("warm.end>print.end")->max == hours(24 * 30));
  REQUIRE(wait("print.start>place.end") != nullptr);
  CHECK(wait("print.start>place.end")->max == hours(4));
  REQUIRE(wait("print.start>reflow.start") != nullptr);
  CHECK(wait("print.start>reflow.start")->max == hours(8));
  REQUIRE(wait("place.start>reflow.start") != nullptr);
  CHECK(wait("place.start>reflow.start")->max == hours(168));
  CHECK_FALSE(wait("place.start>reflow.start")->latest.has_value());  // the bag is opened when they are placed
  CHECK(o.plan.schedule.status != plan::Schedule::Status::infeasible);
}

TEST_CASE("vapour is gone before the oven is switched on, and not only before it is loaded", "[pipeline]") {
  const Folder folder;
  const Outcome o = good(folder, {"", kParts + "<part id='lid' card='board-bare'/>", "<step id='wipe' process='degrease' title='Wipe' on='lid' run='5 min'><uses material='isopropanol' amount='3 g'/></step>" + kSteps, "", 4});
  const auto pair = std::find_if(o.plan.work.apart.begin(), o.plan.work.apart.end(), [](const plan::NeverTogether& p) {
    return (p.a.text == "wipe" && p.b.text == "reflow") || (p.a.text == "reflow" && p.b.text == "wipe");
  });
  REQUIRE(pair != o.plan.work.apart.end());
  const bool wipe_first = pair->a.text == "wipe";
  const Duration clear = wipe_first ? pair->clear_after_a : pair->clear_after_b;
  const auto oven = std::find_if(o.plan.work.resources.begin(), o.plan.work.resources.end(), [](const plan::Resource& r) { return r.id.text == "oven"; });
  REQUIRE(oven->warm_up >= minutes(10));
  CHECK(clear > oven->warm_up);
  CHECK((wipe_first ? pair->clear_after_b : pair->clear_after_a) == minutes(10));
  CHECK(pair->reason.text.find("('reflow' is hot 20 min before it begins and cools for 10 min after it)") != std::string::npos);
  for (const plan::Operation& wiped : o.plan.schedule.operations) {
    for (const plan::Operation& baked : o.plan.schedule.operations) {
      if (wiped.step.text != "wipe" || baked.step.text != "reflow") continue;
      if (baked.start > wiped.start) CHECK(baked.start - oven->warm_up > wiped.end);
      else CHECK(wiped.start >= baked.end + minutes(10));
    }
  }
}

TEST_CASE("stencils and logs of both sides are judged, a second of one side is refused", "[pipeline]") {
  const Folder folder;
  const std::string head = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,1X1*%\n%ADD11R,0.1X0.1*%\n";
  folder.put("top.gbr", head + "D10*\nX5000000Y5000000D03*\nM02*\n");
  folder.put("bottom.gbr", head + "D11*\nX5000000Y5000000D03*\nM02*\n");
  const auto both = good(folder, {"<file what='stencil' side='top' path='top.gbr' foil='0.12 mm'/><file what='stencil' side='bottom' path='bottom.gbr' foil='0.1 mm'/>", "", "", ""});
  REQUIRE(page(both.plan, "stencil-top") != nullptr);
  REQUIRE(page(both.plan, "stencil-bottom") != nullptr);
  const plan::Finding* f = finding(both.plan, "stencil-openings", plan::Severity::warn);
  REQUIRE(f != nullptr);
  CHECK(f->place.file.ends_with("bottom.gbr"));
  CHECK(f->message.find("at 0.1 mm foil") != std::string::npos);
  // 0.885 of metal at 7.38 g/cm3 in flux of 1 g/cm3: 4.26 g/cm3; 1 mm2 of 0.12 mm foil, printed to 0.95.
  const auto& lines = page(both.plan, "stencil-top")->lines;
  CHECK(std::any_of(lines.begin(), lines.end(), [](const std::string& line) { return line.find("paste a board 0.5 mg") != std::string::npos; }));

  const auto twice = made(folder, {"<file what='stencil' path='top.gbr' foil='0.12 mm'/><file what='stencil' path='bottom.gbr' foil='0.1 mm'/>", "", "", ""});
  REQUIRE_FALSE(twice.has_value());
  CHECK(twice.error().front().code == "file-twice");
  folder.put("list.csv", kList);
  const auto lists = made(folder, {"<file what='placement' path='list.csv'/><file what='placement' path='list.csv'/>", "", "", ""});
  REQUIRE_FALSE(lists.has_value());
  CHECK(lists.error().front().mend.find("join them") != std::string::npos);
  const auto side = made(folder, {"<file what='placement' side='top' path='list.csv'/>", "", "", ""});
  REQUIRE_FALSE(side.has_value());
  CHECK(side.error().front().code == "file-side");
}

TEST_CASE("a stencil or pads of the other side are told of in one sentence, a flood of differences too", "[pipeline]") {
  const Folder folder;
  const auto gerber = [&](const std::string& name, const std::string& function, double from, int count) {
    std::string text = "%TF.FileFunction," + function + "*%\n%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,1X0.6*%\nD10*\n";
    for (int i = 0; i < count; ++i) text += fmt::format("X{:.0f}Y{:.0f}D03*\n", (from + 2.3 * i + 0.1 * i * i) * 1e6, 5e6);
    folder.put(name, text + "M02*\n");
  };
  gerber("top.gbr", "Paste,Top", 1, 6);
  gerber("top-pads.gbr", "Copper,L1,Top", 1, 6);
  gerber("bottom.gbr", "Paste,Bot", 40, 9);
  gerber("few-pads.gbr", "Copper,L1,Top", 1, 4);
  const auto told = [&](const std::string& files) {
    std::vector<std::string> all;
    for (const plan::Finding& f : good(folder, {files, "", "", ""}).plan.findings) {
      if (f.rule.text.starts_with("stencil")) all.push_back(f.message);
    }
    return all;
  };
  CHECK(told("<file what='stencil' side='top' path='top.gbr' foil='0.12 mm'/><file what='board-pads' side='top' path='top-pads.gbr'/>").empty());
  const auto swapped = told("<file what='stencil' side='top' path='bottom.gbr' foil='0.12 mm'/><file what='board-pads' side='top' path='top-pads.gbr'/>");
  REQUIRE(swapped.size() == 1);
  CHECK(swapped[0].find("stands for the top side, and says of itself that it is the bottom's ('Paste,Bot')") != std::string::npos);
  const auto pads = told("<file what='stencil' path='bottom.gbr' foil='0.12 mm'/><file what='board-pads' path='top-pads.gbr'/>");
  REQUIRE(pads.size() == 1);
  CHECK(pads[0].find("top-pads.gbr' stands for the bottom side") != std::string::npos);
  // Two openings over no pad are told singly, six as one.
  CHECK(told("<file what='stencil' path='top.gbr' foil='0.12 mm'/><file what='board-pads' path='few-pads.gbr'/>").size() == 2);
  gerber("many.gbr", "Paste,Top", 1, 12);
  gerber("half-pads.gbr", "Copper,L1,Top", 1, 7);
  const auto flood = told("<file what='stencil' path='many.gbr' foil='0.12 mm'/><file what='board-pads' path='half-pads.gbr'/>");
  REQUIRE(flood.size() == 1);
  CHECK(flood[0].ends_with("over no pad; and 4 more like it"));
}

TEST_CASE("more boards than lie on the tray of an oven are told of", "[pipeline]") {
  const Folder folder;
  // The shipped oven has a tray of 250 x 200 mm and the job two places.
  const auto told = [&](const std::string& size) {
    const auto outcome = good(folder, {"", "", "", "", 2, size});
    const plan::Finding* f = finding(outcome.plan, "station-tray", plan::Severity::warn);
    return f == nullptr ? std::string() : f->message + " | " + f->mend;
  };
  CHECK(told("").empty());
  CHECK(told("board-length='200 mm' board-width='100 mm'").empty());
  CHECK(told("board-length='125 mm' board-width='200 mm'").empty());
  const std::string one = told("board-length='200 mm' board-width='150 mm'");
  CHECK(one.find("2 boards of 200 x 150 mm at once, and 1 lies on its tray of 250 x 200 mm") != std::string::npos);
  CHECK(one.find("places=\"1\"") != std::string::npos);
  CHECK(told("board-length='300 mm' board-width='50 mm'").find("none lies flat") != std::string::npos);
}

TEST_CASE("a log that starts below the room of the job decides nothing", "[pipeline]") {
  const Folder folder;
  folder.put("oven.csv.channels", kChannels);
  const auto told = [&](double start) {
    folder.put("oven.csv", cycle(0, start));
    const plan::Finding* f = finding(good(folder, {"<file what='profile' path='oven.csv'/>", "", "", ""}).plan, "oven-verdict", plan::Severity::undecided);
    return f == nullptr ? std::string() : f->message;
  };
  CHECK(told(25).empty());
  CHECK(told(19).empty());  // 19 and 17.5 degC in a room of 22
  CHECK(told(15).find("starts at 1") != std::string::npos);
}

TEST_CASE("what the readers of log and stencil warn of is found in the job", "[pipeline]") {
  const Folder folder;
  folder.put("paste.gbr", "%TF.FileFunction,Copper,L1,Top*%\n%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,1X1*%\nD10*\nX5000000Y5000000D03*\n");
  folder.put("oven.csv.channels", kChannels);
  folder.put("oven.csv", cycle(0) + "Max,242,240\n");
  const auto outcome = good(folder, {"<file what='stencil' path='paste.gbr'/><file what='profile' path='oven.csv'/>", "", "", ""});
  std::vector<std::string> told;
  for (const plan::Finding& f : outcome.plan.findings) {
    if (f.rule.text == "stencil-file" || f.rule.text == "oven-log") told.push_back(f.message);
  }
  const auto says = [&](const std::string& what) { return std::any_of(told.begin(), told.end(), [&](const std::string& t) { return t.find(what) != std::string::npos; }); };
  CHECK(says("does not end with M02"));
  CHECK(says("'Copper,L1,Top'"));
  CHECK(says("0.12 mm is taken"));
  CHECK(says("not read as rows"));
  CHECK(told.size() == 4);
  folder.put("paste.gbr", "%TF.FileFunction,Paste,Top*%\n%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,1X1*%\nG54D10*\nX5000000Y5000000D03*\nM02*\n");
  folder.put("oven.csv", cycle(0));
  const auto quiet = good(folder, {"<file what='stencil' path='paste.gbr' foil='0.12 mm'/><file what='profile' path='oven.csv'/>", "", "", ""});
  for (const plan::Finding& f : quiet.plan.findings) CHECK_FALSE((f.rule.text == "stencil-file" || f.rule.text == "oven-log"));
}

TEST_CASE("a stock list in a job fills the kit and finds what is short", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='stock' path='shelf.csv'/>";
  folder.put("shelf.csv", "id,count\nboard,1\nr,50\nu,9\nsac305-paste,50 g\nunused,4\n");
  const auto few = good(folder, {file, "", "", ""});
  const plan::Finding* f = finding(few.plan, "stock", plan::Severity::warn);
  REQUIRE(f != nullptr);
  CHECK(f->message == "Bare board: 1 there, and the lot takes 2");
  CHECK(f->parts == std::vector<PartId>{PartId("board")});
  CHECK_FALSE(few.stops());
  for (const plan::KitRow& row : few.plan.kit) CHECK(row.stock.has_value());
  folder.put("shelf.csv", "id,count\nboard,2\nresistor-0603,50\nqfn-32,9\nsac305-paste,50 g\nunused,4\n");
  for (const plan::Finding& one : good(folder, {file, "", "", ""}).plan.findings) CHECK(one.rule.text != "stock");
  folder.put("shelf.csv", "id,count\n");
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "stock", plan::Severity::undecided) != nullptr);
  folder.put("shelf.csv", "id,count,expires\nboard,2,\nr,50,\nu,9,\nsac305-paste,50 g,2026-11-30\n");
  CHECK(finding(good(folder, {file, "", "", ""}).plan, "stock", plan::Severity::warn)->message.find("expired on 2026-11-30") != std::string::npos);
  folder.put("shelf.csv", "id,count,expires\nboard,2,\nr,50,\nu,9,\nsac305-paste,50 g,2026-12-01\n");
  for (const plan::Finding& one : good(folder, {file, "", "", ""}).plan.findings) CHECK(one.rule.text != "stock");  // printed on that day
  std::string late = "<step id='rest' process='inspect' title='Let it rest' on='board' whole-lot='yes' setup='1 min' unattended='30 h'/>" + kSteps;
  const std::string printed = "amount='0.3 g'/>";
  late.insert(late.find(printed) + printed.size(), "<after step='rest' because='it rests first'/>");
  const auto two_days = good(folder, {file, "", late, ""});
  REQUIRE(finding(two_days.plan, "stock", plan::Severity::warn) != nullptr);
  CHECK(finding(two_days.plan, "stock", plan::Severity::warn)->message.find("expires on 2026-12-01, and the plan takes of it until 2026-12-02") != std::string::npos);
  folder.put("shelf.csv", "id,count\nboard,many\n");
  CHECK_FALSE(made(folder, {file, "", "", ""}).has_value());
}

TEST_CASE("a box that a step takes is one a unit", "[pipeline]") {
  const Folder folder;
  const auto row = [&](const std::string& uses, const std::string& id) {
    const auto o = good(folder, {"", "", kSteps + "<step id='pack' process='pack' title='Pack' on='unit' run='1 min'>" + uses + "</step>", "", 3});
    for (const plan::KitRow& r : o.plan.kit) {
      if (r.id == id) return r;
    }
    return plan::KitRow{};
  };
  CHECK(row("<uses material='box-card'/>", "box-card").lot == 3);
  CHECK(row("<uses material='box-card'/>", "box-card").spare == 1);
  CHECK(row("", "box-card").id.empty());
  CHECK(row("<uses material='isopropanol'/>", "isopropanol").lot == 0);
  const auto refused = made(folder, {"", "", kSteps + "<step id='pack' process='pack' title='Pack' on='unit' run='1 min'><uses material='box-card' amount='1'/></step>", ""});
  REQUIRE_FALSE(refused);
  CHECK(refused.error().front().mend.find("one a unit") != std::string::npos);
}

TEST_CASE("a jar that is good for weeks may be left to stand after it was taken out", "[pipeline]") {
  const Folder folder;
  const auto step = [&](const std::string& steps) { return good(folder, {"", "", steps, ""}).plan.work.steps.front(); };
  CHECK(step(kSteps).id == StepId("warm"));
  CHECK(step(kSteps).safe_to_stop);
  std::string said = kSteps;
  said.replace(said.find("unattended='4 h'"), 16, "unattended='4 h' safe-to-stop='no'");
  CHECK_FALSE(step(said).safe_to_stop);
}

TEST_CASE("a parts list is held against the references of the job", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='parts-list' path='bom.csv'/>";
  const auto told = [&](const std::string& list) {
    folder.put("bom.csv", list);
    std::vector<std::string> all;
    for (const plan::Finding& f : good(folder, {file, "", "", ""}).plan.findings) {
      if (f.rule.text == "parts-list") all.push_back(f.message);
    }
    return all;
  };
  using Told = std::vector<std::string>;
  CHECK(told("Designator,Qty,Value,DNP\n\"R1, R2\",2,10k,\nR3,1,4k7,\nU1,1,controller,\nR9,1,0R,x\n").empty());
  CHECK(told("refs;quantity\nR1-R3;6\nU1;2\n").empty());  // for a lot of two
  CHECK(told("Board 3, parts list\nRevision B\n\nReference(s),Qty,Value\nR1\xE2\x80\x93R3,3,10k\nU1,1,controller\nTotal,4,\n").size() == 1);  // a note: one line without reference
  CHECK(told("Reference,Qty,Value\nR1-3,3,10k\nU1,1,controller\n").empty());
  CHECK(told("Reference,Qty,Value\nR1..R3,3,10k\nU1,1,controller\n").empty());
  CHECK(told("Part;Value\nR1;10k\nR2;10k\nR3;4k7\nU1;controller\n").empty());
  CHECK(told("refs,qty\nR1-R3,4\nU1,1\n") == Told{"the parts list counts 4 of R1 and names 3 references"});
  CHECK(told("refs\nR1 R2\nR2\nX9\n") == Told{"R2 stands in the parts list twice", "R3 and U1 of the job are not in the parts list", "X9 of the parts list is no part of the job"});
  folder.put("bom.csv", "value,qty\n10k,3\n");
  const auto refused = made(folder, {file, "", "", ""});
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().front().code == "parts-list-columns");
}

TEST_CASE("references are read in the spellings people have", "[pipeline]") {
  using Refs = std::vector<std::string>;
  const Refs three{"R1", "R2", "R3"};
  for (const char* cell : {"R1 R2 R3", "R1,R2,R3", "R1-R3", "R1-3", "R1 - R3", "R1 to R3", "R1 TO R3", "R1..R3", "R1~R3", "R1 \xE2\x80\x93 R3", "R1/R2/R3", "R1+R2+R3", "R1 & R2 & R3", "R1, R2 and R3", "R1,2,3", "R1;R2-3", "R1, 2 - 3", "R1-2 R3", "R3-R1", "R1:R3", "R1:R2 R3", "R1\xEF\xBC\x8CR2\xE3\x80\x81R3", "R1\xC2\xA0R2,\xC2\xA0R3"}) {
    CAPTURE(cell);
    CHECK(references_in(cell).refs == three);
    CHECK(references_in(cell).unread.empty());
  }
  CHECK(references_in("C1,C2,R1").refs == Refs{"C1", "C2", "R1"});
  CHECK(references_in("J-1 U1A LED_1 V+ a:b").refs == Refs{"J-1", "U1A", "LED_1", "V+", "a:b"});
  CHECK(references_in("R3-C1 R7").unread == Refs{"R3-C1"});
  CHECK(references_in("R3-C1 R7").refs == Refs{"R7"});
  CHECK(references_in("R1-10k").unread == Refs{"R1-10k"});
  CHECK(references_in("-").refs.empty());
  CHECK(references_in("").refs.empty());
}

TEST_CASE("references with hard blanks, as formulas or in small letters are the job's own", "[pipeline]") {
  const Folder folder;
  const std::string files = "<file what='placement' path='list.csv'/><file what='parts-list' path='bom.csv'/>";
  folder.put("bom.csv", "refs,value,qty\n\"r1,r2\",10k,2\nR3\xC2\xA0,4k7,1\n=\"U1\",controller,1\n");
  for (const std::string r : {"R1\xC2\xA0", "=\"R1\"", "r1", " R1 "}) {
    CAPTURE(r);
    folder.put("list.csv", "ref,package,x (mm),y (mm),side,rot\n" + r + ",0603,5,5,top,0\nR2,0603,9,5,top,0\nR3,0603,9,9,top,0\nU1,QFN-32,20,12,top,0\n");
    const Outcome o = good(folder, {files, "", "", ""});
    for (const char* rule : {"placement-list", "parts-list"}) {
      for (const auto severity : {plan::Severity::stop, plan::Severity::warn, plan::Severity::undecided}) CHECK(finding(o.plan, rule, severity) == nullptr);
    }
    const auto& rows = page(o.plan, "placing-place")->tables[0].rows;
    CHECK(std::any_of(rows.begin(), rows.end(), [](const auto& row) { return row[1] == "10k" && row[4] == "R1 R2"; }));
  }
}

TEST_CASE("values and packages of the parts list are held against the placement list", "[pipeline]") {
  const Folder folder;
  const std::string places = "<file what='placement' path='list.csv'/>", file = "<file what='parts-list' path='bom.csv'/>";
  const auto told = [&](const std::string& list, const std::string& bom) {
    folder.put("list.csv", list);
    folder.put("bom.csv", bom);
    std::vector<std::string> all;
    for (const plan::Finding& f : good(folder, {places + file, "", "", ""}).plan.findings) {
      if (f.rule.text == "parts-list") all.push_back(f.message);
    }
    return all;
  };
  using Told = std::vector<std::string>;
  CHECK(told(kList, "refs,value,package\nR1 R2,10k 1%,R_0603_1608Metric\nR3,4.7k,0603\nU1,controller,VQFN-32\n").empty());
  CHECK(told(kList, "refs,value,package\nR1-R2,10K,0603\nR3,see note,special\nU1,other,\n").empty());
  CHECK(told(kList, "refs,value\nR1-R3,10k\nU1,controller\n") == Told{"R3 is 10k in the parts list and 4k7 in the placement list"});
  CHECK(told(kList, "refs,value\nR1 R2,1k\nR3,4k7\nU1,controller\n") == Told{"R1 and R2 are 1k in the parts list and 10k in the placement list"});
  CHECK(told(kList, "refs,footprint\nR1-R3,0805\nU1,QFN-24\n") == Told{"R1, R2 and R3 are 0805 in the parts list and 0603 in the placement list", "U1 is QFN-24 in the parts list and QFN-32 in the placement list"});
  // Where the placement list says no package, the card does.
  const std::string bare = "ref,value,x (mm),y (mm),rotation,side\nR1,10k,5,5,0,top\nR2,10k,9,5,0,top\nR3,4k7,13,5,90,top\nU1,controller,20,12,0,top\n";
  CHECK(told(bare, "refs,footprint\nR1-R3,R_0805_2012Metric\nU1,QFN-32\n") == Told{"R1, R2 and R3 are R_0805_2012Metric in the parts list and 0603 by the card of its part"});
}

TEST_CASE("quantities, marks and ranges of a parts list that are not read are told once", "[pipeline]") {
  const Folder folder;
  const auto told = [&](const std::string& bom) {
    folder.put("bom.csv", bom);
    std::vector<std::string> all;
    for (const plan::Finding& f : good(folder, {"<file what='parts-list' path='bom.csv'/>", "", "", ""}).plan.findings) {
      if (f.rule.text == "parts-list") all.push_back(f.message);
    }
    return all;
  };
  using Told = std::vector<std::string>;
  CHECK(told("refs,qty\nR1-R3,3x\nU1,1 pcs\n").empty());
  CHECK(told("refs,qty\nR1-R3,x3\nU1,\n").empty());
  CHECK(told("refs,qty\nR1-R3,5x\nU1,1\n") == Told{"the parts list counts 5 of R1 and names 3 references"});
  CHECK(told("refs,qty\nR1-R3,three\nU1,one\n") == Told{"the quantity 'three' (line 2) and 'one' (line 3) of the parts list is not read"});
  CHECK(told("refs,dnp\nR1,\nR2 R3,DNP\nU1,\n") == Told{"R2 and R3 are marked as not fitted at line 3 of the parts list, and the job places them"});
  CHECK(told("refs,qty\nR1-R3,3\nU1-R4,1\n") == Told{"U1 of the job is not in the parts list", "'U1-R4' of the parts list is not understood and not compared"});
}

TEST_CASE("values come from the parts list where the placement list has none, or are missed", "[pipeline]") {
  const Folder folder;
  const std::string places = "<file what='placement' path='list.csv'/>", file = "<file what='parts-list' path='bom.csv'/>";
  const auto bags = [&](const std::string& head, const std::string& files) {
    folder.put("list.csv", head + "\nR1,10k,5,5,0,top\nR2,10k,9,5,0,top\nR3,4k7,13,5,90,top\nU1,controller,20,12,0,top\n");
    folder.put("bom.csv", "refs,value\nR1 R2,10k\nR3,4k7\nU1,controller\n");
    const Outcome o = good(folder, {files, "", "", ""});
    const bool missed = std::any_of(o.plan.findings.begin(), o.plan.findings.end(), [](const plan::Finding& f) { return f.message.starts_with("nothing says the values of 'resistors'"); });
    return fmt::format("{}{}", page(o.plan, "placing-place")->tables.front().rows.size(), missed ? " missed" : "");
  };
  CHECK(bags("ref,value,x (mm),y (mm),rotation,side", places) == "3");
  CHECK(bags("Designator,Comment,x (mm),y (mm),rotation,side", places) == "3");
  CHECK(bags("ref,remark,x (mm),y (mm),rotation,side", places) == "2 missed");
  CHECK(bags("ref,remark,x (mm),y (mm),rotation,side", places + file) == "3");
}

TEST_CASE("packages, sides and places of a placement list that can't be are told once each", "[pipeline]") {
  const Folder folder;
  const auto told = [&](const std::string& list) {
    folder.put("list.csv", list);
    std::vector<std::string> all;
    std::string steps = kSteps;
    steps.replace(steps.find("title='Place' on='board'"), 24, "title='Place' on='board' side='top'");
    for (const plan::Finding& f : good(folder, {"<file what='placement' path='list.csv'/>", "", steps, ""}).plan.findings) {
      if (f.rule.text == "placement-list" && f.severity != plan::Severity::note) all.push_back(fmt::format("{} {}", plan::word(f.severity), f.message));
    }
    return all;
  };
  using Told = std::vector<std::string>;
  const auto list = [](double factor, const char* chip, const char* body, const char* side) {
    std::string text = "ref,value,package,x (mm),y (mm),rotation,side\n";
    for (int i = 0; i < 3; ++i) text += fmt::format("R{},10k,{},{},{},0,{}\n", i + 1, chip, (5 + 4 * i) * factor, 5 * factor, side);
    return text + fmt::format("U1,controller,{},{},{},0,{}\n", body, 20 * factor, 12 * factor, side);
  };
  CHECK(told(list(1, "R_0603_1608Metric", "VQFN-32-1EP_5x5mm", "top")).empty());
  CHECK(told(list(1, "R_0805_2012Metric", "QFN-32", "top")) == Told{"stop R1, R2 and R3 are an inch 0805 in the placement list, and the card of 'resistors' an inch 0603"});
  CHECK(told(list(1, "0603", "LQFP-32", "top")) == Told{"warn U1 is LQFP-32 in the placement list, and the card of 'controller' says qfn-32"});
  CHECK(told(list(1, "0603", "special", "top")).empty());
  CHECK(told(list(1, "0603", "QFN-32", "bottom")) == Told{"stop R1, R2, R3 and U1 are on the bottom side in the placement list, and 'place' places the top side"});
  // The board is 30 x 20 mm; a centre may hang over its edge.
  CHECK(told(list(2, "0603", "QFN-32", "top")).empty());
  CHECK(told(list(40, "0603", "QFN-32", "top")) == Told{"warn the places of the list spread over 600 x 280 mm, and 'board' is 30 x 20 mm"});
  CHECK(told(list(0.001, "0603", "QFN-32", "top")) == Told{"warn R1 (line 2) and R2 (line 3) of the placement list have the same place, and so have 5 more pairs of its parts"});
}

TEST_CASE("a line of the placement list that lies off the board is named", "[pipeline]") {
  const Folder folder;
  const std::string parts = "<part id='board' card='board-bare'/><part id='r' card='resistor-0603' name='resistors' count='10' refs='R1-R10'/><part id='u' card='qfn-32' name='controller' refs='U1'><bag opened='no'/></part>";
  const auto told = [&](double stray) {
    std::string list = "ref,value,x (mm),y (mm),rotation,side\nU1,controller,15,15,0,top\n";
    for (int i = 1; i <= 10; ++i) list += fmt::format("R{},10k,{},5,0,top\n", i, i == 4 ? stray : 2.5 * i);
    folder.put("list.csv", list);
    const Outcome o = good(folder, {"<file what='placement' path='list.csv'/>", parts, "", ""});
    const auto* f = finding(o.plan, "placement-list", plan::Severity::warn);
    return f == nullptr ? std::string() : fmt::format("{}: {}", f->place.line, f->message);
  };
  CHECK(told(10.1).empty());
  CHECK(told(33).empty());  // a socket at the edge
  CHECK(told(101) == "6: R4 of the placement list lies off the board: the other parts lie together, and 'board' is 30 x 20 mm");
}

TEST_CASE("a placement list that lies beside the job as a whole is told of once", "[pipeline]") {
  const Folder folder;
  const std::string file = "<file what='placement' path='list.csv'/>";
  const std::string parts =
      "<part id='board' card='board-bare' at='0 0 0 mm'/><part id='r' card='resistor-0603' name='resistors' count='3' refs='R1-R3'><place at='5 5 1.6 mm'/><place at='9 5 1.6 mm'/><place at='13 5 1.6 mm'/></part>"
      "<part id='u' card='qfn-32' name='controller' refs='U1' at='20 12 1.6 mm'><bag opened='no'/></part>";
  const auto told = [&](double dx, double dy, double first) {
    folder.put("list.csv", fmt::format("ref,x (mm),y (mm),rotation,side\nR1,{},{},0,top\nR2,{},{},0,top\nR3,{},{},0,top\nU1,{},{},0,top\n", 5 + dx + first, 5 + dy, 9 + dx, 5 + dy, 13 + dx, 5 + dy, 20 + dx, 12 + dy));
    std::vector<std::string> all;
    for (const plan::Finding& f : good(folder, {file, parts, "", ""}).plan.findings) {
      if (f.rule.text == "placement-list" && f.severity == plan::Severity::warn) all.push_back(f.message);
    }
    return all;
  };
  using Told = std::vector<std::string>;
  CHECK(told(0, 0, 0).empty());
  CHECK(told(100, -50, 0) == Told{"the whole placement list lies 100 mm in x and -50 mm in y from where the job has the parts"});
  CHECK(told(0, 0, 2) == Told{"the placement list puts 'resistors' more than 0.5 mm from where the job has them"});
}

TEST_CASE("a part whose mark nobody tells can be turned wrong: said, not guessed", "[pipeline]") {
  const Folder folder;
  folder.put("list.csv", kList);
  fs::create_directories(folder.path / "parts");
  folder.put("parts/chip.xml", "<cards version='1'><part id='blank-chip' name='Chip' package='qfn-32' polarised='yes'/></cards>");
  std::string parts = kParts;
  parts.replace(parts.find("card='qfn-32'"), 13, "card='blank-chip'");
  const Outcome o = good(folder, {"<file what='placement' path='list.csv'/>", parts, "", ""});
  const plan::Page* all = page(o.plan, "placing-place");
  REQUIRE(all != nullptr);
  const auto& rows = all->tables[0].rows;
  CHECK(std::count_if(rows.begin(), rows.end(), [](const auto& r) { return r[1] == "controller" && r[5].find("CAN BE TURNED WRONG") != std::string::npos; }) == 1);
}

TEST_CASE("where a bath meets a part that bears none, the way round the bath is told", "[pipeline]") {
  const Folder folder;
  fs::create_directories(folder.path / "parts");
  folder.put("parts/open.xml", "<cards version='1'><part id='open-sensor' name='Open sensor' no-wash='yes'/></cards>");
  const std::string parts = kParts + "<part id='s' card='open-sensor' name='sensor' refs='S1'/>";
  std::string steps = kSteps + "<step id='bath' process='clean-flux' title='Bath' on='board' run='3 min'><uses material='isopropanol' amount='3 g'/></step>";
  steps.replace(steps.find("<installs part='u'/>"), 20, "<installs part='u'/><installs part='s'/>");
  const auto made = good(folder, {"", parts, steps, ""});
  const auto f = finding(made.plan, "no-bath", plan::Severity::stop);
  REQUIRE(f != nullptr);
  CHECK(f->message == "'bath' washes 'sensor', which bears no washing and stands on the board since 'reflow'");
  CHECK(f->mend.starts_with("put 'sensor' on after it, or clean by hand around it with a step of process 'clean'"));
  steps.replace(steps.find("clean-flux"), 10, "clean");
  CHECK(finding(good(folder, {"", parts, steps, ""}).plan, "no-bath", plan::Severity::stop) == nullptr);
}

TEST_CASE("where a part would not bear the paste's window, the peak of the log is what to write", "[pipeline]") {
  const Folder folder;
  fs::create_directories(folder.path / "parts");
  folder.put("parts/soft.xml", "<cards version='1'><part id='soft-led' name='LED'><figure name='reflow-limit' value='243 degC' standing='measured'/></part></cards>");
  const std::string parts = kParts + "<part id='d' card='soft-led' refs='D1'/>";
  std::string steps = kSteps;
  steps.replace(steps.find("<installs part='u'/>"), 20, "<installs part='u'/><installs part='d'/>");
  folder.put("oven.csv.channels", kChannels);
  folder.put("oven.csv", cycle(0));
  const auto unlogged = good(folder, {"", parts, steps, ""});
  const auto blind = finding(unlogged.plan, "order-clash", plan::Severity::stop);
  REQUIRE(blind != nullptr);
  CHECK(blind->mend.find("write what its log shows as reaches=") != std::string::npos);
  const auto logged = good(folder, {"<file what='profile' path='oven.csv'/>", parts, steps, ""});
  const auto f = finding(logged.plan, "order-clash", plan::Severity::stop);
  REQUIRE(f != nullptr);
  CHECK(f->mend.starts_with("write reaches=\"243 degC\" into 'reflow'"));
  steps.replace(steps.find("station='oven'"), 14, "station='oven' reaches='243 degC'");
  CHECK(finding(good(folder, {"<file what='profile' path='oven.csv'/>", parts, steps, ""}).plan, "order-clash", plan::Severity::stop) == nullptr);
}
