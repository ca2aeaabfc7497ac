// saying.h: small words that many rules need to say what they say.
#pragma once

#include <span>
#include <string>

#include "rules/rule.h"

namespace handlot::rules {

/// `a` ends before `b` starts, for the same unit.
plan::Constraint before(const job::Step& a, const job::Step& b, plan::Reason reason);
plan::Constraint before(const job::Step& a, const job::Step& b, Duration least, plan::Reason reason);

plan::Reason reason(plan::ReasonKind kind, std::string_view rule, std::string text, Source source, Place place);

plan::Finding finding(std::string_view rule, plan::Severity severity, const job::Step& step, std::string message, std::string mend, Source source);
/// The same of a part: it names the step that puts it in, if one does, and stands at the part in the job file.
plan::Finding finding(const Facts& facts, std::string_view rule, plan::Severity severity, const job::Part& part, std::string message, std::string mend, Source source);

/// Adds the demand that at least one of the options holds: one option becomes a plain link.
void at_least_one(Yield& yield, std::string_view rule, std::vector<std::vector<plan::Constraint>> options, std::string text, const Place& place);

/// "common practice, no source".
Source practice();
/// Stated in the job file.
Source stated();

/// The parts that hands, tools, heat or fluid of the step reach by what it says: `on`, `touches`, what it installs and
/// what it bonds, each with everything inside it. "unit" is the whole device.
std::set<PartId> worked_on(const Facts& facts, const job::Step& step);

/// True when a and b are the same, or one lies within the other.
bool same_or_within(const Facts& facts, const PartId& a, const PartId& b);

/// The steps of one process that work on the same thing as `on`, as listed.
std::vector<const job::Step*> steps_of(const Facts& facts, std::string_view process, const PartId& on);

/// The steps that bring `part` into one body with `other`: those that put one of them, or what lies around it, on to the
/// other, if there are such; else putting in `part`, `other`, or a subassembly around one of them that does not hold the other. Empty: they
/// are together from the start.
std::vector<const job::Step*> joining_steps(const Facts& facts, const PartId& part, const PartId& other);

/// The step that puts the part in; of a part that no step puts in, the first that bonds it to something. Null: there from the start.
const job::Step* brings_in(const Facts& facts, const PartId& part);

/// What the part sits on or in when `step` begins, as the job file lists it: the subassemblies around it, what it was put on, what
/// that was put on, and so on. Not the part itself.
std::vector<PartId> sits_in(const Facts& facts, const PartId& part, const job::Step& step);

/// The parts as a sentence lists them: "'lid', 'board' and 'cell'".
std::string names_of(const Facts& facts, std::span<const PartId> parts);

/// The part's own name, else its id; without quotes.
std::string called(const job::Part& part);

/// "'glue-feet'": how a step is called in a sentence.
std::string say(const job::Step& step);

}  // namespace handlot::rules
