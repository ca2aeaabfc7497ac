// A joint is as strong as the later step needs before that step begins.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "core/text.h"
#include "joints/cure.h"
#include "joints/instant_glue.h"
#include "rules/cure.h"
#include "rules/fitted.h"
#include "rules/lamp.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// The printed time, slowest of the bond's rows and of the row without a condition.
std::optional<CureTime> printed_time(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive, job::Cure state) {
  std::vector<std::string> rows = bond_rows(facts, joint);
  rows.emplace_back();
  std::optional<CureTime> slowest;
  for (const std::string& row : rows) {
    const auto time = adhesive.get<Duration>(word(state), row);
    if (time && (!slowest || time->high > slowest->wait)) slowest = CureTime{time->high, state, time->source, time->place, {}, {}};
  }
  return slowest;
}

joints::CureState as_published(job::Cure state) {
  switch (state) {
    case job::Cure::none:
    case job::Cure::fixture: return joints::CureState::fixture;
    case job::Cure::handling: return joints::CureState::handling;
    case job::Cure::working: return joints::CureState::working;
    case job::Cure::full: return joints::CureState::full;
  }
  return joints::CureState::full;
}

/// Brought to the temperature of the room by the law of its chemistry, where there is one to bring it by.
void bring_to_room(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive, CureTime& time) {
  if (!facts.job.bench.temperature) return;
  std::vector<std::string> rows = bond_rows(facts, joint);
  rows.emplace_back();
  joints::AdhesiveFigures figures = adhesive_figures(adhesive, rows);
  const joints::CureState state = as_published(time.reached);
  std::erase_if(figures.cures, [&](const joints::CureSeries& s) { return s.state != state; });
  if (figures.cures.empty()) return;
  const auto wait = joints::cure_wait(figures, state, *facts.job.bench.temperature);
  if (!wait) {
    // Too cold to say, and then no shorter than where it can be said; too hot, the printed time is the longer one.
    time.fault = wait.error();
    const auto least = joints::coldest_wait(figures, state);
    if (least && time.fault.front().code == "cure-too-cold") time.wait = std::max(time.wait, least->wait);
    return;
  }
  // A slower row that names no temperature is not brought anywhere: it stands.
  const auto& points = figures.cures.front().points;
  const bool same_row = std::any_of(points.begin(), points.end(), [&](const joints::CureAt& p) { return p.time >= time.wait; });
  time.wait = same_row ? wait->wait : std::max(time.wait, wait->wait);
  time.how = wait->scaled ? wait->how : "";
  if (!wait->source.key.empty()) time.source = wait->source;
}

/// A gap slows instant glue; depth slows what cures from the air inward.
void slow_by_shape(const job::Joint& joint, const catalogue::Card& adhesive, CureTime& time) {
  const std::string chemistry = adhesive.word_or("chemistry");
  if (chemistry == "cyanoacrylate" && joint.gap && time.reached == job::Cure::fixture) {
    const auto gap = joints::gap_time(*joint.gap, !joint.activator.empty());
    if (gap) time.wait = std::max(time.wait, Duration(static_cast<std::int64_t>(gap->value)));
  }
  // What was mixed of two parts cures as fast in the middle as at the face.
  const bool inward = chemistry == "silicone" && (!adhesive.yes("two-part") || adhesive.find("depth-per-day") != nullptr);
  if (!inward || !joint.depth || time.reached < job::Cure::working) return;
  const auto deep = joints::depth_cure(adhesive_figures(adhesive, {""}), *joint.depth);
  if (deep && deep->wait > time.wait) {
    time.wait = deep->wait;
    time.how = "depth squared";
  }
  if (!deep) time.fault = deep.error();
}

/// Under the lamp, by the row of the card that speaks of it.
std::optional<CureTime> lamp_time(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive, job::Cure state) {
  constexpr std::string_view kLamp = "uv-lamp";
  const job::Step* glue = gluing_step(facts, joint);
  const catalogue::Figure* row = adhesive.find(word(state), kLamp);
  if (glue == nullptr || row == nullptr || row->on != kLamp || adhesive.word_or("chemistry") != "light-cured") return std::nullopt;
  if (!lit_as_glued(*glue) && lamp_of(facts, joint, *glue) == nullptr) return std::nullopt;
  const auto time = adhesive.get<Duration>(word(state), kLamp);
  return CureTime{time->high, state, time->source, time->place, {}, {}};
}

std::optional<CureTime> figure_for(const Facts& facts, const job::Joint& joint, const catalogue::Card& adhesive, job::Cure state) {
  if (auto lit = lamp_time(facts, joint, adhesive, state)) return lit;
  auto time = printed_time(facts, joint, adhesive, state);
  if (!time) return time;
  bring_to_room(facts, joint, adhesive, *time);
  slow_by_shape(joint, adhesive, *time);
  return time;
}

Duration to_the_minute(Duration d) { return d.seconds < 60 ? d : Duration((d.seconds + 59) / 60 * 60); }

}  // namespace

std::optional<CureTime> cure_time(const Facts& facts, const job::Joint& joint, job::Cure cure) {
  if (cure == job::Cure::none) return CureTime{Duration(0), cure, practice(), joint.place, {}, {}};
  constexpr std::array kStates{job::Cure::fixture, job::Cure::handling, job::Cure::working, job::Cure::full};
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  for (job::Cure state : kStates) {
    if (state < cure) continue;
    const auto own = joint.measured.find(std::string(word(state)));
    if (own != joint.measured.end()) return CureTime{own->second, state, {"", "", Standing::measured}, joint.place, {}, {}};
    if (auto time = figure_for(facts, joint, adhesive, state)) {
      time->wait = to_the_minute(time->wait);
      return time;
    }
  }
  return std::nullopt;
}

namespace {

/// The parts that the step names one by one, not those inside a subassembly it works on.
std::set<PartId> named_parts(const Facts& facts, const job::Step& step) {
  std::set<PartId> named{step.on};
  named.insert(step.touches.begin(), step.touches.end());
  named.insert(step.tests.begin(), step.tests.end());
  for (const job::Installs& i : step.installs) named.insert(i.part);
  for (const JointId& id : step.bonds) {
    for (const PartId& member : facts.job.joint(id)->between) named.insert(member);
  }
  return named;
}

/// The test tries whether a seal is tight: in its own words.
bool tries_the_seal(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 11> kWords{"dip the", "dip it", "dip in", "dipp", "leak", "immers", "submer", "water", "airtight", "air-tight", "bubbles"};
  return facts.process(step).word_or("class") == "test" && says_one_of(kWords, step_words(step));
}

/// Pressed or sucked through the seal, in the words of the test: "Hold at 6 bar". A bar clamp is none.
bool under_pressure(const job::Step& step) {
  constexpr std::array<std::string_view, 8> kWords{"pressure test", "pressure-test", "under pressure", "pressuri", "vacuum", " psi", "kpa", "mbar"};
  const std::string text = step_words(step);
  for (std::size_t at = text.find(" bar"); at != std::string::npos; at = text.find(" bar", at + 1)) {
    const bool figure = at > 0 && std::isdigit(static_cast<unsigned char>(text[at - 1])) != 0;
    if (figure && (at + 4 == text.size() || std::isalpha(static_cast<unsigned char>(text[at + 4])) == 0)) return true;
  }
  return says_one_of(kWords, text);
}

/// A test that means this seal, or one that carries the load of its pressure: it is pushed on with all that is there. A bead of silicone
/// is judged by its depth.
bool strained_as_a_seal(const Facts& facts, const job::Step& step, const job::Joint& joint, bool meant) {
  const bool tries = facts.process(step).word_or("class") == "test" && (under_pressure(step) || tries_the_seal(facts, step));
  return tries && facts.card(joint.adhesive).word_or("chemistry") != "silicone" && (meant || (joint.load && joint.load->value > 0));
}

/// A seam of wood glue sinks while its water dries out of the wood beside it: sanded "flat" or "flush" before that, it shows later.
bool levels_a_wet_seam(const Facts& facts, const job::Step& step, const job::Joint& joint, const std::set<PartId>& reached) {
  constexpr std::array<std::string_view, 4> kWords{"flat", "flush", "level", "seam"};
  if (facts.card(joint.adhesive).word_or("chemistry") != "wood-glue" || !says_one_of(kWords, step_words(step))) return false;
  return std::all_of(joint.between.begin(), joint.between.end(), [&](const PartId& member) { return reached.contains(member) || sits_on_one_of(facts, member, step, reached); });
}

/// Instant glue neither dries nor shrinks to speak of: sanded flush as soon as it bears a hand, it stays so (common practice).
bool sanded_at_once(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  return facts.process(step).word_or("surface-gives") == "abraded" && facts.card(joint.adhesive).word_or("chemistry") == "cyanoacrylate";
}

/// Feet, felt, magnets that hold a lid: what is read of the unit as a whole does not hang on their glue, unless the step speaks of them.
bool reads_past_it(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  constexpr std::array<std::string_view, 9> kTrim{"magnet", "foot", "feet", "felt", "label", "badge", "strap", "handle", "knob"};
  if (step.process.text != "calibrate" || step.on.text != "unit") return false;
  const std::string words = step_words(step);
  return std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& side) {
    const std::string names = both_names(facts, side);
    return std::any_of(kTrim.begin(), kTrim.end(), [&](std::string_view trim) { return says_noun(trim, names) && !says_noun(trim, words); });
  });
}

bool bears_no_load(const job::Joint& joint) { return !joint.load || joint.load->value <= 0; }

/// A bead of silicone round parts that solder or screws held before it: it keeps them from shaking in use, and nothing hangs on it.
bool stakes_only(const Facts& facts, const job::Joint& joint) {
  constexpr std::array<std::string_view, 6> kHolds{"hand-solder", "place", "screw", "press-fit", "snap", "crimp"};
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr || glue->process.text != "glue" || !bears_no_load(joint) || facts.card(joint.adhesive).word_or("chemistry") != "silicone") return false;
  const auto held = std::count_if(joint.between.begin(), joint.between.end(), [&](const PartId& member) {
    const job::Step* in = facts.job.installer(member);
    return in != nullptr && in < glue && std::find(kHolds.begin(), kHolds.end(), in->process.text) != kHolds.end();
  });
  return held + 1 >= static_cast<std::ptrdiff_t>(joint.between.size());
}

/// Neither a look nor a program nor current strains what is held without the bead.
bool strains_nothing(const Facts& facts, const job::Step& step, const job::Joint& joint, job::Cure asked) {
  const std::string kind = facts.process(step).word_or("class");
  const bool looks = kind == "check" || kind == "program" || kind == "test";
  return looks && asked <= job::Cure::handling && !tries_the_seal(facts, step) && stakes_only(facts, joint);
}

}  // namespace

job::Cure cure_asked(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  const catalogue::Card& process = facts.process(step);
  const job::Cure asked = job::cure_of(process.word_or("cure-needed", "handling")).value_or(job::Cure::handling);
  const std::set<PartId> reached = worked_on(facts, step), named = named_parts(facts, step);
  const auto side_reached = [&](const PartId& member) {
    const std::vector<PartId> inside = facts.job.within(member);
    return std::any_of(inside.begin(), inside.end(), [&](const PartId& p) { return reached.contains(p); });
  };
  if (std::none_of(joint.between.begin(), joint.between.end(), side_reached)) return job::Cure::none;
  if (strains_nothing(facts, step, joint, asked)) return job::Cure::none;
  if (sanded_at_once(facts, step, joint)) return std::min(asked, job::Cure::handling);
  const std::string kind = process.word_or("class");
  if (kind == "finish" || kind == "clean") return asked;  // a fluid creeps into the joint from either side
  // A saw or a sander goes over the seams of all that it is on, and a seam levelled while it still shrinks sinks afterwards.
  const std::string face = process.word_or("surface-gives");
  const bool cuts = (face == "raw" || face == "abraded") && process.word_or("cure-needed") == "full";
  const bool levelled = cuts && (std::all_of(joint.between.begin(), joint.between.end(), side_reached) || levels_a_wet_seam(facts, step, joint, reached));
  const bool shaken = (kind == "pack" || kind == "test") && std::all_of(joint.between.begin(), joint.between.end(), side_reached);
  const bool through = std::all_of(joint.between.begin(), joint.between.end(), [&](const PartId& member) { return named.contains(member); });
  if (strained_as_a_seal(facts, step, joint, through)) return job::Cure::full;
  // What is tried under load hangs on the bond that the job gives a load.
  const bool loaded = kind == "test" && asked == job::Cure::full && joint.load && joint.load->value > 0;
  if (!through && reads_past_it(facts, step, joint)) return std::min(asked, job::Cure::handling);
  return shaken || levelled || through || loaded ? asked : std::min(asked, job::Cure::handling);
}

namespace {

/// What creeps over a bead of silicone that bears no load asks rubber all the way through, and not the strength of a joint; so does
/// all else where the bead holds nothing. Empty: it does, its depth is not said, or the builder has timed it.
std::optional<CureTime> cured_through(const Facts& facts, const job::Step& glue, const job::Joint& joint, const job::Step& later) {
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const std::string kind = facts.process(later).word_or("class");
  const bool creeps = kind == "finish" || kind == "clean";
  if (glue.process.text != "glue" || adhesive.word_or("chemistry") != "silicone" || !joint.depth || !bears_no_load(joint) || joint.measured.contains("full")) return std::nullopt;
  if (!creeps && !stakes_only(facts, joint)) return std::nullopt;
  const auto deep = joints::depth_cure(adhesive_figures(adhesive, {""}), *joint.depth);
  const auto skin = cure_time(facts, joint, job::Cure::handling);
  const auto per_day = adhesive.get<Millimetres>("depth-per-day");
  if (!deep || !skin || !per_day) return std::nullopt;
  CureTime time = *skin;
  time.reached = job::Cure::working;
  if (deep->wait <= time.wait) return time;
  time.wait = to_the_minute(deep->wait);
  time.source = per_day->source;
  time.how = "depth squared";
  return time;
}

/// Nothing in a tape cures: it flows onto the faces until it holds.
bool is_tape(const catalogue::Card& adhesive) { return adhesive.word_or("chemistry") == "other" && lower(adhesive.name).find("tape") != std::string::npos; }

plan::Constraint wait_link(const Facts& facts, const job::Step& glue, const job::Step& later, const job::Joint& joint, const CureTime& time) {
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const bool tape = is_tape(adhesive);
  plan::Constraint link =
      before(glue, later, time.wait,
                reason(plan::ReasonKind::cure, "cure",
                       fmt::format("{} asks {} {} of the bond '{}' ({}), which takes {}", say(later), word(time.reached), tape ? "hold" : "cure", joint.id.text,
                                   adhesive.name, in_words(time.wait)),
                       time.source, time.place));
  link.clock = fmt::format("{} of '{}' {} ({})", adhesive.name, joint.id.text, tape ? "takes hold" : "cures", word(time.reached));
  return link;
}

plan::Constraint through_link(const Facts& facts, const job::Step& glue, const job::Step& later, const job::Joint& joint, const CureTime& time) {
  const std::string& silicone = facts.card(joint.adhesive).name;
  plan::Constraint link = wait_link(facts, glue, later, joint, time);
  link.reason.text = fmt::format("{} asks the bond '{}' ({}) cured through, and its {} mm take {}", say(later), joint.id.text, silicone, number(joint.depth->value, 1), in_words(time.wait));
  link.clock = fmt::format("{} of '{}' cures through", silicone, joint.id.text);
  return link;
}

/// The step listed after `later` that closes the unit with the part, or with what the part was put on; null when there is none, or `later`
/// names the part. What else comes in later may be the unit itself, set on its stand.
const job::Step* lid_with(const Facts& facts, const job::Step& later, const PartId& part) {
  if (has(later.touches, part) || has(later.tests, part)) return nullptr;
  std::vector<PartId> chain{part};
  for (std::size_t i = 0; i < chain.size(); ++i) {
    const PartId at = chain[i];  // by value: the chain grows
    std::vector<PartId> next = facts.job.around(at);
    const job::Step* in = facts.job.installer(at);
    if (in != nullptr && &later < in && facts.process(*in).yes("closes")) return in;
    if (in != nullptr && in < &later) next.push_back(in->on);
    for (const PartId& id : next) {
      if (!id.empty() && !has(chain, id)) chain.push_back(id);
    }
  }
  return nullptr;
}

/// A bond on a cover that is not on yet bears nothing of what is done to the unit. Empty: part of it is in the unit by then.
std::vector<plan::Constraint> not_in_yet(const Facts& facts, const job::Step& later, const job::Joint& joint) {
  std::vector<plan::Constraint> links;
  if (later.on.text != "unit") return links;
  for (const PartId& member : joint.between) {
    const job::Step* in = lid_with(facts, later, member);
    if (in == nullptr) return {};
    if (!links.empty() && links.back().to.step == in->id) continue;
    links.push_back(before(later, *in, reason(plan::ReasonKind::listing, kListingRule, fmt::format("listed before {}, which puts in what '{}' bonds", say(*in), joint.id.text), stated(), later.place)));
    links.back().reason.builders_choice = true;
  }
  return links;
}

/// Done on purpose while the glue is wet: the surplus wiped off, the next piece glued for the same lamp, or what the lamp is said to follow.
bool done_wet(const Facts& facts, const job::Step& glue, const job::Step& later, const job::Step& lamp) {
  const bool same_lamp = std::any_of(later.bonds.begin(), later.bonds.end(), [&](const JointId& id) { return lamp_of(facts, *facts.job.joint(id), later) == &lamp; });
  const bool between = &glue < &later && &later < &lamp;
  return same_lamp || (between && (said_to_follow(lamp, later) || facts.process(later).word_or("class") == "clean"));
}

void unknown(const Facts& facts, const job::Step& later, const job::Joint& joint, job::Cure asked, Yield& yield) {
  auto f = finding("cure", plan::Severity::undecided, later,
                   fmt::format("{} asks {} cure of the bond '{}', and no time is known for {}", say(later), word(asked), joint.id.text, facts.card(joint.adhesive).name),
                   fmt::format("add the figure '{}' to the card '{}', or measured-{} to the bond", word(asked), joint.adhesive.text, word(asked)), practice());
  yield.findings.push_back(std::move(f));
}

/// The skin of a deep bead is handled while its middle is still soft, and the wait is for the skin.
void skin_only(const Facts& facts, const job::Step& glue, const job::Step& later, const job::Joint& joint, const CureTime& time, Yield& yield) {
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  if (adhesive.word_or("chemistry") != "silicone" || !joint.depth || time.reached >= job::Cure::working || &later < &glue || !tries_the_seal(facts, later)) return;
  const auto deep = joints::depth_cure(adhesive_figures(adhesive, {""}), *joint.depth);
  if (!deep || deep->wait <= time.wait) return;
  auto f = finding("cure", plan::Severity::note, later,
                   fmt::format("{} tries the bond '{}' {} after {}, when {} has a skin: its {} mm take {}", say(later), joint.id.text, in_words(time.wait), say(glue), adhesive.name, number(joint.depth->value, 1), in_words(deep->wait)),
                   fmt::format("press on it no more than a skin bears, or write <needs joint=\"{}\" cure=\"working\"/> in the step", joint.id.text), time.source);
  f.steps.push_back(glue.id);
  yield.findings.push_back(std::move(f));
}

}  // namespace

void cure_first(const Facts& facts, const job::Step& glue, const job::Step& later, Yield& yield) {
  for (const JointId& id : glue.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    const job::Step* lamp = lamp_of(facts, joint, glue);
    if (lamp == &later) {
      yield.links.push_back(before(glue, later, reason(plan::ReasonKind::cure, "cure", fmt::format("the lamp hardens the glue of '{}', which must be there", id.text), practice(), later.place)));
      continue;
    }
    const job::Step& hardens = lamp == nullptr ? glue : *lamp;  // what the times count from
    for (const job::JointNeed& need : later.joint_needs) {
      if (need.joint != id) continue;
      const auto time = cure_time(facts, joint, need.cure);
      if (!time) {
        unknown(facts, later, joint, need.cure, yield);
        yield.links.push_back(before(glue, later, reason(plan::ReasonKind::cure, "cure", fmt::format("{} needs the bond '{}'", say(later), id.text), stated(), need.place)));
      } else {
        plan::Constraint link = wait_link(facts, hardens, later, joint, *time);
        link.reason.place = need.place;
        yield.links.push_back(std::move(link));
      }
    }
    const bool stated_need = std::any_of(later.joint_needs.begin(), later.joint_needs.end(), [&](const job::JointNeed& n) { return n.joint == id; });
    const job::Cure asked = cure_asked(facts, later, joint);
    if (stated_need || asked == job::Cure::none || (lamp != nullptr && done_wet(facts, glue, later, *lamp))) continue;
    const auto through = asked > job::Cure::handling ? cured_through(facts, glue, joint, later) : std::nullopt;
    const auto time = through ? through : cure_time(facts, joint, asked);
    if (!time) {
      unknown(facts, later, joint, asked, yield);
      continue;
    }
    skin_only(facts, glue, later, joint, *time, yield);
    // Either the later step comes before the glue after all, or the glue has had its time. The listing prefers.
    std::vector<plan::Constraint> wait{through ? through_link(facts, hardens, later, joint, *through) : wait_link(facts, hardens, later, joint, *time)};
    const bool listed_first = &later < &glue;
    std::vector<plan::Constraint> sooner{before(later, glue, reason(plan::ReasonKind::listing, kListingRule, listed_first ? fmt::format("listed before the gluing of '{}'", id.text) : fmt::format("the bond '{}' has no time to cure before it", id.text), stated(), later.place))};
    sooner.front().reason.builders_choice = listed_first;
    std::vector<std::vector<plan::Constraint>> options;
    options.push_back(listed_first ? sooner : wait);
    options.push_back(listed_first ? wait : sooner);
    if (auto apart = not_in_yet(facts, later, joint); !apart.empty()) options.insert(options.begin(), std::move(apart));
    at_least_one(yield, kListingRule, std::move(options), fmt::format("{} before or after {}", say(later), say(glue)), later.place);
  }
}

}  // namespace handlot::rules
