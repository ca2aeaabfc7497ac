// A face is in the state that a step asks for, was put there not too long ago, and nothing has spoilt it since.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "face-states";

std::string called(const Facts& facts, const job::FaceState& f) {
  return f.face.empty() ? fmt::format("{} {}", facts.name(f.part), f.state) : fmt::format("the face '{}' of {} {}", f.face, facts.name(f.part), f.state);
}

bool same_face(const job::FaceState& a, const job::FaceState& b) {
  return a.part == b.part && (a.face == b.face || a.face.empty() || b.face.empty());
}

bool gives(const Facts& facts, const job::Step& step, const job::FaceState& need) {
  for (const job::FaceState& f : step.face_gives) {
    if (same_face(f, need)) return f.state == need.state;
  }
  return step.on == need.part && facts.process(step).word_or("surface-gives") == need.state;
}

/// A wipe does not make a rough face smooth, nor dust a degreased one.
bool leaves_it_so(std::string_view given, std::string_view needed) {
  const bool wiped = given == "degreased" || given == "dry" || given == "clean" || given == "bare";
  if (needed == "bare" || needed == "clean" || needed == "dry") return wiped || given == "abraded";
  if (needed == "abraded") return wiped || given == "wet";
  return given == needed || (needed == "degreased" && (given == "dry" || given == "clean"));
}

/// Puts the face into another state: as stated, or because the process leaves something on the part.
bool spoils(const Facts& facts, const job::Step& step, const job::FaceState& need) {
  for (const job::FaceState& f : step.face_gives) {
    if (same_face(f, need)) return f.state != need.state && (need.state != "abraded" || !leaves_it_so(f.state, need.state));
  }
  if (step.on != need.part) return false;
  const std::string given = facts.process(step).word_or("surface-gives"), left = left_by(facts, step);
  if (leaves_it_so(given, need.state)) return false;
  return (!given.empty() && given != need.state) || left == "oil" || left == "wax" || left == "lacquer" || left == "silicone";
}

/// Bought with a film on it, which a step takes off: it is not bare from the start.
bool bought_coated(const Facts& facts, const job::FaceState& need) {
  constexpr std::array<std::string_view, 8> kFilms{"lacquer", "paint", "powder", "anodis", "anodiz", "enamel", "varnish", "shellac"};
  return need.state == "bare" && facts.job.part(need.part) != nullptr && says_one_of(kFilms, lower(facts.card_of(need.part).word_or("finish")));
}

plan::Constraint link(const job::Step& a, const job::Step& b, const job::FaceState& need, std::string text) {
  return before(a, b, reason(plan::ReasonKind::surface, kRule, std::move(text), stated(), need.place));
}

void nobody(const Facts& facts, const job::Step& step, const job::FaceState& need, Yield& yield) {
  auto f = finding(kRule, plan::Severity::stop, step, fmt::format("{} needs {}, and no step makes it so", say(step), called(facts, need)),
                   fmt::format("add <gives face=\"{}{}{}\" is=\"{}\"/> to the step that does", need.part.text, need.face.empty() ? "" : ".", need.face, need.state), stated());
  f.place = need.place;
  f.parts = {need.part};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void face_states(const Facts& facts, const job::Step& step, Yield& yield) {
  for (const job::FaceState& need : step.face_needs) {
    std::vector<const job::Step*> givers, spoilers;
    for (const job::Step& other : facts.job.steps) {
      if (&other == &step) continue;
      if (gives(facts, other, need)) givers.push_back(&other);
      if (spoils(facts, other, need)) spoilers.push_back(&other);
    }
    const bool from_start = need.state == "bare" || need.state == "clean" || need.state == "dry";
    if (givers.empty() && (!from_start || need.within)) {
      nobody(facts, step, need, yield);
      continue;
    }
    const std::string what = called(facts, need);
    const auto given = [&](const job::Step& giver) {
      plan::Constraint c = link(giver, step, need, fmt::format("{} needs {}, which {} makes so", say(step), what, say(giver)));
      if (need.within) {
        c.max = need.within;
        c.spoils = true;
        c.clock = fmt::format("{} stays {}", need.face.empty() ? facts.name(need.part) : fmt::format("the face '{}' of {}", need.face, facts.name(need.part)), need.state);
        c.if_late = fmt::format("do {} again: the face does not stay {}", say(giver), need.state);
        c.reason.text += fmt::format(", no longer than {} before", in_words(*need.within));
      }
      return c;
    };
    std::vector<std::vector<plan::Constraint>> options;
    for (const job::Step* giver : givers) options.push_back({given(*giver)});
    prefer_listed(facts, options);
    if (!options.empty() && (!from_start || need.within || bought_coated(facts, need))) at_least_one(yield, kRule, options, fmt::format("which step makes {}", what), need.place);
    for (const job::Step* spoiler : spoilers) {
      std::vector<std::vector<plan::Constraint>> ways{{link(step, *spoiler, need, fmt::format("{} needs {}, and {} spoils it", say(step), what, say(*spoiler)))}};
      for (const job::Step* giver : givers) {
        if (giver != spoiler) ways.push_back({link(*spoiler, *giver, need, fmt::format("{} spoils the face, and {} mends it", say(*spoiler), say(*giver))), given(*giver)});
      }
      prefer_listed(facts, ways);
      at_least_one(yield, kRule, std::move(ways), fmt::format("{} while {} stays so", say(step), what), need.place);
    }
  }
}

}  // namespace handlot::rules
