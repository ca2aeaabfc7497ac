// Clocks that run out: open time, squeeze-out, pot life, activator, soaking oil.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "joints/pot_life.h"
#include "rules/cure.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "latest-ends";

/// `later` is the first listed step of its process after `earlier` on the same thing.
bool next_of_its_kind(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  if (!(&earlier < &later) || !same_or_within(facts, earlier.on, later.on)) return false;
  return std::none_of(&earlier + 1, &later, [&](const job::Step& between) { return between.process == later.process && same_or_within(facts, between.on, earlier.on); });
}

struct Window {
  Duration least{0};
  std::optional<Duration> most;
  std::string text;
  std::string if_late;
  Source source;
  bool spoils = false;  ///< what the earlier step made is no good past it
};

void add(const job::Step& earlier, const job::Step& later, Window w, Yield& yield) {
  plan::Constraint link = before(earlier, later, w.least, reason(plan::ReasonKind::clock, kRule, std::move(w.text), w.source, later.place));
  link.max = w.most;
  link.if_late = w.most ? std::move(w.if_late) : std::string();
  link.spoils = w.spoils;
  yield.links.push_back(std::move(link));
}

Duration clipped(Duration least, Duration most) { return std::min(least, most); }

/// Without a window on its card, squeeze-out is cut once the joint can't be pushed apart.
void trim_when_fixed(const Facts& facts, const job::Step& glue, const job::Step& trim, const job::Joint& joint, Yield& yield) {
  const auto time = cure_time(facts, joint, job::Cure::fixture);
  const std::string& adhesive = facts.card(joint.adhesive).name;
  if (time) add(glue, trim, {time->wait, {}, fmt::format("{} of bond '{}' has {} strength after {}: cut sooner, the joint moves", adhesive, joint.id.text, word(time->reached), in_words(time->wait)), {}, time->source}, yield);
}

void glue_then(const Facts& facts, const job::Step& glue, const job::Step& later, Yield& yield) {
  for (const JointId& id : glue.bonds) {
    const catalogue::Card& adhesive = facts.card(facts.job.joint(id)->adhesive);
    if (later.process.text == "clamp") {
      const auto open = adhesive.get<Duration>("open-time");
      if (open) add(glue, later, {Duration(0), open->low, fmt::format("{} skins over {} after it is spread", adhesive.name, in_words(open->low)), "clean it off and glue again: a skin does not bond", open->source, true}, yield);
      continue;
    }
    const auto from = adhesive.get<Duration>("trim-from"), until = adhesive.get<Duration>("trim-until");
    if (!from || !until) {
      trim_when_fixed(facts, glue, later, *facts.job.joint(id), yield);
      continue;
    }
    add(glue, later, {clipped(from->high, until->low), until->low, fmt::format("squeeze-out of {} is cut between {} and {}: rubbery, not wet, not hard", adhesive.name, in_words(from->high), in_words(until->low)),
                      "scrape and sand it: it has set hard and seals the grain", until->source}, yield);
  }
}

void mixed_then(const Facts& facts, const job::Step& mix, const job::Step& later, Yield& yield) {
  for (const job::MaterialUse& use : mix.materials) {
    const catalogue::Card& adhesive = facts.card(use.card);
    const joints::AdhesiveFigures figures = adhesive.kind == catalogue::CardKind::adhesive ? adhesive_figures(adhesive, {""}) : joints::AdhesiveFigures{};
    if (figures.pot_lives.empty()) continue;
    const Grams mass = use.at_once.value_or(figures.pot_lives.front().mass);
    const auto life = joints::pot_life(figures, mass, facts.job.bench.temperature.value_or(figures.pot_temperature));
    if (!life) continue;  // pot-life speaks of that
    const auto source = adhesive.get<Duration>("pot-life")->source;
    add(mix, later, {Duration(0), life->life, fmt::format("{} stays workable for {} in the cup", adhesive.name, in_words(life->life)), "throw it away and mix anew: it does not wet any more", source, true}, yield);
  }
}

void activated_then(const Facts& facts, const job::Step& activate, const job::Step& glue, Yield& yield) {
  for (const job::MaterialUse& use : activate.materials) {
    const catalogue::Card& activator = facts.card(use.card);
    const auto life = activator.kind == catalogue::CardKind::activator ? activator.get<Duration>("on-part-life") : std::nullopt;
    if (life) add(activate, glue, {Duration(0), life->low, fmt::format("{} works for {} on the part", activator.name, in_words(life->low)), "put activator on again", life->source, true}, yield);
  }
}

void oiled_then(const Facts& facts, const job::Step& oil, const job::Step& wipe, Yield& yield) {
  for (const job::MaterialUse& use : oil.materials) {
    const catalogue::Card& card = facts.card(use.card);
    const auto soak = card.get<Duration>("soak");
    if (soak) add(oil, wipe, {soak->low, soak->high, fmt::format("{} soaks in for {} to {} before the surplus is wiped off", card.name, in_words(soak->low), in_words(soak->high)), "put fresh oil on to soften it, then wipe: left standing it dries sticky", soak->source}, yield);
  }
}

}  // namespace

void latest_ends(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  if (!next_of_its_kind(facts, earlier, later)) return;
  const std::string a = earlier.process.text, b = later.process.text;
  if (!earlier.bonds.empty() && (b == "clamp" || b == "trim")) glue_then(facts, earlier, later, yield);
  if (a == "mix" && (b == "glue" || b == "pot" || b == "seal")) mixed_then(facts, earlier, later, yield);
  if (a == "activate" && b == "glue") activated_then(facts, earlier, later, yield);
  if ((a == "oil" || a == "wax") && b == "wipe-off") oiled_then(facts, earlier, later, yield);
}

}  // namespace handlot::rules
