// case_file.h: small jobs written beside what a rule must say of them, and what it does say.
#pragma once

#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "job/job.h"
#include "rules/rule.h"

namespace handlot::test {

/// One small job. kind: "speaks", "silent" (its nearest twin) or "boundary".
struct RuleCase {
  std::string rule;
  std::string kind;
  std::string story;   ///< one line, as printed in the reference
  std::string expect;  ///< as `said` writes it
  std::string room, device, joints, steps;  ///< XML
  int units = 2;
  std::string file;
  int line = 0;
};

/// All cases of tests/rules/cases/*.txt, by file name and line.
///
///   rule bond-gap
///   speaks the gap is 0.6 mm and the glue fills 0.5 mm
///   expect stop
///   device <part .../>          more lines of the same word go on
///   joints <bond .../>
///   steps <step .../>
///   room temperature='22 degC'  replaces the usual room
///   units 6
///   use NAME / keep NAME        take device, joints and steps of an earlier case kept under that name
std::vector<RuleCase> read_cases();

job::Job job_of(const RuleCase& one);

/// What the rule of the case says, in few words: severities of findings, then links "a>b 24 h..2 d", choices
/// "a>b or b>a", pairs kept apart "a|b 10 min", cautions by id. "silent" when nothing.
std::string said(const RuleCase& one);

/// Every rule's yield for a job, with the proofs asked on the order found (none when there is no order).
struct Asked {
  rules::Yield yield;
  std::vector<StepId> sequence;  ///< empty: contradiction
  std::string contradiction;     ///< its chain, in short
  std::vector<plan::Constraint> constraints;  ///< given and chosen
};
Asked ask_all(const job::Job& job, const catalogue::Catalogue& cards);

}  // namespace handlot::test
