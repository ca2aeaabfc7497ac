// What lies in its box is not worked on any more.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// One part of what is packed is looked at: nobody sees it in the box. The box itself may be looked at.
bool looks_inside(const job::Step& look, const job::Step& pack) {
  constexpr std::array<std::string_view, 6> kBox{"box", "carton", "parcel", "bag", "label", "packed"};
  if ((look.process.text != "inspect" && look.process.text != "photo") || look.on == pack.on || look.on.text == "unit") return false;
  const bool packaging = has(pack.touches, look.on) || puts_in(pack, look.on);
  return !said_to_follow(look, pack) && !packaging && !says_one_of(kBox, step_words(look));
}

/// What is done to the box itself, or with the thing in it.
bool goes_on_in_the_box(const job::Step& step) {
  constexpr std::array<std::string_view, 9> kAround{"pack", "put-away", "label", "weigh", "photo", "inspect", "sort", "clean-down", "dispose-rags"};
  return std::find(kAround.begin(), kAround.end(), step.process.text) != kAround.end();
}

}  // namespace

void packed_last(const Facts& facts, const job::Step& work, const job::Step& pack, Yield& yield) {
  if (pack.process.text != "pack" || (goes_on_in_the_box(work) && !looks_inside(work, pack)) || !same_or_within(facts, work.on, pack.on)) return;
  yield.links.push_back(before(work, pack, reason(plan::ReasonKind::process, "packed-last", fmt::format("what {} puts in its box is not worked on any more", say(pack)), practice(), pack.place)));
}

}  // namespace handlot::rules
