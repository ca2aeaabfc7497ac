#include "pipeline/ask_rules.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <type_traits>

namespace handlot::pipeline {

namespace {

using rules::Facts;
using rules::Yield;

void ask(const Facts& facts, const rules::Rule& rule, Yield& yield) {
  std::visit(
      [&](auto function) {
        using F = decltype(function);
        if constexpr (std::is_same_v<F, rules::PerStep>) {
          for (const job::Step& s : facts.job.steps) function(facts, s, yield);
        } else if constexpr (std::is_same_v<F, rules::PerPair>) {
          for (const job::Step& a : facts.job.steps) {
            for (const job::Step& b : facts.job.steps) {
              if (&a != &b) function(facts, a, b, yield);
            }
          }
        } else if constexpr (std::is_same_v<F, rules::PerPart>) {
          for (const job::Part& p : facts.job.parts) function(facts, p, yield);
        } else if constexpr (std::is_same_v<F, rules::PerJoint>) {
          for (const job::Joint& j : facts.job.joints) function(facts, j, yield);
        } else if constexpr (std::is_same_v<F, rules::PerJob>) {
          function(facts, yield);
        }
      },
      rule.ask);
}

/// Does a sentence name the part, or the subassembly, by its id or its name?
bool names(const job::Job& job, const std::string& text, const PartId& id) {
  const auto quoted = [&](const std::string& word) { return !word.empty() && text.find("'" + word + "'") != std::string::npos; };
  const job::Part* part = job.part(id);
  const job::Assembly* assembly = job.assembly(id);
  return quoted(id.text) || (part != nullptr && quoted(part->name)) || (assembly != nullptr && quoted(assembly->name));
}

/// Is what is said in this sentence about one of the parts that the waiver is for?
bool about(const job::Job& job, const job::Waive& waive, const std::string& text) {
  return waive.parts.empty() || std::any_of(waive.parts.begin(), waive.parts.end(), [&](const PartId& id) { return names(job, text, id); });
}

bool names_any(const job::Job& job, const std::string& text) {
  return std::any_of(job.parts.begin(), job.parts.end(), [&](const job::Part& p) { return names(job, text, p.id); }) ||
         std::any_of(job.assemblies.begin(), job.assemblies.end(), [&](const job::Assembly& a) { return names(job, text, a.id); });
}

bool meets(const job::Waive& waive, const RuleId& rule, const std::vector<StepId>& steps, const std::vector<PartId>& parts) {
  if (waive.rule != rule) return false;
  const auto any = [](const auto& wanted, const auto& given) {
    return wanted.empty() || std::any_of(wanted.begin(), wanted.end(), [&](const auto& id) { return std::find(given.begin(), given.end(), id) != given.end(); });
  };
  return any(waive.steps, steps) && (waive.parts.empty() || parts.empty() || any(waive.parts, parts));
}

plan::Finding waiver_note(const job::Waive& waive, std::string message, std::vector<StepId> steps) {
  plan::Finding f;
  f.rule = waive.rule;
  f.severity = plan::Severity::note;
  f.steps = std::move(steps);
  f.message = std::move(message);
  f.place = waive.place;
  f.waived_because = waive.because;
  return f;
}

}  // namespace

rules::Yield ask_rules(const Facts& facts) {
  Yield yield;
  for (const rules::Rule& rule : rules::all_rules()) ask(facts, rule, yield);
  // Weak choices last: what only the listing decides must not get in the way of a fact.
  std::stable_partition(yield.choices.begin(), yield.choices.end(), [](const plan::Choice& c) { return c.rule.text != rules::kListingRule; });
  return yield;
}

void ask_proofs(const Facts& facts, const rules::KnownOrder& order, Yield& yield) {
  for (const rules::Rule& rule : rules::all_rules()) {
    const auto* proof = std::get_if<rules::Proof>(&rule.ask);
    if (proof == nullptr) continue;
    for (const job::Step& s : facts.job.steps) (*proof)(facts, order, s, yield);
  }
}

void Waivers::links(Yield& yield) {
  for (std::size_t i = 0; i < job_.waivers.size(); ++i) {
    const job::Waive& waive = job_.waivers[i];
    std::erase_if(yield.links, [&](const plan::Constraint& c) {
      if (!meets(waive, c.reason.rule, {c.from.step, c.to.step}, {}) || !about(job_, waive, c.reason.text)) return false;
      met_[i] = true;
      yield.findings.push_back(waiver_note(waive, fmt::format("waived: {}", c.reason.text), {c.from.step, c.to.step}));
      return true;
    });
    std::erase_if(yield.choices, [&](const plan::Choice& c) {
      std::vector<StepId> steps;
      std::string links;
      for (const auto& option : c.options) {
        for (const auto& link : option) {
          steps.insert(steps.end(), {link.from.step, link.to.step});
          links += link.reason.text + "; ";
        }
      }
      if (!meets(waive, c.rule, steps, {}) || !about(job_, waive, names_any(job_, c.text) ? c.text : links)) return false;
      met_[i] = true;
      yield.findings.push_back(waiver_note(waive, fmt::format("waived: {}", c.text), waive.steps));
      return true;
    });
  }
}

void Waivers::findings(Yield& yield) {
  for (std::size_t i = 0; i < job_.waivers.size(); ++i) {
    const job::Waive& waive = job_.waivers[i];
    for (plan::Finding& f : yield.findings) {
      if (f.waived_because || !meets(waive, f.rule, f.steps, f.parts)) continue;
      f.waived_because = waive.because;
      met_[i] = true;
    }
    if (met_[i]) continue;
    plan::Finding f = waiver_note(waive, fmt::format("the waiver of '{}' meets nothing", waive.rule.text), waive.steps);
    f.waived_because.reset();
    f.mend = "take it out, or correct its rule and steps";
    yield.findings.push_back(std::move(f));
  }
}

void tidy_findings(std::vector<plan::Finding>& findings) {
  const auto rank = [](plan::Severity s) { return s == plan::Severity::stop ? 0 : s == plan::Severity::warn ? 1 : s == plan::Severity::undecided ? 2 : 3; };
  const auto key = [&](const plan::Finding& f) { return std::tuple(rank(f.severity), f.rule, f.steps, f.parts, f.message); };
  std::stable_sort(findings.begin(), findings.end(), [&](const auto& a, const auto& b) { return key(a) < key(b); });
  findings.erase(std::unique(findings.begin(), findings.end(), [&](const auto& a, const auto& b) { return key(a) == key(b); }), findings.end());
}

}  // namespace handlot::pipeline
