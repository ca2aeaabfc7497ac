// A part that can be turned is put in by a step that says which way round it goes.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <initializer_list>
#include <vector>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "which-way";

bool is_number(const std::string& word) { return !word.empty() && std::all_of(word.begin(), word.end(), [](unsigned char c) { return std::isdigit(c) != 0; }); }

/// The words and numbers of a line, small, with an empty one before and behind.
std::vector<std::string> words_of(const std::string& line) {
  std::vector<std::string> out(1);
  std::string word;
  for (const char c : lower(line) + " ") {
    if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
      word += c;
      continue;
    }
    if (!word.empty()) out.push_back(word);
    word.clear();
  }
  out.emplace_back();
  return out;
}

/// Words that say which way round only beside another: every line of soldering has its legs, and magnets are pressed down. "Pin 1", "long
/// leg", "text up", "the flat side", "right way round".
bool says_it_beside(const std::string& before, const std::string& word, const std::string& after) {
  using Words = std::initializer_list<std::string_view>;
  const auto one_of = [](const std::string& w, Words words) { return std::find(words.begin(), words.end(), w) != words.end(); };
  if (one_of(word, {"pin", "leg", "legs"})) return is_number(after) || one_of(after, {"one"}) || one_of(before, {"first", "long", "longer", "short", "shorter", "left", "right", "marked", "square", "bent"});
  if (one_of(word, {"up", "down"}))
    return one_of(before, {"face", "faces", "facing", "side", "sides", "way", "end", "ends", "pointing", "points", "text", "label", "print", "printing", "writing", "letters", "lettering", "head", "heads", "pole", "poles", "lens", "window", "slot", "key", "keyway", "tab", "contacts", "pads", "opening", "number", "numbers", "logo", "belly", "legs", "leads", "terminals"});
  if (word == "flat") return one_of(before, {"the", "its", "this"}) || one_of(after, {"side", "edge", "face"});
  if (word == "round") return before == "way";
  return word == "key" && one_of(after, {"in", "into", "to", "at", "on", "up", "down", "left", "right"});
}

/// Words by which people say it. Common practice, no source.
bool speaks_of_it(const std::string& line) {
  constexpr std::array<std::string_view, 22> kStems{"polar", "plus", "minus", "positive", "negative", "anode", "cathode", "band", "stripe", "notch", "north", "south", "toward", "facing", "upright", "upward", "outward", "inward", "downward", "orient", "direction", "colour"};
  constexpr std::array<std::string_view, 10> kWords{"dot", "mark", "marks", "marked", "pole", "poles", "bar", "red", "black", "arrow"};
  const std::vector<std::string> words = words_of(line);
  for (std::size_t i = 1; i + 1 < words.size(); ++i) {
    const std::string& word = words[i];
    if (std::find(kWords.begin(), kWords.end(), word) != kWords.end() || says_it_beside(words[i - 1], word, words[i + 1])) return true;
    if (std::any_of(kStems.begin(), kStems.end(), [&](std::string_view stem) { return word.starts_with(stem); })) return true;
  }
  return false;
}

bool says_which_way(const job::Step& step) {
  return !step.orientation.empty() || speaks_of_it(step.title) || std::any_of(step.actions.begin(), step.actions.end(), speaks_of_it) ||
         std::any_of(step.checks.begin(), step.checks.end(), [](const job::CheckLine& c) { return speaks_of_it(c.what); });
}

/// A plug goes in one way only, and what is counted, labelled or packed is not joined.
bool joins(const Facts& facts, const job::Step& step) { return facts.process(step).word_or("class") == "build" && step.process.text != "plug"; }

/// Its contacts are pushed into a crimped plug after the crimp, and come out again.
bool for_good(const Facts& facts, const job::Step& step) { return (step.irreversible || facts.process(step).yes("irreversible")) && step.process.text != "crimp"; }

bool soldered(const job::Step& step) { return step.process.text == "hand-solder" || step.process.text == "place" || step.process.text == "reflow"; }

/// Of a motor or a display it is the plug that can be turned, of a cell that is stuck in its leads. What the list of the board places, the
/// list turns.
bool may_be_turned(const Facts& facts, const job::Step& step, const job::Part& part) {
  const catalogue::Card& card = facts.card(part.card);
  const bool by_leads = card.yes("moving") || card.yes("display") || (card.yes("cell") && !step.bonds.empty());
  const bool by_list = !part.refs.empty() && facts.job.file_of("placement") != nullptr;
  return card.yes("polarised") && !by_leads && !by_list;
}

/// Touches its contacts as it is put in, and turned about spoils what it feeds. One with leads is joined by those.
bool bare_cell(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 6> kLeads{"lead", "wire", "cable", "plug", "pouch", "tag"};
  return marked(facts, part, "cell") && !says_one_of(kLeads, lower(facts.card_of(part).name));
}

/// A part of the panel is turned by what its wires go to, and the step that solders them says it.
bool said_when_wired(const Facts& facts, const job::Step& step, const PartId& part) {
  return !for_good(facts, step) && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return &s != &step && (s.on == part || has(s.touches, part)) && says_which_way(s);
  });
}

}  // namespace

void which_way(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.orientation_critical || !joins(facts, step) || says_which_way(step)) return;  // marked by the job, it is asked by the first piece
  std::vector<std::string> names;
  std::vector<PartId> parts;
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part == nullptr || !may_be_turned(facts, step, *part) || said_when_wired(facts, step, i.part)) continue;
    names.push_back(facts.name(i.part));
    parts.push_back(i.part);
  }
  if (parts.empty()) return;
  const bool no_way_back = for_good(facts, step);
  const bool cell = std::any_of(parts.begin(), parts.end(), [&](const PartId& id) { return bare_cell(facts, id); });
  auto f = finding(kRule, no_way_back ? plan::Severity::warn : soldered(step) || cell ? plan::Severity::undecided : plan::Severity::note, step,
                   fmt::format("{} can be put in the wrong way round{}, and {} does not say which way is right", listed(names), no_way_back ? " for good" : "", say(step)),
                   "write orientation=\"...\", or say it in an action or a check", practice());
  f.parts = std::move(parts);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
