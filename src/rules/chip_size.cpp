// Chip codes clash between inch and metric: which one is meant is asked, and the body is held against it.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "solder/chip.h"

namespace handlot::rules {

void chip_size(const Facts& facts, const job::Part& part, Yield& yield) {
  const auto placings = placings_of(facts, part.id);
  const catalogue::Card& card = facts.card_of(part.id);
  const std::string package = card.word_or("package"), unit = card.word_or("package-unit");
  if (placings.empty() || package.size() < 4 || package.size() > 5 || package.find_first_not_of("0123456789") != std::string::npos) return;
  const auto chip = unit.empty() ? solder::chip_size(package) : solder::chip_size(package, unit == "metric" ? solder::CodeUnit::metric : solder::CodeUnit::inch);
  const auto add = [&](plan::Severity severity, std::string text, std::string mend, Source source) {
    auto f = finding("chip-size", severity, *placings.front(), std::move(text), std::move(mend), std::move(source));
    f.parts = {part.id};
    f.place = card.place;
    yield.findings.push_back(std::move(f));
  };
  if (!chip) {
    if (chip.error().front().code == "chip-code-clash") add(plan::Severity::undecided, fmt::format("the card of {}: {}", facts.name(part.id), chip.error().front().text), "write package-unit=\"inch\" or package-unit=\"metric\" into its card", {"CHIPS", "size table", Standing::read});
    return;
  }
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width");
  if (!length || !width) return;
  if (const auto wrong = solder::body_against_code(*chip, length->high, width->high)) add(plan::Severity::stop, fmt::format("{}: {}", facts.name(part.id), *wrong), "correct the code or the sizes of its card: the parts would not fit the pads", chip->source);
}

}  // namespace handlot::rules
