// A step that spreads, wets or melts something says what: without it the rules about it have nothing to go by.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

using catalogue::CardKind;

struct Wanted {
  std::string_view process, what, unkept, example;
};
constexpr std::array kWanted{
    Wanted{"oil", "oil it takes", "its drying, its rags and its vapour", "danish-oil"},
    Wanted{"wax", "wax it takes", "its drying, its rags and its vapour", "wax-paste"},
    Wanted{"lacquer", "lacquer it takes", "its drying and its vapour", "lacquer-nitro"},
    Wanted{"coat-board", "lacquer it takes", "its drying and its vapour", "conformal-acrylic"},
    Wanted{"clean-flux", "liquid it washes with", "what it dissolves and its vapour", "isopropanol"},
    Wanted{"degrease", "liquid it wipes with", "what it dissolves and its vapour", "isopropanol"},
    Wanted{"hand-solder", "solder it melts", "its alloy, its flux and the heat of the iron", "sac305"},
    Wanted{"glue", "glue it takes", "its cure, its clocks and its label", "epoxy-5min"},
    Wanted{"hot-glue", "glue it takes", "its cure, its clocks and its label", "hot-melt"},
    Wanted{"seal", "sealant it takes", "its cure, its clocks and its label", "silicone-neutral"},
    Wanted{"pot", "resin it pours", "its cure, its clocks and its label", "epoxy-slow"},
};

bool named(const Facts& facts, const job::Step& step) {
  if (!fluids_of(facts, step).empty() && step.process.text != "hand-solder") return true;
  return std::any_of(step.materials.begin(), step.materials.end(), [&](const job::MaterialUse& use) {
    const CardKind kind = facts.card(use.card).kind;
    return kind == CardKind::solder || kind == CardKind::paste;
  });
}

/// Mixed in a step of its own.
bool mixed(const Facts& facts, const job::Step& step) {
  return !steps_of(facts, "mix", step.on).empty();
}

/// Solder that the job names for the same body before this step.
bool solder_known(const Facts& facts, const job::Step& step) {
  return std::any_of(facts.job.steps.data(), &step, [&](const job::Step& s) {
    const bool brings = s.process.text != "warm-paste" && (used_card(facts, s, CardKind::paste) != nullptr || used_card(facts, s, CardKind::solder) != nullptr);
    return brings && on_one_body(facts, s, step);
  });
}

/// What lies on the board already is melted again, and none is added: by hot air, or in so many words.
bool melts_again(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 6> kNone{"no solder", "without solder", "no new solder", "without new solder", "no fresh solder", "without fresh solder"};
  constexpr std::array<std::string_view, 3> kAir{"hot air", "hot-air", "heat gun"};
  constexpr std::array<std::string_view, 6> kAdds{"add solder", "fresh solder", "new solder", "feed solder", "more solder", "solder wire"};
  if (step.process.text != "hand-solder" || !step.installs.empty() || !solder_known(facts, step)) return false;
  const std::string words = step_words(step);
  if (says_one_of(kNone, words)) return true;
  const bool blown = std::any_of(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return hot_air(facts, t); });
  const bool again = lower(step.title).starts_with("reflow") || lower(step.title).starts_with("remelt");
  return (blown || again || says_one_of(kAir, words)) && !says_one_of(kAdds, words);
}

}  // namespace

void material_named(const Facts& facts, const job::Step& step, Yield& yield) {
  const auto wanted = std::find_if(kWanted.begin(), kWanted.end(), [&](const Wanted& w) { return w.process == step.process.text; });
  if (wanted == kWanted.end() || named(facts, step) || mixed(facts, step) || melts_again(facts, step)) return;
  yield.findings.push_back(finding("material-named", plan::Severity::undecided, step, fmt::format("{} does not say which {}: nothing is checked of {}", say(step), wanted->what, wanted->unkept),
                                   fmt::format("add <uses material=\"{}\"/>, or the card that it is", wanted->example), stated()));
}

}  // namespace handlot::rules
