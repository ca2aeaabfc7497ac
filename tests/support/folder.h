// folder.h: a folder of its own for a test, gone at the end.
#pragma once

#include <catch2/catch.hpp>

#include <filesystem>
#include <string>

struct Folder {
  std::filesystem::path path;
  Folder() {
    std::string name = (std::filesystem::temp_directory_path() / "handlot-test-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()));
    path = name;
  }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::permissions(path, std::filesystem::perms::owner_all, ignored);
    std::filesystem::remove_all(path, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
};
