#include "safety/label.h"

#include <catch2/catch.hpp>

#include "safety/compatibility.h"

using namespace handlot;
using namespace handlot::safety;
using namespace handlot::literals;

using Words = std::vector<std::string>;

// TRUTH   G1: data sheet of 454, 2015. G2: IPA, Shell 2020. G3: n-heptane, supplier 2022. G4: 5 min epoxy resin, ITW 2018.
//         G5: dipentene.
TEST_CASE("labels are those of the data sheets", "[safety][truth]") {
  const auto codes = [](const char* name) { return known_label(name)->label.h_codes; };
  CHECK(codes("cyanoacrylate") == Words{"EUH202", "H315", "H319", "H335"});
  CHECK(known_label("cyanoacrylate")->label.signal == "Warning");
  for (const char* p : {"P261", "P280", "P305+P351+P338"}) {
    const auto all = known_label("cyanoacrylate")->label.p_codes;
    CHECK(std::find(all.begin(), all.end(), p) != all.end());
  }
  CHECK(codes("isopropanol") == Words{"H225", "H319", "H336"});
  CHECK(known_label("isopropanol")->label.signal == "Danger");
  CHECK(codes("heptane") == Words{"H225", "H304", "H315", "H336", "H410"});
  CHECK(known_label("heptane")->label.signal == "Danger");
  CHECK(codes("epoxy-resin") == Words{"H315", "H317", "H319", "H411"});
  CHECK(known_label("epoxy-resin")->label.signal == "Warning");
  CHECK(codes("dipentene") == Words{"H226", "H315", "H317", "H410"});
}

// TRUTH   G6: instant glue, IPA and epoxy resin on one sheet: Danger; pictures 02, 07, 09 (rule from memory of CLP).
TEST_CASE("labels of one bench unite to the worst word and every picture", "[safety][truth]") {
  const std::vector<Label> three{known_label("cyanoacrylate")->label, known_label("isopropanol")->label,
                                 known_label("epoxy-resin")->label};
  const Label all = unite(three);
  CHECK(all.signal == "Danger");
  CHECK(all.ghs == Words{"GHS02", "GHS07", "GHS09"});
  CHECK(all.h_codes.size() == 8);
  CHECK(unite({}).signal.empty());
}

TEST_CASE("the pictures of every label held follow from its codes", "[safety][property]") {
  for (const KnownLabel& k : known_labels()) {
    INFO(k.substance);
    CHECK(pictures_for(k.label.h_codes) == k.label.ghs);
    for (const std::string& h : k.label.h_codes) CHECK_FALSE(hazard_words(h).empty());
  }
  CHECK(pictures_for(Words{"H412", "EUH066"}).empty());
  CHECK(hazard_words("H999").empty());
}

// TRUTH   acetone on ABS, PMMA, PC, PS refused, liquid instant glue short contact: PERMABOND (read). G7: instant glue on
//         cotton: exotherm, burns or fire: 3M data sheet as quoted (read).
TEST_CASE("liquids against materials by the table", "[safety][truth]") {
  const Condition wiped;
  for (const char* m : {"abs", "pmma", "pc", "ps"}) {
    INFO(m);
    CHECK(contact(m, "acetone", wiped).verdict == Verdict::refuse);
    CHECK(contact(m, "acetone", wiped).source.standing == Standing::read);
    CHECK(contact(m, "cyanoacrylate", wiped).verdict == Verdict::take_care);
  }
  CHECK(contact("fibre", "cyanoacrylate", wiped).verdict == Verdict::refuse);
  CHECK(contact("fibre", "acetone", wiped).verdict == Verdict::fine);
  CHECK(contact("hdpe", "essential-oil", wiped).verdict == Verdict::fine);
  CHECK(contact("ps", "essential-oil", wiped).verdict == Verdict::refuse);
  CHECK(contact("brass", "ipa", wiped).verdict == Verdict::fine);
  CHECK(contact("unobtainium", "ipa", wiped).verdict == Verdict::unknown);
  CHECK(contact("abs", "holy-water", wiped).verdict == Verdict::unknown);
}

// TRUTH   IPA on PMMA: short contact, but not on stressed parts; annealing 2 to 4 h at 70 to 80 degC relieves it: ACRYLICTECH.
TEST_CASE("stress turns a short contact into a crack, annealing turns it back", "[safety][truth]") {
  CHECK(contact("pmma", "ipa", {false, false, minutes(1)}).verdict == Verdict::take_care);
  CHECK(contact("pmma", "ipa", {true, false, minutes(1)}).verdict == Verdict::refuse);
  CHECK(contact("pmma", "ipa", {true, true, minutes(1)}).verdict == Verdict::take_care);
  CHECK(contact("pmma", "ipa", {false, false, minutes(6)}).verdict == Verdict::refuse);
  CHECK(contact("pmma", "ipa", {false, false, minutes(5)}).verdict == Verdict::take_care);
  CHECK(contact("petg", "cyanoacrylate", {true, false, minutes(1)}).verdict == Verdict::take_care);
  CHECK(contact("pmma", "mineral-oil", {true, false, hours(24)}).verdict == Verdict::fine);
}

TEST_CASE("every pair of the table has a letter", "[safety]") {
  for (const auto material : materials())
    for (const auto agent : agents()) {
      INFO(material << " " << agent);
      CHECK(table_cell(material, agent));
    }
}

// TRUTH   T3: annealing at 75 degC with a PLA bracket (55-60 degC) is refused, PMMA at 70 to 80 is right. T4: NCR18650B stored
//         under a month at 50 degC at most: a 60 degC cure is refused. T5: standard display stored to 50 degC.
TEST_CASE("heat limits refuse what would not come out again", "[safety][truth]") {
  CHECK(under_heat(heat_limit("pla")->limit, 75_degC) == HeatVerdict::over);
  CHECK(under_heat(heat_limit("pmma")->limit, 80_degC) == HeatVerdict::fine);
  CHECK(under_heat(heat_limit("cell")->limit, 60_degC) == HeatVerdict::over);
  CHECK(under_heat(heat_limit("display")->limit, 60_degC) == HeatVerdict::over);
  CHECK(under_heat(heat_limit("display")->limit, 50_degC) == HeatVerdict::near);
  CHECK(under_heat(heat_limit("display")->limit, 40_degC) == HeatVerdict::fine);
  CHECK_FALSE(heat_limit("moon rock"));
}
