// A heat-shrink sleeve that is pushed on is shrunk: loose, it slides off the joint that it insulates.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// Warms it, by its process or its words; "the shrink sleeve" by itself is only a name.
bool shrinks(const job::Step& step) {
  constexpr std::array<std::string_view, 8> kNames{"heat-shrink", "heat shrink", "heatshrink", "shrink sleeve", "shrink-sleeve", "shrink tub", "shrink-tub", "shrinking sleeve"};
  if (step.process.text == "heat-shrink") return true;
  std::string text = step_words(step);
  for (const std::string_view name : kNames) {
    for (std::size_t at = text.find(name); at != std::string::npos; at = text.find(name)) text.erase(at, name.size());
  }
  return says_one_of(std::array<std::string_view, 5>{"shrink", "shrunk", "hot air", "heat gun", "warm the sleeve"}, text);
}

}  // namespace

void sleeves_shrunk(const Facts& facts, const job::Part& part, Yield& yield) {
  constexpr std::array<std::string_view, 6> kSleeves{"heat-shrink", "heat shrink", "heatshrink", "shrink sleeve", "shrink tube", "shrink tubing"};
  const job::Step* on = part.jig || !says_one_of(kSleeves, both_names(facts, part.id)) ? nullptr : facts.job.installer(part.id);
  if (on == nullptr || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), shrinks)) return;
  yield.findings.push_back(finding(facts, "sleeves-shrunk", plan::Severity::note, part, fmt::format("{} puts {} on, and no step shrinks it: loose, it slides off what it insulates", say(*on), facts.name(part.id)),
                                   "add a step of process 'heat-shrink' once the joint is made", practice()));
}

}  // namespace handlot::rules
