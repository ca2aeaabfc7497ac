// Instructions that are followed: one action a line, few of them, the caution first, names that can't be mixed up.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

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

}  // namespace

void instructions(const Facts&, const job::Step& step, Yield& yield) {
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
