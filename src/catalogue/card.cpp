#include "catalogue/card.h"

#include <array>
#include <utility>

namespace handlot::catalogue {

namespace {
constexpr std::array<std::pair<CardKind, std::string_view>, 14> kKinds{{
    {CardKind::part, "part"}, {CardKind::screw, "screw"}, {CardKind::material, "material"},
    {CardKind::paste, "paste"}, {CardKind::solder, "solder"}, {CardKind::adhesive, "adhesive"}, {CardKind::activator, "activator"},
    {CardKind::oil, "oil"}, {CardKind::solvent, "solvent"}, {CardKind::coating, "coating"},
    {CardKind::flux, "flux"}, {CardKind::station, "station"}, {CardKind::tool, "tool"},
    {CardKind::process, "process"},
}};
}  // namespace

std::string_view word(CardKind kind) {
  for (const auto& [k, name] : kKinds) {
    if (k == kind) return name;
  }
  return "";
}

std::optional<CardKind> kind_of(std::string_view element_name) {
  for (const auto& [kind, name] : kKinds) {
    if (name == element_name) return kind;
  }
  return std::nullopt;
}

std::string Card::word_or(std::string_view which, std::string fallback) const {
  const auto found = words.find(std::string(which));
  return found == words.end() ? std::move(fallback) : found->second;
}

const Figure* Card::find(std::string_view which, std::string_view on) const {
  const Figure* general = nullptr;
  for (const Figure& figure : figures) {
    if (figure.name != which) continue;
    if (figure.on == on) return &figure;
    if (figure.on.empty() && general == nullptr) general = &figure;
  }
  return general;
}

std::vector<const Figure*> Card::all(std::string_view which) const {
  std::vector<const Figure*> found;
  for (const Figure& figure : figures) {
    if (figure.name == which) found.push_back(&figure);
  }
  return found;
}

}  // namespace handlot::catalogue
