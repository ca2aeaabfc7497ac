#include "input/xml.h"

#include <catch2/catch.hpp>

using namespace handlot;
using namespace handlot::input;

namespace {
std::string code_of(std::string text) {
  auto file = XmlFile::parse(std::move(text), "x.xml");
  return file ? "read" : file.error().front().code;
}
}  // namespace

TEST_CASE("files that are no XML are answered, never crashed on", "[input][errors]") {
  CHECK(code_of("") == "file-empty");
  CHECK(code_of("<a>") == "xml-broken");
  CHECK(code_of("<a b='1'") == "xml-broken");
  CHECK(code_of("<!-- nothing -->") == "file-empty");
  CHECK(code_of(std::string("\xFF\xFE<\0a\0", 6)) == "file-encoding");
  CHECK(code_of("<a>\xE9</a>") == "file-encoding");
  CHECK(code_of(std::string("<a>\0</a>", 8)) == "file-encoding");
  std::string deep;
  for (int i = 0; i < 5000; ++i) deep += "<a>";
  CHECK(code_of(deep) == "xml-deep");
  CHECK(code_of("\xEF\xBB\xBF<a/>") == "read");
}

TEST_CASE("a tag without a partner is named with its line and with the tag that is open there", "[input][errors]") {
  const auto fault = [](const std::string& text) { return XmlFile::parse(text, "x.xml").error().front(); };
  const Diagnostic more = fault("<job>\n<steps>\n<step a='>'>\n</step>\n<!-- </step> -->\n</step>\n<step/>\n</steps>\n</job>");
  CHECK(more.place.line == 6);
  CHECK(more.text == "</step> closes nothing here: <steps> of line 2 is open");
  CHECK(more.mend == "take </step> out, or write </steps>");
  const Diagnostic less = fault("<job>\n<steps>\n<step>\n<do>x</do>\n</steps>\n</job>");
  CHECK(less.place.line == 5);
  CHECK(less.text == "</steps> closes nothing here: <step> of line 3 is open");
  CHECK(less.mend == "write </step> before it");
}

TEST_CASE("places name line and, where it is sure, column", "[input]") {
  const auto file = XmlFile::parse("<job>\n  <step id=\"a\"\n        run=\"3\"/>\n  <x a='1'/><x a='2'/>\n</job>", "j.xml");
  REQUIRE(file);
  const auto children = (*file)->root().children();
  CHECK(children[0].place() == Place{"j.xml", 2, 3});
  CHECK(children[0].place_of("run") == Place{"j.xml", 3, 9});
  CHECK(children[1].place_of("a") == Place{"j.xml", 4, 0});
}

TEST_CASE("every fault of an element is reported, with the nearest known name", "[input][errors]") {
  const auto file = XmlFile::parse("<step id=\"a b\" rnu=\"3 min\" wait=\"5\"><tols/></step>", "j.xml");
  REQUIRE(file);
  Diagnostics faults;
  Take take((*file)->root(), faults);
  take.id("id");
  take.amount<Duration>("run");
  take.amount<Duration>("wait");
  take.children("tools");
  take.finish();
  REQUIRE(faults.size() == 4);
  CHECK(faults[0].code == "id-bad");
  CHECK(faults[1].code == "unit-missing");
  CHECK(faults[2].code == "attribute-unknown");
  CHECK(faults[2].mend == "write run");
  CHECK(faults[3].code == "element-unknown");
  CHECK(faults[3].mend == "write <tools>");
}
