// TRUTH   The tables in ../shared/reference/data, each row with its own source; the sources stand on the cards too.
// PRINTED Every figure is compared to the digit.
#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>

#include "catalogue/catalogue.h"

using namespace handlot;
using namespace handlot::catalogue;
namespace fs = std::filesystem;

namespace {

const fs::path kTables = HANDLOT_TOP "/../shared/reference/data";

using Row = std::map<std::string, std::string>;

/// Rows by column name; lines that begin with '#' are left out. A quoted cell does not occur in these tables.
std::vector<Row> table(const std::string& name) {
  std::ifstream in(kTables / name);
  std::vector<std::string> head;
  std::vector<Row> rows;
  for (std::string line; std::getline(in, line);) {
    if (line.empty() || line[0] == '#') continue;
    std::vector<std::string> cells;
    std::istringstream stream(line);
    for (std::string cell; std::getline(stream, cell, ',');) cells.push_back(cell);
    if (head.empty()) {
      head = cells;
      continue;
    }
    cells.resize(std::max(cells.size(), head.size()));
    Row row;
    for (std::size_t i = 0; i < head.size(); ++i) row[head[i]] = cells[i];
    rows.push_back(row);
  }
  return rows;
}

bool absent() {
  if (fs::exists(kTables)) return false;
  WARN("skipped: " << kTables.string() << " is not there");
  return true;
}

const Catalogue& ours() {
  static const Catalogue cards = [] {
    const std::vector<std::string> folders{HANDLOT_TOP "/parts"};
    auto read = Catalogue::read(folders);
    REQUIRE(read);
    return *read;
  }();
  return cards;
}

const Card& card(const std::string& id) {
  const Card* found = ours().find(CardId(id));
  INFO(id);
  REQUIRE(found != nullptr);
  return *found;
}

/// The figure's lower end is the printed number, in the canonical unit.
void agrees(const Card& c, const std::string& figure, const std::string& printed, double factor = 1, const std::string& on = "") {
  if (printed.empty()) return;
  INFO(c.id.text << " " << figure << " " << on << " printed " << printed);
  const Figure* f = c.find(figure, on);
  REQUIRE(f != nullptr);
  CHECK(f->low == Approx(std::stod(printed) * factor).epsilon(1e-9));
}

}  // namespace

TEST_CASE("instant glue fixture times are those of the data sheets", "[catalogue][truth]") {
  if (absent()) return;
  const std::map<std::string, std::string> cards{{"LOCTITE 401", "ca-fast"}, {"LOCTITE 406", "ca-low"}, {"LOCTITE 420", "ca-thin"}, {"LOCTITE 408", "ca-low-bloom"}, {"LOCTITE 403", "ca-low-bloom-thick"}, {"LOCTITE 480", "ca-tough"}};
  const std::map<std::string, std::string> rows{{"steel", "steel"}, {"aluminium", "aluminium"}, {"zinc_dichromate", "zinc-dichromate"}, {"neoprene", "neoprene"}, {"nitrile", "nitrile"}, {"ABS", "abs"}, {"PVC", "pvc"}, {"PC", "pc"}, {"phenolic", "phenolic"}, {"wood_balsa", "balsa"}, {"wood_oak", "oak"}, {"wood_pine", "pine"}, {"leather", "leather"}, {"fabric", "fabric"}, {"paper", "paper"}};
  int compared = 0;
  for (const Row& row : table("ca_fixture.csv")) {
    const Card& glue = card(cards.at(row.at("product").substr(0, 11)));
    for (const auto& [column, on] : rows) {
      const std::string cell = row.at(column);
      INFO(glue.id.text << " " << column << " '" << cell << "'");
      const Figure* f = glue.find("fixture", on);
      REQUIRE(f != nullptr);
      CHECK((f->on == on) == !cell.empty());
      if (cell.empty()) continue;
      CHECK(f->low == std::stod(cell.substr(0, cell.find('-'))));
      CHECK(f->high == std::stod(cell.substr(cell.find('-') + 1)));
      CHECK(f->source.standing == Standing::read);
      ++compared;
    }
  }
  CHECK(compared == 54);
}

TEST_CASE("solvents have the published limits, the safer where two differ", "[catalogue][truth]") {
  if (absent()) return;
  const std::map<std::string, std::string> cards{{"isopropanol", "isopropanol"}, {"acetone", "acetone"}, {"n-heptane", "heptane"}, {"ethanol", "ethanol"}};
  for (const Row& row : table("solvents.csv")) {
    const auto found = cards.find(row.at("name"));
    if (found == cards.end()) continue;
    const Card& c = card(found->second);
    const auto lesser = [&](const std::string& a, const std::string& b) { return std::stod(row.at(a)) <= std::stod(row.at(b)) ? row.at(a) : row.at(b); };
    agrees(c, "molar-mass", row.at("MW"));
    agrees(c, "density", row.at("rho20_kgm3"), 1e-3);
    agrees(c, "flash-point", lesser("fp_IEC", "fp_NFPA"));
    agrees(c, "lower-limit", lesser("LFL_IEC", "LFL_NFPA"));
    agrees(c, "upper-limit", lesser("UFL_IEC", "UFL_NFPA"));
    agrees(c, "vapour-pressure", row.at("P20_kPa"));
    agrees(c, "evaporation", row.at("evap"));
    agrees(c, "exposure-limit", row.at("TWA_ppm"));
    agrees(c, "exposure-limit-short", row.at("STEL_ppm"));
    std::istringstream codes(row.at("H"));
    std::vector<std::string> printed;
    for (std::string code; codes >> code;) printed.push_back(code);
    CHECK(c.hazards.front().h_codes == printed);
  }
}

TEST_CASE("alloys melt where the tables say", "[catalogue][truth]") {
  if (absent()) return;
  const std::map<std::string, std::string> cards{{"Sn63Pb37", "sn63pb37"}, {"Sn62Pb36Ag2", "sn62pb36ag2"}, {"Sn60Pb40", "sn60pb40"}, {"Sn96.5Ag3.0Cu0.5 (SAC305)", "sac305"}, {"Sn95.5Ag3.8Cu0.7 (SAC387)", "sac387"}, {"Sn95.5Ag4.0Cu0.5 (SAC405)", "sac405"}, {"Sn98.5Ag1.0Cu0.5 (SAC105)", "sac105"}, {"Sn99Ag0.3Cu0.7 (SAC0307)", "sac0307"}, {"Sn96.5Ag3.5", "sn96ag3"}, {"Sn99.3Cu0.7", "sn99cu1"}, {"Sn99.3Cu0.7NiGe (SN100C)", "sn100c"}, {"Sn42Bi58", "sn42bi58"}, {"Sn42Bi57Ag1", "sn42bi57ag1"}};
  const auto rows = table("alloys.csv");
  CHECK(rows.size() == cards.size());
  for (const Row& row : rows) {
    const Card& c = card(cards.at(row.at("alloy")));
    agrees(c, "solidus", row.at("solidus_C"));
    agrees(c, "liquidus", row.at("liquidus_C"));
    agrees(c, "density", row.at("density_g_cc"));
  }
}

TEST_CASE("woods move as the Wood Handbook says, with its standing row by row", "[catalogue][truth]") {
  if (absent()) return;
  const std::map<std::string, std::string> cards{{"walnut_black", "walnut"}, {"cherry_black", "cherry"}, {"maple_sugar", "maple"}, {"maple_red", "maple-red"}, {"oak_red_commercial", "oak-red"}, {"oak_white_commercial", "oak-white"}, {"ash_white", "ash"}, {"beech_american", "beech"}, {"birch_yellow", "birch"}, {"basswood", "basswood"}, {"yellow_poplar", "poplar"}, {"mahogany_true", "mahogany"}, {"teak", "teak"}, {"padauk", "padauk"}, {"wenge", "wenge"}, {"western_redcedar", "cedar-red"}, {"douglas_fir_coast", "douglas-fir"}};
  std::size_t compared = 0;
  for (const Row& row : table("wood.csv")) {
    const auto found = cards.find(row.at("species"));
    if (found == cards.end()) continue;
    const Card& c = card(found->second);
    agrees(c, "movement-radial", row.at("CR"));
    agrees(c, "movement-tangential", row.at("CT"));
    agrees(c, "shrinkage-radial", row.at("S_R"));
    agrees(c, "shrinkage-tangential", row.at("S_T"));
    CHECK((c.find("shrinkage-radial")->source.standing == Standing::read) == (row.at("S_mark") == "S"));
    if (row.at("C_mark") == "S") {
      CHECK(c.find("movement-tangential")->source.standing == Standing::read);
    }
    ++compared;
  }
  CHECK(compared == cards.size());
}

TEST_CASE("chips have the printed sizes", "[catalogue][truth]") {
  if (absent()) return;
  for (const Row& row : table("chips.csv")) {
    if (row.at("inch") == "1812") continue;  // its size is printed in two ways, and it is not among our cards
    const Card& c = card("resistor-" + row.at("inch"));
    agrees(c, "length", row.at("L"));
    agrees(c, "width", row.at("W"));
    agrees(c, "height", row.at("H"));
  }
}

TEST_CASE("screws, nuts and washers have the heads and threads of the fastener table", "[catalogue][truth]") {
  if (absent()) return;
  int compared = 0;
  for (const Row& row : table("fasteners_metric.csv")) {
    for (const Card* c : ours().of_kind(catalogue::CardKind::screw)) {
      if (c->word_or("thread") != row.at("size")) continue;
      agrees(*c, "pitch", row.at("pitch"));
      const std::string head = c->word_or("head");
      if (head == "pan") agrees(*c, "head-diameter", row.at("iso14583_dk[S]")), agrees(*c, "head-height", row.at("iso14583_k[S]"));
      if (head == "socket") agrees(*c, "head-diameter", row.at("iso4762_dk_knurled[S]")), agrees(*c, "head-height", row.at("iso4762_k[S]"));
      if (head == "button") agrees(*c, "head-diameter", row.at("iso7380_dk[S]")), agrees(*c, "head-height", row.at("iso7380_k[S]"));
      if (head == "countersunk") {
        // Two standards differ: the larger head stands.
        const double larger = std::max(std::stod(row.at("iso7046_dk_actual[M]")), std::stod(row.at("din965_dk[S]")));
        CHECK(c->find("head-diameter")->low == larger);
        agrees(*c, "head-height", row.at("iso7046_k[M]"));
      }
      ++compared;
    }
    std::string size = row.at("size");
    size[0] = 'm';
    if (const Card* nut = ours().find(CardId("nut-" + size))) {
      agrees(*nut, "width", row.at("nut4032_s[S]"));
      agrees(*nut, "height", row.at("nut4032_m[S]"));
      agrees(*nut, "length", row.at("nut4032_e[S]"));
    }
    if (const Card* washer = ours().find(CardId("washer-" + size))) {
      agrees(*washer, "outer-diameter", row.at("washer7089_d2[S]"));
      agrees(*washer, "height", row.at("washer_h_nom[S_BOLTS]"));
    }
  }
  CHECK(compared >= 70);
}

TEST_CASE("cure tables stand on the cards as printed", "[catalogue][truth]") {
  if (absent()) return;
  const auto times = [](const Card& c, const std::string& state) {
    std::map<double, double> minutes_at;
    for (const Figure* f : c.all(state)) minutes_at[f->at_temperature->value] = f->low / 60;
    return minutes_at;
  };
  const std::map<std::pair<std::string, std::string>, std::pair<std::string, std::string>> series{
      {{"Araldite AY103+HY951/HY956", "min cure"}, {"epoxy-amine", "full"}},
      {{"46-0047-00 epoxy (100R:80H wt)", "handling"}, {"epoxy-polyamide", "handling"}},
      {{"46-0047-00 epoxy (100R:80H wt)", "min cure"}, {"epoxy-polyamide", "full"}},
      {{"Araldite 2026 PU", "LSS>1MPa"}, {"pu-2k", "handling"}},
      {{"Araldite 2026 PU", "LSS>10MPa"}, {"pu-2k", "full"}}};
  int compared = 0;
  for (const Row& row : table("cure_tables.csv")) {
    const auto found = series.find({row.at("product"), row.at("criterion")});
    if (found == series.end()) continue;
    const auto minutes_at = times(card(found->second.first), found->second.second);
    const auto point = minutes_at.find(std::stod(row.at("T_C")));
    if (point == minutes_at.end()) continue;  // hotter than the card goes
    INFO(row.at("product") << " " << row.at("T_C"));
    CHECK(point->second == Approx(std::stod(row.at("minutes"))));
    ++compared;
  }
  CHECK(compared == 22);
}
