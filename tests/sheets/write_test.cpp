#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <sstream>

#include "sheets/sample_plan.h"
#include "sheets/write.h"

using namespace handlot;
namespace fs = std::filesystem;

namespace {

std::string read(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

fs::path fresh(const std::string& name) {
  const fs::path folder = fs::path(HANDLOT_BUILD) / "sheets_test" / name;
  fs::remove_all(folder);
  return folder;
}

}  // namespace

TEST_CASE("the sheet is written whole, and the same bytes twice", "[sheets]") {
  const auto folder = fresh("whole");
  const auto first = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE(first);
  std::vector<std::string> before;
  for (const auto& path : *first) before.push_back(read(path));
  const auto second = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE(second);
  REQUIRE(*first == *second);
  for (std::size_t i = 0; i < first->size(); ++i) {
    INFO((*first)[i]);
    CHECK_FALSE(before[i].empty());
    CHECK((before[i] == read((*second)[i])));
  }
  for (const auto& entry : fs::directory_iterator(folder)) CHECK(entry.path().extension() != ".new");
}

TEST_CASE("a folder that cannot be made is refused and nothing is left", "[sheets][errors]") {
  const auto folder = fresh("blocked");
  fs::create_directories(folder.parent_path());
  std::ofstream(folder) << "a file stands where the folder should be";
  const auto written = sheets::write_sheet(test::sample_plan(), (folder / "sheet").string());
  REQUIRE_FALSE(written);
  CHECK(written.error().front().code == "cannot-write");
  CHECK_FALSE(written.error().front().mend.empty());
  fs::remove(folder);
}

TEST_CASE("a file that cannot be put in place leaves the old sheet and no half of the new one",
          "[sheets][errors]") {
  const auto folder = fresh("half");
  fs::create_directories(folder / "sheet.html");  // a folder where a file is wanted: the rename fails
  std::ofstream(folder / "sheet.html" / "keep") << "old";
  std::ofstream(folder / "plan.json") << "old plan";
  const auto written = sheets::write_sheet(test::sample_plan(), folder.string());
  REQUIRE_FALSE(written);
  CHECK(written.error().front().code == "cannot-write");
  CHECK(read((folder / "plan.json").string()) == "old plan");
  for (const auto& entry : fs::directory_iterator(folder)) CHECK(entry.path().extension() != ".new");
}
