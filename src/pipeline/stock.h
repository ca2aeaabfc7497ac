// stock.h: the kit of a job held against what is on the shelf.
#pragma once

#include "kit/kit.h"
#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// The kit of a plan against a stock list.
///
/// Errors   file-missing and its like, and those of kit::read_stock.
Result<kit::Clearance> clearance_of(const job::Job& job, const plan::Plan& plan, const std::string& stock_file);

/// Fills the stock of the kit's rows from the list that the job names, and finds what is short (rule "stock"). Silent where
/// the job names none.
///
/// Errors   those of clearance_of.
Diagnostics add_stock(const rules::Facts& facts, plan::Plan& plan, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
