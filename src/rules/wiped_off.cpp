// What an oil does not soak in is wiped off: left standing it dries to a sticky skin.
#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"
#include "rules/rags.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// One action of the oiling itself may say it: "Wipe off what stands after ten minutes."
bool says_so(const job::Step& oil) {
  return std::any_of(oil.actions.begin(), oil.actions.end(), [](const std::string& action) {
    const std::string line = lower(action);
    const auto says = [&](std::string_view word) { return line.find(word) != std::string::npos; };
    return (says("wipe") || says("rub") || says("buff")) && (says(" off") || says("surplus") || says("excess") || says("dry"));
  });
}

bool reaches(const Facts& facts, const job::Step& s, const PartId& on) {
  const std::set<PartId> parts = worked_on(facts, s);
  return on.empty() || parts.empty() || std::any_of(parts.begin(), parts.end(), [&](const PartId& p) { return same_or_within(facts, p, on); });
}

/// Each coat has a wiping of its own: as many as coats, or one listed between this coat and the next.
bool wiped_by_a_step(const Facts& facts, const job::Step& oil) {
  int coats = 0, wipes = 0;
  bool own = false, open = false;
  for (const job::Step& s : facts.job.steps) {
    const bool coat = s.process.text == "oil", wipe = s.process.text == "wipe-off";
    if ((!coat && !wipe) || !reaches(facts, s, oil.on)) continue;
    coats += coat ? 1 : 0;
    wipes += wipe ? 1 : 0;
    if (coat) open = &s == &oil;
    own = own || (wipe && open);
  }
  return own || wipes >= coats;
}

}  // namespace

void wiped_off(const Facts& facts, const job::Step& oil, Yield& yield) {
  if (oil.process.text != "oil" || says_so(oil) || drips_scent(facts, oil) || wiped_by_a_step(facts, oil)) return;
  for (const job::MaterialUse& use : oil.materials) {
    const catalogue::Card& card = facts.card(use.card);
    const auto soak = card.get<Duration>("soak");
    if (!soak && card.word_or("self-heating-rags", "no") == "no") continue;
    const std::string when = soak ? fmt::format(" after {} to {}", in_words(soak->low), in_words(soak->high)) : "";
    yield.findings.push_back(finding("wiped-off", plan::Severity::warn, oil, fmt::format("nothing wipes off what {} leaves of {}: it dries to a sticky skin", say(oil), card.name),
                                     fmt::format("add a step of process wipe-off{}, or write it as an action of the step", when), soak ? soak->source : practice()));
    return;
  }
}

}  // namespace handlot::rules
