// What the documents promise about the sources.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
  std::ifstream stream(path);
  std::stringstream text;
  text << stream.rdbuf();
  return text.str();
}

const fs::path kTop = HANDLOT_TOP;

}  // namespace

TEST_CASE("every code of a message stands in docs/reference/messages.md", "[docs]") {
  const std::string page = text_of(kTop / "docs/reference/messages.md");
  const std::regex code("\\b(?:error|warning|fault)\\(\\s*\"([a-z][a-z0-9]*(?:-[a-z0-9]+)+)\"");
  std::set<std::string> missing;
  int found = 0;
  for (const auto& entry : fs::recursive_directory_iterator(kTop / "src")) {
    if (entry.path().extension() != ".cpp") continue;
    const std::string text = text_of(entry.path());
    for (std::sregex_iterator it(text.begin(), text.end(), code), end; it != end; ++it) {
      ++found;
      if (page.find("`" + (*it)[1].str() + "`") == std::string::npos) missing.insert((*it)[1].str() + " (" + entry.path().filename().string() + ")");
    }
  }
  CHECK(found > 100);
  for (const std::string& one : missing) UNSCOPED_INFO("not in messages.md: " << one);
  CHECK(missing.empty());
}

TEST_CASE("links between the documents lead somewhere", "[docs]") {
  const std::regex link("\\]\\(([^)#:]+)\\)");
  for (const auto& entry : fs::recursive_directory_iterator(kTop / "docs")) {
    if (entry.path().extension() != ".md") continue;
    const std::string text = text_of(entry.path());
    for (std::sregex_iterator it(text.begin(), text.end(), link), end; it != end; ++it) {
      INFO(entry.path().string() << ": " << (*it)[1].str());
      CHECK(fs::exists(entry.path().parent_path() / (*it)[1].str()));
    }
  }
  for (const char* name : {"README.md", "DEVELOPERS.md"}) {
    const std::string text = text_of(kTop / name);
    for (std::sregex_iterator it(text.begin(), text.end(), link), end; it != end; ++it) {
      INFO(name << ": " << (*it)[1].str());
      CHECK(fs::exists(kTop / (*it)[1].str()));
    }
  }
}
