#include "safety/compatibility.h"

#include <algorithm>
#include <array>
#include <string>

namespace handlot::safety {
namespace {

constexpr std::array<std::string_view, 8> kAgents{"ipa", "acetone", "cyanoacrylate", "activator-ketone",
                                                  "activator-alkane", "essential-oil", "mineral-oil", "flux-remover"};
constexpr std::array<std::string_view, 23> kMaterials{
    "abs", "asa", "pla", "petg", "pmma", "pc", "ps", "pa", "pom", "pvc", "tpu", "silicone", "nitrile", "neoprene", "hdpe", "brass",
    "steel", "aluminium", "shellac", "lacquer", "oil-finish", "varnish", "fibre"};

// One row a material, one letter an agent in the order of kAgents. Small letter: seen at a source; capital: from memory.
constexpr std::array<std::string_view, 23> kLetters{
    "BcbCBcAC",  // abs
    "BCBCBCAC",  // asa: a styrene plastic, taken as ABS
    "ACACBBAB",  // pla
    "ACBCBBAB",  // petg
    "BcbCBCAC",  // pmma
    "BcbCBcBC",  // pc
    "BcbCCcBC",  // ps
    "AAAAABAA",  // pa
    "AAAAAAAA",  // pom: instant glue does it no harm, it only holds poorly
    "ACACBBAB",  // pvc, rigid
    "BCACBCAB",  // tpu
    "ABABCCCC",  // silicone
    "BCACABAB",  // nitrile
    "ACACBCBB",  // neoprene
    "AAAAAaBB",  // hdpe
    "AAAAABAA",  // brass
    "AAAAAAAA",  // steel
    "AAAAAAAA",  // aluminium
    "CCBCACAC",  // shellac
    "BCCCBCAC",  // lacquer
    "BBBBBCBB",  // oil-finish
    "ABBBABAB",  // varnish
    "AAcAAAAA",  // fibre
};

constexpr std::array kHeat{
    HeatLimit{"pla", Celsius(55), "glass transition, lower end", "PRINTMAT", "glass transition", Standing::read},
    HeatLimit{"petg", Celsius(70), "highest use", "PLASTICUSE", "temperature", Standing::read},
    HeatLimit{"abs", Celsius(90), "deflection at 0.45 MPa", "PRINTMAT", "deflection", Standing::read},
    HeatLimit{"pc", Celsius(135), "highest use", "PLASTICUSE", "temperature", Standing::read},
    HeatLimit{"pa", Celsius(90), "highest use", "PLASTICUSE", "temperature", Standing::read},
    HeatLimit{"pmma", Celsius(90), "under the glass transition at 105", "", "handbook values", Standing::memory},
    HeatLimit{"ps", Celsius(70), "highest use", "PLASTICUSE", "temperature", Standing::read},
    HeatLimit{"silicone", Celsius(180), "highest use", "PLASTICUSE", "temperature", Standing::read},
    HeatLimit{"fr4", Celsius(130), "temperature index", "FR4", "temperature index", Standing::read},
    HeatLimit{"display", Celsius(50), "storage of a standard liquid crystal", "LCDSTORE", "storage", Standing::read},
    HeatLimit{"cell", Celsius(50), "storage under a month", "CELLSTORE", "NCR18650B", Standing::read},
    HeatLimit{"hot-melt", Celsius(60), "softens; firm to 50", "HOTMELT", "service", Standing::read},
};

template <std::size_t N>
std::optional<std::size_t> index_of(const std::array<std::string_view, N>& words, std::string_view word) {
  const auto at = std::find(words.begin(), words.end(), word);
  if (at == words.end()) return std::nullopt;
  return static_cast<std::size_t>(at - words.begin());
}

Source source_of(std::string_view agent, std::string_view material, Standing standing) {
  if (standing != Standing::read) return {"", "compatibility table", Standing::memory};
  if (material == "fibre") return {"SDS3M", "reactivity", Standing::read};
  if (agent == "essential-oil") return {"OILPLASTIC", "attack on plastics", Standing::read};
  return {"PERMABOND", "stress cracking", Standing::read};
}

ContactAnswer careful(std::string_view material, const Condition& condition, Source source) {
  if (condition.stressed && !condition.annealed && stress_cracks(material))
    return {Verdict::refuse, "it cracks where it is cut, clamped or screwed", source};
  if (condition.contact > kShortContact)
    return {Verdict::refuse, "it bears short contact only", source};
  return {Verdict::take_care, "short contact on unstressed material only", source};
}

}  // namespace

std::span<const std::string_view> materials() { return kMaterials; }
std::span<const std::string_view> agents() { return kAgents; }

std::optional<Cell> table_cell(std::string_view material, std::string_view agent) {
  const auto row = index_of(kMaterials, material);
  const auto column = index_of(kAgents, agent);
  if (!row || !column) return std::nullopt;
  const char letter = kLetters[*row][*column];
  const bool seen = letter >= 'a';
  const char capital = seen ? static_cast<char>(letter - 'a' + 'A') : letter;
  const Attack attack = capital == 'A' ? Attack::none : capital == 'B' ? Attack::short_contact : Attack::refuse;
  return Cell{attack, seen ? Standing::read : Standing::memory};
}

bool stress_cracks(std::string_view m) { return m == "abs" || m == "asa" || m == "pmma" || m == "pc" || m == "ps"; }

ContactAnswer contact(std::string_view material, std::string_view agent, const Condition& condition) {
  const auto cell = table_cell(material, agent);
  if (!cell) return {};
  const Source source = source_of(agent, material, cell->standing);
  switch (cell->attack) {
    case Attack::none: return {Verdict::fine, "", source};
    case Attack::short_contact: return careful(material, condition, source);
    case Attack::refuse:
      if (material == "fibre") return {Verdict::refuse, "it soaks it up, heats to a burn and may catch fire", source};
      return {Verdict::refuse, "it is dissolved, swollen or crazed by it", source};
  }
  return {};
}

std::span<const HeatLimit> heat_limits() { return kHeat; }

std::optional<HeatLimit> heat_limit(std::string_view what) {
  for (const HeatLimit& h : kHeat)
    if (h.what == what) return h;
  return std::nullopt;
}

HeatVerdict under_heat(Celsius limit, Celsius reached) {
  if (reached > limit) return HeatVerdict::over;
  return reached + Kelvin(10) > limit ? HeatVerdict::near : HeatVerdict::fine;
}

}  // namespace handlot::safety
