// stencil.h: what a foil and its openings let through, and how a paste layer lies on its board.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solder/alloy.h"
#include "solder/gerber.h"

namespace handlot::solder {

// ---- closed forms
// -------------------------------------------------------------------------------------------

/// Opening area over wall area: A / (perimeter x foil).
/// Source   area and aspect ratio 0.66 and 1.5: IPC-7525 as printed at macaos.com; see
/// docs/reference/sources.md.
double area_ratio(SquareMillimetres area, Millimetres perimeter, Millimetres foil);
double area_ratio_rectangle(Millimetres length, Millimetres width, Millimetres foil);
double area_ratio_circle(Millimetres diameter, Millimetres foil);
/// Given radius <= width / 2.
double area_ratio_rounded(Millimetres length, Millimetres width, Millimetres radius, Millimetres foil);
double area_ratio_obround(Millimetres length, Millimetres width, Millimetres foil);
double aspect_ratio(Millimetres width, Millimetres foil);
/// Side of the smallest square (diameter of the smallest circle) that keeps the area ratio.
Millimetres smallest_square(Millimetres foil, double ratio = 0.66);

// ---- one layer
// ----------------------------------------------------------------------------------------------

struct StencilRules {
  double area_ratio = 0.66;
  double aspect_ratio = 1.5;
  Source source;  ///< set by stencil_rules()
};
StencilRules stencil_rules();

/// Share of the opening's volume that ends up on the board, planned from the area ratio.
/// Source   [practice]; measured tables are figures only. +-0.15.
double planned_transfer(double area_ratio);

struct StencilJob {
  Millimetres foil{0.12};
  int powder_type = 4;
  std::optional<GramsPerCubicCentimetre> paste_density;
  std::optional<double> transfer;  ///< one figure for all openings; nothing = planned_transfer of each
  int boards = 1;
  Millimetres bead_diameter{14};        ///< rolls before the squeegee
  std::optional<Millimetres> squeegee;  ///< its length; nothing = the layer's width + 20 mm
  Source bead_source;                   ///< set by the caller from the paste's card
  std::vector<Millimetres> foils{Millimetres(0.08), Millimetres(0.10), Millimetres(0.12), Millimetres(0.127),
                                 Millimetres(0.15)};
};

/// "U1.1"; "U1" where the file names no pin, and nothing where it names no part.
std::string name_of(const Opening& opening);

struct OpeningCheck {
  std::size_t opening = 0;  ///< index into Layer::openings
  double area_ratio = 0;
  double aspect_ratio = 0;
  double balls = 0;          ///< of the largest main size across the width
  CubicMillimetres volume;   ///< of the opening
  CubicMillimetres printed;  ///< planned on the board
  bool area_ratio_low = false;
  bool aspect_low = false;
  bool too_few_balls = false;
  std::string text;  ///< what is doubtful, a sentence; empty if nothing
  std::string kind;  ///< the same without name and place: shape, size and doubt
  bool doubtful() const { return area_ratio_low || aspect_low || too_few_balls; }
};

struct StencilCheck {
  std::vector<OpeningCheck> openings;
  int doubtful = 0;
  CubicMillimetres volume;   ///< all openings
  CubicMillimetres printed;  ///< per board
  std::optional<Grams> paste_per_board;
  std::optional<Grams> paste_bead;              ///< that must lie on the foil whatever the number of boards
  std::optional<Grams> paste_lot;               ///< boards and bead together
  std::optional<Millimetres> foil_that_serves;  ///< the thickest of `foils` that leaves nothing doubtful
  std::optional<Millimetres> thickest;          ///< by the ratios alone, any thickness
  std::optional<int> powder_that_serves;        ///< coarsest type for the narrowest opening
  std::vector<std::string> notes;
};
/// Given    foil > 0, boards >= 1.
/// Errors   stencil-no-openings, stencil-unknown-powder.
Result<StencilCheck> check_stencil(const Layer& layer, const StencilJob& job,
                                   const StencilRules& rules = stencil_rules());

/// The doubtful openings, those of one shape, size and doubt together, in the order of their file.
std::vector<std::vector<const OpeningCheck*>> doubts_alike(const Layer& layer, const StencilCheck& check);
/// One line for each of these, with its places.
std::vector<std::string> doubts_in_words(const Layer& layer, const StencilCheck& check);

/// What would leave no opening doubtful, as an order: a thinner foil, a finer powder, or both; else wider openings.
/// Given    a check with doubtful openings.
std::string what_serves(const StencilCheck& check);

/// A warning where the file itself says that it is another layer than paste (X2 .FileFunction), code
/// stencil-not-paste; empty where it says paste or nothing.
Diagnostics not_paste(const Layer& layer);

/// A warning where the file itself says that it is of the other side of the board than `side` ("top", "bottom", or empty),
/// code gerber-other-side; empty where it says that side or nothing.
Diagnostics not_of_side(const Layer& layer, std::string_view side);
/// The side that the file names of itself (X2 .FileFunction): "top", "bottom", or empty.
std::string_view side_said(const Layer& layer);

/// Two openings with less steel between them than the foil is thick: the web bends under the squeegee, and tears.
/// Source   [practice]; from memory, no source.
struct Web {
  std::size_t a = 0, b = 0;  ///< indices into Layer::openings, a < b
  Millimetres width;
};
/// Returns  thinnest first.
/// Cost     pairs of neighbours, times their corners.
std::vector<Web> thin_webs(const Layer& layer, Millimetres foil);
/// All of them as one sentence. Given: not empty.
std::string in_words(const std::vector<Web>& webs, const Layer& layer, Millimetres foil);

/// The layer with doubtful openings hatched, numbered and listed, those alike under one number; reads in grey. Same input, same bytes.
std::string stencil_picture(const Layer& layer, const StencilCheck& check, const StencilJob& job,
                            std::string_view title);

// ---- against the board, and against the last revision
// -------------------------------------------------------

struct Pad {
  std::string part;
  std::string pin;
  Point centre;
  Millimetres length, width;
  Degrees turned;
  bool pasted = true;  ///< wants paste (not a test point, not a through hole)
  bool may_be_bare = false;  ///< paste or none, both are right: a hole, a via, a fiducial, a test point
  bool round = false;
};
/// Openings of a copper or mask layer taken as pads. What the file says of its apertures (X2 .AperFunction) tells which
/// may be bare.
std::vector<Pad> pads_of(const Layer& layer);

/// One large opening between two rows of leads, as over the thermal pad of a package without leads, where a window pane that
/// covers 50 to 80 % of the pad is usual.
/// Source   [practice]; from memory, no source.
struct WholePad {
  std::size_t opening = 0;
  std::optional<double> coverage;  ///< of the pad under it, where the pads are known
  std::string text;
};
/// Returns  those that cover more of their pad than that, or of which it is not known.
std::vector<WholePad> whole_pads(const Layer& layer, const std::vector<Pad>& pads = {});
inline constexpr std::string_view kWindowPane = "divide it into a window pane that covers 50 to 80 % of the pad, unless the part's data sheet wants one opening";

struct Mismatch {
  enum class Kind { shifted, missing, extra, larger, smaller, moved, resized, added, removed };
  Kind kind = Kind::missing;
  std::optional<std::size_t> opening;  ///< in the layer (of the new revision)
  std::optional<std::size_t> other;    ///< pad, or opening of the old revision
  Point at;
  Millimetres distance;
  double size_ratio = 1;  ///< area over area
  std::string text;
};
std::string_view word(Mismatch::Kind kind);

struct Comparison {
  Point offset;           ///< of the layer against the other, said once; (0,0) if under `tolerance`
  bool mirrored = false;  ///< the layer fits only when mirrored left to right
  int matched = 0;
  std::vector<Mismatch> mismatches;
  std::string text;  ///< the offset, or that nothing fits, as a sentence; empty if all is well
};
struct CompareLimits {
  Millimetres shift{0.05};
  double smaller = 0.5;  ///< of the pad's area: less paste than that is said
  double larger = 1.10;
  Millimetres same_size{0.01};
};
/// Paste openings against the pads they should lie on; several openings may share one pad.
Comparison compare_with_pads(const Layer& paste, const std::vector<Pad>& pads,
                             const CompareLimits& limits = {});
/// The pads without an opening, as one sentence; nothing where there is none.
struct BarePads {
  int count = 0;
  bool all_round = true;  ///< as holes, vias, fiducials and test points are
  std::string text;
};
std::optional<BarePads> bare_pads(const Comparison& comparison, const std::vector<Pad>& pads);
/// A revision against the one before.
Comparison compare_revisions(const Layer& now, const Layer& before, const CompareLimits& limits = {});

}  // namespace handlot::solder
