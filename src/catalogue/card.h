// card.h: what is known of a part, a material, a substance, a tool or a process, each figure with its source.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "core/id.h"
#include "core/quantity.h"
#include "core/source.h"
#include "input/units.h"

namespace handlot::catalogue {

enum class CardKind {
  part, screw, material, paste, solder, adhesive, activator, oil, solvent, coating, flux, station, tool, process
};
std::string_view word(CardKind kind);
std::optional<CardKind> kind_of(std::string_view element_name);

/// One figure of a card. `low` and `high` are equal unless the figure is a range.
struct Figure {
  std::string name;             ///< "fixture", "heat-limit"
  input::Dimension dimension = input::Dimension::ratio;
  double low = 0;               ///< canonical unit of the dimension
  double high = 0;
  std::string text;             ///< as written in the card
  std::string on;               ///< substrate or other condition; empty = any
  std::optional<Celsius> at_temperature;
  std::optional<RelativeHumidity> at_humidity;
  std::optional<Grams> at_mass;
  Source source;
  Place place;
};

template <class Q>
struct Sourced {
  Q low;
  Q high;
  Source source;
  Place place;
};

/// What the label says, after the substance's data sheet.
struct Hazard {
  std::string signal;                ///< "Danger", "Warning" or empty
  std::vector<std::string> ghs;      ///< "GHS02"
  std::vector<std::string> h_codes;  ///< "H225", "EUH202"
  std::vector<std::string> p_codes;
  Source source;
};

/// A solid as the card writes it, not yet built: <box size="10 mm 5 mm 2 mm"/>, <cut>...</cut>. Geometry gives it meaning.
struct ShapeText {
  std::string name;
  std::map<std::string, std::string> words;
  std::vector<ShapeText> children;
  Place place;
};

struct Card {
  CardId id;
  CardKind kind = CardKind::part;
  std::string name;
  std::map<std::string, std::string> words;  ///< "chemistry" -> "cyanoacrylate"
  std::vector<Figure> figures;               ///< in file order
  std::vector<Hazard> hazards;               ///< at most one
  std::vector<std::string> notes;
  std::vector<ShapeText> solid;              ///< the one <solid>, or none
  Place place;

  /// The word, or empty.
  std::string word_or(std::string_view which, std::string fallback = "") const;
  bool yes(std::string_view which) const { return word_or(which) == "yes"; }

  /// The figure for the condition `on`, else the one without a condition; null if neither is there. Of several that
  /// differ only in temperature, humidity or mass, the first as listed.
  const Figure* find(std::string_view which, std::string_view on = "") const;
  /// All figures of that name.
  std::vector<const Figure*> all(std::string_view which) const;

  template <class Q>
  std::optional<Sourced<Q>> get(std::string_view which, std::string_view on = "") const {
    const Figure* figure = find(which, on);
    if (figure == nullptr || figure->dimension != input::DimensionOf<Q>::value) return std::nullopt;
    return Sourced<Q>{input::from_canonical<Q>(figure->low), input::from_canonical<Q>(figure->high), figure->source,
                      figure->place};
  }
};

}  // namespace handlot::catalogue
