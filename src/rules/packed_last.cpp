// What lies in its box is not worked on any more.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

/// What is done to the box itself, or with the thing in it.
bool goes_on_in_the_box(const job::Step& step) {
  constexpr std::array<std::string_view, 9> kAround{"pack", "put-away", "label", "weigh", "photo", "inspect", "sort", "clean-down", "dispose-rags"};
  return std::find(kAround.begin(), kAround.end(), step.process.text) != kAround.end();
}

}  // namespace

void packed_last(const Facts& facts, const job::Step& work, const job::Step& pack, Yield& yield) {
  if (pack.process.text != "pack" || goes_on_in_the_box(work) || !same_or_within(facts, work.on, pack.on)) return;
  yield.links.push_back(before(work, pack, reason(plan::ReasonKind::process, "packed-last", fmt::format("what {} puts in its box is not worked on any more", say(pack)), practice(), pack.place)));
}

}  // namespace handlot::rules
