// A shaft goes into its hole with the play that is asked for, a press fit presses, and gears meet.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "core/text.h"
#include "joints/fits.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"
#include "rules/step_words.h"
#include "shapes/distance.h"
#include "shapes/round_pair.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "fit";
using shapes::Chain;

/// The nearest pair of round faces among all bodies of both.
std::optional<shapes::RoundPair> round_faces_of(const Facts& facts, const PartId& hole, const PartId& shaft) {
  if (facts.device == nullptr || facts.device->empty()) return std::nullopt;
  const bodies::Device& d = *facts.device;
  std::optional<shapes::RoundPair> best;
  for (std::size_t i : d.set_of(facts.job.within(hole)).list()) {
    for (std::size_t k : d.set_of(facts.job.within(shaft)).list()) {
      const auto pair = i == k ? std::nullopt : shapes::round_pair(*d.scene, i, k);
      if (pair && (!best || std::abs((pair->hole - pair->shaft).value) < std::abs((best->hole - best->shaft).value) - 1e-9)) best = pair;
    }
  }
  return best;
}

/// What is asked, and where that comes from.
struct Asked {
  double least = 0, most = 0;  ///< mm, of the play across
  std::string text;
  Source source;
};

plan::Finding about(const job::Fit& fit, plan::Severity severity, std::string message, std::string mend, Source source) {
  plan::Finding f = about_parts(kRule, severity, {fit.hole, fit.shaft}, std::move(message), std::move(mend), fit.place);
  f.source = std::move(source);
  return f;
}

std::string pair_of(const Facts& facts, const job::Fit& fit) { return fmt::format("{} in {}", facts.name(fit.shaft), facts.name(fit.hole)); }

/// Limits of one member by its class, in mm about the nominal size.
struct Member {
  double low = 0, high = 0;
};
std::optional<Member> member(Millimetres nominal, const std::string& tolerance_class) {
  const auto limits = joints::iso286(nominal, tolerance_class);
  if (!limits) return std::nullopt;
  return Member{limits->low / 1000.0, limits->high / 1000.0};
}

shapes::Link link(const char* what, Millimetres nominal, int sign, const std::optional<Millimetres>& measured, const std::optional<Millimetres>& error, Millimetres minus, Millimetres plus) {
  return {what, nominal, minus, plus, sign, measured, error};
}

/// Says what a chain of plays leaves of what was asked.
void judge(const Facts& facts, const job::Fit& fit, const Asked& asked, const Chain& c, const std::string& how, Yield& yield) {
  constexpr double kEven = 1e-6;
  const auto outside = [&](double low, double high) { return low < asked.least - kEven || high > asked.most + kEven; };
  const auto severity = outside(c.nominal.value, c.nominal.value) ? plan::Severity::stop : outside(c.rss_low.value, c.rss_high.value) ? plan::Severity::warn : plan::Severity::note;
  if (severity == plan::Severity::note && !outside(c.worst_low.value, c.worst_high.value)) return;
  yield.findings.push_back(about(fit, severity,
                                 fmt::format("{}: {} asked, and the play is {} mm, {} to {} mm at worst, {} to {} mm nearly always ({})", pair_of(facts, fit), asked.text, number(c.nominal.value, 3),
                                             number(c.worst_low.value, 3), number(c.worst_high.value, 3), number(c.rss_low.value, 3), number(c.rss_high.value, 3), how),
                                 severity == plan::Severity::note ? "measure hole and shaft of the first piece (hole-measured, shaft-measured)" : "change a diameter, hold it closer (ream, turn), or pick the pairs by measure",
                                 asked.source));
}

/// By class: drawn as nominal, made by a machine that can hold it, measured within it.
void by_class(const Facts& facts, const job::Fit& fit, const std::optional<shapes::RoundPair>& pair, Yield& yield) {
  const auto slash = fit.tolerance_class.find('/');
  const std::string hole = fit.tolerance_class.substr(0, slash), shaft = slash == std::string::npos ? "" : fit.tolerance_class.substr(slash + 1);
  // Without shapes the nominal size is the measured one to the tenth.
  const Millimetres nominal = pair ? pair->hole : Millimetres(std::round(fit.hole_measured->value * 10) / 10);
  const auto limits = joints::fit_clearance(nominal, hole, shaft);
  const auto h = member(nominal, hole), s = member(nominal, shaft);
  const Source source{"ISO286", fmt::format("{} at {} mm", fit.tolerance_class, number(nominal.value, 3)), Standing::read};
  if (!limits || !h || !s) {
    yield.findings.push_back(about(fit, plan::Severity::undecided, fmt::format("{}: {}", pair_of(facts, fit), limits ? "its class is not known" : limits.error().front().text), limits ? "" : limits.error().front().mend, source));
    return;
  }
  const Asked asked{limits->low / 1000.0, limits->high / 1000.0, fmt::format("{} to {} mm ({})", number(limits->low / 1000.0, 3), number(limits->high / 1000.0, 3), fit.tolerance_class), source};
  if (fit.hole_measured || fit.shaft_measured) {
    const auto within = [&](const char* what, int sign, const Member& m, const std::optional<Millimetres>& measured) {
      const Millimetres half((m.high - m.low) / 2);
      return link(what, nominal + Millimetres((m.high + m.low) / 2), sign, measured, fit.measured_error, half, half);
    };
    const Chain c = shapes::chain({within("hole", 1, *h, fit.hole_measured), within("shaft", -1, *s, fit.shaft_measured)});
    judge(facts, fit, asked, c, fit.hole_measured && fit.shaft_measured ? "both measured" : "one measured, the other by its class", yield);
    return;
  }
  if (const double play = (pair->hole - pair->shaft).value; play < std::min(asked.least, 0.0) - 1e-6 || play > std::max(asked.most, 0.0) + 1e-6) {
    yield.findings.push_back(about(fit, plan::Severity::warn, fmt::format("{} is drawn with {} mm of play, and {} leaves {}", pair_of(facts, fit), number(play, 3), fit.tolerance_class, asked.text),
                                   "draw hole and shaft at their nominal size, or ask for another fit", source));
  }
  for (const auto& [part, of, own] : {std::tuple(&fit.hole, &hole, &*h), std::tuple(&fit.shaft, &shaft, &*s)}) {
    const auto making = making_of(facts, *part);
    if (!making || facts.card_of(*part).word_or("made") == "bought" || 2 * making->tolerance.value <= own->high - own->low + 1e-9) continue;
    yield.findings.push_back(about(fit, plan::Severity::warn,
                                   fmt::format("{} is asked of {}: a field of {} mm, and its sizes hold to plus or minus {} mm ({})", *of, facts.name(*part), number(own->high - own->low, 3), number(making->tolerance.value, 3), say_making(facts, *part)),
                                   "ream or turn it to size, measure each and write hole-measured and shaft-measured, or ask for a play that the machine holds", source));
  }
}

void by_play(const Facts& facts, const job::Fit& fit, const std::optional<shapes::RoundPair>& pair, Yield& yield) {
  const auto one = [&](const PartId& part, const char* what, Millimetres nominal, int sign, const std::optional<Millimetres>& measured) {
    const auto making = making_of(facts, part);
    const Millimetres t = making ? making->tolerance : Millimetres(0);
    return link(what, nominal, sign, measured, fit.measured_error, t, t);
  };
  const Millimetres hole = pair ? pair->hole : *fit.hole_measured, shaft = pair ? pair->shaft : *fit.shaft_measured;
  const Chain c = shapes::chain({one(fit.hole, "hole", hole, 1, fit.hole_measured), one(fit.shaft, "shaft", shaft, -1, fit.shaft_measured)});
  const Asked asked{fit.least->value, fit.most->value, fmt::format("{} to {} mm", number(fit.least->value, 3), number(fit.most->value, 3)), stated()};
  const auto said = [&](const PartId& part, const std::optional<Millimetres>& measured) {
    return measured ? fmt::format("{}: measured, {} mm", facts.name(part), number(measured->value, 3)) : say_making(facts, part);
  };
  judge(facts, fit, asked, c, fmt::format("{}; {}", said(fit.hole, fit.hole_measured), said(fit.shaft, fit.shaft_measured)), yield);
}

/// A pair that is declared to press, and is asked to have play at the least.
void press_with_play(const Facts& facts, const job::Fit& fit, const std::optional<shapes::RoundPair>& pair, Yield& yield) {
  const auto presses = [&](const PartId& id, const PartId& other) {
    const job::Part* part = facts.job.part(id);
    return part != nullptr && has(part->presses, other);
  };
  if (!presses(fit.hole, fit.shaft) && !presses(fit.shaft, fit.hole)) return;
  double least = fit.least ? fit.least->value : -1;
  if (const auto slash = fit.tolerance_class.find('/'); slash != std::string::npos) {
    const Millimetres nominal = pair ? pair->hole : fit.hole_measured.value_or(Millimetres(10));  // any size tells a clearance class
    const auto limits = joints::fit_clearance(nominal, fit.tolerance_class.substr(0, slash), fit.tolerance_class.substr(slash + 1));
    if (limits) least = limits->low / 1000.0;
  }
  if (least < 0) return;
  yield.findings.push_back(about(fit, plan::Severity::warn,
                                 fmt::format("{} is declared as a press fit, and {} asks for play", pair_of(facts, fit), fit.tolerance_class.empty() ? fmt::format("{} to {} mm", number(fit.least->value, 3), number(fit.most->value, 3)) : fit.tolerance_class),
                                 "ask for a class that presses (H7/p6), or drop presses", stated()));
}

}  // namespace

void fit(const Facts& facts, Yield& yield) {
  for (const job::Fit& f : facts.job.fits) {
    const auto pair = round_faces_of(facts, f.hole, f.shaft);
    press_with_play(facts, f, pair, yield);
    if (!pair && !(f.hole_measured && f.shaft_measured)) {
      if (facts.device == nullptr) continue;
      yield.findings.push_back(about(f, plan::Severity::undecided, fmt::format("{}: no round hole and shaft of theirs lie on one axis, so the fit was not checked", pair_of(facts, f)),
                                     round_faces_of(facts, f.shaft, f.hole) ? "the hole is that of the shaft, and the shaft that of the hole: swap the two" : "give both a place and a body, or write hole-measured and shaft-measured", of_shapes()));
    } else if (!f.tolerance_class.empty()) {
      by_class(facts, f, pair, yield);
    } else {
      by_play(facts, f, pair, yield);
    }
  }
}

namespace {

/// Gears drawn as blanks stand off by two teeth at most; farther apart nothing meets.
void gears_meet(const Facts& facts, const job::Part& part, Yield& yield) {
  constexpr double kApart = 3;  // mm: more than the teeth of module 1 stand out [practice]
  if (facts.device == nullptr || facts.device->empty() || part.meshes.empty()) return;
  const shapes::PartSet mine = facts.device->set_of({part.id});
  for (const PartId& other : part.meshes) {
    const shapes::PartSet theirs = facts.device->set_of(facts.job.within(other));
    if (mine.empty() || theirs.empty()) continue;
    double gap = 1e300;
    for (std::size_t i : mine.list()) {
      for (std::size_t k : theirs.list()) gap = std::min(gap, shapes::nearest(facts.device->scene->tree(i), facts.device->scene->tree(k), {}).gap);
    }
    if (gap <= kApart) continue;
    yield.findings.push_back(about_parts("press-holds", plan::Severity::stop, {part.id, other}, fmt::format("{} meshes {}, and they stand {} mm apart", facts.name(part.id), facts.name(other), number(gap, 2)),
                                         "move one of them, or drop meshes", part.place));
  }
}

/// Two bodies that press, and which of them has the hole.
struct Pressing {
  shapes::RoundPair faces;
  std::size_t hub = 0, shaft = 0;
  double play() const { return (faces.hole - faces.shaft).value; }
};

/// Of hole in the one and shaft of the other whichever way round fits nearer.
std::optional<Pressing> pressing(const shapes::Scene& scene, std::size_t a, std::size_t b) {
  const auto inside = shapes::round_pair(scene, b, a), around = shapes::round_pair(scene, a, b);
  std::optional<Pressing> found;
  if (inside) found = Pressing{*inside, b, a};
  if (around && (!found || std::abs((around->hole - around->shaft).value) < std::abs(found->play()))) found = Pressing{*around, a, b};
  return found;
}

/// How a pair that is declared as a press fit is drawn; empty: as one.
struct Pressed {
  plan::Severity severity = plan::Severity::warn;
  std::string says, mend;
};

std::optional<Pressed> loose(const shapes::Scene& scene, std::size_t a, std::size_t b, double play, const std::string& sizes) {
  constexpr double kEven = 0.002;  // mm
  if (play <= kEven) return std::nullopt;
  const std::string says = fmt::format("the shapes leave {} mm of play between {}", number(play, 3), sizes), mend = "draw the shaft as large as the hole or larger, or glue it";
  if (play <= 0.3) return Pressed{plan::Severity::warn, says, mend};
  // Wider still, they may not be the faces that press, if others meet.
  const auto how = shapes::meeting(scene, a, b, 0.02).how;
  if (how == shapes::Meeting::apart) return Pressed{plan::Severity::stop, says + ", and nothing else of them meets", mend};
  if (how == shapes::Meeting::near && play <= 1) return Pressed{plan::Severity::warn, says, mend};
  return std::nullopt;
}

bool is_of(const Facts& facts, const PartId& part, std::initializer_list<std::string_view> families) {
  const catalogue::Card* material = material_of(facts, part);
  return material != nullptr && std::find(families.begin(), families.end(), material->word_or("family")) != families.end();
}

/// A slotted pin or a knurl is drawn as large as it is free, and gives way by itself.
bool springs(const Facts& facts, const PartId& part) {
  const std::string name = lower(facts.name(part) + " " + facts.card_of(part).name);
  constexpr std::array<std::string_view, 8> kSprings{"spring", "clip", "roll pin", "slotted", "coiled", "knurl", "spline", "serrat"};
  return says_one_of(kSprings, name);
}

/// By what the hub is of. Metal in metal: H7/u6, the tightest usual one, presses by up to 0.03 mm at 6 mm, 0.09 at 50 (ISO 286, from
/// memory). Glass and ceramic do not stretch at all, acrylic and polystyrene craze from half a percent on [practice]; what a
/// machine may be off by is the hub's own.
std::optional<Pressed> tight_for_its_matter(const Facts& facts, const PartId& hub, const PartId& shaft, double over, double diameter, const std::string& sizes) {
  const std::string says = fmt::format("the shaft is {} mm larger than its hole, {}", number(over, 3), sizes);
  const bool hard = is_of(facts, shaft, {"metal", "glass", "ceramic"});
  if (!hard || springs(facts, hub) || springs(facts, shaft)) return std::nullopt;
  if (is_of(facts, hub, {"glass", "ceramic"}) && over > 0.005) {
    return Pressed{over > 0.02 ? plan::Severity::stop : plan::Severity::warn, says + ": glass and ceramic crack", "leave play of some hundredths and glue it"};
  }
  if (is_of(facts, hub, {"metal"}) && over > std::max(0.05, 0.002 * diameter) + 1e-6) return Pressed{plan::Severity::warn, says + ": metal takes hundredths", "draw hole and shaft nearer to each other, or shrink it on"};
  const catalogue::Card* material = material_of(facts, hub);
  const std::string of = material == nullptr ? "" : material->word_or("substrate");
  const auto making = making_of(facts, hub);
  const double least = over - (making ? making->tolerance.value : 0);
  if ((of == "pmma" || of == "ps") && least > 0.005 * diameter + 1e-6) return Pressed{plan::Severity::warn, says + ": acrylic and polystyrene crack, at once or in weeks", "draw the hole as large as the shaft, and glue it; if a kerf widens the hole, draw it as it comes out"};
  return std::nullopt;
}

/// Plastic presses by a tenth or two: beyond 0.3 mm and 2 % it bursts or does not go in [practice]. What gives may be drawn larger,
/// and a threaded insert melts or cuts its way in.
std::optional<Pressed> tight(const Facts& facts, const PartId& hub, const PartId& shaft, double over, double diameter, const std::string& sizes) {
  for (const PartId& part : {hub, shaft}) {
    if (gives(facts, part) || natural_fibre(facts, part) || !facts.card_of(part).word_or("thread").empty()) return std::nullopt;
  }
  const bool burst = over > std::max(1.0, 0.05 * diameter);
  if (auto found = burst ? std::nullopt : tight_for_its_matter(facts, hub, shaft, over, diameter, sizes)) return found;
  if (over <= std::max(0.3, 0.02 * diameter) + 1e-6) return std::nullopt;
  return Pressed{burst ? plan::Severity::stop : plan::Severity::warn, fmt::format("the shaft is {} mm larger than its hole, {}", number(over, 3), sizes),
                 "draw hole and shaft nearer to each other: a press fit takes hundredths in metal, a tenth or two in plastic"};
}

/// Each body is looked at with the one it fits nearest to. Equal pairs are one mistake.
void presses_other(const Facts& facts, const job::Part& part, const PartId& other, Yield& yield) {
  const bodies::Device& d = *facts.device;
  std::vector<std::size_t> many = d.set_of({part.id}).list(), few = d.set_of(facts.job.within(other)).list();
  if (few.size() > many.size()) std::swap(many, few);
  std::vector<std::string> said;
  for (const std::size_t i : many) {
    std::optional<Pressing> best;
    for (const std::size_t k : few) {
      const auto pair = i == k ? std::nullopt : pressing(*d.scene, i, k);
      if (pair && (!best || std::abs(pair->play()) < std::abs(best->play()))) best = pair;
    }
    if (!best) continue;
    const std::string sizes = fmt::format("{} and {} mm", number(best->faces.hole.value, 3), number(best->faces.shaft.value, 3));
    auto found = loose(*d.scene, best->hub, best->shaft, best->play(), sizes);
    if (!found) found = tight(facts, d.part_of[best->hub], d.part_of[best->shaft], -best->play(), best->faces.hole.value, sizes);
    if (!found || std::find(said.begin(), said.end(), found->says) != said.end()) continue;
    said.push_back(found->says);
    plan::Finding f = about_parts("press-holds", found->severity, {part.id, other}, fmt::format("{} presses {}, and {}", facts.name(part.id), facts.name(other), found->says), found->mend, part.place);
    if (best->play() < 0) f.source = practice();
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace

void press_holds(const Facts& facts, const job::Part& part, Yield& yield) {
  gears_meet(facts, part, yield);
  if (facts.device == nullptr || facts.device->empty()) return;
  for (const PartId& other : part.presses) presses_other(facts, part, other, yield);
}

}  // namespace handlot::rules
