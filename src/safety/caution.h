// caution.h: what may hurt hands, lungs, house or unit at each step, in the right class and at the right place.
#pragma once

#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/id.h"
#include "core/quantity.h"
#include "core/source.h"
#include "plan/reason.h"
#include "safety/label.h"

namespace handlot::safety {

/// What a step does that may hurt, whatever it is called.
enum class Act {
  iron,             ///< soldering by hand
  oven,             ///< baking, reflow, curing hot
  hot_air,
  hot_glue,
  rosin_fume,       ///< flux that holds rosin, heated
  leaded_solder,
  sanding_wood,     ///< any wood dust
  sensitising_dust, ///< of a wood that sensitises
  brass_dust,       ///< filing, sanding brass
  fibre_dust,       ///< of circuit board, glass or carbon laminate
  stone_dust,       ///< of stone, ceramic or glass
  machine,          ///< drill, saw, lathe
  ultraviolet,      ///< a lamp that hardens adhesive
  cutting,          ///< knife, trimmed leads
  glass,            ///< bare glass handled or pressed
  mixing_warm,      ///< 100 g or more of resin in one cup
  drying_oil,       ///< rags that may catch fire
  lithium_cell,     ///< a cell is in reach of the work
  button_cell,      ///< a coin cell is
  cell_in_hand,     ///< a cell itself is put in, pressed down, connected
  coin_in_hand,     ///< a coin cell is
  heat_near_cell,   ///< iron or oven with a cell fitted
  mains,            ///< touchable mains wiring
  powered_test,     ///< first power on the bench
  clamping_optics,  ///< pressing on a lens, window or display
  bloom_near_optics ///< instant glue beside a lens, window or display
};
std::string_view word(Act act);

/// A substance that a step opens.
struct Substance {
  CardId card;
  std::string name;
  std::string family;        ///< "cyanoacrylate", "epoxy", "ipa", "drying-oil" ...
  Label label;
  bool flammable_vapour = false;
  Source source;             ///< of the label
  bool gives_off = false;    ///< something to breathe while it cures, whatever its label says
};

/// All that the cautions need of one step, in plan order.
struct StepFacts {
  StepId step;
  std::vector<Substance> substances;
  std::set<Act> acts;
  bool fibre_touched = false;  ///< natural fibre is glued, wiped with, or worn at the step
  bool sprayed = false;        ///< its substances go through the air as a mist
  std::optional<Celsius> reaches;  ///< what it heats gets so hot, where that is known

  /// What the card of its process asks for, whatever is worked on: "Saw"; its id; ISO 7010 numbers; to wear; to heed.
  std::string process_name;
  std::string process;
  std::vector<std::string> signs, wear, heed;
};

/// The cautions of a plan: each once, most serious first.
///
///   head      what holds all through: mains, lithium, lead, eating at the bench, deferrals
///   section   a substance or a process, before each run of steps that uses it
///   step      what may go wrong at that one step
///
/// Class by consequence (ANSI Z535, memory): danger will kill or maim, warning could, caution could hurt, notice spoils the
/// unit. The word of a label is not the class: "Danger" of a solvent's label is its GHS signal word and stands in `ghs`.
/// Protective equipment by substance; first aid is never given, only "see the data sheet".
/// What the card of a process asks for stands apart, as far as the other cautions of the step do not say it.
/// Returns  ids in `steps` in plan order; two substances of one family share one caution, with all their codes.
std::vector<plan::Caution> cautions(std::span<const StepFacts> steps);

/// The caution of one act, or of a family of substances, without steps: for the reference page.
std::optional<plan::Caution> caution_of(Act act);
plan::Caution caution_of(const Substance& substance);

/// Steps that may not overlap anywhere in the shop.
struct Apart {
  bool apart = false;
  Duration clear_after_a{0};  ///< the air: b no sooner than this after a
  Duration clear_after_b{0};
  Duration cools_a{0};        ///< the tool: b is not opened sooner than this after a
  Duration cools_b{0};
  std::string why;
  Source source;
};
/// Open flammable vapour and an iron, hot air, oven or hot glue gun; drying oil and the same; open instant glue and
/// nothing (it only irritates). `clears` is the airing time of the vapour (vapour.h), zero = 30 min [practice]. A hot tool cools
/// for 3 min before vapour is opened, an oven over 100 degC for 10 min [practice].
/// Symmetric: apart(a, b) and apart(b, a) say the same of the pair.
Apart apart(const StepFacts& a, const StepFacts& b, Duration clears_a, Duration clears_b);
inline constexpr Duration kAiringUnknown = minutes(30);

/// What this program does not decide. Printed on the head where it applies.
struct Deferral {
  std::string_view id;
  std::string_view text;
};
/// Source   [practice]: local codes and licensed practice come first.
std::span<const Deferral> deferrals();
/// Those that something in these steps calls for.
std::vector<Deferral> deferrals_for(std::span<const StepFacts> steps);

}  // namespace handlot::safety
