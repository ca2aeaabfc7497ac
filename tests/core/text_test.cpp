#include "core/text.h"

#include <catch2/catch.hpp>

#include "core/diagnostic.h"
#include "core/source.h"
#include "core/spoken.h"

using namespace handlot;

TEST_CASE("a duration is said in its two largest parts", "[core]") {
  CHECK(in_words(Duration(0)) == "0 s");
  CHECK(in_words(Duration(45)) == "45 s");
  CHECK(in_words(minutes(90)) == "1 h 30 min");
  CHECK(in_words(hours(52)) == "2 d 4 h");
  CHECK(in_words(hours(24)) == "1 d");
  CHECK(in_words(Duration(3605)) == "1 h");
  CHECK(in_words(Duration(-60)) == "-1 min");
}

TEST_CASE("an id without a name is said in words", "[core]") {
  CHECK(spoken("hot-air") == "hot air");
  CHECK(spoken("solder_seat-2") == "solder seat 2");
  CHECK(spoken("oven") == "oven");
}

TEST_CASE("a misspelt word finds the one that was meant, and nonsense finds none", "[core]") {
  const std::vector<std::string> known{"epoxy-5min", "tung-oil", "walnut"};
  CHECK(closest("epoxi-5min", known) == "epoxy-5min");
  CHECK(closest("wlanut", known) == "walnut");
  CHECK_FALSE(closest("zzzzz", known).has_value());
  CHECK_FALSE(closest("", known).has_value());
}

TEST_CASE("numbers print without trailing zeros and without minus zero", "[core]") {
  CHECK(number(0.120) == "0.12");
  CHECK(number(3.0) == "3");
  CHECK(number(-0.0001) == "0");
  CHECK(number(1234.5678, 1) == "1234.6");
}

TEST_CASE("a diagnostic prints place, fault, code, caret and mend", "[core]") {
  const Diagnostic d = error("unknown-card", {"jobs/x/job.xml", 3, 7}, "no card 'walnt'", "write 'walnut'");
  CHECK(format(d, "<part card=\"walnt\"/>") ==
        "jobs/x/job.xml:3:7: error: no card 'walnt' [unknown-card]\n"
        "    3 | <part card=\"walnt\"/>\n"
        "      |       ^\n"
        "  mend: write 'walnut'\n");
}

TEST_CASE("a source says its standing", "[core]") {
  CHECK(describe(Source{"WH", "table 13-5", Standing::read}) == "WH, table 13-5");
  CHECK(describe(Source{"WH", "", Standing::memory}) == "WH (from memory)");
  CHECK(describe(Source{"", "", Standing::practice}) == "common practice, no source");
}
