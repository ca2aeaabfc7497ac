// reason.h: why something stands where it does, what is wrong with it, and what it may do to hands.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/id.h"
#include "core/source.h"

namespace handlot::plan {

/// What family of fact a link of the order comes from.
enum class ReasonKind {
  stated,     ///< the job file says so
  part,       ///< a part is there before the step that uses it
  process,    ///< a step makes what a later one works on
  listing,    ///< nothing decides: the order of the job file is kept
  blocked,    ///< geometry: no way in any more
  access,     ///< geometry: no way for the tool any more
  fastener,   ///< a screw after all that it clamps
  motion,     ///< geometry: a moving part needs its room
  heat,       ///< a part would not survive the process
  cure,       ///< an adhesive is not yet as strong as the later step needs
  surface,    ///< a face must be bare, dry, masked, abraded...
  moisture,   ///< floor life of moisture-sensitive parts
  paste,      ///< solder paste clocks
  state,      ///< firmware loaded, port reachable...
  test,       ///< tested before it is hidden for good
  safety,     ///< not side by side, not before airing
  chemistry,  ///< solvent, oil or vapour against a material
  clock       ///< open time, trim window, pot life: a latest end
};
std::string_view word(ReasonKind kind);

/// Reads as a sentence on the sheet: "the display takes 60 degC and reflow reaches 245 degC".
struct Reason {
  ReasonKind kind = ReasonKind::stated;
  RuleId rule;
  std::string text;  ///< no capital at the start, no full stop
  Source source;
  Place place;                  ///< in the job file, where the fact was stated; empty if nowhere
  bool builders_choice = false; ///< the builder could change it in the job file (stated orders, listing)
};

enum class Severity {
  stop,       ///< cannot be built as planned
  warn,       ///< can be built, with loss or risk
  note,       ///< worth knowing
  undecided   ///< the data cannot decide; `mend` names the missing datum
};
std::string_view word(Severity severity);

/// Something a rule found. Waived findings stay in the list with the builder's own reason.
struct Finding {
  RuleId rule;
  Severity severity = Severity::note;
  std::vector<StepId> steps;
  std::vector<PartId> parts;
  std::vector<int> units;  ///< empty = all
  std::string message;     ///< no capital at the start, no full stop
  std::string mend;
  Source source;
  Place place;
  std::optional<std::string> waived_because;
  std::optional<double> expected_loss;  ///< in units of the lot, where the rule can say
};

/// ANSI Z535 classes by consequence [memory]: danger will, warning could kill or maim, caution could hurt, notice spoils property.
enum class CautionClass { danger, warning, caution, notice };
std::string_view word(CautionClass c);

enum class CautionAt {
  head,     ///< on the front page: holds for the whole job
  section,  ///< before a run of steps with the same material or process
  step      ///< in the step, before the action
};

/// hazard, consequence, avoidance: three short sentences that stand before the action they concern.
struct Caution {
  CautionClass level = CautionClass::caution;
  CautionAt at = CautionAt::step;
  std::string id;                    ///< stable: "cyanoacrylate-fibre"
  std::vector<StepId> steps;         ///< those it stands at; empty for head
  std::string hazard;
  std::string consequence;
  std::string avoid;
  std::vector<std::string> ghs;      ///< "GHS02", "GHS07": substances only
  std::vector<std::string> h_codes;  ///< "H225"
  std::vector<std::string> signs;    ///< ISO 7010 numbers: "W017", "M004"; bench and process only
  std::vector<std::string> protect;  ///< "nitrile gloves", "eye protection"
  std::vector<CardId> materials;
  Source source;
};

}  // namespace handlot::plan
