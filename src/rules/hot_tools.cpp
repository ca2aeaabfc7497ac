// Hot tools keep off cells and displays: no iron goes on a bare cell, and inserts are set hot before either is in the body.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/cell.h"
#include "rules/fitted.h"
#include "rules/hot_tools.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "hot-tools";

bool bears_no_heat(const Facts& facts, const job::Part& part) { return !part.jig && (marked(facts, part.id, "cell") || marked(facts, part.id, "display")); }

/// A window of plastic crazes and its glue lets go where an iron leans beside it.
bool window_of_plastic(const Facts& facts, const job::Part& part) {
  const catalogue::Card* material = material_of(facts, part.id);
  return !part.jig && marked(facts, part.id, "optical") && material != nullptr && material->word_or("family") == "plastic";
}

/// Something is welded on it that an iron may go to: by its name, by the words of the step, or because its card bears a tip.
bool has_tags(const Facts& facts, const job::Step& step, const PartId& cell) {
  constexpr std::array<std::string_view, 8> kTags{"tag", "tags", "tagged", "tab", "tabs", "tabbed", "lugs", "nickel"};
  constexpr std::array<std::string_view, 9> kEnds{"lead", "leads", "wire", "wires", "plug", "pigtail", "cable", "pins", "pack"};
  const std::string names = both_names(facts, cell);
  return facts.card_of(cell).get<Celsius>("iron-limit") || says_one_word(kTags, names) || says_one_word(kEnds, names) || says_one_word(kTags, step_words(step));
}

/// It goes into a holder that the same step solders.
bool with_holder(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 3> kHolders{"holder", "clip", "spring"};
  return std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return facts.job.part(i.part) != nullptr && !marked(facts, i.part, "cell") && says_one_of(kHolders, both_names(facts, i.part)); });
}

/// The iron goes on the cell itself, and not only near to it: something is soldered on, or the words say where.
bool on_the_cell(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kWhere{"on the cell", "to the cell", "straight", "direct", "ends of"};
  return !step.installs.empty() || says_one_of(kWhere, step_words(step));
}

plan::Severity harm(const Facts& facts, const job::Step& step, const PartId& cell) {
  // Nickel cells are soldered by some, against their makers' word, and live shorter for it.
  constexpr std::array<std::string_view, 4> kNickel{"nimh", "ni-mh", "nicd", "ni-cd"};
  if (step.on != cell || !on_the_cell(step)) return plan::Severity::undecided;
  return says_one_of(kNickel, both_names(facts, cell)) ? plan::Severity::warn : plan::Severity::stop;
}

void iron_on_cell(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.process.text != "hand-solder" && step.process.text != "tin" && step.process.text != "desolder") return;
  std::vector<PartId> cells{step.on};
  for (const job::Installs& i : step.installs) cells.push_back(i.part);
  for (const PartId& cell : cells) {
    if (!marked(facts, cell, "cell") || has_tags(facts, step, cell) || with_holder(facts, step)) continue;
    const plan::Severity severity = harm(facts, step, cell);
    const auto limit = facts.card_of(cell).get<Celsius>("heat-limit");
    const std::string bears = limit ? fmt::format(", which bears {} degC", number(limit->low.value, 0)) : "";
    const bool asks = severity == plan::Severity::undecided;
    auto f = finding(kRule, severity, step,
                     asks ? fmt::format("{} brings an iron to {}{}, and nothing says that it has tags or leads: on the bare cell the heat spoils its seals inside", say(step), facts.name(cell), bears)
                          : fmt::format("{} solders on {} itself{}: the heat spoils its seals inside, and it may leak or burn later", say(step), facts.name(cell), bears),
                     "buy it with welded tags or leads and say so in its name, or set it in a holder", practice());
    f.parts = {cell};
    yield.findings.push_back(std::move(f));
  }
}

bool sets_hot(const job::Step& step) { return step.process.text == "insert-set" && !step.on.empty() && step.on.text != "unit"; }

void inserts_late(const Facts& facts, const KnownOrder& order, const job::Step& insert, Yield& yield) {
  if (!sets_hot(insert)) return;
  std::vector<PartId> parts;
  const job::Step* first = nullptr;
  bool spoils = false;
  for (const job::Part& part : facts.job.parts) {
    const bool none = bears_no_heat(facts, part);
    const job::Step* in = none || window_of_plastic(facts, part) ? fitted_by(facts, order, insert, part.id) : nullptr;
    if (in == nullptr || out_again(facts, order, *in, insert)) continue;
    if (first == nullptr) first = in;
    parts.push_back(part.id);
    spoils = spoils || none;
  }
  if (first == nullptr) return;
  auto f = finding(kRule, spoils ? plan::Severity::warn : plan::Severity::note, insert, fmt::format("{} sets inserts hot in {}, with {} in it by then, which {}", say(insert), facts.name(insert.on), names_of(facts, parts), spoils ? "bears no such heat" : "the heat may craze or loosen"),
                   fmt::format("set the inserts before {}, or take it out for that and say so in an action", say(*first)), practice());
  f.steps.push_back(first->id);
  f.parts = std::move(parts);
  yield.findings.push_back(std::move(f));
}

}  // namespace

void inserts_first(const Facts& facts, const job::Step& insert, Yield& yield) {
  if (!sets_hot(insert)) return;
  for (const job::Part& part : facts.job.parts) {
    if (!bears_no_heat(facts, part) && !window_of_plastic(facts, part)) continue;
    for (const job::Step* joins : joining_steps(facts, part.id, insert.on)) {
      // Listed the right way round, the listing keeps it so.
      if (!(joins < &insert) || !same_or_within(facts, joins->on, insert.on) || said_to_follow(insert, *joins) || says_out(insert)) continue;
      const std::string text = fmt::format("{} sets inserts hot, and {} bears no such heat beside it", say(insert), facts.name(part.id));
      const auto because = [&](std::string why) { return reason(plan::ReasonKind::heat, kRule, std::move(why), practice(), insert.place); };
      at_least_one(yield, kRule, {{before(insert, *joins, because(text))}, {before(*joins, insert, because(fmt::format("something else brings {} in first, though {}", facts.name(part.id), text)))}},
                   fmt::format("{} or {} first", say(insert), say(*joins)), insert.place);
    }
  }
}

void hot_tools(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  iron_on_cell(facts, step, yield);
  inserts_late(facts, order, step, yield);
}

}  // namespace handlot::rules
