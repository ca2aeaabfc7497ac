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
      Rule{RuleId("paste-clock"), "Paste clocks", "Printed paste is covered with parts and in the oven before it dries.", "the paste's card", &paste_clock},
      Rule{RuleId("cure"), "Cure", "A joint has reached the state that a later step asks of it.", "the adhesive's card", &cure_first},
      Rule{RuleId("goes-in"), "A way in", "A part or subassembly goes in while a straight way, or one of two moves, is still open.", "the shapes of the parts", &goes_in},
      Rule{RuleId("tool-reach"), "The driver's reach", "A screw is driven while its driver still gets at it.", "the shapes of the parts and the tool's card", &tool_reach},
      Rule{RuleId("no-overlap"), "No shared space", "Parts do not share space unless a press fit, a thread or gears are declared.", "the shapes of the parts", &no_overlap},
      Rule{RuleId("keeps-clear"), "Room to move", "A part that turns or slides keeps clear of its neighbours over its range.", "the shapes of the parts", &keeps_clear},
      Rule{RuleId("comes-out-again"), "Serviceable", "What is marked serviceable comes out again without breaking a bond.", "the shapes of the parts", &comes_out_again},
      Rule{RuleId("not-modelled"), "Not checked by shape", "Parts without place or body are listed.", "the job file", &not_modelled},
      Rule{RuleId("listing"), "Listing", "Two steps that work on the same part keep the order of the job file where nothing else decides.", "the job file", &listing},
  };
  return kRules;
}

}  // namespace handlot::rules
