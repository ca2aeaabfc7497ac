// A finish that is sanded off is put on again, and what it covers is drilled before it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>
#include <utility>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

bool finishes(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kCoats{"oil", "shellac", "lacquer", "wax"};
  return std::find(kCoats.begin(), kCoats.end(), step.process.text) != kCoats.end();
}

/// A film is rubbed level to be polished, or to stay matt: what the step or a polishing after it says.
bool rubbed_out(const job::Step& sand) {
  constexpr std::array<std::string_view, 7> kWords{"flatten", "level", "rub out", "satin", "matt", "wet paper", "wet sand"};
  return says_one_of(kWords, step_words(sand));
}

/// The coarsest paper that the step names: "180 grit", "grit 180", "P180". Empty: none.
std::optional<int> coarsest_grit(const job::Step& sand) {
  std::optional<int> coarsest;
  const auto figure = [&](const std::string& word) {
    const std::size_t from = !word.empty() && word.front() == 'p' ? 1 : 0;
    const bool digits = word.size() >= from + 2 && word.size() <= from + 4 && std::all_of(word.begin() + static_cast<std::ptrdiff_t>(from), word.end(), [](unsigned char c) { return std::isdigit(c) != 0; });
    return digits ? std::stoi(word.substr(from)) : 0;
  };
  for (const std::string& line : step_lines(sand)) {
    std::string word, before;
    for (const char c : line + " ") {
      if (std::isalnum(static_cast<unsigned char>(c)) != 0) {
        word += c;
        continue;
      }
      const int grit = word == "grit" ? figure(before) : before == "grit" || (!word.empty() && word.front() == 'p') ? figure(word) : 0;
      if (grit > 0 && (!coarsest || grit < *coarsest)) coarsest = grit;
      if (!word.empty()) before = std::exchange(word, "");
    }
  }
  return coarsest;
}

/// Colour or oil that is in the wood and no film: the lacquer over it puts none of it back, only a coat of the same does. A light rub with
/// fine paper takes off the raised grain. The limits are common practice.
void sanded_through(const Facts& facts, const KnownOrder& order, const job::Step& sand, Yield& yield) {
  constexpr int kCoarse = 180, kFine = 280;
  constexpr std::array<std::string_view, 5> kLightly{"light", "scuff", "nib", "gentl", "between coats"};
  const auto grit = coarsest_grit(sand);
  if (!grit || *grit > kFine || says_one_of(kLightly, step_words(sand))) return;
  const auto here = [&](const job::Step& s) { return same_or_within(facts, s.on, sand.on); };
  for (const job::Step& colour : facts.job.steps) {
    if (colour.process.text != "oil" || colour.materials.empty() || !here(colour) || !order.before(colour.id, sand.id)) continue;
    const auto lies_between = [&](const job::Step& s) { return film_process(s.process.text) && here(s) && order.before(colour.id, s.id) && order.before(s.id, sand.id); };
    const auto again = [&](const job::Step& s) {
      return here(s) && order.before(sand.id, s.id) && std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& u) { return u.card == colour.materials.front().card; });
    };
    const auto& steps = facts.job.steps;
    if (std::any_of(steps.begin(), steps.end(), lies_between) || std::any_of(steps.begin(), steps.end(), again)) continue;
    constexpr std::array<std::string_view, 5> kColours{"dye", "dyed", "stain", "stained", "colour"};
    const std::string name = facts.card(colour.materials.front().card).name;
    const bool dye = says_one_word(kColours, lower(name) + " " + step_words(colour));
    const auto severity = !dye ? plan::Severity::note : *grit <= kCoarse ? plan::Severity::warn : plan::Severity::undecided;
    auto f = finding("finish-stays", severity, sand, fmt::format("{} with {} grit takes off {} of {}, and what is put on after it puts no {} back: it shows in patches", say(sand), *grit, name, say(colour), dye ? "colour" : "oil"),
                     fmt::format("sand before {}, put {} on again after, or rub lightly with 320 or finer and say so", say(colour), name), practice());
    f.steps.push_back(colour.id);
    yield.findings.push_back(std::move(f));
    return;
  }
}

/// A hole through the film leaves a bare edge from which it lifts.
void drilled(const Facts& facts, const KnownOrder& order, const job::Step& drill, Yield& yield) {
  const bool taped = std::any_of(drill.actions.begin(), drill.actions.end(), [](const std::string& a) { return lower(a).find("tape") != std::string::npos; });
  const job::Step* last = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (!film_process(s.process.text) || !same_or_within(facts, s.on, drill.on)) continue;
    if (order.before(drill.id, s.id)) return;
    if (order.before(s.id, drill.id)) last = &s;
  }
  if (last == nullptr || taped) return;
  yield.findings.push_back(finding("finish-stays", plan::Severity::note, drill, fmt::format("{} cuts through the film of {}, and no coat follows: the edge is bare, and the film may chip there", say(drill), say(*last)), "do it before the finish, or tape over the spot and say so in an action", practice()));
}

}  // namespace

void finish_stays(const Facts& facts, const KnownOrder& order, const job::Step& sand, Yield& yield) {
  if (sand.on.empty() || !sand.face_gives.empty()) return;
  if (sand.process.text == "drill" || sand.process.text == "saw" || sand.process.text == "turn") drilled(facts, order, sand, yield);
  if (sand.process.text != "sand") return;
  const auto here = [&](const job::Step& s) { return finishes(s) && same_or_within(facts, s.on, sand.on); };
  const auto& steps = facts.job.steps;
  const auto coat = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(s.id, sand.id); });
  const bool again = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return here(s) && order.before(sand.id, s.id); });
  const bool polished = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return s.process.text == "polish" && same_or_within(facts, s.on, sand.on) && order.before(sand.id, s.id); });
  // Sanded to be glued is bared on purpose.
  const bool glued = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return order.before(sand.id, s.id) && bare_for(facts, s).contains(sand.on); });
  if (again && !glued) sanded_through(facts, order, sand, yield);
  if (coat == steps.end() || again || glued) return;
  if (film_process(coat->process.text) && (polished || rubbed_out(sand))) return;
  yield.findings.push_back(finding("finish-stays", plan::Severity::warn, sand, fmt::format("{} takes off the finish of {}, and no coat follows", say(sand), say(*coat)), "sand before the finish, or put a coat on after", practice()));
}

}  // namespace handlot::rules
