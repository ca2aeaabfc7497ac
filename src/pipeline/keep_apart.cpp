#include "pipeline/keep_apart.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>

#include "core/text.h"
#include "rules/hazards.h"

namespace handlot::pipeline {

namespace {

/// A pair as one of its steps sees it.
struct Side {
  const StepId& step;
  const StepId& other;
  Duration before;  ///< after the other one, until this may begin
  Duration behind;  ///< after this one, until the other may begin
  bool cools = false;        ///< what goes on after this one is a hot tool that cools, and not air that clears
  bool other_cools = false;
};

/// Each pair twice, by its first step and by its second.
std::vector<Side> sides_of(const rules::Facts& facts, const plan::Work& work) {
  std::vector<Side> sides;
  for (const plan::NeverTogether& pair : work.apart) {
    const job::Step &a = *facts.job.step(pair.a), &b = *facts.job.step(pair.b);
    const safety::Apart said = safety::apart(rules::step_facts(facts, a), rules::step_facts(facts, b), rules::vapour_clears(facts, a), rules::vapour_clears(facts, b));
    const bool a_cools = said.cools_a > said.clear_after_a, b_cools = said.cools_b > said.clear_after_b;
    sides.push_back({pair.a, pair.b, pair.clear_after_b, pair.clear_after_a, a_cools, b_cools});
    sides.push_back({pair.b, pair.a, pair.clear_after_a, pair.clear_after_b, b_cools, a_cools});
  }
  return sides;
}

std::string steps_in_words(std::span<const int> numbers) {
  std::vector<std::string> words;
  for (const int number : numbers) words.push_back(fmt::format("{}", number));
  return (numbers.size() == 1 ? "step " : "steps ") + listed(words);
}

/// "10 min after step 80 and 3 min after steps 100 and 120": what comes earlier in the plan. Empty: nothing does.
std::string after_earlier(const plan::Work& work, const plan::Step& step, std::span<const Side> sides, bool cools) {
  std::map<Duration, std::vector<int>, std::greater<>> earlier;
  for (const plan::Step& other : work.steps) {
    if (other.number >= step.number) break;
    for (const Side& side : sides) {
      if (side.step == step.id && side.other == other.id && side.other_cools == cools && side.before.seconds > 0) earlier[side.before].push_back(other.number);
    }
  }
  std::vector<std::string> words;
  for (const auto& [wait, numbers] : earlier) words.push_back(fmt::format("{} after {}", in_words(wait), steps_in_words(numbers)));
  return listed(words);
}

/// What the sheet says at the step, both ways.
std::vector<std::string> said_at(const plan::Work& work, const plan::Step& step, std::span<const Side> sides) {
  std::vector<std::string> said;
  if (const std::string cooled = after_earlier(work, step, sides, true); !cooled.empty()) said.push_back("what was hot is off and cools first: open the vapour no sooner than " + cooled);
  Duration air{0};
  for (const Side& side : sides) {
    if (side.step == step.id && !side.cools) air = std::max(air, side.behind);
  }
  if (air.seconds > 0) said.push_back(fmt::format("let the air clear for {} afterwards, before anything hot is switched on", in_words(air)));
  if (const std::string aired = after_earlier(work, step, sides, false); !aired.empty()) said.push_back("the air clears first: switch on what gets hot no sooner than " + aired);
  return said;
}

/// How long its stations are hot before the step begins.
Duration warm_up_of(const plan::Work& work, const StepId& id) {
  const auto step = std::find_if(work.steps.begin(), work.steps.end(), [&](const plan::Step& s) { return s.id == id; });
  Duration longest{0};
  for (const plan::Resource& r : work.resources) {
    const auto& uses = step->timing.uses;
    if (std::any_of(uses.begin(), uses.end(), [&](const plan::Use& u) { return u.resource == r.id; })) longest = std::max(longest, r.warm_up);
  }
  return longest;
}

/// The air is clear before what `hot` uses warms up, and what was hot in it cools.
std::string heat_in_words(const StepId& hot, Duration warm, Duration cools) {
  std::vector<std::string> words;
  if (warm.seconds > 0) words.push_back(fmt::format("is hot {} before it begins", in_words(warm)));
  if (cools.seconds > 0) words.push_back(fmt::format("cools for {} after it", in_words(cools)));
  return words.empty() ? "" : fmt::format(" ('{}' {})", hot.text, listed(words));
}

}  // namespace

void keep_apart(const rules::Facts& facts, plan::Work& work) {
  const std::vector<Side> sides = sides_of(facts, work);
  for (plan::Step& step : work.steps) {
    for (std::string& text : said_at(work, step, sides)) step.hints.push_back({RuleId("kept-apart"), std::move(text), {"", "", Standing::practice}});
  }
  for (std::size_t i = 0; i < sides.size(); ++i) {
    const Side& aired = sides[i];
    plan::NeverTogether& pair = work.apart[i / 2];
    const Duration warm = !aired.cools && aired.behind.seconds > 0 ? warm_up_of(work, aired.other) : Duration(0);
    (i % 2 == 0 ? pair.clear_after_a : pair.clear_after_b) += warm;
    pair.reason.text += heat_in_words(aired.other, warm, aired.other_cools ? aired.before : Duration(0));
  }
}

}  // namespace handlot::pipeline
