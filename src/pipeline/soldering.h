// soldering.h: cards of paste turned into windows, a job's parts into limits, its oven log and stencil into pages.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "job/job.h"
#include "plan/plan.h"
#include "reflow/log.h"
#include "reflow/verdict.h"
#include "reflow/window.h"
#include "rules/rule.h"
#include "solder/stencil.h"

namespace handlot::pipeline {

/// The window of a paste's card. What the card leaves out is not judged.
///
/// Errors   paste-no-liquidus: the card names no liquidus, so nothing can be judged.
Result<reflow::PasteWindow> window_of(const catalogue::Card& paste);

/// What the parts on the boards of a job bear: body limits, passes, rates, from their cards; the package class by
/// J-STD-020 from height and outline where a part has both and states no limit of its own.
std::vector<reflow::PartLimit> limits_of(const job::Job& job, const catalogue::Catalogue& cards, bool lead_free);

/// What the job tells of the room that a log was taken in, and the card of its paste of where it melts.
reflow::JudgeOptions judge_options(const job::Job& job, Celsius liquidus);

/// What a person said of the logger: LOG.channels beside the log, when it is there, else nothing.
///
/// Errors   those of reflow::memory_from.
Result<reflow::LoggerMemory> memory_beside(const std::string& log_file);

/// What to write where an order clashes because a reflow step is taken to be as hot as its paste's window goes: the peak that
/// the oven really reaches, from the job's log where that passes. Empty where no heat of such a step is in the chain.
std::string stated_peak(const rules::Facts& facts, std::span<const plan::Constraint> chain);

/// The log read with what is remembered of its logger.
Result<reflow::Log> read_log_file(const std::string& path, const reflow::LoggerMemory& extra);

/// The stencil job of a paste: powder, density, bead, boards.
solder::StencilJob stencil_job(const catalogue::Card& paste, Millimetres foil, int boards);

/// The oven page and the stencil page of a job that names a profile or a stencil, with what they find.
///
/// Errors   faults of the files.
Diagnostics add_solder_pages(const rules::Facts& facts, plan::Plan& plan, std::vector<plan::Finding>& findings);

/// The boards that a station is said to take at once (`places`, with board-length and board-width) lie flat on the tray of
/// its card, rim to rim at the least.
void trays_hold(const rules::Facts& facts, std::vector<plan::Finding>& findings);

/// Where the one place of a station is only taken, because the job does not say its places, and units lie there while nobody
/// holds them: said once a station.
void places_taken(const rules::Facts& facts, std::vector<plan::Finding>& findings);

/// Parts that lie open in the room from the beginning are in their last run of the oven before their floor life is over,
/// by the schedule as made. Silent without a schedule.
void floor_life_kept(const rules::Facts& facts, const plan::Plan& plan, std::vector<plan::Finding>& findings);

}  // namespace handlot::pipeline
