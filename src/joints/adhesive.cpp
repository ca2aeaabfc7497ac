#include "joints/adhesive.h"

#include <array>
#include <utility>

namespace handlot::joints {
namespace {

constexpr std::array<std::pair<Chemistry, std::string_view>, 12> kChemistries{{
    {Chemistry::cyanoacrylate, "cyanoacrylate"},
    {Chemistry::epoxy, "epoxy"},
    {Chemistry::polyurethane, "polyurethane"},
    {Chemistry::polyurethane_moist, "polyurethane-moist"},
    {Chemistry::acrylic, "acrylic"},
    {Chemistry::silicone, "silicone"},
    {Chemistry::wood_glue, "wood-glue"},
    {Chemistry::anaerobic, "anaerobic"},
    {Chemistry::hot_melt, "hot-melt"},
    {Chemistry::light_cured, "light-cured"},
    {Chemistry::solvent_cement, "solvent-cement"},
    {Chemistry::other, "other"},
}};

constexpr std::array<std::pair<CureState, std::string_view>, 4> kStates{{
    {CureState::fixture, "fixture"},
    {CureState::handling, "handling"},
    {CureState::working, "working"},
    {CureState::full, "full"},
}};

template <class Table, class Value>
std::string_view word_in(const Table& table, Value value) {
  for (const auto& [v, w] : table)
    if (v == value) return w;
  return "";
}

template <class Value, class Table>
std::optional<Value> named_in(const Table& table, std::string_view wanted) {
  for (const auto& [v, w] : table)
    if (w == wanted) return v;
  return std::nullopt;
}

}  // namespace

std::string_view word(Chemistry chemistry) { return word_in(kChemistries, chemistry); }
std::string_view word(CureState state) { return word_in(kStates, state); }

std::optional<Chemistry> chemistry_named(std::string_view wanted) {
  return named_in<Chemistry>(kChemistries, wanted);
}
std::optional<CureState> cure_state_named(std::string_view wanted) { return named_in<CureState>(kStates, wanted); }

}  // namespace handlot::joints
