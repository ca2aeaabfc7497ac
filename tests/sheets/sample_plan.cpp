#include "sheets/sample_plan.h"

#include <fmt/format.h>

#include <algorithm>

namespace handlot::test {

namespace {

using namespace plan;

constexpr int kUnits = 6;
const Instant kStart{1792648800};  // 2026-10-22T06:00:00Z, 08:00 in Paris

Source practice() {
  return {"", "", Standing::practice};
}
Source sheet(const std::string& key, const std::string& at) {
  return {key, at, Standing::read};
}

/// A plate with two parts on it, seen from above and in front; enough to see how a picture sits in a step.
std::string picture(int number) {
  return fmt::format(
      R"s(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 220" width="320" height="220"><g fill="#fff" stroke="#000" stroke-width="1.2" stroke-linejoin="round"><path d="M30 130 160 180 290 120 160 75Z"/><path d="M30 130V150L160 202V180Z"/><path d="M290 120V140L160 202V180Z"/></g><g fill="#ddd" stroke="#000" stroke-width="2.4" stroke-linejoin="round"><path d="M120 {0}L160 {1}L200 {0}L160 {2}Z"/><path d="M120 {0}V{3}L160 {4}V{1}Z"/><path d="M200 {0}V{3}L160 {4}V{1}Z"/></g><path d="M160 20V{5}" stroke="#000" stroke-width="2" fill="none"/><path d="M154 {6}H166L160 {5}Z"/><circle cx="228" cy="78" r="12" fill="#fff" stroke="#000" stroke-width="1.5"/><text x="228" y="83" font-family="B612" font-weight="bold" font-size="14" text-anchor="middle">A</text><path d="M218 86 196 96" stroke="#000"/></svg>)s",
      95 + number % 3, 112, 80, 118, 136, 74, 64);
}

Check look(const std::string& id, const std::string& what) {
  return {id, what, "", {}, {}, "", false};
}

Check measure(const std::string& id, const std::string& what, double low, double high,
              const std::string& unit) {
  return {id, what, fmt::format("{} to {} {}", low, high, unit), low, high, unit, true};
}

struct Maker {
  std::vector<Step> steps;

  Step& add(const std::string& id, const std::string& title, const std::string& section, Duration setup,
            Duration run) {
    Step step;
    step.id = StepId(id);
    step.number = 10 * (static_cast<int>(steps.size()) + 1);
    step.title = title;
    step.process = id;
    step.section = section;
    step.timing.setup = setup;
    step.timing.run = run;
    step.why_here = "nothing decides here: the order of the job file is kept";
    step.place = {"jobs/fog-bell/job.xml", 20 + 12 * static_cast<int>(steps.size()), 5};
    steps.push_back(std::move(step));
    return steps.back();
  }
};

void add_board_steps(Maker& m) {
  Step* s = &m.add("receive", "Receive boards, stencil and bells", "board", minutes(10), minutes(15));
  s->timing.whole_lot = true;
  s->timing.run_per_unit = false;
  s->actions = {"Count boards, bells and cases against the kit list.",
                "Hold one board and the stencil against the drawing: both say revision C."};
  s->checks = {look("rev", "board and stencil carry revision C")};
  s->hold = true;
  s = &m.add("warm-paste", "Take the paste out of the fridge", "board", minutes(0), minutes(2));
  s->timing.whole_lot = true;
  s->timing.run_per_unit = false;
  s->materials = {{CardId("paste-sac"), "solder paste, tin silver copper", "", "1 jar"}};
  s->actions = {"Set the closed jar on the bench, lid up.", "Write the time on the jar."};
  s->why_here =
      "cold paste draws water from the air: it must reach the room's temperature before it is opened";
  s = &m.add("print", "Print paste on the boards", "board", minutes(12), minutes(3));
  s->parts = {{PartId("board"), "bell driver board", 1, "A"}};
  s->materials = {{CardId("paste-sac"), "solder paste, tin silver copper", "18 mg", "0.11 g"}};
  s->tools = {{"stencil, foil 0.12 mm", ""}, {"squeegee", "60 degrees, one stroke"}};
  s->actions = {"Lay the board in the frame, USB edge towards you.", "Print with one stroke.",
                "Lift the stencil straight up."};
  s->checks = {look("print", "every pad covered, no bridges under the loupe")};
  s->orientation = "USB edge towards you, parts side up";
  s->why_here = "the printed paste lasts 4 h, so printing waits until the parts are at hand";
  s->safe_to_stop = false;
  s->stop_note = "printed paste dries: place and reflow within 4 h";
  s->picture_svg = picture(3);
  s = &m.add("place", "Place parts on the boards", "board", minutes(5), minutes(11));
  s->parts = {{PartId("C1"), "capacitor 100 nF, 0603", 4, "A"},
              {PartId("U1"), "motor driver, 8 pins", 1, "B"},
              {PartId("D1"), "diode, stripe to the left", 1, "C"}};
  s->tools = {{"tweezers", ""}, {"loupe", "3x"}};
  s->actions = {"Place the four capacitors A.", "Place the driver B, dot at the corner with the dot.",
                "Place the diode C, stripe to the left."};
  s->checks = {look("dot", "dot of B stands at the dot of the board"),
               look("stripe", "stripe of C points left")};
  s->reminder = "6 of 6 parts on each board";
  s->safe_to_stop = false;
  s->stop_note = "reflow within 4 h of printing";
  s->picture_svg = picture(4);
  s = &m.add("reflow", "Reflow the boards", "board", minutes(10), minutes(1));
  s->timing.unattended = minutes(9);
  s->timing.uses = {{ResourceId("oven"), 1, false, {}, Duration{0}}};
  s->actions = {"Lay two boards on the tray marks.", "Start programme 2 and stay in the room.",
                "Take out below 60 degC."};
  s->checks = {measure("peak", "peak at the board's middle", 235, 250, "degC")};
  s->irreversible = true;
  s->timing.first_piece = true;
  s->timing.first_piece_check = minutes(6);
  s->hold = true;
  s->picture_svg = picture(5);
  s = &m.add("load", "Load firmware 1.4", "board", minutes(4), minutes(2));
  s->tools = {{"programming clip", "firmware 1.4"}};
  s->actions = {"Set the clip on the six pads.", "Run load.", "Read the version back."};
  s->checks = {look("version", "the board answers 1.4")};
  s->why_here = "the pads can be reached only until the board is in the case";
}

void add_case_steps(Maker& m) {
  Step* s = &m.add("sand", "Sand the cases to grain 240", "case", minutes(2), minutes(12));
  s->timing.may_pause = true;
  s->parts = {{PartId("case"), "ash case", 1, "A"}};
  s->tools = {{"sanding block", "grain 180, then 240"}};
  s->actions = {"Sand along the grain.", "Vacuum, then wipe with a dry cloth."};
  s->checks = {look("smooth", "no scratch shows in side light")};
  s = &m.add("mask", "Mask the glue faces of the feet", "case", minutes(1), minutes(4));
  s->materials = {{CardId("tape"), "masking tape", "60 mm", "0.4 m"}};
  s->actions = {"Lay tape over the four foot faces."};
  s->reminder = "4 of 4 faces masked";
  s->why_here = "oil on a face that is glued later keeps the glue from holding";
  s = &m.add("oil", "Oil the cases with tung oil", "case", minutes(6), minutes(7));
  s->materials = {{CardId("tung-oil"), "tung oil", "2 ml", "12 ml"}};
  s->actions = {"Wipe a thin coat on with the cloth.", "After 15 min wipe off what has not gone in.",
                "Hang the cloth out flat, outdoors."};
  s->checks = {look("dry", "no wet spots in side light")};
  s->why_here = "the case must be smooth before the oil closes the grain";
  s->picture_svg = picture(9);
  s = &m.add("unmask", "Take the tape off", "case", minutes(1), minutes(1));
  s->actions = {"Pull the tape back on itself."};
  s->reminder = "4 of 4 tapes off";
  s = &m.add("glue-feet", "Glue the brass feet", "case", minutes(8), minutes(5));
  s->parts = {{PartId("foot"), "brass foot, 12 mm", 4, "A"}, {PartId("case"), "ash case", 1, "B"}};
  s->materials = {{CardId("epoxy-slow"), "epoxy, slow, two parts", "0.2 g (2 drops)", "1.2 g"},
                  {CardId("isopropanol"), "isopropanol", "1 ml", "6 ml"}};
  s->tools = {{"clamp", "hand-tight"}};
  s->timing.uses = {{ResourceId("clamps"), 2, true, StepId("screw-lens"), Duration{0}}};
  s->actions = {"Roughen and degrease the face of each foot A.",
                "Mix the epoxy for 60 s; the pot lasts 25 min.",
                "Put 2 drops on each foot and set it on the case B.", "Clamp and wipe off what comes out."};
  s->checks = {measure("gap", "gap under the foot", 0.1, 0.3, "mm")};
  s->orientation = "hole of each foot points outwards";
  s->irreversible = true;
  s->hold = true;
  s->reminder = "4 of 4 feet";
  s->why_here = "the feet carry the clamp of the lens, and the epoxy needs 24 h before it is loaded";
  s->safe_to_stop = false;
  s->stop_note = "mixed epoxy lasts 25 min: finish the batch";
  s->picture_svg = picture(11);
}

void add_final_steps(Maker& m) {
  Step* s = &m.add("solder-motor", "Solder the leads of the motor", "bell", minutes(5), minutes(4));
  s->parts = {{PartId("motor"), "gear motor, 6 V", 1, "A"}, {PartId("board"), "bell driver board", 1, "B"}};
  s->materials = {{CardId("wire-sac"), "solder wire 0.7 mm", "30 mm", "0.2 m"}};
  s->tools = {{"iron, tip 2.4 mm", "350 degC"}};
  s->actions = {"Tin both leads.", "Solder red to + and black to -.", "Pull each lead gently."};
  s->checks = {look("wet", "solder has flowed round both leads")};
  s = &m.add("test-motor", "Test the motor before it goes in", "bell", minutes(3), minutes(3));
  s->tools = {{"bench supply", "6.0 V, limit 0.4 A"}};
  s->actions = {"Connect the supply.", "Let it turn ten times.", "Write the current down."};
  s->checks = {measure("current", "current while turning", 0.08, 0.2, "A")};
  s->why_here = "tested before it is hidden for good";
  s->hold = true;
  s = &m.add("fit-motor", "Fit motor and board in the case", "bell", minutes(2), minutes(8));
  s->parts = {{PartId("motor"), "gear motor, 6 V", 1, "A"}, {PartId("screw-m25"), "screw M2.5 x 8", 4, "B"}};
  s->tools = {{"driver T8", "0.35 N m"}};
  s->actions = {"Slide the board under the rails, USB first.", "Set the motor A, shaft up.",
                "Turn in four screws B crosswise."};
  s->reminder = "4 of 4 screws";
  s->orientation = "shaft up, USB towards the two holes";
  s->picture_svg = picture(14);
  s = &m.add("oil-gear", "Oil the gear", "bell", minutes(1), minutes(1));
  s->materials = {{CardId("clock-oil"), "clock oil", "1 mg (1 drop)", "6 mg"}};
  s->actions = {"Touch one drop to the second wheel."};
  s->why_here = "oil creeps: it comes after all that is glued or painted beside it";
  s = &m.add("set-hammer", "Set the hammer", "bell", minutes(2), minutes(6));
  s->tools = {{"feeler", "0.5 mm"}};
  s->actions = {"Turn the shaft to its end.", "Set the hammer against the feeler.", "Turn in the set screw."};
  s->checks = {measure("air", "air between hammer and bell", 0.4, 0.6, "mm")};
  s->picture_svg = picture(16);
  s = &m.add("screw-lens", "Screw the lens on", "closing", minutes(2), minutes(5));
  s->parts = {{PartId("lens"), "acrylic lens", 1, "A"}, {PartId("screw-m2"), "screw M2 x 6", 4, "B"}};
  s->tools = {{"driver T6", "0.20 N m"}};
  s->actions = {"Blow the dust out.", "Lay the lens A on.", "Turn in four screws B crosswise."};
  s->reminder = "4 of 4 screws";
  s->why_here = "the lens closes the only way to the hammer's screw";
  s->picture_svg = picture(17);
  s = &m.add("ring-test", "Ring each bell ten times", "closing", minutes(2), minutes(4));
  s->actions = {"Plug in.", "Press ring ten times.", "Listen for ten clear strokes."};
  s->checks = {measure("strokes", "clear strokes", 10, 10, ""), look("quiet", "no rattle between strokes")};
  s->hold = true;
  s = &m.add("air", "Let the closed bells air", "closing", minutes(0), minutes(1));
  s->timing.unattended = hours(12);
  s->timing.hands_on = true;
  s->timing.whole_lot = true;
  s->timing.run_per_unit = false;
  s->actions = {"Stand the bells open side down on slats."};
  s = &m.add("pack", "Pack with the card", "closing", minutes(3), minutes(4));
  s->actions = {"Wrap, box, put the card in.", "Write the serial on the box."};
  s->checks = {look("serial", "serial on box and bell are the same")};
}

/// Operations one after the other inside shop hours of 08:00 to 18:00; enough for a sheet, no claim to be a
/// good schedule.
void add_operations(Plan& plan, int batch) {
  Instant now = kStart;
  const auto open_again = [&] {
    const std::int64_t of_day = (now.seconds - kStart.seconds) % 86400;
    if (of_day > 10 * 3600) now = Instant(now.seconds + 86400 - of_day);
  };
  Instant finish = now;
  for (const auto& step : plan.work.steps) {
    if (step.id.text == "screw-lens")
      now = Instant(kStart.seconds + 4 * 86400 + 3600);  // after the long cure
    for (int unit = 1; unit <= plan.head.lot; unit += step.timing.whole_lot ? plan.head.lot : batch) {
      open_again();
      Operation op;
      op.step = step.id;
      op.first_unit = unit;
      op.last_unit = step.timing.whole_lot ? plan.head.lot : std::min(plan.head.lot, unit + batch - 1);
      op.start = now;
      op.hands_on = step.timing.setup +
                    step.timing.run *
                        (step.timing.run_per_unit && !step.timing.whole_lot ? op.last_unit - unit + 1 : 1);
      op.hands_end = now + op.hands_on;
      op.end = op.hands_end + step.timing.unattended;
      op.people = {ResourceId("maker")};
      op.uses = step.timing.uses;
      op.because = "hands are free";
      now = op.hands_end;
      finish = std::max(finish, op.end);
      plan.schedule.hands_on += op.hands_on;
      plan.schedule.operations.push_back(std::move(op));
    }
  }
  plan.schedule.status = Schedule::Status::feasible;
  plan.schedule.start = kStart;
  plan.schedule.finish = finish;
  plan.schedule.makespan = finish - kStart;
  plan.schedule.bound = Duration(plan.schedule.makespan.seconds * 9 / 10);
  plan.schedule.stopped_by = "0.2 s";
}

void add_cautions(Plan& plan) {
  plan.cautions = {
      {CautionClass::danger,
       CautionAt::head,
       "mains",
       {},
       "the oven runs on mains voltage",
       "a broken lead can kill",
       "pull the plug before you open it, and leave its wiring to licensed hands",
       {},
       {},
       {"W012"},
       {},
       {},
       practice()},
      {CautionClass::warning,
       CautionAt::step,
       "oily-rags",
       {StepId("oil")},
       "rags wet with tung oil heat themselves",
       "a crumpled rag can set the shop on fire",
       "lay rags flat outdoors, or keep them under water in a closed metal can",
       {"GHS08"},
       {},
       {"W021", "P003"},
       {},
       {CardId("tung-oil")},
       sheet("WH", "ch. 16")},
      {CautionClass::warning,
       CautionAt::step,
       "solvent-vapour",
       {StepId("glue-feet")},
       "isopropanol burns and its vapour too",
       "a spark lights it",
       "no flame, no hot tool within 2 m; open the window",
       {"GHS02", "GHS07", "GHS08", "GHS09"},
       {"H225", "H319", "H336"},
       {"P003", "W021"},
       {"eye protection"},
       {CardId("isopropanol")},
       sheet("SDS-IPA", "section 2")},
      {CautionClass::caution,
       CautionAt::section,
       "epoxy-skin",
       {StepId("glue-feet")},
       "uncured epoxy makes the skin allergic",
       "the allergy stays for life",
       "wear nitrile gloves and change them when they are wet",
       {"GHS07", "GHS09"},
       {"H315", "H317", "H319", "H411"},
       {"M009"},
       {"nitrile gloves"},
       {CardId("epoxy-slow")},
       sheet("SDS-EP", "section 2")},
      {CautionClass::caution,
       CautionAt::step,
       "hot-tray",
       {StepId("reflow"), StepId("solder-motor")},
       "tray and iron are hot",
       "they burn the skin at once",
       "use the tray hook and the iron's stand",
       {},
       {},
       {"W017"},
       {},
       {},
       practice()},
      {CautionClass::caution,
       CautionAt::section,
       "fume",
       {StepId("reflow"), StepId("load"), StepId("solder-motor")},
       "flux fume irritates the airways",
       "it can bring on asthma",
       "run the extractor over the work",
       {},
       {"H334"},
       {"M017"},
       {"fume extraction"},
       {},
       sheet("HSE-FLUX", "p. 1")},
      {CautionClass::notice,
       CautionAt::step,
       "lens-scratch",
       {StepId("screw-lens")},
       "acrylic scratches and crazes",
       "the lens is spoilt",
       "leave the film on; no solvent near it",
       {},
       {},
       {},
       {},
       {},
       practice()},
  };
}

Wait wait(const std::string& from, const std::string& to, Duration min, std::optional<Duration> max,
          const std::string& what, const std::string& then) {
  Wait w;
  w.id = from + ".end>" + to + ".start";
  w.from = {StepId(from), Edge::end};
  w.to = {StepId(to), Edge::start};
  w.min = min;
  w.max = max;
  w.what = what;
  w.then = then;
  w.source = practice();
  return w;
}

void add_waits(Plan& plan) {
  Wait paste_warm = wait("warm-paste", "print", hours(2), {}, "paste comes to room temperature",
                         "stir it and print (step 30)");
  paste_warm.kind = ReasonKind::paste;
  paste_warm.scope = Scope::lot;
  paste_warm.meanwhile = {StepId("sand")};
  Wait paste_dries =
      wait("print", "reflow", Duration{0}, hours(4), "printed paste dries", "reflow (step 50)");
  paste_dries.kind = ReasonKind::clock;
  paste_dries.if_late = "wipe the board, wash it and print again";
  Wait oil_dry = wait("oil", "unmask", hours(12), hours(48), "tung oil dries to the touch",
                      "take the tape off (step 100)");
  oil_dry.if_late = "the tape's edge tears the film: cut along it first";
  oil_dry.meanwhile = {StepId("solder-motor")};
  Wait cure = wait("glue-feet", "screw-lens", hours(72), {}, "epoxy of the feet cures to full strength",
                   "screw the lens on (step 170)");
  cure.source = sheet("TDS-EP", "p. 2, table 1");
  cure.meanwhile = {StepId("solder-motor"), StepId("test-motor"), StepId("set-hammer")};
  plan.waits = {paste_warm, paste_dries, oil_dry, cure};
  for (const auto& w : plan.waits) {
    Constraint c;
    c.from = w.from;
    c.to = w.to;
    c.min = w.min;
    c.max = w.max;
    c.scope = w.scope;
    c.reason = {w.kind,   RuleId("cure-before-load"),       w.what,
                w.source, {"jobs/fog-bell/job.xml", 61, 3}, false};
    plan.work.constraints.push_back(c);
  }
}

KitRow row(const std::string& kind, const std::string& id, const std::string& name, double per_unit,
           const std::string& unit, int lot, const std::string& step) {
  KitRow r;
  r.id = id;
  r.name = name;
  r.kind = kind;
  r.per_unit = per_unit;
  r.unit = unit;
  r.lot = per_unit * lot;
  r.first_step = step;
  return r;
}

void add_kit(Plan& plan) {
  const int lot = plan.head.lot;
  const std::string square =
      R"s(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40" width="60" height="40"><path d="M5 15 30 5 55 15 30 25Z M5 15V25L30 35V25 M55 15V25L30 35" fill="#eee" stroke="#000"/></svg>)s";
  plan.kit = {row("part", "board", "bell driver board", 1, "", lot, "print"),
              row("part", "case", "ash case", 1, "", lot, "sand"),
              row("part", "foot", "brass foot", 4, "", lot, "glue-feet"),
              row("part", "motor", "gear motor, 6 V", 1, "", lot, "solder-motor"),
              row("part", "lens", "acrylic lens", 1, "", lot, "screw-lens"),
              row("screw", "screw-m25", "screw M2.5 x 8", 4, "", lot, "fit-motor"),
              row("screw", "screw-m2", "screw M2 x 6", 4, "", lot, "screw-lens"),
              row("material", "epoxy-slow", "epoxy, slow, two parts", 0.2, "g", lot, "glue-feet"),
              row("material", "tung-oil", "tung oil", 2, "ml", lot, "oil"),
              row("material", "paste-sac", "solder paste, tin silver copper", 0.018, "g", lot, "warm-paste"),
              row("consumable", "tape", "masking tape", 60, "mm", lot, "mask"),
              row("tool", "driver-t8", "driver T8", 0, "", 1, "fit-motor")};
  for (auto& r : plan.kit) {
    if (r.kind == "part" || r.kind == "screw") r.picture_svg = square;
  }
  plan.kit[2].size = "12 x 12 x 8 mm";
  plan.kit[2].spare = 1;
  plan.kit[5].spec = "pan head, T8";
  plan.kit[5].bag = "B1";
  plan.kit[5].look_alikes = {"screw M2 x 6 (bag B2)"};
  plan.kit[6].spec = "pan head, T6";
  plan.kit[6].bag = "B2";
  plan.kit[6].look_alikes = {"screw M2.5 x 8 (bag B1)"};
  plan.kit[11].lot = 1;
}

void add_findings(Plan& plan) {
  Finding late;
  late.rule = RuleId("moisture-floor-life");
  late.severity = Severity::warn;
  late.steps = {StepId("reflow")};
  late.parts = {PartId("U1")};
  late.message = "the driver's bag was opened 9 days before reflow, and it may lie open for 7";
  late.mend = "bake it for 24 h at 125 degC, or open a new bag";
  late.source = sheet("J-STD-033", "table 5-1");
  late.place = {"jobs/fog-bell/job.xml", 88, 5};
  Finding gap;
  gap.rule = RuleId("glue-gap");
  gap.severity = Severity::undecided;
  gap.steps = {StepId("glue-feet")};
  gap.message = "nobody says how flat the case is, so the gap under the feet is not known";
  gap.mend = "measure three cases and write flatness=\"... mm\"";
  gap.source = practice();
  gap.place = {"jobs/fog-bell/job.xml", 140, 5};
  Finding heat;
  heat.rule = RuleId("heat-limit");
  heat.severity = Severity::note;
  heat.steps = {StepId("solder-motor")};
  heat.message = "the motor takes 85 degC at its case, and the iron is near";
  heat.mend = "solder at the end of the lead";
  heat.source = practice();
  heat.waived_because = "leads are 40 mm long";
  plan.findings = {late, gap, heat};
  plan.waivers = {{RuleId("heat-limit"),
                   {StepId("solder-motor")},
                   "leads are 40 mm long",
                   {"jobs/fog-bell/job.xml", 12, 3}}};
}

void add_rest(Plan& plan) {
  plan.work.resources = {
      {ResourceId("maker"), "maker", Resource::Kind::person, 1, {}, {}, {}, false},
      {ResourceId("oven"), "small oven", Resource::Kind::station, 2, minutes(8), minutes(20), {}, true},
      {ResourceId("clamps"), "small clamps", Resource::Kind::fixture, 4, {}, {}, {}, false}};
  for (int day = 0; day < 6; ++day) {
    plan.work.hours.push_back(
        {Instant(kStart.seconds + day * 86400), Instant(kStart.seconds + day * 86400 + 10 * 3600)});
  }
  Page oven;
  oven.id = "oven";
  oven.title = "Oven: window and last verdict";
  oven.lines = {"Window of the paste: 60 to 90 s above 217 degC, peak 235 to 250 degC.",
                "Last log: 71 s above 217 degC, peak 243 degC: inside on both board channels."};
  oven.picture_svg =
      R"s(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 160" width="400" height="160"><path d="M20 10V140H390" fill="none" stroke="#000"/><path d="M20 130Q80 90 140 80T240 60L280 25L300 30L360 110" fill="none" stroke="#000" stroke-width="2"/><path d="M20 45H390" stroke="#000" stroke-dasharray="4 3"/><text x="24" y="40" font-size="10" font-family="B612">217 degC</text></svg>)s";
  oven.step = StepId("reflow");
  plan.pages = {oven};
  plan.sources = {"WH: Wood Handbook, FPL-GTR-190 (2010)", "TDS-EP: data sheet of an invented epoxy",
                  "SDS-IPA: safety data sheet of isopropanol"};
  plan.material_lots = {{"epoxy-slow", "L2231"}};
}

}  // namespace

Plan sample_plan() {
  Plan plan;
  plan.head.name = "Fog bell";
  plan.head.revision = "C";
  plan.head.lot = kUnits;
  for (int unit = 1; unit <= kUnits; ++unit) plan.head.serials.push_back(fmt::format("FB-{:03}", unit));
  plan.head.hash = "3fa9c12b77de";
  plan.head.zone = "Europe/Paris";
  plan.head.builder = "Attic workshop";
  plan.head.notes = "Second lot. The hammer of lot 1 sat 0.2 mm too low.";
  plan.head.documents = {
      {"board", "rev C"}, {"stencil", "rev C"}, {"firmware", "1.4"}, {"case drawing", "rev B"}};
  plan.head.room_temperature = Celsius(21);
  plan.head.room_humidity = RelativeHumidity(45);
  plan.head.program_version = "0.1.0";
  plan.head.file = "jobs/fog-bell/job.xml";
  Maker maker;
  add_board_steps(maker);
  add_case_steps(maker);
  add_final_steps(maker);
  plan.work.steps = maker.steps;
  plan.work.units = kUnits;
  plan.work.start = kStart;
  add_rest(plan);
  add_operations(plan, 2);
  add_cautions(plan);
  add_waits(plan);
  add_kit(plan);
  add_findings(plan);
  return plan;
}

Plan large_plan(int steps, int lot) {
  Plan plan = sample_plan();
  const std::vector<Step> pattern = plan.work.steps;
  plan.work.steps.clear();
  for (int i = 0; i < steps; ++i) {
    Step step = pattern[static_cast<std::size_t>(i) % pattern.size()];
    step.number = 10 * (i + 1);
    if (i >= static_cast<int>(pattern.size())) step.id = StepId(fmt::format("{}-{}", step.id.text, i));
    plan.work.steps.push_back(std::move(step));
  }
  plan.head.lot = plan.work.units = lot;
  plan.head.serials.clear();
  for (int unit = 1; unit <= lot; ++unit) plan.head.serials.push_back(fmt::format("FB-{:03}", unit));
  plan.schedule = Schedule{};
  add_operations(plan, 1);
  return plan;
}

}  // namespace handlot::test
