// ask_rules.h: every rule asked about everything it speaks of, and the builder's waivers applied.
#pragma once

#include "graph/order.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// Asks all rules that need no order.
rules::Yield ask_rules(const rules::Facts& facts);

/// Asks the rules that prove something in every allowed order.
void ask_proofs(const rules::Facts& facts, const rules::KnownOrder& order, rules::Yield& yield);

/// The builder's waivers while they are applied.
class Waivers {
 public:
  explicit Waivers(const job::Job& job) : job_(job), met_(job.waivers.size(), false) {}

  /// Takes out the links and choices that are waived, with a note for each.
  void links(rules::Yield& yield);
  /// Marks findings as waived, and says which waivers met nothing at all. Call it last.
  void findings(rules::Yield& yield);

 private:
  const job::Job& job_;
  std::vector<bool> met_;
};

/// Drops findings said twice and sorts them: stop, warn, undecided, note; then by rule and step.
void tidy_findings(std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
