#include "cli/terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>

#include "core/text.h"
#include "input/file.h"

namespace handlot::cli {

namespace {

bool colour_on(int descriptor, bool no_colour) {
  if (no_colour || isatty(descriptor) == 0) return false;
  const char* unwanted = std::getenv("NO_COLOR");
  if (unwanted != nullptr && *unwanted != '\0') return false;
  const char* terminal = std::getenv("TERM");
  return terminal == nullptr || std::string_view(terminal) != "dumb";
}

/// Lines of files named in diagnostics, read once.
class Lines {
 public:
  std::string of(const Place& place) {
    if (place.line < 1) return {};
    auto [at, fresh] = files_.try_emplace(place.file);
    if (fresh) {
      if (const auto text = input::read_text(place.file)) {
        std::string line;
        for (char c : *text) {
          if (c == '\n') {
            at->second.push_back(std::move(line));
            line.clear();
          } else if (c != '\r') {
            line += c;
          }
        }
        at->second.push_back(std::move(line));
      }
    }
    const auto n = static_cast<std::size_t>(place.line);
    return n <= at->second.size() ? at->second[n - 1].substr(0, 200) : std::string();
  }

 private:
  std::map<std::string, std::vector<std::string>> files_;
};

nlohmann::ordered_json as_json(const Place& place) {
  nlohmann::ordered_json j{{"file", place.file}, {"line", place.line}};
  if (place.column > 0) j["column"] = place.column;
  return j;
}

}  // namespace

bool Screen::colour_out() const { return colour_on(STDOUT_FILENO, no_colour); }
bool Screen::colour_err() const { return colour_on(STDERR_FILENO, no_colour); }

void Screen::stage(std::string_view what) const {
  if (quiet || isatty(STDERR_FILENO) == 0) return;
  fmt::print(stderr, "\r\033[K{}...", what);
  std::fflush(stderr);
}

void Screen::stage_done() const {
  if (quiet || isatty(STDERR_FILENO) == 0) return;
  fmt::print(stderr, "\r\033[K");
  std::fflush(stderr);
}

void Screen::say(std::string_view line) const {
  if (!quiet) fmt::print(stderr, "{}\n", line);
}

void Screen::report(const Diagnostics& diagnostics) const {
  stage_done();
  if (json) {
    nlohmann::ordered_json all = nlohmann::ordered_json::array();
    for (const Diagnostic& d : diagnostics) {
      nlohmann::ordered_json notes = nlohmann::ordered_json::array();
      for (const Note& n : d.notes) notes.push_back({{"text", n.text}, {"place", as_json(n.place)}});
      all.push_back({{"severity", d.severity == Diagnostic::Severity::error ? "error" : "warning"},
                     {"code", d.code},
                     {"message", d.text},
                     {"mend", d.mend},
                     {"place", as_json(d.place)},
                     {"notes", notes}});
    }
    const nlohmann::ordered_json document{{"errors", all}};
    fmt::print("{}\n", document.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
    return;
  }
  Lines lines;
  const bool colour = colour_err();
  for (const Diagnostic& d : diagnostics) {
    const std::string text = format(d, lines.of(d.place));
    fmt::print(stderr, "{}{}{}", colour ? (d.severity == Diagnostic::Severity::error ? "\033[1m" : "") : "", text, colour ? "\033[0m" : "");
  }
  const auto errors = std::count_if(diagnostics.begin(), diagnostics.end(), [](const Diagnostic& d) { return d.severity == Diagnostic::Severity::error; });
  if (errors > 0) fmt::print(stderr, "handlot: {}\n", counted(errors, "error", "errors"));
}

std::string typed(const std::string& path) {
  const bool plain = !path.empty() && std::all_of(path.begin(), path.end(), [](char c) {
    return std::string_view(" \t\n\"'`$&|;<>()*?[]#~!\\{}").find(c) == std::string_view::npos;
  });
  if (plain) return path;
  std::string out = "\"";
  for (const char c : path) out += std::string_view("\"`$\\").find(c) == std::string_view::npos ? std::string(1, c) : std::string("\\") + c;
  return out + "\"";
}

int exit_for(const Diagnostics& diagnostics) {
  const bool only_writing = !diagnostics.empty() && std::all_of(diagnostics.begin(), diagnostics.end(), [](const Diagnostic& d) { return d.code == "cannot-write"; });
  return only_writing ? kCannotWrite : kInputWrong;
}

}  // namespace handlot::cli
