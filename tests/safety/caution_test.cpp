#include "safety/caution.h"

#include <catch2/catch.hpp>
#include <set>

using namespace handlot;
using namespace handlot::safety;

namespace {

Substance substance(const char* card, const char* family, const char* label, bool flammable = false) {
  return {CardId(card), card, family, known_label(label)->label, flammable, known_label(label)->source};
}

StepFacts step(const char* id, std::set<Act> acts, std::vector<Substance> substances = {}, bool fibre = false) {
  StepFacts facts;
  facts.step = StepId(id);
  facts.substances = std::move(substances);
  facts.acts = std::move(acts);
  facts.fibre_touched = fibre;
  return facts;
}

const plan::Caution* find(const std::vector<plan::Caution>& all, const std::string& id) {
  for (const auto& c : all)
    if (c.id == id) return &c;
  return nullptr;
}

}  // namespace

TEST_CASE("each caution stands once, with all its steps in order", "[safety]") {
  const auto glue = substance("ca-thin", "cyanoacrylate", "cyanoacrylate");
  const auto gel = substance("ca-gel", "cyanoacrylate", "cyanoacrylate");
  const std::vector<StepFacts> steps{step("a", {}, {glue}), step("b", {Act::iron}), step("c", {}, {gel, glue})};
  const auto all = cautions(steps);
  REQUIRE(all.size() == 2);
  const auto* ca = find(all, "cyanoacrylate");
  REQUIRE(ca);
  CHECK(ca->steps == std::vector<StepId>{StepId("a"), StepId("c")});
  CHECK(ca->materials.size() == 2);
  CHECK(ca->at == plan::CautionAt::section);
  CHECK(ca->h_codes == std::vector<std::string>{"EUH202", "H315", "H319", "H335"});
}

// TRUTH   G7: instant glue with cotton swab, felt or leather in the same step: hard warning (3M data sheet, quoted).
TEST_CASE("instant glue on fibre is a warning at the step, without fibre it is not there", "[safety][truth]") {
  const auto glue = substance("ca", "cyanoacrylate", "cyanoacrylate");
  const auto with = cautions(std::vector{step("a", {}, {glue}, true)});
  const auto* fibre = find(with, "cyanoacrylate-fibre");
  REQUIRE(fibre);
  CHECK(fibre->level == plan::CautionClass::warning);
  CHECK(fibre->at == plan::CautionAt::step);
  CHECK(with.front().id == "cyanoacrylate-fibre");  // most serious first
  CHECK_FALSE(find(cautions(std::vector{step("a", {}, {glue}, false)}), "cyanoacrylate-fibre"));
  CHECK(cautions(std::vector{step("a", {}, {}, true)}).empty());
}

// TRUTH   V19: timed test: 96 degC after 2 h, smoke at 4.5 h, flame at about 6 h (fire department, 2016).
TEST_CASE("drying oil brings the rag warning to its step", "[safety][truth]") {
  const auto all = cautions(std::vector{step("oil", {Act::drying_oil})});
  REQUIRE(all.size() == 1);
  CHECK(all[0].level == plan::CautionClass::warning);
  CHECK(all[0].at == plan::CautionAt::step);
  CHECK(all[0].avoid.find("metal can") != std::string::npos);
  for (const char* figure : {"96 degC after 2 h", "4.5 h", "6 h"}) CHECK(all[0].consequence.find(figure) != std::string::npos);
}

TEST_CASE("mains is a danger on the head and stops at the hold", "[safety]") {
  const auto all = cautions(std::vector{step("wire", {Act::mains, Act::iron})});
  CHECK(all.front().id == "mains");
  CHECK(all.front().level == plan::CautionClass::danger);
  CHECK(all.front().at == plan::CautionAt::head);
  CHECK(all.front().steps.empty());
  CHECK(all.front().avoid.find("licensed") != std::string::npos);
}

TEST_CASE("damage to the unit alone is a notice", "[safety]") {
  for (const Act act : {Act::bloom_near_optics, Act::clamping_optics})
    CHECK(caution_of(act)->level == plan::CautionClass::notice);
}

TEST_CASE("every act has all three sentences and says where they come from", "[safety]") {
  std::set<std::string> ids;
  for (int i = 0; i <= static_cast<int>(Act::bloom_near_optics); ++i) {
    const auto c = caution_of(static_cast<Act>(i));
    REQUIRE(c);
    INFO(c->id);
    CHECK(ids.insert(c->id).second);
    for (const std::string& sentence : {c->hazard, c->consequence, c->avoid}) {
      CHECK_FALSE(sentence.empty());
      CHECK(sentence.back() == '.');
    }
    CHECK((c->source.standing == Standing::practice || !c->source.key.empty()));
  }
}

TEST_CASE("a substance without hazard codes gives no caution of its own", "[safety]") {
  CHECK(cautions(std::vector{step("a", {}, {substance("linseed", "drying-oil", "linseed-oil")})}).empty());
}

TEST_CASE("sensitising dust replaces the word about plain dust", "[safety]") {
  const auto all = cautions(std::vector{step("a", {Act::sanding_wood, Act::sensitising_dust})});
  REQUIRE(all.size() == 1);
  CHECK(all[0].id == "sensitising-wood");
}

TEST_CASE("what the card of a process asks for is printed as far as nothing else says it", "[safety]") {
  const auto worked = [](std::set<Act> acts, std::vector<std::string> signs, std::vector<std::string> wear, std::vector<std::string> heed) {
    StepFacts s = step("a", std::move(acts));
    s.process = "polish";
    s.process_name = "Polish";
    s.signs = std::move(signs), s.wear = std::move(wear), s.heed = std::move(heed);
    return cautions(std::vector{s});
  };
  const auto all = worked({}, {"M016"}, {"dust mask"}, {"extract the dust"});
  REQUIRE(all.size() == 1);
  CHECK(all[0].id == "process-polish");
  CHECK(all[0].protect == std::vector<std::string>{"dust mask"});
  CHECK(all[0].signs == std::vector<std::string>{"M016"});
  CHECK(all[0].avoid == "Extract the dust.");
  CHECK(worked({Act::sanding_wood}, {"M016"}, {"dust mask"}, {"extract the dust"}).size() == 1);  // the wood says it
  CHECK(worked({Act::machine}, {"M004"}, {"eye protection", "ear protection"}, {"no gloves"}).back().protect == std::vector<std::string>{"ear protection"});
  CHECK(worked({}, {"W024"}, {}, {}).front().avoid == "Heed the signs.");
  CHECK(worked({}, {}, {}, {}).empty());
}

TEST_CASE("a mist that may cause asthma is more than its vapour, and acetone goes through nitrile", "[safety]") {
  StepFacts s = step("coat", {}, {substance("varnish", "varnish", "isocyanate")});
  CHECK(find(cautions(std::vector{s}), "asthma") != nullptr);
  s.sprayed = true;
  const auto sprayed = cautions(std::vector{s});
  const auto* mist = find(sprayed, "asthma-sprayed");
  REQUIRE(mist);
  CHECK(mist->level == plan::CautionClass::warning);
  CHECK_FALSE(find(sprayed, "asthma"));
  CHECK(find(cautions(std::vector{step("wipe", {}, {substance("acetone", "acetone", "acetone", true)})}), "acetone-gloves") != nullptr);
  CHECK_FALSE(find(cautions(std::vector{step("wipe", {}, {substance("ipa", "ipa", "isopropanol", true)})}), "acetone-gloves"));
}

TEST_CASE("vapour and a hot tool are kept apart, glue and a hot tool are not", "[safety]") {
  const auto wipe = step("wipe", {}, {substance("ipa", "ipa", "isopropanol", true)});
  const auto iron = step("iron", {Act::iron}), glue = step("glue", {}, {substance("ca", "cyanoacrylate", "cyanoacrylate")});
  const auto oil = step("oil", {Act::drying_oil});
  const Apart a = apart(wipe, iron, minutes(12), Duration(0));
  CHECK(a.apart);
  CHECK(a.clear_after_a == minutes(12));
  CHECK(a.clear_after_b == Duration(0));
  CHECK(apart(wipe, iron, Duration(0), Duration(0)).clear_after_a == kAiringUnknown);
  const Apart b = apart(iron, wipe, Duration(0), minutes(12));
  CHECK(b.apart);
  CHECK(b.clear_after_b == minutes(12));
  CHECK_FALSE(apart(glue, iron, Duration(0), Duration(0)).apart);
  CHECK_FALSE(apart(wipe, wipe, Duration(0), Duration(0)).apart);
  CHECK(apart(oil, step("oven", {Act::oven}), Duration(0), Duration(0)).apart);
  CHECK_FALSE(apart(iron, iron, Duration(0), Duration(0)).apart);
}

TEST_CASE("a hot tool cools before vapour is opened, an oven longer than an iron or a warm cupboard", "[safety]") {
  const auto wipe = step("wipe", {}, {substance("ipa", "ipa", "isopropanol", true)});
  const auto cools = [&](StepFacts hot, Celsius reaches) {
    hot.reaches = reaches;
    return apart(wipe, hot, minutes(10), Duration(0)).cools_b;
  };
  CHECK(cools(step("iron", {Act::iron}), Celsius(330)) == minutes(3));
  CHECK(cools(step("sleeves", {Act::hot_air}), Celsius(110)) == minutes(3));
  CHECK(cools(step("oven", {Act::oven}), Celsius(245)) == minutes(10));
  CHECK(cools(step("cupboard", {Act::oven}), Celsius(100)) == minutes(3));
  CHECK(apart(wipe, step("oven", {Act::oven}), minutes(10), Duration(0)).cools_b == minutes(10));
  CHECK(apart(step("iron", {Act::iron}), wipe, Duration(0), minutes(10)).cools_a == minutes(3));
  CHECK(apart(wipe, step("iron", {Act::iron}), minutes(10), Duration(0)).cools_a == Duration(0));
  CHECK(apart(step("oil", {Act::drying_oil}), step("iron", {Act::iron}), Duration(0), Duration(0)).cools_b == Duration(0));
}

TEST_CASE("what the program does not decide is said", "[safety]") {
  CHECK(deferrals().size() == 6);
}
