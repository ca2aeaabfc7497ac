// A part that can be turned is put in by a step that says which way round it goes.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "which-way";

/// Words by which people say it. Common practice, no source.
bool speaks_of_it(const std::string& line) {
  constexpr std::array<std::string_view, 22> kStems{"polar", "plus", "minus", "positive", "negative", "anode", "cathode", "band", "stripe", "notch", "north", "south", "toward", "facing", "upright", "upward", "outward", "inward", "downward", "orient", "direction", "colour"};
  constexpr std::array<std::string_view, 18> kWords{"dot", "pin", "leg", "legs", "mark", "marks", "marked", "pole", "poles", "up", "down", "bar", "red", "black", "key", "arrow", "flat", "round"};
  std::string word;
  for (const char c : lower(line) + " ") {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += c;
      continue;
    }
    if (std::find(kWords.begin(), kWords.end(), word) != kWords.end()) return true;
    if (std::any_of(kStems.begin(), kStems.end(), [&](std::string_view stem) { return word.starts_with(stem); })) return true;
    word.clear();
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
