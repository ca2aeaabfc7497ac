#include "catalogue/written.h"

#include <catch2/catch.hpp>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "catalogue/catalogue.h"
#include "support/folder.h"

using namespace handlot;
namespace fs = std::filesystem;

namespace {

std::string read_all(const fs::path& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// Compares, or writes the page when HANDLOT_ACCEPT is set.
void holds(const std::string& name, const std::string& text) {
  const fs::path path = fs::path(HANDLOT_TOP) / "docs/reference" / name;
  if (std::getenv("HANDLOT_ACCEPT") != nullptr) std::ofstream(path) << text;
  INFO("run tests_catalogue with HANDLOT_ACCEPT=1 to write " << path.string());
  CHECK(read_all(path) == text);
}

/// The files of all card folders that are shipped.
std::vector<std::string> shipped_files() {
  std::vector<std::string> files;
  const fs::path top(HANDLOT_TOP);
  for (const auto& e : fs::directory_iterator(top / "parts")) files.push_back(e.path().string());
  if (fs::exists(top / "jobs")) {
    for (const auto& job : fs::directory_iterator(top / "jobs")) {
      if (!fs::exists(job.path() / "parts")) continue;
      for (const auto& e : fs::directory_iterator(job.path() / "parts")) files.push_back(e.path().string());
    }
  }
  std::erase_if(files, [](const std::string& f) { return fs::path(f).extension() != ".xml"; });
  std::sort(files.begin(), files.end());
  return files;
}

int xmllint(const std::string& arguments) { return std::system(("xmllint --noout " + arguments + " 2>/dev/null").c_str()); }

}  // namespace

TEST_CASE("the XSD of cards follows the vocabulary", "[catalogue][golden]") { holds("cards.xsd", catalogue::cards_xsd()); }

TEST_CASE("the reference page of cards follows the vocabulary", "[catalogue][golden]") { holds("cards.md", catalogue::cards_page()); }

TEST_CASE("every shipped card file holds against the XSD", "[catalogue]") {
  if (xmllint("--version") != 0) {
    WARN("skipped: xmllint is not installed");
    return;
  }
  std::string all = "--schema '" HANDLOT_TOP "/docs/reference/cards.xsd'";
  for (const std::string& file : shipped_files()) all += " '" + file + "'";
  CHECK(xmllint(all) == 0);
}

TEST_CASE("the XSD refuses what the reader refuses", "[catalogue][errors]") {
  if (xmllint("--version") != 0) {
    WARN("skipped: xmllint is not installed");
    return;
  }
  const Folder folder;
  const fs::path file = folder.path / "card.xml";
  const auto verdict = [&](const std::string& card) {
    std::ofstream(file) << "<cards version=\"1\">" << card << "</cards>";
    return xmllint("--schema '" HANDLOT_TOP "/docs/reference/cards.xsd' '" + file.string() + "'") == 0;
  };
  CHECK(verdict("<screw id='a' name='A'><figure name='length' value='4 mm' standing='practice'/></screw>"));
  CHECK_FALSE(verdict("<screw id='a' name='A'><figure name='lenght' value='4 mm' standing='practice'/></screw>"));
  CHECK_FALSE(verdict("<screw id='a' name='A'><figure name='length' value='4 mm'/></screw>"));
  CHECK_FALSE(verdict("<screw id='a b' name='A'/>"));
  CHECK_FALSE(verdict("<screw id='a' name='A' head='round'/>"));
  CHECK_FALSE(verdict("<screw id='a' name='A' colour='red'/>"));
  CHECK_FALSE(verdict("<washer id='a' name='A'/>"));
}

TEST_CASE("every document of the cards stands in the list of sources", "[catalogue]") {
  const std::string folder = HANDLOT_TOP "/parts";
  const auto cards = catalogue::Catalogue::read(std::vector{folder});
  REQUIRE(cards);
  const std::string page = read_all(fs::path(HANDLOT_TOP) / "docs/reference/sources.md");
  for (const auto& [key, document] : cards->documents()) {
    INFO(key);
    CHECK(page.find("| " + key + " | " + document.title + " | " + document.where + " |\n") != std::string::npos);
  }
}
