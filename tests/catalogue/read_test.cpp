#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>

#include "catalogue/catalogue.h"
#include "support/folder.h"

using namespace handlot;
using namespace handlot::catalogue;
namespace fs = std::filesystem;

namespace {

void write(const Folder& folder, const std::string& file, const std::string& text) { std::ofstream(folder.path / file) << text; }

Result<Catalogue> read(std::vector<std::string> folders) { return Catalogue::read(folders); }

/// The faults of one card file, as "code line".
std::vector<std::string> faults_of(const std::string& text) {
  const Folder folder;
  write(folder, "a.xml", text);
  const auto cards = read({folder.path.string()});
  std::vector<std::string> all;
  if (cards) return all;
  for (const Diagnostic& d : cards.error()) {
    CHECK_FALSE(d.mend.empty());
    CHECK(d.place.file.ends_with("a.xml"));
    all.push_back(d.code + " " + std::to_string(d.place.line));
  }
  return all;
}

std::string card(const std::string& inside) { return "<cards version=\"1\">\n" + inside + "\n</cards>"; }

const std::string kOurs = HANDLOT_TOP "/parts";

}  // namespace

TEST_CASE("the shipped cards read without a fault and without a warning", "[catalogue]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  CHECK(cards->warnings().empty());
  for (const catalogue::CardKind kind : {catalogue::CardKind::part, catalogue::CardKind::screw, catalogue::CardKind::material, catalogue::CardKind::paste, catalogue::CardKind::solder, catalogue::CardKind::adhesive,
                              catalogue::CardKind::activator, catalogue::CardKind::oil, catalogue::CardKind::solvent, catalogue::CardKind::coating, catalogue::CardKind::flux, catalogue::CardKind::station,
                              catalogue::CardKind::tool, catalogue::CardKind::process}) {
    INFO(word(kind));
    CHECK_FALSE(cards->of_kind(kind).empty());
  }
}

TEST_CASE("every published figure of the shipped cards has document, place and standing", "[catalogue]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  for (const auto& [id, c] : cards->cards()) {
    std::vector<Source> sources;
    for (const Figure& f : c.figures) sources.push_back(f.source);
    for (const Hazard& h : c.hazards) sources.push_back(h.source);
    for (const Source& s : sources) {
      INFO(id.text);
      CHECK((s.standing == Standing::read || s.standing == Standing::memory || s.standing == Standing::practice));
      const bool published = s.standing != Standing::practice;
      CHECK(published == !s.key.empty());
      CHECK(published == !s.at.empty());
      if (published) CHECK(cards->documents().contains(s.key));
      // A document that was not read again can't be quoted as read.
      if (published && cards->documents().at(s.key).where == "not read again") CHECK(s.standing == Standing::memory);
    }
  }
}

TEST_CASE("the cards that shipped cards name are there and of the right kind", "[catalogue]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  for (const auto& [id, c] : cards->cards()) {
    const std::string material = c.word_or("material");
    if (material.empty()) continue;
    INFO(id.text << " " << material);
    const Card* m = cards->find(CardId(material));
    REQUIRE(m != nullptr);
    CHECK(m->kind == catalogue::CardKind::material);
  }
}

TEST_CASE("a published figure without document or standing is refused", "[catalogue][errors]") {
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\" standing=\"read\"/></screw>")) ==
        std::vector<std::string>{"source-missing 2"});
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\" standing=\"memory\"/></screw>")) ==
        std::vector<std::string>{"source-missing 2"});
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\"/></screw>")) == std::vector<std::string>{"standing-missing 2"});
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\" source=\"X\" standing=\"read\"/></screw>")) ==
        std::vector<std::string>{"source-unknown 2"});
  CHECK(faults_of(card("<oil id=\"a\" name=\"A\"><hazard signal=\"Danger\" codes=\"H304\"/></oil>")) == std::vector<std::string>{"standing-missing 2"});
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\" standing=\"practice\"/></screw>")).empty());
  CHECK(faults_of(card("<screw id=\"a\" name=\"A\"><figure name=\"length\" value=\"4 mm\" standing=\"measured\"/></screw>")).empty());
}

TEST_CASE("all faults of a card file are reported at once, each with its line", "[catalogue][errors]") {
  const auto faults = faults_of(
      "<cards version=\"1\">\n"
      "  <screw id=\"a b\" name=\"A\"/>\n"
      "  <screw id=\"c\" name=\"C\" hed=\"pan\"/>\n"
      "  <screw id=\"d\" name=\"D\" head=\"pann\"/>\n"
      "  <screw id=\"e\" name=\"E\"><figure name=\"lenght\" value=\"4 mm\" standing=\"practice\"/></screw>\n"
      "  <screw id=\"f\" name=\"F\"><figure name=\"length\" value=\"4\" standing=\"practice\"/></screw>\n"
      "  <screw id=\"g\" name=\"G\"><figure name=\"length\" value=\"4 g\" standing=\"practice\"/></screw>\n"
      "  <screw id=\"h\" name=\"H\"><figure name=\"length\" value=\"-4 mm\" standing=\"practice\"/></screw>\n"
      "  <screw id=\"i\" name=\"I\"><figure name=\"length\" value=\"4,5 mm\" standing=\"practice\"/></screw>\n"
      "  <screw name=\"J\"/>\n"
      "  <screw id=\"k\"/>\n"
      "  <screw id=\"l\" name=\"L\"/>\n"
      "  <screw id=\"l\" name=\"L again\"/>\n"
      "  <washer id=\"m\" name=\"M\"/>\n"
      "</cards>");
  CHECK(faults == std::vector<std::string>{"id-bad 2", "attribute-unknown 3", "word-unknown 4", "figure-unknown 5", "unit-missing 6", "unit-kind 7",
                                           "number-range 8", "number-comma 9", "attribute-missing 10", "attribute-missing 11", "card-twice 13",
                                           "element-unknown 14"});
}

TEST_CASE("files that are no cards are answered", "[catalogue][errors]") {
  CHECK(faults_of("") == std::vector<std::string>{"file-empty 0"});
  CHECK(faults_of("<job version=\"1\"/>") == std::vector<std::string>{"root-unknown 1"});
  CHECK(faults_of("<cards version=\"2\"/>") == std::vector<std::string>{"version-unknown 1"});
  CHECK(faults_of("<cards/>") == std::vector<std::string>{"version-unknown 1"});
  CHECK(faults_of("<cards version=\"1\">").front().starts_with("xml-broken"));
  const auto missing = read({"/nowhere/at/all"});
  REQUIRE_FALSE(missing);
  CHECK(missing.error().front().code == "folder-missing");
}

TEST_CASE("the builder's own card stands before ours, and that is said", "[catalogue]") {
  const Folder own;
  write(own, "mine.xml", card("<adhesive id=\"wood-glue\" name=\"Glue from my shelf\" chemistry=\"wood-glue\">"
                             "<figure name=\"handling\" value=\"90 min\" standing=\"measured\"/></adhesive>"));
  const auto cards = read({kOurs, own.path.string()});
  REQUIRE(cards);
  CHECK(cards->find(CardId("wood-glue"))->name == "Glue from my shelf");
  REQUIRE(cards->warnings().size() == 1);
  const Diagnostic& d = cards->warnings().front();
  CHECK(d.code == "card-clash");
  CHECK(d.severity == Diagnostic::Severity::warning);
  CHECK(d.place.file.ends_with("mine.xml"));
  REQUIRE(d.notes.size() == 1);
  CHECK(d.notes.front().place.file.ends_with("adhesives.xml"));
}

TEST_CASE("an unknown card is answered with the nearest known one", "[catalogue][errors]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  const auto found = cards->look_up(CardId("wood-gleu"), {"j.xml", 3, 1});
  REQUIRE_FALSE(found);
  CHECK(found.error().front().code == "card-unknown");
  CHECK(found.error().front().mend == "write 'wood-glue'");
}

TEST_CASE("a figure is found by its condition, else the general one, of a table the first", "[catalogue]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  const Card& glue = *cards->find(CardId("ca-fast"));
  // TRUTH   TDS401, fixture times: oak 15 to 30 s, steel below 5 s (read).
  CHECK(glue.get<Duration>("fixture", "oak")->low == Duration(15));
  CHECK(glue.get<Duration>("fixture", "oak")->high == Duration(30));
  CHECK(glue.get<Duration>("fixture", "steel")->high == Duration(5));
  CHECK(glue.get<Duration>("fixture", "cheese")->high == Duration(30));
  // TRUTH   Araldite 2026 data sheet: 1 h at 23 degC, 4 h at 10 degC to 1 MPa (read). The room-temperature row leads.
  const Card& pu = *cards->find(CardId("pu-2k"));
  CHECK(pu.get<Duration>("handling")->high == hours(1));
  CHECK(pu.all("handling").size() == 4);
  CHECK_FALSE(pu.get<Celsius>("handling"));
  CHECK_FALSE(pu.get<Duration>("fixture"));
}

TEST_CASE("a card described shows every figure with its source and standing", "[catalogue]") {
  const auto cards = read({kOurs});
  REQUIRE(cards);
  const std::string text = describe(*cards->find(CardId("isopropanol")), *cards);
  CHECK(text.find("flash-point: 12 degC\n      CB, 60079-20-1") != std::string::npos);
  CHECK(text.find("dry at 20 degC: 30..120 s\n      common practice, no source") != std::string::npos);
  CHECK(text.find("label: Danger GHS02 GHS07 H225 H319 H336") != std::string::npos);
}
