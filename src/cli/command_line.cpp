// The command line: verbs, 'handlot JOB', help that begins with examples.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <iostream>
#include <nlohmann/json.hpp>

#include "cli/command_line.h"
#include "cli/verbs.h"
#include "core/text.h"

namespace handlot::cli {

CLI::App* verb(CLI::App& app, const std::string& name, const std::string& does, const std::string& examples) {
  CLI::App* v = app.add_subcommand(name, does);
  v->fallthrough();
  v->footer("");
  v->description("Examples:\n  " + examples + "\n\n" + does);
  return v;
}

namespace {

constexpr std::array kVerbs{&add_check, &add_plan, &add_sheet, &add_why, &add_profile, &add_oven, &add_stencil, &add_kit, &add_bench, &add_record, &add_cards, &add_new};

constexpr std::string_view kShort =
    "handlot plans a small hand-built lot and prints its build sheet.\n"
    "  handlot JOB            check, plan and write the sheet\n"
    "  handlot new DIR        a small job to start from\n"
    "  handlot --help         all verbs;  for example: handlot jobs/tide-dial/job.xml\n";

/// The parser's own sentence, as a message of ours: small at the start, no full stop.
std::string in_our_words(std::string text) {
  text = text.substr(0, text.find('\n'));
  while (!text.empty() && (text.back() == '.' || text.back() == ' ')) text.pop_back();
  if (text.size() > 1 && text[0] >= 'A' && text[0] <= 'Z' && text[1] >= 'a') text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

/// "chek" is a verb that there is not; what has a point or a slash in it, or is there, is a job.
bool is_no_job(const std::string& word) {
  std::error_code ignored;
  return word.find_first_of("./\\") == std::string::npos && !std::filesystem::exists(word, ignored);
}

Diagnostic no_verb(const std::string& word, const std::vector<std::string>& verbs) {
  const auto near = closest(word, verbs);
  return error("verb-unknown", {}, fmt::format("there is no verb '{}', and no job file of that name", word),
               near ? fmt::format("write handlot {}", *near) : "see handlot --help for the verbs, or name a job file");
}

int tell_version(const Screen& screen) {
  if (screen.json) fmt::print("{}\n", nlohmann::ordered_json{{"version", HANDLOT_VERSION}, {"cards", pipeline::own_cards()}}.dump(2));
  else fmt::print("handlot {} (cards: {})\n", HANDLOT_VERSION, pipeline::own_cards());
  return kDone;
}

}  // namespace

int run(int argc, char** argv) {
  CLI::App app{"Examples:\n  handlot jobs/tide-dial/job.xml\n  handlot why jobs/tide-dial/job.xml reflow\n\n"
               "Order, checks, schedule and build sheet for a small hand-built lot. 'handlot JOB' is the main job."};
  app.name("handlot");
  app.set_version_flag("--version", fmt::format("handlot {} (cards: {})", HANDLOT_VERSION, pipeline::own_cards()));
  app.require_subcommand(1);
  Screen screen;
  app.add_flag("--json", screen.json, "One JSON document on stdout");
  app.add_flag("--quiet", screen.quiet, "No talk on stderr");
  app.add_flag("--no-color,--no-colour", screen.no_colour, "No colour");
  Run chosen;
  std::vector<std::string> names;
  for (AddVerb add : kVerbs) add(app, screen, chosen);
  for (const CLI::App* v : app.get_subcommands({})) names.push_back(v->get_name());

  std::vector<std::string> words(argv + 1, argv + argc);
  if (words.empty()) {
    fmt::print("{}", kShort);
    return kDone;
  }
  // 'handlot JOB' means 'handlot sheet JOB'.
  const auto first = std::find_if(words.begin(), words.end(), [](const std::string& w) { return w.empty() || w[0] != '-'; });
  const auto said = [&](std::string_view word) { return std::find(words.begin(), words.end(), word) != words.end(); };
  screen.json = said("--json");  // faults of the words, too, come as asked for
  if (first != words.end() && std::find(names.begin(), names.end(), *first) == names.end()) {
    if (is_no_job(*first)) {
      screen.report({no_verb(*first, names)});
      return kUsage;
    }
    words.insert(first, "sheet");
  }
  std::reverse(words.begin(), words.end());
  try {
    app.parse(words);
  } catch (const CLI::ParseError& e) {
    const bool asked = e.get_exit_code() == 0;  // help, version
    if (e.get_name() == "CallForVersion") return tell_version(screen);
    if (!asked) {
      screen.report({error("usage", {}, in_our_words(e.what()), "see handlot --help, or handlot VERB --help")});
      return kUsage;
    }
    app.exit(e, std::cout, std::cerr);
    return kDone;
  }
  return chosen ? chosen() : static_cast<int>(kUsage);
}

}  // namespace handlot::cli
