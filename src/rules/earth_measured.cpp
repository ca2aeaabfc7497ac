// Metal that is earthed is measured against the earth pin: a lead that is bolted on may still not carry.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/earth.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// A test or a look that speaks of the earth, in its words or its check lines.
bool measures_earth(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 6> kEarth{"earth", "earthing", "ground", "grounding", "pe", "protective"};
  constexpr std::array<std::string_view, 3> kMeasured{"ohm", "continuity", "resistance"};
  const std::string checks = check_words(step), text = step_words(step) + checks;
  const bool limited = std::any_of(step.checks.begin(), step.checks.end(), [](const job::CheckLine& check) { return check.limit.has_value(); });
  const bool measured = limited || says_one_of(kMeasured, text) || checks.find("beep") != std::string::npos;
  const std::string work = facts.process(step).word_or("class");
  return (work == "test" || work == "check" || measured) && says_one_word(kEarth, text) && (measured || work == "test" || step.process.text == "measure");
}

}  // namespace

void earth_measured(const Facts& facts, const job::Part& lead, Yield& yield) {
  const auto& parts = facts.job.parts;
  const bool mains = std::any_of(parts.begin(), parts.end(), [&](const job::Part& p) { return !p.jig && marked(facts, p.id, "mains"); });
  if (!mains || lead.jig || facts.job.installer(lead.id) == nullptr || !earth_lead(facts, lead.id)) return;
  const bool said = std::any_of(parts.data(), &lead, [&](const job::Part& p) { return !p.jig && facts.job.installer(p.id) != nullptr && earth_lead(facts, p.id); });
  if (said || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return measures_earth(facts, s); })) return;
  yield.findings.push_back(finding(facts, "earth-measured", plan::Severity::note, lead, fmt::format("no step measures whether {} carries: from the earth pin to the metal that it earths", facts.name(lead.id)),
                                   "add a step of process 'measure' with a <check> of the resistance between them, before mains is put on", practice()));
}

}  // namespace handlot::rules
