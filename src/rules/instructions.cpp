// Instructions that are followed: one action a line, few of them, the caution first, names that can't be mixed up.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <optional>
#include <regex>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "instructions";

bool several_actions(const std::string& line) {
  const std::string text = lower(line);
  if (text.find(" then ") != std::string::npos || text.find("; ") != std::string::npos) return true;
  const auto stop = text.find(". ");
  // "approx. 3 mm" and "no. 2" end no sentence: what follows must begin with a capital.
  return stop != std::string::npos && stop + 2 < line.size() && std::isupper(static_cast<unsigned char>(line[stop + 2])) != 0;
}

bool warns(const std::string& line) {
  const std::string text = lower(line);
  constexpr std::array<std::string_view, 4> words{"caution", "warning", "danger", "beware"};
  return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return text.starts_with(w); });
}

void note(const job::Step& step, std::string message, std::string mend, const Source& source, Yield& yield) {
  yield.findings.push_back(finding(kRule, plan::Severity::note, step, std::move(message), std::move(mend), source));
}

/// Letters and digits that look alike in print read as one.
std::string as_seen(const std::string& name) {
  std::string seen;
  for (const char c : lower(name)) seen += c == '0' ? 'o' : c == '1' || c == 'i' ? 'l' : c;
  return seen;
}

bool mixed_up(const std::string& a, const std::string& b) {
  if (a == b || a.empty() || b.empty()) return false;
  if (as_seen(a) == as_seen(b)) return true;
  // Long names that differ only in the last letter or digit.
  return a.size() == b.size() && a.size() >= 8 && a.substr(0, a.size() - 1) == b.substr(0, b.size() - 1);
}

/// "M3 x 12" as thread and length in mm, "M3" and 12; each of them once a line.
std::vector<std::pair<std::string, double>> sizes_in(const std::string& line) {
  static const std::regex size(R"(\bM(\d+(?:\.\d+)?) ?(?:x|X|\xC3\x97) ?(\d+(?:\.\d+)?)\b)");
  std::vector<std::pair<std::string, double>> sizes;
  for (std::sregex_iterator i(line.begin(), line.end(), size), end; i != end; ++i) sizes.emplace_back("M" + (*i)[1].str(), std::stod((*i)[2].str()));
  return sizes;
}

/// Of "2 screws", "2 of 2 heads": the number, where the line counts screws.
std::optional<int> screws_counted(const std::string& line) {
  static const std::regex count(R"(\b(\d{1,3}) (?:of \1 )?(?:countersunk |pan |cap )?(?:screws?|heads|bolts?)\b)");
  std::smatch found;
  const std::string text = lower(line);
  if (!std::regex_search(text, found, count)) return std::nullopt;
  const std::string before = found.prefix();
  if (before.ends_with("no. ") || before.ends_with("no ") || before.ends_with("size ")) return std::nullopt;  // of wood screws
  return std::stoi(found[1].str());
}

bool names_another_thread(const std::string& line) {
  const std::string text = lower(line);
  constexpr std::array<std::string_view, 7> others{"insert", "standoff", "stand-off", "spacer", "nut", " not ", "tap "};
  return std::any_of(others.begin(), others.end(), [&](std::string_view w) { return text.find(w) != std::string::npos; });
}

struct Screws {
  const job::Part& part;
  int count = 0;
};

/// The one kind of screw that the step puts in, and nothing else.
std::optional<Screws> only_screws(const Facts& facts, const job::Step& step) {
  if (step.installs.size() != 1) return std::nullopt;
  const job::Part* part = facts.job.part(step.installs.front().part);
  if (part == nullptr || facts.card(part->card).kind != catalogue::CardKind::screw) return std::nullopt;
  return Screws{*part, step.installs.front().count > 0 ? step.installs.front().count : part->count};
}

void size_as_said(const Facts& facts, const job::Step& step, const Screws& screws, const std::string& line, Yield& yield) {
  const catalogue::Card& card = facts.card(screws.part.card);
  const auto length = card.get<Millimetres>("length");
  const std::string thread = card.word_or("thread");
  if (!length || thread.empty() || names_another_thread(line)) return;
  const auto sizes = sizes_in(line);
  const auto same = [&](const auto& s) { return s.first == thread && std::abs(s.second - length->high.value) < 0.05; };
  if (sizes.size() != 1 || same(sizes.front())) return;
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, step, fmt::format("{} puts in {} ({} x {}), and its line says '{}'", say(step), facts.name(screws.part.id), thread, number(length->high.value), line),
                                   "correct the line or the card of the screw: which of them is meant can't be told", stated()));
}

/// The number of screws in the lines of one kind: one of them says it, or they add up to it.
void count_as_said(const Facts& facts, const job::Step& step, const Screws& screws, const std::vector<std::string>& lines, Yield& yield) {
  int sum = 0;
  const std::string* first = nullptr;
  for (const std::string& line : lines) {
    const auto count = screws_counted(line);
    if (!count) continue;
    if (*count == screws.count) return;
    if (first == nullptr) first = &line;
    sum += *count;
  }
  if (first == nullptr || sum == screws.count) return;
  yield.findings.push_back(finding(kRule, plan::Severity::undecided, step, fmt::format("{} puts in {} of {}, and its line says '{}'", say(step), screws.count, facts.name(screws.part.id), *first),
                                   "correct the line, or the count of the part: which of them is meant can't be told", stated()));
}

/// What the lines say of the screws is what the step puts in.
void screws_as_said(const Facts& facts, const job::Step& step, Yield& yield) {
  const auto screws = only_screws(facts, step);
  if (!screws) return;
  std::vector<std::string> checks;
  for (const job::CheckLine& c : step.checks) checks.push_back(c.what);
  for (const std::string& line : step.actions) size_as_said(facts, step, *screws, line, yield);
  for (const std::string& line : checks) size_as_said(facts, step, *screws, line, yield);
  count_as_said(facts, step, *screws, step.actions, yield);
  count_as_said(facts, step, *screws, checks, yield);
}

}  // namespace

void instructions(const Facts& facts, const job::Step& step, Yield& yield) {
  screws_as_said(facts, step, yield);
  const Source seven{"TWI", "workbook p. 98, as seen: five to seven important steps", Standing::read};
  if (step.actions.size() > 7) note(step, fmt::format("{} has {} lines to do: more than can be kept in mind", say(step), step.actions.size()), "split it into two steps", seven, yield);
  for (std::size_t i = 0; i < step.actions.size(); ++i) {
    const std::string& line = step.actions[i];
    if (several_actions(line)) note(step, fmt::format("{} says several things in one line: '{}'", say(step), line), "write one action a line", practice(), yield);
    if (i > 0 && warns(line)) note(step, fmt::format("{} warns after the action it concerns: '{}'", say(step), line), "put the warning first; cautions of materials and processes are printed by themselves", practice(), yield);
  }
}

void names_apart(const Facts& facts, Yield& yield) {
  for (std::size_t i = 0; i < facts.job.parts.size(); ++i) {
    for (std::size_t j = i + 1; j < facts.job.parts.size(); ++j) {
      const job::Part &a = facts.job.parts[i], &b = facts.job.parts[j];
      const std::string first = called(a), second = called(b);
      if (a.card == b.card || !mixed_up(first, second)) continue;
      plan::Finding f;
      f.rule = RuleId("names-apart");
      f.severity = plan::Severity::note;
      f.parts = {a.id, b.id};
      f.message = fmt::format("'{}' and '{}' are read for one another", first, second);
      f.mend = "name them by what sets them apart, at the beginning";
      f.source = practice();
      f.place = b.place;
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace handlot::rules
