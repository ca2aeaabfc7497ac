#include <catch2/catch.hpp>

#include <set>

#include "sheets/signs.h"

using namespace handlot;

TEST_CASE("each sign has the shape and colours of its family, and a drawing of its own", "[sheets]") {
  std::set<std::string> drawings;
  for (const auto& code : sheets::sign_codes()) {
    INFO(code);
    const std::string svg = sheets::sign_svg(code);
    CHECK(svg.find("<text") == std::string::npos);
    CHECK(svg.find("currentColor") == std::string::npos);
    CHECK(svg.find("SHEET") == std::string::npos);
    CHECK(drawings.insert(svg).second);
    CHECK_FALSE(sheets::sign_meaning(code).empty());
    if (code.starts_with("GHS")) CHECK(svg.find("stroke=\"#d0021b\"") != std::string::npos);
    if (code.front() == 'W') CHECK(svg.find("fill=\"#ffd200\"") != std::string::npos);
    if (code.front() == 'M') CHECK(svg.find("fill=\"#00509e\"") != std::string::npos);
  }
  for (int i = 1; i <= 9; ++i) CHECK(drawings.contains(sheets::sign_svg("GHS0" + std::to_string(i))));
}

TEST_CASE("a sign that is not known keeps its family's shape and shows its number", "[sheets]") {
  const std::string svg = sheets::sign_svg("W099");
  CHECK(svg.find("fill=\"#ffd200\"") != std::string::npos);
  CHECK(svg.find(">W099<") != std::string::npos);
  CHECK(sheets::sign_meaning("W099") == "warning");
  CHECK_FALSE(sheets::sign_svg("").empty());
}

TEST_CASE("a sign's number cannot bring markup into the drawing", "[sheets][errors]") {
  CHECK(sheets::sign_svg("W<b>").find("<b>") == std::string::npos);
}
