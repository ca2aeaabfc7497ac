// written.h: the pages that follow from the vocabulary of cards: the XSD for editors and the reference page.
#pragma once

#include <string>

namespace handlot::catalogue {

/// docs/reference/cards.xsd.
std::string cards_xsd();
/// docs/reference/cards.md.
std::string cards_page();

}  // namespace handlot::catalogue
