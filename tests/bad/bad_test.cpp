// Every folder here is a wrong input with the answer that it gets, whole: expected.txt. With HANDLOT_ACCEPT set the
// answers are written anew.
#include <sys/wait.h>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <regex>

#include "support/folder.h"

namespace fs = std::filesystem;

namespace {

const fs::path kHere = HANDLOT_TOP "/tests/bad";

std::string read_all(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// What differs from checkout to checkout, and from one version of the rules to the next, is left out.
std::string settled(std::string text) {
  const std::string top = HANDLOT_TOP "/";
  for (std::size_t at = text.find(top); at != std::string::npos; at = text.find(top)) text.replace(at, top.size(), "OURS/");
  text = std::regex_replace(text, std::regex("OURS/(parts/[a-z]+\\.xml):[0-9]+(:[0-9]+)?"), "$1");
  return std::regex_replace(text, std::regex(", plan [0-9a-f]{12}"), "");
}

struct Answer {
  int exit = -1;
  std::string said;  ///< stdout, then stderr
};

/// Runs the program in a folder, with a time limit of 20 s.
Answer run(const fs::path& folder, const std::string& words) {
  const Folder heard;
  const fs::path out = heard.path / "out", err = heard.path / "err";
  const std::string line = "cd '" + folder.string() + "' && NO_COLOR=1 timeout 20 '" HANDLOT_BUILD "/handlot' " + words + " >'" + out.string() +
                           "' 2>'" + err.string() + "'";
  const int status = std::system(line.c_str());
  return {WIFEXITED(status) ? WEXITSTATUS(status) : 128, settled(read_all(out) + read_all(err))};
}

std::vector<fs::path> cases() {
  std::vector<fs::path> folders;
  for (const auto& entry : fs::directory_iterator(kHere)) {
    if (entry.is_directory()) folders.push_back(entry.path());
  }
  std::sort(folders.begin(), folders.end());
  return folders;
}

std::string count_of(const std::string& text, const std::string& what) {
  std::size_t n = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++n;
  return std::to_string(n);
}

}  // namespace

TEST_CASE("every wrong input gets its pinned answer", "[bad][errors]") {
  REQUIRE(cases().size() >= 20);
  for (const fs::path& folder : cases()) {
    const Answer answer = run(folder, "check job.xml");
    const std::string text = "exit " + std::to_string(answer.exit) + "\n" + answer.said;
    if (std::getenv("HANDLOT_ACCEPT") != nullptr) std::ofstream(folder / "expected.txt") << text;
    INFO(folder.filename().string());
    CHECK(text == read_all(folder / "expected.txt"));
    CHECK((answer.exit == 1 || answer.exit == 3 || folder.filename() == "own-card-clash"));
    if (answer.exit == 3) CHECK(text.find("mend:") != std::string::npos);
  }
}

TEST_CASE("twelve seeded faults of different kinds are reported in one run, each with line and mend", "[bad][errors]") {
  const Answer answer = run(kHere / "twelve-faults", "check job.xml");
  CHECK(answer.exit == 3);
  CHECK(count_of(answer.said, ": error: ") == "12");
  CHECK(count_of(answer.said, "  mend: ") == "12");
  for (const char* code : {"date-bad", "unit-kind", "id-twice", "card-unknown", "number-comma", "fixture-unknown", "unit-missing", "number-range",
                           "step-unknown", "attribute-unknown", "install-few"}) {
    INFO(code);
    CHECK(answer.said.find(std::string("[") + code + "]") != std::string::npos);
  }
}

TEST_CASE("a file over the limit is refused unread", "[bad][errors]") {
  const Folder own;
  const fs::path& folder = own.path;
  std::ofstream(folder / "job.xml") << "<job version=\"1\">" << std::string(9u << 20, ' ') << "</job>";
  const Answer answer = run(folder, "check job.xml");
  CHECK(answer.exit == 3);
  CHECK(answer.said.find("[file-huge]") != std::string::npos);
}

TEST_CASE("a wrong input writes nothing and leaves an earlier sheet as it was", "[bad][errors]") {
  const Folder own;
  const fs::path folder = own.path / "wrong";
  for (const fs::path& wrong : cases()) {
    fs::remove_all(folder);
    fs::create_directories(folder / "sheet");
    std::ofstream(folder / "sheet/sheet.html") << "the old sheet";
    fs::copy(wrong, folder, fs::copy_options::recursive | fs::copy_options::overwrite_existing);
    const Answer answer = run(folder, "sheet job.xml");
    if (answer.exit != 3) continue;
    INFO(wrong.filename().string());
    CHECK(read_all(folder / "sheet/sheet.html") == "the old sheet");
    CHECK(std::distance(fs::directory_iterator(folder / "sheet"), fs::directory_iterator()) == 1);
  }
}

TEST_CASE("a job that is not there, or a folder in its place, is answered", "[bad][errors]") {
  const Answer missing = run(kHere, "check nowhere.xml");
  CHECK(missing.exit == 3);
  CHECK(missing.said.find("[file-missing]") != std::string::npos);
  CHECK(run(kHere, "check empty").exit == 3);
}
