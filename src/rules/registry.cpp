// The list of rules. A new rule is one line here, one function in rules.h, one file, one test.
#include <array>

#include "rules/rules.h"

namespace handlot::rules {

std::span<const Rule> all_rules() {
  static const std::array kRules{
      Rule{RuleId("stated-order"), "Stated order", "A step comes after those that its <after> lines name, at least and at most so long after.", "the job file", &stated_order},
      Rule{RuleId("assembly-whole"), "A subassembly is whole before it goes in", "What belongs to a subassembly is put in before the subassembly itself is.", "common practice, no source", &assembly_whole},
      Rule{RuleId("process-result"), "A process before what needs its result", "Paste before parts, parts before oven, mask before oil, activator before glue, on the same part.", "common practice, no source", &process_result},
      Rule{RuleId("screws-last"), "Screws last", "A screw goes in after everything that it holds and after what it bites in.", "common practice, no source", &screws_last},
      Rule{RuleId("states"), "States", "A state that a step needs is given before it and not taken away between.", "the job file", &states_held},
      Rule{RuleId("heat-limit"), "Heat", "A part that would not survive a hot process comes in after it.", "heat limits of the cards", &heat_limit},
      Rule{RuleId("clamped"), "Clamped while it cures", "A fixture is taken until the joint holds, the time is over, or the named step begins.", "the job file and the adhesive's card", &clamped_while_curing},
      Rule{RuleId("tested-before-hidden"), "Tested before it is hidden", "What an irreversible step hides is tested before it; what no step tests is said.", "common practice, no source", &tested_before_hidden},
      Rule{RuleId("paste-clock"), "Paste clocks", "Paste warms in its shut jar, is used up in time, and once printed is covered with parts and in the oven before it dries.", "the paste's card", &paste_clock},
      Rule{RuleId("paste-card"), "Paste on the stencil", "No more boards are printed at one go than the paste's life on the stencil allows; what its card leaves open is said.", "the paste's card", &paste_card},
      Rule{RuleId("chip-size"), "Chip sizes", "A chip's code says inch or metric, and its body is of that size.", "CHIPS size table", &chip_size},
      Rule{RuleId("moisture"), "Floor life", "Parts that take up moisture are through their last run of the oven before their floor life is over, or are baked by the table first.", "J-STD-033 tables 4-1 and 7-1, reprints MSLREP, BAKE41", &moisture},
      Rule{RuleId("second-side"), "The side that hangs", "What hangs under a board while its other side is reflowed is light enough for its pads, or glued, and bears so many runs.", "HANG30, 30 g per square inch of pad (memory); the cards' reflow-passes", &second_side},
      Rule{RuleId("iron"), "The iron", "No tip above 425 degC, and none hotter or longer on a part than its maker allows.", "CIRCNET, MG4902P, DWELL; the parts' cards", &iron},
      Rule{RuleId("flux-residue"), "Flux that corrodes", "Water-soluble flux is washed off within eight hours.", "common practice, no source", &flux_residue},
      Rule{RuleId("flux-shut-in"), "Flux under a film", "Flux is cleaned off before lacquer or resin covers the board.", "common practice, no source", &flux_shut_in},
      Rule{RuleId("dry-before-power"), "Dry before power", "A washed board is dry before it gets power or is covered.", "common practice, no source", &dry_before_power},
      Rule{RuleId("cure"), "Cure", "A joint has reached the state that a later step asks of it.", "the adhesive's card", &cure_first},
      Rule{RuleId("goes-in"), "A way in", "A part or subassembly goes in while a straight way, or one of two moves, is still open.", "the shapes of the parts", &goes_in},
      Rule{RuleId("tool-reach"), "The driver's reach", "A screw is driven while its driver still gets at it.", "the shapes of the parts and the tool's card", &tool_reach},
      Rule{RuleId("no-overlap"), "No shared space", "Parts do not share space unless a press fit, a thread or gears are declared.", "the shapes of the parts", &no_overlap},
      Rule{RuleId("keeps-clear"), "Room to move", "A part that turns or slides keeps clear of its neighbours over its range.", "the shapes of the parts", &keeps_clear},
      Rule{RuleId("comes-out-again"), "Serviceable", "What is marked serviceable comes out again without breaking a bond.", "the shapes of the parts", &comes_out_again},
      Rule{RuleId("cable-slack"), "Cables", "A cable reaches, closed and opened for service, and is not bent more sharply than it bears.", "the job file; bend radius: the cable's card, else six outer diameters", &cable_slack},
      Rule{RuleId("not-modelled"), "Not checked by shape", "Parts without place or body are listed.", "the job file", &not_modelled},
      Rule{RuleId("cure-room"), "Room and cure", "The room is warm enough for an adhesive, and neither too dry nor too damp for instant glue.", "the adhesive's card; times are never extrapolated", &cure_room},
      Rule{RuleId("bond-gap"), "Gap", "The gap of a bond is one that its adhesive fills.", "the adhesive's card; HAT joint gaps, MD2002", &bond_gap},
      Rule{RuleId("bond-amount"), "Amount of adhesive", "A joint gets area x film x density, and not four times that beside a window or a moving part.", "derived; the factor is common practice", &bond_amount},
      Rule{RuleId("bond-strength"), "Strength", "A bond carries its load with the factor wanted (3 unless stated), on a quarter of the published lap shear, a tenth of that in peel; structural adhesives without a published figure are trusted with 1.5 MPa.", "the adhesive's card; a quarter, a tenth and 1.5 MPa are common practice", &bond_strength},
      Rule{RuleId("bond-surface"), "Adhesive and surface", "An adhesive holds on its materials and does not crack or corrode them.", "HAS p. 401, THREADLOCK; primers from memory", &bond_surface},
      Rule{RuleId("wood-movement"), "Wood across a rigid bond", "Between 30 and 65 %RH, wood moves no more than 0.3 mm against a rigid bond; from 1 mm it parts.", "WH eq. 4-5, 13-2, 13-3; the limits are common practice", &wood_movement},
      Rule{RuleId("thermal-growth"), "Growth across a rigid bond", "Two bonded materials differ by no more than 0.3 mm between 0 and 40 degC or in a later hot step; from 1 mm it parts.", "expansion from the cards; the limits are common practice", &thermal_growth},
      Rule{RuleId("pot-life"), "Pot life", "A cup is used up before it goes off, by its mass and the warmth of the room.", "the adhesive's card, EPOXYWORKS", &pot_life},
      Rule{RuleId("latest-ends"), "Clocks that run out", "Open time, trim window, pot life, activator and soaking oil end when their cards say.", "the cards", &latest_ends},
      Rule{RuleId("screw-stack"), "Screw length", "A screw bites as deep as its parent asks and does not bottom.", "ENGAGE, REMFORM", &screw_stack},
      Rule{RuleId("screw-torque"), "Torque", "No screw is set harder than it and its parent bear.", "TORQUE898, ANZOR; caps from memory", &screw_torque},
      Rule{RuleId("screw-order"), "Crosswise", "Three screws or more are drawn down crosswise in two rounds; the sheet prints the order.", "common practice, no source", &screw_order},
      Rule{RuleId("tighten-again"), "Tightened again", "A screw over wood, cork or rubber is drawn down again after a day.", "common practice, no source", &tighten_again},
      Rule{RuleId("thread-lock"), "Threadlocker", "Threadlocker goes on metal threads, never beside plastic.", "THREADLOCK", &thread_lock},
      Rule{RuleId("look-alikes"), "Look-alikes", "Screws of one thread within 2 mm of length are kept in labelled bags.", "common practice, no source", &look_alikes},
      Rule{RuleId("clean-faces"), "Clean faces", "What is glued or soldered is not oiled, waxed, lacquered or greased before, unless it is masked or cleaned between.", "common practice, no source", &clean_faces},
      Rule{RuleId("carried"), "Carried by tool, jig and glove", "What oil, wax or silicone touched does not go on to a face that must be bare: tools and jigs are not shared, gloves are changed.", "common practice, no source", &carried},
      Rule{RuleId("face-states"), "States of faces", "A face is in the state that a step asks for, made so no longer before than it says.", "the job file and the processes' cards", &face_states},
      Rule{RuleId("finish-dry"), "Dry finish", "A finish is dry before it is touched and ready before the next coat.", "the finish's card", &finish_dry},
      Rule{RuleId("compatibility"), "Liquid against material", "No liquid reaches a material or a finish that it dissolves, swells or cracks.", "COMPAT table, PERMABOND", &compatibility},
      Rule{RuleId("glue-on-fibre"), "Instant glue and fibre", "Instant glue does not meet cotton, wool, leather, felt, cork or paper.", "SDS3M", &glue_on_fibre},
      Rule{RuleId("bloom-vent"), "Bloom", "A box with a window, lens or display is closed only when vapour of instant glue has vented.", "the adhesive's card; 24 h is common practice", &bloom_vent},
      Rule{RuleId("bloom-inside"), "Bloom shut in", "The joint that closes such a box is not made with a blooming glue.", "PERMABOND", &bloom_inside},
      Rule{RuleId("room-air"), "Vapour in the room", "Vapour stays under a tenth of what lights and under the exposure limits.", "well-mixed model; NPG, CB", &room_air},
      Rule{RuleId("kept-apart"), "Never together", "Open flammable vapour and oily rags are never out beside an iron, oven or hot air.", "CB, RAGFIRE", &kept_apart},
      Rule{RuleId("licensed-hold"), "Hold before mains or a lithium cell", "Mains is put on only after a hold at which a licensed person has signed; a lithium cell is connected only at or after a hold.", "common practice, no source; local codes and licensed practice come first", &licensed_hold},
      Rule{RuleId("oily-rags"), "Oily rags", "Rags with drying oil have a step that puts them away.", "RAGFIRE", &oily_rags},
      Rule{RuleId("cautions"), "Cautions", "Every hazard of materials and processes has its caution, once, in its place.", "data sheets; classes after ANSI Z535 (memory)", &cautions},
      Rule{RuleId("tested-after-change"), "Tested after the last change", "What is hidden for good is tested after the last work on it.", "common practice, no source", &tested_after_change},
      Rule{RuleId("first-piece"), "First piece", "What can't be undone or can be turned is done once and looked at before it is repeated.", "common practice, no source", &first_piece},
      Rule{RuleId("instructions"), "Instructions", "One action a line, seven at most, warnings first.", "TWI workbook p. 98", &instructions},
      Rule{RuleId("names-apart"), "Names", "No two parts are read for one another.", "common practice, no source", &names_apart},
      Rule{RuleId("listing"), "Listing", "Two steps that work on the same part keep the order of the job file where nothing else decides.", "the job file", &listing},
  };
  return kRules;
}

}  // namespace handlot::rules
