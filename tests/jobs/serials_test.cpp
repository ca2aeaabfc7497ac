// The serial numbers of a lot are as wide as each other.
#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <vector>

#include "job/job.h"

using namespace handlot;

namespace {

std::vector<std::string> serials(const std::string& lot) {
  const std::string folder = HANDLOT_TOP "/parts";
  const auto cards = catalogue::Catalogue::read(std::vector{folder});
  REQUIRE(cards);
  const auto job = job::parse_job(fmt::format("<job version='1' name='Small' revision='A'><lot {} start='2026-12-01 08:30'/><bench zone='Europe/Paris'><room temperature='22 degC' humidity='50 %RH'/>"
                                              "<hours days='mon' from='08:30' to='17:00'/><person id='me'/></bench><device><part id='a' card='m3x8-pan'/></device>"
                                              "<steps><step id='look' process='inspect' title='Look' on='a' run='1 min'/></steps></job>", lot), "small.xml", *cards);
  REQUIRE(job);
  return job->serials;
}

}  // namespace

TEST_CASE("serials of a lot that goes over a hundred are all as wide as the last", "[jobs]") {
  const auto over = serials("units='3' serials='HT-' first-serial='98'");
  CHECK(over == std::vector<std::string>{"HT-098", "HT-099", "HT-100"});
  CHECK(serials("units='2' serials='HT-'") == std::vector<std::string>{"HT-01", "HT-02"});
}

TEST_CASE("serials are as wide as the first is written", "[jobs]") {
  CHECK(serials("units='2' serials='HT-' first-serial='0007'") == std::vector<std::string>{"HT-0007", "HT-0008"});
  CHECK(serials("units='2' first-serial='007'") == std::vector<std::string>{"007", "008"});
  CHECK(serials("units='2' first-serial='9'") == std::vector<std::string>{"9", "10"});
}
