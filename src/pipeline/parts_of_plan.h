// parts_of_plan.h: the pieces that a plan is put together from, each a function of what is known by then.
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "graph/order.h"
#include "plan/plan.h"
#include "rules/rule.h"

namespace handlot::pipeline {

/// The name that the builder reads on sheet, kit and pages: the part's own, else its card's; of a subassembly its own, else
/// its id.
std::string called(const rules::Facts& facts, const PartId& id);

plan::Head head_of(const job::Job& job);

/// People, stations and fixtures of the bench.
std::vector<plan::Resource> resources_of(const job::Job& job, const catalogue::Catalogue& cards);

/// The job's start as a moment, and the shop hours from then on for `days` days.
///
/// Errors   zone-unknown, date-bad, no-hours (never open).
Result<Instant> start_of(const job::Job& job);
Result<std::vector<plan::Interval>> hours_of(const job::Job& job, Instant start, int days);

/// When a person is away while the shop is open, by their own hours. Somebody is there whenever it is.
std::vector<plan::Interval> away_of(const job::Job& job, const ResourceId& person, const std::vector<plan::Interval>& open);

/// Days of shop hours that are enough for the lot: all hands-on work one after the other, all waits, and a margin.
int days_needed(const job::Job& job, const plan::Work& work);

/// One step as the sheet prints it and the schedule times it. `number` counts 10, 20, 30...
plan::Step step_of(const rules::Facts& facts, const job::Step& step, int number, const rules::Yield& yield);

/// In one line why the step stands where it does: the fact that it waits for; of a step that only the listing holds, and that stands
/// elsewhere than listed, the fact that moved it.
/// Given    `closure` is of the links of `order`.
std::string why_here(const rules::Facts& facts, const graph::Order& order, const graph::Closure& closure, const job::Step& step);

/// Waits that somebody must respect: links with a wait or a latest end, redundant ones left out. With each what the
/// schedule does meanwhile.
std::vector<plan::Wait> waits_of(const rules::Facts& facts, const plan::Plan& plan);

/// Clocks that ran before the lot began end by the calendar, whenever the step comes that they are linked to: the floor
/// life of parts that lie open in the room.
void end_by_calendar(const rules::Facts& facts, std::vector<plan::Wait>& waits);

/// What leaves a part wet takes the place where it dries with it: where a `dry` step follows on the same part, at a station with
/// fewer places than units that is not loaded as one, the step before it holds that place too. Common practice, no source.
/// Given    steps, constraints and resources of the work.
void keep_places_to_dry(const rules::Facts& facts, plan::Work& work);

/// A note where a stated sub-batch size is not kept: the lot can't be cut so, or unit 1 goes alone though the job does not say it.
void sub_batches_as_stated(const rules::Facts& facts, const plan::Plan& plan, std::vector<plan::Finding>& findings);

/// Parts, screws and materials for the lot, with spare, first step and look-alikes.
std::vector<plan::KitRow> kit_of(const rules::Facts& facts, std::span<const plan::Step> steps);

/// Raises kit and steps to what is really mixed where a step says how much is mixed at once: whole cups, a new one for each sub-batch
/// that the one before it does not serve; without a schedule, for as few sub-batches as there can be.
/// Given    the kit of the plan is there.
void count_cups(const rules::Facts& facts, plan::Plan& plan);

/// What is in when step `at` of the plan begins, as far as it belongs to the body `inside` (empty: the device): put in by
/// an earlier step, or there from the start.
/// Given    facts.device is there.
shapes::PartSet present_at(const rules::Facts& facts, const plan::Plan& plan, std::size_t at, const PartId& inside);

/// The body that a step builds on: the subassembly around what it puts in or works on; empty: the device itself.
PartId body_of_step(const rules::Facts& facts, const job::Step& step);

/// Mass and centre of what stands together after each step; limits for the checks that weigh it.
void add_weights(const rules::Facts& facts, plan::Plan& plan);

/// A picture for each step that puts something in, and for each modelled row of the kit. Kept in the facts' cache.
void draw_pictures(const rules::Facts& facts, plan::Plan& plan);

/// "WH: Wood Handbook..." for every key that findings, links, cautions, waits mention.
std::vector<std::string> sources_of(const plan::Plan& plan, const catalogue::Catalogue& cards);

/// The first 12 hex digits of SHA-256 over everything the plan says.
std::string hash_of(const plan::Plan& plan);

}  // namespace handlot::pipeline
