// step.h: one step of the plan, as the sheet prints it and as the schedule times it. Words only.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "plan/reason.h"

namespace handlot::plan {

/// People, stations and counted fixtures are all resources.
struct Use {
  ResourceId resource;
  int count = 1;
  bool per_unit = false;      ///< count for each unit of the sub-batch (clamps, oven places), else once
  std::optional<StepId> until_start_of;  ///< held from this step's start until that step starts, for the same unit
  Duration hold_after_end{0}; ///< held so long after the step's end (clamped while it cures)
};

/// How a step runs:
///
///   |-- set-up --|-- run x units (or once) --|---- unattended ----|
///   '-- hands ---'-- hands, if `hands_on` ---'     nobody needed
///   '--------------------- resources of `uses` held ---------------'
struct Timing {
  bool whole_lot = false;      ///< one operation for the whole lot (receive, mix, pack the carton)
  Duration setup{0};           ///< once a sub-batch
  Duration run{0};             ///< hands-on time
  bool run_per_unit = true;    ///< run x units of the sub-batch; else once a sub-batch
  Duration unattended{0};      ///< once a sub-batch, after run; station stays taken
  bool hands_on = true;        ///< the run needs a person, as the set-up does in any case
  bool may_pause = false;      ///< may be left at the end of shop hours and taken up again
  std::vector<ResourceId> people;  ///< who can do it; empty = anybody
  std::vector<Use> uses;       ///< stations and fixtures
  int batch_min = 1;           ///< sub-batch sizes allowed
  int batch_max = 0;           ///< 0 = up to the lot
  bool first_piece = false;    ///< unit 1 alone, checked, before it is repeated
  Duration first_piece_check{0};
  bool first_alone = false;    ///< unit 1 goes alone too, though it is not checked here: it is on its way to a look (LookFirst)
  bool at_start = false;       ///< all its operations begin at Work::start: a moment that is fixed, such as now
  bool by_itself = false;      ///< begins by itself, also where nobody works at it and the shop is shut
  std::string material_family; ///< change of family on one station costs the station's change-over
};

struct StepPart {
  PartId part;
  std::string name;
  int count = 1;      ///< per unit
  std::string callout;  ///< "A", "B": as in the picture
};

struct StepTool {
  std::string name;
  std::string setting;  ///< "0.35 N m", "350 degC tip"; may be empty
};

struct StepMaterial {
  CardId card;
  std::string name;
  std::string amount_unit;  ///< "5 mg (1 drop)", "4 × 60 mm", "3 pieces"; may be empty
  std::string amount_lot;
};

/// A line that a rule adds to the builder's own: the order of tightening, fresh gloves, tighten again after a day.
struct Hint {
  RuleId rule;
  std::string text;   ///< a sentence without full stop
  Source source;
};

/// What is mixed as the step begins and is no good so long after: its clock runs while hands are at the step.
struct Cup {
  CardId card;
  std::string what;    ///< "5 min epoxy stays workable for 5 min in the cup"
  std::string if_late;
  Duration life{0};
  Source source;
};

struct Check {
  std::string id;     ///< stable within the step
  std::string what;   ///< an observable: "USB port faces the two holes"
  std::string limit;  ///< "0.2 to 0.4 mm"; empty for yes/no
  std::optional<double> low;
  std::optional<double> high;
  std::string unit;
  bool value = false; ///< a value is written down; else a tick
  bool weighs = false;  ///< the value is the weight of what is built so far
};

/// What stands together after a step, as far as shapes and densities tell; its mass: Step::weight_after.
struct Built {
  std::string what;            ///< "movement", "unit"
  std::array<double, 3> centre_mm{};  ///< of mass, in the finished device
  std::vector<PartId> without_mass;   ///< in it, and not in its mass: no density, no body
};

struct Step {
  StepId id;
  int number = 0;      ///< 10, 20, 30... in plan order
  std::string title;   ///< verb and object
  std::string process; ///< id of the process
  std::string section; ///< subassembly it belongs to, for headings
  Timing timing;
  std::vector<StepPart> parts;
  std::vector<StepTool> tools;
  std::vector<StepMaterial> materials;
  std::vector<std::string> actions;  ///< one action a line
  std::vector<Hint> hints;           ///< after the actions, by rule
  std::vector<Cup> cups;             ///< of which one serves each sub-batch as planned
  std::vector<Check> checks;
  std::vector<std::string> needs;    ///< states, cures and faces asked for: "board: firmware loaded"
  std::vector<std::string> gives;    ///< what the step makes so
  std::vector<std::string> takes;    ///< what the step ends
  std::optional<Grams> weight_after; ///< of one unit (or the subassembly in hand), from shapes and cards; empty = unknown
  std::string why_here;        ///< one line
  std::string orientation;     ///< how it must lie, if that can go wrong
  bool irreversible = false;
  bool hold = false;           ///< cannot be passed without its checks recorded
  bool safe_to_stop = true;    ///< may be left for days after this step
  std::string stop_note;       ///< why not, or what to do first
  std::string reminder;        ///< "4 of 4 screws": for steps that are easily forgotten
  std::string picture_svg;     ///< empty without geometry
  std::optional<Built> built;  ///< none without geometry, or for a step that works on nothing in particular
  Place place;                 ///< in the job file
};

}  // namespace handlot::plan
