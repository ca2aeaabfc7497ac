// catalogue.h: all cards: ours (parts/) and the builder's own, which stand before ours.
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "catalogue/card.h"

namespace handlot::catalogue {

/// A document that figures are quoted from.
struct Document {
  std::string key;    ///< "WH"
  std::string title;  ///< with edition and year
  std::string where;  ///< address or shelf mark
};

class Catalogue {
 public:
  /// Reads every *.xml of the folders, in order of file name. A card of a later folder stands before one of the same id
  /// in an earlier folder; each such clash is said as a warning. Two cards of one id within a folder are an error.
  ///
  /// Errors   folder-missing, and all faults of all files at once.
  static Result<Catalogue> read(std::span<const std::string> folders);

  const Card* find(const CardId& id) const;
  /// The card, or a diagnostic with the nearest known id.
  Result<const Card*> look_up(const CardId& id, const Place& asked_at) const;
  std::vector<const Card*> of_kind(CardKind kind) const;  ///< by id
  const std::map<CardId, Card>& cards() const { return cards_; }
  const std::map<std::string, Document>& documents() const { return documents_; }
  const Diagnostics& warnings() const { return warnings_; }

 private:
  std::map<CardId, Card> cards_;
  std::map<std::string, Document> documents_;
  Diagnostics warnings_;
  friend class Reader;
};

/// The words and figures that a card of this kind may have: the one list that the reader, the XSD and the
/// reference page follow.
struct FigureName {
  std::string_view name;
  input::Dimension dimension;
  std::string_view meaning;
};
struct WordName {
  std::string_view name;
  std::string_view choices;  ///< "yes no", or empty for free text
  std::string_view meaning;
};
std::span<const FigureName> figures_of(CardKind kind);
std::span<const WordName> words_of(CardKind kind);

/// The card as text: every figure with its source and standing.
std::string describe(const Card& card, const Catalogue& catalogue);

}  // namespace handlot::catalogue
