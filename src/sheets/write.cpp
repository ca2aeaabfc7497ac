#include "sheets/write.h"

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <future>
#include <sstream>

#include "sheets/compose.h"
#include "sheets/html.h"
#include "sheets/ics.h"
#include "sheets/json.h"
#include "sheets/kit_csv.h"

namespace handlot::sheets {

namespace {

namespace fs = std::filesystem;

struct File {
  std::string name;
  std::string bytes;
};

std::string in(const std::string& folder, const std::string& name) {
  return (fs::path(folder) / name).string();
}

Diagnostic cannot_write(const std::string& path, const std::string& why) {
  return error("cannot-write", {path, 0, 0}, "cannot write '" + path + "': " + why,
               "make room or give the right to write there, or name another folder with -o");
}

bool put(const std::string& path, const std::string& bytes) {
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  return file.good();
}

/// The calendar of the export before, so that this one can update it.
std::string previous_calendar(const std::string& folder) {
  constexpr std::uintmax_t kMost = 16U << 20U;  // more is not ours
  const std::string path = in(folder, "plan.ics");
  std::error_code none;
  if (const auto size = fs::file_size(path, none); none || size > kMost) return {};
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

void remove_new(const std::string& folder, const std::vector<File>& files) {
  std::error_code ignored;
  for (const auto& file : files) fs::remove(in(folder, file.name + ".new"), ignored);
}

Result<std::vector<std::string>> place(const std::string& folder, const std::vector<File>& files) {
  std::error_code why;
  fs::create_directories(folder, why);
  if (why) return fail(cannot_write(folder, why.message()));
  for (const auto& file : files) {
    const std::string beside = in(folder, file.name + ".new");
    errno = 0;
    if (!put(beside, file.bytes)) {
      const std::string reason = errno != 0 ? std::strerror(errno) : "the disk took only part of it";
      remove_new(folder, files);
      return fail(cannot_write(beside, reason));
    }
  }
  std::vector<std::string> written;
  for (const auto& file : files) {
    const std::string path = in(folder, file.name);
    fs::rename(path + ".new", path, why);
    if (why) {
      remove_new(folder, files);
      return fail(cannot_write(path, why.message()));
    }
    written.push_back(path);
  }
  return written;
}

}  // namespace

Result<std::vector<std::string>> write_sheet(const plan::Plan& plan, const std::string& folder,
                                             const WriteOptions& options) {
  const Sheet sheet = compose(plan, {options.base_url});
  // Setting the paper is two thirds of the work; the page shares nothing with it but what both read.
  auto page = std::async(std::launch::async, [&] { return to_html(sheet, options.templates); });
  std::string pdf = to_pdf(sheet, options.paper);
  auto html = page.get();
  if (!html) return fail(html.error());
  std::vector<File> files;
  files.push_back({"sheet.html", std::move(*html)});
  files.push_back({"sheet.pdf", std::move(pdf)});
  files.push_back({"plan.json", to_json(plan)});
  files.push_back({"plan.ics", to_ics(plan, previous_calendar(folder))});
  files.push_back({"kit.csv", kit_csv(plan)});
  return place(folder, files);
}

}  // namespace handlot::sheets
