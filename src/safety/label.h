// label.h: what the label of a substance says, and what several of them say together.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/source.h"

namespace handlot::safety {

/// Codes as printed on the data sheet: H225, EUH202, P261; pictures GHS01 to GHS09. All sorted, each once.
struct Label {
  std::string signal;  ///< "Danger", "Warning" or empty
  std::vector<std::string> ghs;
  std::vector<std::string> h_codes;
  std::vector<std::string> p_codes;
};

/// A kind of substance with the label that its data sheets usually carry. The card of the product goes first.
struct KnownLabel {
  std::string substance;
  Label label;
  Source source;
};
std::span<const KnownLabel> known_labels();
std::optional<KnownLabel> known_label(std::string_view substance);

/// The pictures that go with the hazard codes; H412, H413 and EUH codes have none.
/// Source   CLP annex V (memory). Where the skull (06) stands, no exclamation mark for acute toxicity; where corrosion
///          (05) stands, none for skin or eye irritation.
std::vector<std::string> pictures_for(std::span<const std::string> h_codes);

/// One label for a bench where all of these are open: any Danger is Danger, every code, every picture, each once.
Label unite(std::span<const Label> labels);

/// Our own short words for a hazard code, "may cause an allergic skin reaction"; empty for a code not held.
std::string_view hazard_words(std::string_view h_code);

}  // namespace handlot::safety
