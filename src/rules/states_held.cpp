// A state that a step needs is given before, and not taken away between.
#include <fmt/format.h>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

using plan::Constraint;

std::string called(const Facts& facts, const job::StateOf& state) {
  return state.of.empty() ? fmt::format("'{}'", state.state.text) : fmt::format("'{}' of {}", state.state.text, facts.name(state.of));
}

bool same_state(const job::StateOf& a, const job::StateOf& b) { return a.state == b.state && a.of == b.of; }

std::vector<const job::Step*> saying_so(const Facts& facts, const job::StateOf& state, std::vector<job::StateOf> job::Step::*list) {
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    for (const job::StateOf& one : s.*list) {
      if (same_state(one, state)) {
        found.push_back(&s);
        break;
      }
    }
  }
  return found;
}

plan::Reason why(const Facts& facts, const job::StateOf& need, std::string text) {
  (void)facts;
  return reason(plan::ReasonKind::state, "states", std::move(text), stated(), need.place);
}

void nobody_gives(const Facts& facts, const job::Step& step, const job::StateOf& need, Yield& yield) {
  auto f = finding("states", plan::Severity::stop, step, fmt::format("{} needs {}, and no step gives it", say(step), called(facts, need)),
                   fmt::format("add <gives state=\"{}\"{}/> to the step that brings it about", need.state.text,
                               need.of.empty() ? "" : fmt::format(" of=\"{}\"", need.of.text)),
                   stated());
  f.place = need.place;
  yield.findings.push_back(std::move(f));
}

}  // namespace

void states_held(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::StateOf& need : step.needs) {
    const auto givers = saying_so(facts, need, &job::Step::gives);
    const auto takers = saying_so(facts, need, &job::Step::takes);
    if (givers.empty() && takers.empty()) {
      nobody_gives(facts, step, need, yield);
      continue;
    }
    const std::string what = called(facts, need);
    const auto gives_first = [&](const job::Step& giver) {
      return before(giver, step, why(facts, need, fmt::format("{} needs {}, which {} gives", say(step), what, say(giver))));
    };
    // A state that is taken but never given holds from the start.
    std::vector<std::vector<Constraint>> options;
    for (const job::Step* giver : givers) {
      if (giver != &step) options.push_back({gives_first(*giver)});
    }
    if (!givers.empty() && !options.empty()) at_least_one(yield, "states", std::move(options), fmt::format("which step gives {} for {}", what, say(step)), need.place);
    for (const job::Step* taker : takers) {
      if (taker == &step) continue;
      std::vector<std::vector<Constraint>> ways;
      ways.push_back({before(step, *taker, why(facts, need, fmt::format("{} needs {}, which {} takes away", say(step), what, say(*taker))))});
      for (const job::Step* giver : givers) {
        if (giver == &step || giver == taker) continue;
        ways.push_back({before(*taker, *giver, why(facts, need, fmt::format("{} takes {} away, and {} gives it again", say(*taker), what, say(*giver)))), gives_first(*giver)});
      }
      at_least_one(yield, "states", std::move(ways), fmt::format("{} while {} holds", say(step), what), need.place);
    }
  }
}

}  // namespace handlot::rules
