// A process that makes what another works on comes first, on the same part.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "rules/board_work.h"
#include "rules/drying.h"
#include "rules/lamp.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

struct Result {
  std::string_view earlier, later, because;
  bool if_listed = false;  ///< listed the other way round it is another thing: a last wipe, not the wipe before the tape
};

// Common practice, no source: each line is what the process words mean at a bench.
constexpr std::array kResults{
    Result{"warm-paste", "print-paste", "paste is printed at room temperature"},
    Result{"print-paste", "place", "parts are set into wet paste"},
    Result{"print-paste", "reflow", "the paste is what melts"},
    Result{"place", "reflow", "the oven solders what lies in the paste"},
    Result{"reflow", "hand-solder", "the iron does what the oven could not, and nothing must lie loose in the oven"},
    Result{"reflow", "clean-flux", "flux is washed off once it has done its work"},
    Result{"reflow", "program", "a chip is programmed when it is soldered in"},
    Result{"hand-solder", "cut-lead", "leads are cut when their joints hold"},
    Result{"glue", "cure", "what was glued cures"},
    Result{"pot", "cure", "what was potted cures"},
    Result{"glue", "cure-warm", "what was glued cures"},
    Result{"pot", "cure-warm", "what was potted cures"},
    Result{"glue", "uv-cure", "the lamp hardens glue that is there"},
    Result{"degrease", "mask", "tape holds on clean faces only", true},
    Result{"sand", "oil", "the finish goes on the sanded face"},
    Result{"sand", "shellac", "the finish goes on the sanded face"},
    Result{"sand", "wax", "the finish goes on the sanded face"},
    Result{"sand", "lacquer", "the finish goes on the sanded face"},
    Result{"mask", "oil", "the masked face must stay bare"},
    Result{"mask", "shellac", "the masked face must stay bare"},
    Result{"mask", "lacquer", "the masked face must stay bare"},
    Result{"mask", "coat-board", "the masked contacts must stay bare"},
    Result{"mask", "pot", "no resin runs into what is masked", true},
    Result{"mask", "unmask", "a mask comes off when it has been on"},
    Result{"oil", "wipe-off", "the surplus comes off after it has soaked in"},
    Result{"oil", "unmask", "the mask stays on until the finish is on"},
    Result{"shellac", "unmask", "the mask stays on until the finish is on"},
    Result{"lacquer", "unmask", "the mask stays on until the finish is on"},
    Result{"coat-board", "unmask", "the mask stays on until the coat is on"},
    Result{"pot", "unmask", "the mask stays on until the resin is poured", true},
    Result{"shellac", "wax", "wax seals what lies under it"},
    Result{"oil", "wax", "wax seals what lies under it"},
    Result{"activate", "glue", "the activator must be on the face when the glue comes"},
    Result{"abrade", "glue", "glue keys into the abraded face"},
    Result{"degrease", "glue", "glue wets clean faces only"},
    Result{"abrade", "degrease", "dust of abrading is wiped off"},
    Result{"mix", "pot", "the mixed resin is what is poured"},
    Result{"glue", "trim", "squeeze-out is cut when there is some"},
    Result{"glue", "unclamp", "the clamp held the glued joint"},
    Result{"drill", "sand", "burrs are sanded off"},
    Result{"drill", "deburr", "the burrs of a hole come off when it is drilled"},
    Result{"test", "pack", "only what works is packed"},
    Result{"calibrate", "pack", "only what is calibrated is packed"},
    Result{"label", "pack", "the label is on before the box is shut"},
};

struct Wet {
  std::string_view process, because;
};

constexpr std::array kWetting{
    Wet{"clean-flux", "what was washed is dried"}, Wet{"wash", "what was washed is dried"},           Wet{"oil", "what was oiled is dried"},
    Wet{"shellac", "what was shellacked is dried"}, Wet{"lacquer", "what was lacquered is dried"}, Wet{"coat-board", "what was coated is dried"},
};

const Wet* wets(const job::Step& step) {
  const auto found = std::find_if(kWetting.begin(), kWetting.end(), [&](const Wet& w) { return step.process.text == w.process; });
  return found == kWetting.end() ? nullptr : &*found;
}

bool dries(const job::Step& step) { return step.process.text == "dry"; }

/// Has a drying of its own listed behind it.
bool dried_later(const Facts& facts, const job::Step& wet) {
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return std::any_of(&wet + 1, end, [&](const job::Step& s) { return dries(s) && same_or_within(facts, s.on, wet.on); });
}

/// What leaves nothing to name on the part, but leaves it wet: a wipe with solvent, a rinse.
bool cleans(const Facts& facts, const job::Step& step) { return facts.process(step).word_or("class") == "clean" && !facts.process(step).word_or("surface-gives").empty() && !dries(step); }

/// The last that was cleaned of the same thing before the drying in the job file.
const job::Step* cleaning_of(const Facts& facts, const job::Step& dry) {
  const job::Step* nearest = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (&s < &dry && cleans(facts, s) && same_or_within(facts, s.on, dry.on)) nearest = &s;
  }
  return nearest;
}

/// What a drying dries: the last that wetted the same thing before it in the job file; else, where nothing was cleaned before it either,
/// the first there is that no other drying follows.
const job::Step* wetting_of(const Facts& facts, const job::Step& dry) {
  const job::Step *nearest = nullptr, *later = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (wets(s) == nullptr || !same_or_within(facts, s.on, dry.on)) continue;
    if (&s < &dry) nearest = &s;
    if (&dry < &s && later == nullptr && !dried_later(facts, s)) later = &s;
  }
  return nearest != nullptr || cleaning_of(facts, dry) != nullptr ? nearest : later;
}

std::vector<const job::Step*> of_side(std::vector<const job::Step*> steps, const job::Step& other) {
  std::erase_if(steps, [&](const job::Step* s) { return !sides_meet(*s, other); });
  return steps;
}

std::size_t place_in(const std::vector<const job::Step*>& all, const job::Step& s) {
  return static_cast<std::size_t>(std::find(all.begin(), all.end(), &s) - all.begin());
}

/// Done several times, the first goes with the first and so on; with uneven counts only what is sure is said: the first of the
/// earlier comes before the last of the later.
bool belong_together(const std::vector<const job::Step*>& firsts, const job::Step& earlier, const std::vector<const job::Step*>& seconds, const job::Step& later) {
  const std::size_t i = place_in(firsts, earlier), j = place_in(seconds, later);
  return firsts.size() == seconds.size() ? i == j : i == 0 && j + 1 == seconds.size();
}

/// Listed first, a deburring is for the holes only where it speaks of them: the edges of a sheet have burrs too.
bool for_other_burrs(const job::Step& drill, const job::Step& deburr) {
  if (deburr.process.text != "deburr" || &drill < &deburr) return false;
  return said_to_follow(drill, deburr) || step_words(deburr).find("hole") == std::string::npos;
}

/// Listed first, a trimming is of squeeze-out only where it speaks of glue: a strap is cut to its template too.
bool cuts_something_else(const job::Step& glue, const job::Step& trim) {
  constexpr std::array<std::string_view, 4> kOfGlue{"squeeze", "glue", "adhesive", "bead"};
  return &trim < &glue && !says_one_of(kOfGlue, step_words(trim));
}

/// Stated to come behind the finish: behind the coat itself, or behind what is listed after it on the same thing.
bool tied_behind(const Facts& facts, const job::Step& sand, const job::Step& coat) {
  return std::any_of(sand.after.begin(), sand.after.end(), [&](const job::After& a) {
    const job::Step* named = facts.job.step(a.step);
    return named == &coat || (named != nullptr && &coat < named && same_or_within(facts, named->on, coat.on));
  });
}

bool of_class_finish(const Facts& facts, const job::Step& s) { return facts.process(s).word_or("class") == "finish"; }

bool glues(const job::Step& s) { return s.process.text == "glue" || s.process.text == "pot"; }
bool hardens(const job::Step& s) { return s.process.text == "cure" || s.process.text == "cure-warm" || s.process.text == "uv-cure"; }

/// Listed between the two, a coat lies on what was abraded, or on what that sits on by then: the glue keys into something else.
bool coated_since(const Facts& facts, const job::Step& abrade, const job::Step& glue) {
  return &abrade < &glue && std::any_of(&abrade + 1, &glue, [&](const job::Step& s) {
    const std::vector<PartId> under = sits_in(facts, abrade.on, s);
    return of_class_finish(facts, s) && (same_or_within(facts, s.on, abrade.on) || has(under, s.on));
  });
}

/// Rubs a coat that is listed before it, and the drill is listed after both: no burr is there yet.
bool rubs_a_coat(const Facts& facts, const job::Step& drill, const job::Step& sand) {
  if (sand.process.text != "sand" || &drill < &sand) return false;
  return std::any_of(facts.job.steps.data(), &sand, [&](const job::Step& s) { return of_class_finish(facts, s) && same_or_within(facts, s.on, sand.on); });
}

/// Listed between the two, something was glued or fitted on what is sanded: the holes are made through it.
bool covered_since(const Facts& facts, const job::Step& sand, const job::Step& drill) {
  return sand.process.text == "sand" && &sand < &drill && std::any_of(&sand + 1, &drill, [&](const job::Step& s) {
    const bool glued = std::any_of(s.bonds.begin(), s.bonds.end(), [&](const JointId& id) { return has(facts.job.joint(id)->between, drill.on); });
    return glued || (!s.installs.empty() && same_or_within(facts, s.on, drill.on));
  });
}

/// Listed behind a coat of film, it rubs that down: no ground for what is listed before it.
bool rubs_down(const Facts& facts, const job::Step& sand, const job::Step& coat) {
  return sand.process.text == "sand" && of_class_finish(facts, coat) && &coat < &sand &&
         std::any_of(facts.job.steps.data(), &sand, [&](const job::Step& s) { return film_process(s.process.text) && same_or_within(facts, s.on, sand.on); });
}

/// Another job than the one the result speaks of: a part cut to size, other burrs, a film rubbed level, a finish sanded off, the degreasing
/// before a coat that is scraped off later, the filing of a face that is coated before it is glued.
bool other_job(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  if (later.process.text == "uv-cure") return lamp_for_other(facts, later, earlier);
  if (later.process.text == "trim") return cuts_something_else(earlier, later);
  if (earlier.process.text == "drill") return for_other_burrs(earlier, later) || rubs_a_coat(facts, earlier, later) || covered_since(facts, later, earlier);
  if (earlier.process.text == "sand" && of_class_finish(facts, later)) {
    return tied_behind(facts, earlier, later) || (film_process(later.process.text) && levels_film(facts, earlier));
  }
  if (earlier.process.text == "abrade" && later.process.text == "glue") return coated_since(facts, earlier, later);
  if (earlier.process.text != "abrade" || later.process.text != "degrease") return false;
  return &later < &earlier && std::any_of(&later, &earlier, [&](const job::Step& s) { return of_class_finish(facts, s) && same_or_within(facts, s.on, later.on); });
}

/// Is the gluing what is hardened? With a hardening for each gluing the first is for the first, but a cure is never for what is glued after
/// it where something was glued before it. Else it is for what was glued or potted since the last hardening, or, with nothing since,
/// for the gluing listed last before it. Empty: none is listed before it, which leaves it to the counts.
std::optional<bool> hardens_it(const Facts& facts, const job::Step& hard, const job::Step& glue) {
  std::vector<const job::Step*> gluings, before_it, since;
  for (const job::Step& s : facts.job.steps) {
    if (!same_or_within(facts, s.on, hard.on)) continue;
    if (hardens(s) && &s < &hard) since.clear();
    if (!glues(s)) continue;
    gluings.push_back(&s);
    if (&s > &hard) continue;
    before_it.push_back(&s);
    since.push_back(&s);
  }
  if (hard.process.text != "uv-cure" && &hard < &glue && !before_it.empty()) return false;
  const auto alike = steps_of(facts, hard.process.text, hard.on);
  if (gluings.size() == alike.size()) return gluings[place_in(alike, hard)] == &glue;
  if (before_it.empty()) return std::nullopt;
  if (since.empty()) return before_it.back() == &glue;
  return std::find(since.begin(), since.end(), &glue) != since.end();
}

/// On a board with two sides each side counts for itself.
bool paired(const Facts& facts, const Result& result, const job::Step& earlier, const job::Step& later) {
  if ((result.if_listed && &later < &earlier) || other_job(facts, earlier, later) || rubs_down(facts, earlier, later)) return false;
  if (glues(earlier) && hardens(later)) {
    if (const auto own = hardens_it(facts, later, earlier)) return *own;
  }
  auto firsts = of_side(steps_of(facts, result.earlier, later.on), later);
  const auto seconds = of_side(steps_of(facts, result.later, earlier.on), earlier);
  std::erase_if(firsts, [&](const job::Step* s) { return other_job(facts, *s, later); });
  return belong_together(firsts, earlier, seconds, later);
}

bool covers(const job::Step& s) { return s.process.text == "coat-board" || s.process.text == "pot" || s.process.text == "lacquer"; }

/// Nobody sets the part on the board, but it lies beside it and the coat is the only one that it can be masked from.
bool only_coat_for(const Facts& facts, const job::Step& mask, const job::Step& coat) {
  const job::Part* part = facts.job.part(mask.on);
  const bool loose = part != nullptr && facts.job.installer(part->id) == nullptr && !facts.card_of(part->id).yes("board");
  if (!loose || facts.job.around(part->id) != facts.job.around(coat.on)) return false;
  return std::none_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return &s != &coat && (covers(s) || (facts.process(s).word_or("class") == "finish" && same_or_within(facts, s.on, mask.on)));
  });
}

/// A mask and the coat of the board that its part sits on belong together in whichever order they are listed, if no other coat is
/// listed on the right side of the mask.
bool only_mask_of(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  const bool mask_first = earlier.process.text == "mask" && later.process.text == "coat-board";
  if (!mask_first && !(earlier.process.text == "coat-board" && later.process.text == "unmask")) return false;
  const job::Step& mask = mask_first ? earlier : later;
  return std::none_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return covers(s) && on_one_body(facts, s, mask) && (mask_first ? &mask < &s : &s < &mask); });
}

/// Named by different parts of one board, the two keep the order in which they are listed.
bool belong(const Facts& facts, const job::Step& earlier, const job::Step& later) {
  if (on_one_body(facts, earlier, later)) return &earlier < &later || only_mask_of(facts, earlier, later);
  if (&later < &earlier) return false;
  return (earlier.process.text == "mask" && later.process.text == "coat-board" && only_coat_for(facts, earlier, later)) ||
         (earlier.process.text == "coat-board" && later.process.text == "unmask" && only_coat_for(facts, later, earlier));
}

plan::Constraint link(const job::Step& earlier, const job::Step& later, std::string_view because) {
  return before(earlier, later, reason(plan::ReasonKind::process, "process-result", std::string(because), practice(), later.place));
}

/// The other end of a wire may be cut to length and bared for what is listed after that.
bool bares_another_end(const Facts& facts, const job::Step& strip, const job::Step& joint) {
  if (&strip < &joint) return false;
  if (said_to_follow(strip, joint)) return true;
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return joint.process.text != "tin" && std::any_of(&strip + 1, end, [&](const job::Step& s) { return names(s, strip.on); });
}

/// An end of wire is bared before it is tinned, crimped or soldered, whatever body it is soldered to.
void bared_first(const Facts& facts, const job::Step& strip, const job::Step& joint, Yield& yield) {
  constexpr std::array<std::string_view, 3> kOnBareEnds{"tin", "crimp", "hand-solder"};
  const bool on_bare = std::find(kOnBareEnds.begin(), kOnBareEnds.end(), joint.process.text) != kOnBareEnds.end();
  if (strip.process.text != "strip" || !on_bare || !is_wire(facts, strip.on) || !names(joint, strip.on) || bares_another_end(facts, strip, joint)) return;
  std::vector<const job::Step*> strips, joints;
  for (const job::Step& s : facts.job.steps) {
    if (s.process == strip.process && names(s, strip.on)) strips.push_back(&s);
    if (s.process == joint.process && names(s, strip.on)) joints.push_back(&s);
  }
  if (belong_together(strips, strip, joints, joint)) yield.links.push_back(link(strip, joint, "an end of wire is bared first"));
}

/// Puts the part in by itself or with what it belongs to.
bool puts_in(const Facts& facts, const job::Step& step, const PartId& part) {
  const std::vector<PartId> around = facts.job.around(part);
  return std::any_of(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return i.part == part || has(around, i.part); });
}

bool bonds(const Facts& facts, const job::Step& step, const PartId& part) {
  return std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) { return has(facts.job.joint(id)->between, part); });
}

/// What is done before there is a part: to its filament, its drawing, its tray.
bool needs_no_part(const job::Step& step) {
  constexpr std::array<std::string_view, 9> kAround{"receive", "sort", "label", "bake", "dry", "warm-up", "mix", "put-away", "print-frame"};
  return std::find(kAround.begin(), kAround.end(), step.process.text) != kAround.end();
}

/// What is not printed yet is not worked on. A second print of the same part goes on over what was laid in.
void printed_first(const Facts& facts, const job::Step& print, const job::Step& work, Yield& yield) {
  if (print.process.text != "print-frame" || print.on.text == "unit" || needs_no_part(work) || said_to_follow(print, work)) return;
  const bool goes_on = std::any_of(facts.job.steps.data(), &print, [&](const job::Step& s) { return s.process == print.process && s.on == print.on; });
  const std::vector<PartId> printed = facts.job.within(print.on);
  const bool takes_up = std::any_of(printed.begin(), printed.end(), [&](const PartId& p) { return names(work, p) || puts_in(facts, work, p) || bonds(facts, work, p); });
  if (!goes_on && takes_up) yield.links.push_back(link(print, work, "what is not printed yet is not worked on"));
}

/// What is pressed, glued or screwed on an arbor is often turned true there; what only stands in a body is not chucked with it.
void turned_by_itself(const Facts& facts, const job::Step& turn, const job::Step& fit, Yield& yield) {
  constexpr std::array<std::string_view, 5> kInPlace{"arbor", "spindle", "mandrel", "centres", "true"};
  constexpr std::array<std::string_view, 3> kFitting{"fit", "snap", "close"};
  const bool fits = std::find(kFitting.begin(), kFitting.end(), fit.process.text) != kFitting.end();
  if (turn.process.text != "turn" || !fits || !fit.bonds.empty() || turn.on.empty() || !puts_in(facts, fit, turn.on)) return;
  const job::Part* body = facts.job.part(fit.on);
  if (body == nullptr || body->jig || marked(facts, body->id, "moving") || said_to_follow(turn, fit) || says_one_of(kInPlace, step_words(turn))) return;
  const std::string text = fmt::format("{} goes on the lathe by itself", facts.name(turn.on));
  plan::Constraint turned = before(fit, turn, reason(plan::ReasonKind::process, "process-result", fmt::format("something else puts {} in first, though {}", facts.name(turn.on), text), practice(), turn.place));
  at_least_one(yield, "process-result", {{link(turn, fit, text)}, {std::move(turned)}}, fmt::format("{} or {} first", say(turn), say(fit)), turn.place);
}

std::string_view because_programmed(const job::Step& run) { return run.process.text == "calibrate" ? "the calibration runs in the program" : "the test runs the program"; }

/// The program on the same thing that is listed last before the step; null: none.
const job::Step* program_before(const Facts& facts, const job::Step& step) {
  const job::Step* last = nullptr;
  for (const job::Step* program : steps_of(facts, "program", step.on)) {
    if (program < &step) last = program;
  }
  return last;
}

/// A look at the supply before a program goes in, by its own words.
bool first_power(const job::Step& test) {
  constexpr std::array<std::string_view, 9> kWords{"first power", "power up", "power-up", "smoke", "limited", "current limit", "rail", "supply", "continuity"};
  const std::string words = step_words(test) + check_words(test);
  return says_one_of(kWords, words) || says_word("short", words) || says_word("shorts", words);
}

bool runs_later(const Facts& facts, const job::Step& program) {
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return std::any_of(&program + 1, end, [&](const job::Step& s) { return gets_power(s) && s.process.text != "program" && same_or_within(facts, s.on, program.on); });
}

/// Listed before the only program there is, a test may be of the bare board; with nothing behind the program that runs it, hardly.
void programmed_sooner(const Facts& facts, const job::Step& program, const job::Step& run, Yield& yield) {
  if (run.process.text == "test" && (first_power(run) || runs_later(facts, program))) return;
  const std::string text(because_programmed(run));
  plan::Constraint turned = before(run, program, reason(plan::ReasonKind::process, "process-result", fmt::format("something else puts {} first, though {}", say(run), text), practice(), run.place));
  at_least_one(yield, "process-result", {{link(program, run, text)}, {std::move(turned)}}, fmt::format("{} or {} first", say(program), say(run)), run.place);
}

/// A test or a calibration runs what was loaded last before it, as listed.
void programmed_first(const Facts& facts, const job::Step& program, const job::Step& run, Yield& yield) {
  if (program.process.text != "program" || (run.process.text != "test" && run.process.text != "calibrate")) return;
  const job::Step* own = program_before(facts, run);
  if (own == &program) yield.links.push_back(link(program, run, because_programmed(run)));
  if (own == nullptr && steps_of(facts, "program", run.on).front() == &program) programmed_sooner(facts, program, run, yield);
}

/// A number, a key or the constants themselves are written beside the program.
bool writes_beside(const job::Step& program) {
  constexpr std::array<std::string_view, 12> kWords{"serial", "number", "lock", "fuse", "key", "address", "calibrat", "constant", "coefficient", "factor", "offset", "setting"};
  return says_one_of(kWords, step_words(program));
}

/// What is loaded over a calibration may take it away, unless the thing is calibrated again.
void loaded_over(const Facts& facts, const job::Step& calibration, const job::Step& program, Yield& yield) {
  if (calibration.process.text != "calibrate" || program.process.text != "program" || &program < &calibration) return;
  if (program_before(facts, calibration) == nullptr || said_to_follow(program, calibration) || writes_beside(program)) return;
  const std::vector<const job::Step*> alike = steps_of(facts, "calibrate", program.on);
  if (alike.back() != &calibration) return;
  yield.findings.push_back(finding("process-result", plan::Severity::undecided, program, fmt::format("{} loads a program after {} has calibrated the same: it may overwrite what the calibration left in the chip", say(program), say(calibration)),
                                   fmt::format("list it before {}; or, if the calibration is kept, write <after step=\"{}\" because=\"...\"/>", say(calibration), calibration.id.text), practice()));
}

void dried_after(const Facts& facts, const job::Step& earlier, const job::Step& dry, Yield& yield) {
  const job::Step* wet = wetting_of(facts, dry);
  if (wet == &earlier) {
    yield.links.push_back(link(earlier, dry, wets(earlier)->because));
  } else if (cleaning_of(facts, dry) == &earlier && (wet == nullptr || wet < &earlier)) {
    yield.links.push_back(link(earlier, dry, "what was cleaned is dried"));
  }
}

}  // namespace

const job::Step* drying_of(const Facts& facts, const job::Step& wet) {
  for (const job::Step& s : facts.job.steps) {
    if (!dries(s) || !same_or_within(facts, s.on, wet.on)) continue;
    const job::Step* wetted = wetting_of(facts, s);
    if (wetted == &wet || (cleaning_of(facts, s) == &wet && (wetted == nullptr || wetted < &wet))) return &s;
  }
  return nullptr;
}

void process_result(const Facts& facts, const job::Step& earlier, const job::Step& later, Yield& yield) {
  bared_first(facts, earlier, later, yield);
  printed_first(facts, earlier, later, yield);
  turned_by_itself(facts, earlier, later, yield);
  const bool same = same_or_within(facts, earlier.on, later.on);
  if (same && dries(later)) dried_after(facts, earlier, later, yield);
  if (same) programmed_first(facts, earlier, later, yield);
  if (same) loaded_over(facts, earlier, later, yield);
  for (const Result& result : kResults) {
    if (earlier.process.text != result.earlier || later.process.text != result.later || !sides_meet(earlier, later)) continue;
    if (same ? paired(facts, result, earlier, later) : belong(facts, earlier, later)) yield.links.push_back(link(earlier, later, result.because));
  }
}

}  // namespace handlot::rules
