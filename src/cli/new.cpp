// new: a small job to start from.
#include <fmt/format.h>

#include <filesystem>

#include "cli/verbs.h"
#include "input/file.h"

namespace handlot::cli {

namespace fs = std::filesystem;

namespace {

// A night light: a board in a printed shell, a lens glued on. Small, but with an oven, a cure and a test.
constexpr std::string_view kFirstJob = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- A small job to start from. Every amount carries its unit; 'handlot check' says what is wrong, and where. -->
<job version="1" name="Night light" revision="A">
  <lot units="4" start="2027-01-11 09:00" serials="NL-"/>
  <document name="board" revision="A"/>
  <bench zone="Europe/Paris">
    <room temperature="21 degC" humidity="45 %RH" volume="30 m3" air-changes="2 /h"/>
    <hours days="mon tue wed thu fri" from="09:00" to="12:30"/>
    <hours days="mon tue wed thu fri" from="13:30" to="17:30"/>
    <person id="me"/>
    <station id="oven" card="reflow-oven" places="6" together="yes"/>
    <station id="bench-top"/>
    <fixture id="clamp" count="4"/>
  </bench>
  <device>
    <part id="board" card="board-small"/>
    <part id="shell" card="shell-printed"/>
    <part id="lens" card="light-lens"/>
    <part id="lid-screw" card="m3x8-pan" count="2" clamps="board" into="shell"/>
  </device>
  <joints>
    <bond id="lens-bond" between="lens shell" adhesive="epoxy-5min" gap="0.1 mm" area="150 mm2"/>
  </joints>
  <steps>
    <step id="print-paste" process="print-paste" title="Print paste on the boards" on="board" setup="10 min" run="1 min" station="bench-top">
      <uses material="sac305-paste" amount="0.15 g"/>
      <do>Lay the board into the frame and the stencil over it.</do>
      <do>Draw the paste across in one stroke.</do>
      <check>every pad is covered and no two pads are joined</check>
    </step>
    <step id="place" process="place" title="Place the parts" on="board" run="6 min" station="bench-top" orientation="mark on the lamp driver towards the notch">
      <do>Set each part with tweezers, small ones first.</do>
      <check>every part lies on its pads, marks as drawn</check>
    </step>
    <step id="reflow" process="reflow" title="Reflow the boards" on="board" setup="2 min" unattended="8 min" station="oven" batch="1..6">
      <uses material="sac305-paste"/>
      <do>Lay the boards on the tray, not touching.</do>
      <do>Shut the door and start the oven.</do>
      <check>solder has wetted every end and every pad; of SAC305 it looks satin to slightly grainy</check>
    </step>
    <step id="test-board" process="test" title="Test the boards" on="board" tests="board" run="3 min" station="bench-top" hold="yes">
      <do>Connect 5 V and press the key.</do>
      <check limit="18..24 mV">drop across the sense resistor</check>
    </step>
    <step id="glue-lens" process="glue" title="Glue the lens" on="shell" bonds="lens-bond" setup="3 min" run="3 min" station="bench-top" irreversible="yes">
      <installs part="lens"/>
      <uses material="epoxy-5min" amount="20 mg"/>
      <holds fixture="clamp" count="1" until-joint="lens-bond" cure="handling"/>
      <do>Spread a thin line of glue on the seat.</do>
      <do>Lay the lens in and clamp it.</do>
      <check>no glue on the clear face</check>
    </step>
    <step id="fit-board" process="screw" title="Screw the board in" on="shell" run="4 min" station="bench-top" hides="board" irreversible="no">
      <installs part="board"/>
      <installs part="lid-screw"/>
      <tool name="driver T10" setting="0.4 Nm"/>
      <do>Lay the board on its posts.</do>
      <do>Drive the 2 screws.</do>
      <check>both heads sit flat</check>
    </step>
    <step id="pack" process="pack" title="Pack" on="unit" run="3 min" station="bench-top">
      <do>Lay the light into its box with the leaflet.</do>
      <check>nothing is left on the tray</check>
    </step>
  </steps>
</job>
)";

constexpr std::string_view kFirstCards = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- Cards of your own parts. They stand before ours of the same id. -->
<cards version="1">
  <part id="board-small" name="Lamp board" board="yes" polarised="yes"/>
  <part id="shell-printed" name="Printed shell" material="petg"/>
  <part id="light-lens" name="Acrylic lens" material="pmma" optical="yes"/>
</cards>
)";

int run_new(const Screen& screen, const std::string& folder) {
  std::error_code code;
  if (fs::exists(fs::path(folder) / "job.xml", code)) {
    screen.report({error("exists", {folder + "/job.xml", 0, 0}, "there is a job already, and it is not overwritten", "name another folder")});
    return kCannotWrite;
  }
  fs::create_directories(fs::path(folder) / "parts", code);
  if (code) {
    screen.report({error("cannot-write", {folder, 0, 0}, fmt::format("the folder can't be made: {}", code.message()), "check the path and its permissions")});
    return kCannotWrite;
  }
  for (const auto& [name, text] : {std::pair{"job.xml", kFirstJob}, {"parts/parts.xml", kFirstCards}}) {
    const auto written = input::write_text((fs::path(folder) / name).string(), std::string(text));
    if (!written) {
      screen.report(written.error());
      return kCannotWrite;
    }
    if (screen.json) continue;
    fmt::print("{}\n", (fs::path(folder) / name).string());
  }
  if (screen.json) fmt::print("{{\"written\": [\"job.xml\", \"parts/parts.xml\"]}}\n");
  screen.say(fmt::format("next: handlot {}", typed(folder + "/job.xml")));
  return kDone;
}

}  // namespace

void add_new(CLI::App& app, Screen& screen, Run& run) {
  CLI::App* v = verb(app, "new", "A small job to start from", "handlot new my-lamp");
  auto folder = std::make_shared<std::string>();
  v->add_option("dir", *folder, "Folder to make")->required()->type_name("DIR");
  v->callback([&screen, &run, folder] { run = [&screen, folder] { return run_new(screen, *folder); }; });
}

}  // namespace handlot::cli
