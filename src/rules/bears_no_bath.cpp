// A part that bears no bath or no coat (an open sensor, relay, potentiometer, sounder) comes on after it.
#include <fmt/format.h>

#include <algorithm>

#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "no-bath";

/// The word on a card that a step of this process would go against; empty: none.
std::string_view forbidden_by(const job::Step& step) {
  if (step.process.text == "wash" || step.process.text == "clean-flux") return "no-wash";
  return step.process.text == "coat-board" ? "no-coat" : "";
}

/// A coat goes round what is masked; a bath does not.
bool masked(const Facts& facts, const job::Step& bath) {
  return bath.process.text == "coat-board" && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && same_or_within(facts, s.on, bath.on); });
}

}  // namespace

void bears_no_bath(const Facts& facts, const job::Step& bath, Yield& yield) {
  const std::string_view word = forbidden_by(bath);
  // A whole device that is rinsed outside is another thing.
  if (word.empty() || bath.on.empty() || bath.on.text == "unit" || masked(facts, bath)) return;
  const std::string does = word == "no-wash" ? "washes" : "coats";
  for (const job::Part& part : facts.job.parts) {
    if (part.jig || !marked(facts, part.id, word)) continue;
    const std::string text = fmt::format("{} {} the board, and {} bears none of it", say(bath), does, facts.name(part.id));
    std::vector<std::vector<plan::Constraint>> options;
    bool own = false;
    for (const job::Step* joins : joining_steps(facts, part.id, bath.on)) {
      own = own || joins == &bath;
      options.push_back({before(bath, *joins, reason(plan::ReasonKind::surface, kRule, text, practice(), bath.place))});
    }
    if (own) options.clear();
    if (options.empty() && !own && !same_or_within(facts, part.id, bath.on) && !worked_on(facts, bath).contains(part.id)) continue;
    if (!options.empty()) {
      at_least_one(yield, kRule, std::move(options), text, bath.place);
      continue;
    }
    auto f = finding(kRule, plan::Severity::stop, bath, text, fmt::format("put {} on after it, or clean by hand around it with a step of process 'clean'", facts.name(part.id)), practice());
    f.parts = {part.id};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
