// A screw bites deep enough, and neither bottoms nor comes out where it hurts.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/text.h"
#include "input/units.h"
#include "joints/screws.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"
#include "rules/screw_shapes.h"
#include "rules/shape_facts.h"
#include "rules/step_words.h"

namespace handlot::rules {

bool adjusts(const Facts& facts, const job::Part& screw) {
  constexpr std::array<std::string_view, 7> kWords{"adjusting", "adjustment", "tension", "tensioning", "levelling", "leveling", "jacking"};
  const catalogue::Card& card = facts.card(screw.card);
  const std::string name = both_names(facts, screw.id);
  return card.word_or("head") == "set" || says_one_word(kWords, name);
}

std::optional<joints::MetricSize> metric_size(const catalogue::Card& screw) {
  std::string thread = screw.word_or("thread");
  // Thread-forming screws are sized by their outer diameter like the rest.
  if (thread.starts_with("PT")) thread = "M" + thread.substr(2);
  return joints::find_size(thread);
}

std::string parent_row(const Facts& facts, const job::Part& screw) {
  if (screw.into_kind == "insert") return "insert";
  if (screw.into_kind == "wood") return "wood";
  if (screw.into_kind == "nut") return "steel";
  const catalogue::Card* material = screw.into.empty() ? nullptr : material_of(facts, screw.into);
  if (material == nullptr) return {};
  const std::string family = material->word_or("family"), row = material->word_or("substrate", material->id.text);
  if (family == "wood" || family == "plastic") return family;
  if (family == "laminate") return "plastic";
  if (row == "brass" || row == "copper") return "brass";
  if (row == "aluminium") return "aluminium";
  return family == "metal" ? "steel" : "";
}

std::optional<joints::Parent> parent_of(const Facts& facts, const job::Part& screw) {
  const std::string row = parent_row(facts, screw);
  const bool forming = facts.card_of(screw.id).word_or("head") == "thread-forming";
  if (row == "plastic") return forming ? joints::Parent::plastic_forming : joints::Parent::plastic;
  if (row == "insert" || row == "brass") return joints::Parent::brass;
  if (row == "aluminium") return joints::Parent::aluminium;
  if (row == "wood") return joints::Parent::wood;
  if (row == "steel") return joints::Parent::steel;
  return std::nullopt;
}

std::optional<Millimetres> grip_of(const job::Part& screw) {
  if (const auto own = screw.measured.find("grip"); own != screw.measured.end()) {
    const auto amount = input::read_amount(own->second, input::Dimension::length, {0, 1000});
    if (amount) return Millimetres(amount->high);
  }
  return std::nullopt;
}

namespace {

constexpr std::string_view kRule = "screw-stack";
// A rule of thumb is not good to a tenth: 0.3 mm is what a calliper at the bench and a drawing differ by [practice].
constexpr double kNearly = 0.305;  // mm

void say_it(const Facts& facts, const job::Part& screw, plan::Severity severity, std::string message, std::string mend, const Source& source, Yield& yield) {
  yield.findings.push_back(finding(facts, kRule, severity, screw, std::move(message), std::move(mend), source));
}

std::string fitting(const joints::MetricSize& size, const joints::Stack& stack) {
  const auto length = joints::nominal_length(size, stack, joints::LengthSeries::pan);
  return length ? fmt::format("take the {} mm one", number(length->value, 1)) : length.error().front().mend;
}

/// One way in which a screw of the part stands.
struct Fastened {
  joints::Stack stack;
  bool from_shapes = false;
};

std::optional<Fastened> standing(const job::Part& screw, const std::optional<StackFromShapes>& shown) {
  const auto said = grip_of(screw);
  if ((!said && !shown) || (!screw.into_depth && !shown)) return std::nullopt;
  Fastened one;
  one.from_shapes = !said || !screw.into_depth;
  joints::Stack& stack = one.stack;
  stack.grip = said ? *said : (shown->grip_least + shown->grip_most) * 0.5;
  stack.grip_tolerance = said ? Millimetres(0) : (shown->grip_most - shown->grip_least) * 0.5;
  stack.depth = screw.into_depth ? *screw.into_depth : shown->thread_least;
  // A nut is open behind. So is every thread with nothing behind it: what a tip runs into is the business of its seat.
  if (screw.into_kind == "nut" || (shown && !shown->beyond_least)) stack.beyond = Millimetres(1000);
  if (shown && shown->beyond_least) stack.beyond = std::max(Millimetres(0), shown->thread_least + *shown->beyond_least - stack.depth);
  return one;
}

/// What is said or measured counts; the shapes tell what is not, of each screw by itself. Equal ones once.
std::vector<Fastened> standings(const job::Part& screw, const std::vector<SeatedScrew>& screws) {
  constexpr double kSame = 0.02;  // mm, of meshes
  std::vector<Fastened> all;
  if (grip_of(screw) && screw.into_depth) {
    if (const auto one = standing(screw, stack_from_shapes(screws))) all.push_back(*one);
    return all;
  }
  for (const SeatedScrew& s : screws) {
    const auto one = standing(screw, stack_from_shapes({s}));
    const auto same = [&](const Fastened& other) {
      return std::abs((other.stack.grip - one->stack.grip).value) < kSame && std::abs((other.stack.depth - one->stack.depth).value) < kSame && std::abs((other.stack.beyond - one->stack.beyond).value) < kSame;
    };
    if (one && std::none_of(all.begin(), all.end(), same)) all.push_back(*one);
  }
  return all;
}

/// A screw that ends over its thread holds nothing. A body drawn without a hole for it may be drawn without its boss too.
void reaches_none(const Facts& facts, const job::Part& screw, const std::vector<SeatedScrew>& screws, Yield& yield) {
  if (grip_of(screw) && screw.into_depth) return;
  for (const SeatedScrew& s : screws) {
    if (s.sits.threaded || !s.sits.short_of) continue;
    say_it(facts, screw, s.sits.short_of_hole ? plan::Severity::stop : plan::Severity::undecided,
           fmt::format("{} is {} mm long and does not reach its thread: by the shapes its tip ends {} mm before {}", facts.name(screw.id), number(s.sits.length.value, 1), number(s.sits.short_of->value, 2), facts.name(screw.into)),
           s.sits.short_of_hole ? "take a longer screw, or correct the place of a part" : "draw what it bites in, or take a longer screw", of_shapes(), yield);
    return;
  }
}

/// One diameter of brass thread carries a board: it strips far above what its screw is tightened to [practice].
bool holds_a_board(const Facts& facts, const job::Part& screw, const joints::Stack& stack, const joints::MetricSize& size, Millimetres engaged) {
  const bool boards = !screw.clamps.empty() && std::all_of(screw.clamps.begin(), screw.clamps.end(), [&](const PartId& id) { return marked(facts, id, "board"); });
  return boards && stack.parent == joints::Parent::brass && engaged.value >= size.diameter;
}

/// How deep a screw must bite in what is made of nobody knows what: less than steel asks is too little for everything.
void bites_unknown(const Facts& facts, const job::Part& screw, const joints::MetricSize& size, Millimetres length, joints::Stack stack, const std::string& by_shapes, Yield& yield) {
  stack.parent = joints::Parent::plastic;
  const joints::StackAnswer answer = joints::check_stack(size, length, stack);
  if (answer.verdict != joints::StackAnswer::Verdict::too_short || answer.engaged_least.value > answer.wanted.value - kNearly) return;
  say_it(facts, screw, plan::Severity::note,
         fmt::format("{} bites {} mm into {}, and of what that is made nobody says: steel wants {} mm, aluminium and plastic {} mm{}", facts.name(screw.id), number(answer.engaged_least.value, 1), facts.name(screw.into),
                     number(joints::least_engagement(size, joints::Parent::steel).value, 1), number(joints::least_engagement(size, joints::Parent::plastic).value, 1), by_shapes),
         "write material=\"...\" on its card", {"ENGAGE", "least engagement", Standing::read}, yield);
}

/// Says what is wrong with one of them; `parent` none: not known.
void judge(const Facts& facts, const job::Part& screw, const joints::MetricSize& size, Millimetres length, Fastened one, std::optional<joints::Parent> parent, const std::string& others, Yield& yield) {
  joints::Stack& stack = one.stack;
  stack.parent = parent.value_or(joints::Parent::steel);
  const joints::StackAnswer answer = joints::check_stack(size, length, stack);
  const Source source{"ENGAGE", "least engagement", Standing::read};
  const std::string name = facts.name(screw.id), bite = number(answer.engaged_least.value, 1), depth = number(stack.depth.value, 1);
  const std::string by_shapes = one.from_shapes ? fmt::format(", by the shapes ({} mm clamped)", number(stack.grip.value, 2)) : "";
  const std::string into = parent ? std::string(joints::word(stack.parent)) : facts.name(screw.into);
  const double wants = joints::least_engagement(size, stack.parent).value;
  if (answer.verdict == joints::StackAnswer::Verdict::bottoms) {
    say_it(facts, screw, plan::Severity::stop,
           fmt::format("{} is {} mm long and reaches {} mm into a thread {} mm deep{}: it bottoms before it clamps", name, number(length.value, 1), number((length - stack.grip).value, 1), depth, by_shapes),
           fitting(size, stack) + others, practice(), yield);
  } else if (answer.verdict == joints::StackAnswer::Verdict::too_short) {
    // Under half of what the rule of thumb asks, the thread strips when it is tightened.
    const bool strips = answer.engaged_least.value < answer.wanted.value / 2;
    const bool nearly = answer.engaged_least.value > answer.wanted.value - kNearly || holds_a_board(facts, screw, stack, size, answer.engaged_least);
    say_it(facts, screw, strips ? plan::Severity::stop : nearly ? plan::Severity::note : plan::Severity::warn,
           fmt::format("{} bites {} mm into {}, and {} mm are wanted{}{}", name, bite, into, number(answer.wanted.value, 1), parent ? "" : " even in steel", by_shapes), fitting(size, stack) + others, source, yield);
  } else if (!parent) {
    bites_unknown(facts, screw, size, length, stack, by_shapes, yield);
  } else if (answer.shallow && screw.into_kind != "nut" && answer.engaged_least.value < wants / 2) {
    say_it(facts, screw, plan::Severity::warn, fmt::format("the thread for {} is {} mm deep, and {} wants {} mm{}", name, depth, into, number(wants, 1), by_shapes), "tighten less, deepen the thread, or set an insert", source, yield);
  }
}

/// What the cards say of the thickness under the head: of clamped parts that are flat, their heights. A card tells the overall height,
/// so a rim, a boss or a countersink makes the grip smaller than that, never larger.
std::optional<Millimetres> grip_at_most(const Facts& facts, const job::Part& screw) {
  Millimetres sum(0);
  for (const PartId& part : screw.clamps) {
    const catalogue::Card& card = facts.card_of(part);
    const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
    if (!length || !width || !height) return std::nullopt;
    constexpr double kFlat = 4;  // times as wide as high: it lies under the head with its flat side
    if (height->high.value * kFlat > std::min(length->low.value, width->low.value)) return std::nullopt;
    sum = sum + height->high;
  }
  return sum;
}

/// No grip is said and no shapes show it: what bottoms whatever lies under the head is a stop, what may is asked.
void without_grip(const Facts& facts, const job::Part& screw, Millimetres length, Yield& yield) {
  const bool blind = screw.into_kind == "tapped" || screw.into_kind == "boss" || screw.into_kind.empty();
  if (!blind || screw.clamps.empty() || !screw.into_depth || grip_of(screw) || length <= *screw.into_depth) return;
  const auto grip = grip_at_most(facts, screw);
  constexpr double kUnlisted = 1;  // mm: a washer or a film that nobody listed [practice]
  constexpr double kCommon = 2;    // mm: what lies under a head is rarely thinner [practice]
  const double too_long = (length - grip.value_or(Millimetres(kCommon)) - *screw.into_depth).value;
  if (too_long <= 0) return;
  const std::string name = facts.name(screw.id), depth = number(screw.into_depth->value, 1);
  const std::string mend = fmt::format("measure what lies under its head: <measured what=\"grip\" is=\"...\"/> in '{}'", screw.id.text);
  if (grip && too_long > kUnlisted) {
    say_it(facts, screw, plan::Severity::stop,
           fmt::format("{} is {} mm long, its cards show {} mm clamped at most, and its thread is {} mm deep: it bottoms before it clamps", name, number(length.value, 1), number(grip->value, 1), depth),
           "take a shorter one; or " + mend, practice(), yield);
    return;
  }
  say_it(facts, screw, plan::Severity::undecided, fmt::format("{} is {} mm long, its thread is {} mm deep, and the grip is not known: it may bottom before it clamps", name, number(length.value, 1), depth), mend, stated(), yield);
}

/// Whatever lies under its head takes from the bite: what is too short with nothing there is so for certain.
void too_short_anyway(const Facts& facts, const job::Part& screw, const joints::MetricSize& size, Millimetres length, std::optional<joints::Parent> parent, Yield& yield) {
  if (!parent || screw.clamps.empty() || grip_of(screw)) return;
  const joints::StackAnswer answer = joints::check_stack(size, length, {Millimetres(0), Millimetres(0), screw.into_depth.value_or(Millimetres(1000)), Millimetres(1000), *parent});
  if (answer.verdict != joints::StackAnswer::Verdict::too_short || answer.engaged_least.value > answer.wanted.value - kNearly) return;
  // A tray or a clip hangs on fewer turns in wood than its full strength asks.
  const auto severity = *parent == joints::Parent::wood ? plan::Severity::note : plan::Severity::warn;
  say_it(facts, screw, severity,
         fmt::format("{} is {} mm long: with nothing under its head it would bite {} mm into {}, and {} mm are wanted", facts.name(screw.id), number(length.value, 1), number(answer.engaged_least.value, 1), std::string(joints::word(*parent)), number(answer.wanted.value, 1)),
         "take a longer one", {"ENGAGE", "least engagement", Standing::read}, yield);
}

/// The hole of an insert goes on a little behind it, and nobody says how far.
void past_the_insert(const Facts& facts, const job::Part& screw, Millimetres length, Yield& yield) {
  constexpr double kBehind = 2;  // mm; a hole is drilled so much deeper than its insert is long [practice]
  const auto grip = grip_at_most(facts, screw);
  if (screw.into_kind != "insert" || screw.clamps.empty() || !screw.into_depth || !grip || grip_of(screw)) return;
  const double past = (length - *grip - *screw.into_depth).value;
  if (past <= kBehind) return;
  say_it(facts, screw, plan::Severity::undecided,
         fmt::format("{} is {} mm long, its cards show {} mm clamped at most, and its insert is {} mm deep: its tip goes {} mm past the insert, and nobody says that the hole goes on so far", facts.name(screw.id), number(length.value, 1), number(grip->value, 1),
                     number(screw.into_depth->value, 1), number(past, 1)),
         fmt::format("take a shorter one; or, where the hole is open behind, write into-depth as deep as it is in '{}'", screw.id.text), practice(), yield);
}

/// Thickness under the head of a flat part or a bar, by its card, at the most.
std::optional<Millimetres> thickness(const catalogue::Card& card) {
  constexpr double kSlender = 4;  // times as long as thick: it lies under the head with its thin side [practice]
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
  if (!length || !width || !height) return std::nullopt;
  std::array<Millimetres, 3> sides{length->high, width->high, height->high};
  std::sort(sides.begin(), sides.end());
  if (sides[0].value * kSlender <= sides[1].value) return sides[0];
  return sides[1].value * kSlender <= sides[2].value ? std::optional(sides[1]) : std::nullopt;
}

/// A wood screw cuts on past its pilot hole, but not past the wood that the job gives it. Where its card shows more wood, or none is known,
/// the depth that is said may be that of the pilot hole.
void through_the_wood(const Facts& facts, const job::Part& screw, Millimetres length, Yield& yield) {
  constexpr double kUnlisted = 1;  // mm: a washer or a film that nobody listed [practice]
  if (screw.into_kind != "wood" || !screw.into_depth || screw.clamps.empty()) return;
  Millimetres grip(0);
  for (const PartId& part : screw.clamps) {
    const auto thick = thickness(facts.card_of(part));
    if (!thick && !grip_of(screw)) return;
    grip = grip + thick.value_or(Millimetres(0));
  }
  grip = grip_of(screw).value_or(grip);
  const double past = (length - grip - *screw.into_depth).value;
  if (past <= kUnlisted) return;
  // As deep as the wood is thick, what goes past it comes out.
  const auto height = facts.card_of(screw.into).get<Millimetres>("height");
  const bool all_of_it = height && screw.into_depth->value > height->high.value - kUnlisted, longer = height && length - grip > height->high;
  say_it(facts, screw, all_of_it ? plan::Severity::stop : longer ? plan::Severity::warn : plan::Severity::note,
         fmt::format("{} is {} mm long, {} mm lie under its head at most, and it has {} mm in {}: its tip goes {} mm further{}", facts.name(screw.id), number(length.value, 1), number(grip.value, 1), number(screw.into_depth->value, 1), facts.name(screw.into),
                     number(past, 1), all_of_it ? " and comes out" : ""),
         fmt::format("take a shorter one; or correct into-depth in '{}'", screw.id.text), practice(), yield);
}

}  // namespace

void screw_stack(const Facts& facts, const job::Part& screw, Yield& yield) {
  const catalogue::Card& card = facts.card(screw.card);
  if (card.kind != catalogue::CardKind::screw || screw.into_kind == "through" || card.word_or("head") == "set") return;
  const auto screws = seated(facts, screw);
  reaches_none(facts, screw, screws, yield);
  const auto size = metric_size(card);
  const auto length = card.get<Millimetres>("length");
  if (length) through_the_wood(facts, screw, length->high, yield);
  if (!size || !length) return;
  const auto parent = parent_of(facts, screw);
  const auto all = standings(screw, screws);
  if (all.empty() && screws.empty()) {
    without_grip(facts, screw, length->high, yield);
    past_the_insert(facts, screw, length->high, yield);
    too_short_anyway(facts, screw, *size, length->high, parent, yield);
  }
  if (!parent && screw.into.empty()) return;
  // No one length serves screws through different parts.
  const std::string others = all.size() > 1 ? ": its screws do not all clamp the same, so list them as parts of their own" : "";
  for (const Fastened& one : all) judge(facts, screw, *size, length->high, one, parent, others, yield);
}

}  // namespace handlot::rules
