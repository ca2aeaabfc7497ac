// A liquid does not reach a material or a finish that it dissolves, swells or cracks.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/set_on.h"
#include "rules/step_words.h"
#include "safety/compatibility.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "compatibility";

/// Where the liquid goes: the joined parts for an adhesive, what is worked on for a wash or a wipe.
std::set<PartId> wetted(const Facts& facts, const job::Step& step, const catalogue::Card& fluid) {
  if (fluid.kind != catalogue::CardKind::adhesive && fluid.kind != catalogue::CardKind::activator) return worked_on(facts, step);
  std::set<PartId> parts;
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    if (joint.adhesive == fluid.id || joint.activator == fluid.id) parts.insert(joint.between.begin(), joint.between.end());
  }
  return parts.empty() ? worked_on(facts, step) : parts;
}

/// Screws that hold the part down are driven by then.
bool screwed_down(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  return std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& screw) {
    const job::Step* driven = has(screw.clamps, part) ? facts.job.installer(screw.id) : nullptr;
    return driven != nullptr && order.before(driven->id, step.id);
  });
}

/// A laser leaves its edges full of stress, a saw and a cutter somewhat.
bool cut_hot(const Facts& facts, const PartId& part) {
  return facts.card_of(part).word_or("made") == "laser-cut" && !facts.card_of(part).yes("annealed");
}

safety::Condition condition_of(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  safety::Condition c;
  const job::Part* p = facts.job.part(part);
  const bool screwed = screwed_down(facts, order, step, part);
  c.stressed = screwed || !step.holds.empty() || (p != nullptr && !p->presses.empty()) || cut_hot(facts, part);
  // Annealing relaxes what cutting has left, not what screws press on now.
  c.annealed = !screwed && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "anneal" && same_or_within(facts, s.on, part); });
  if (step.unattended > c.contact) c.contact = step.unattended;
  return c;
}

/// The step names faces of the part, and each of them was masked from the finish, or bared of it since.
bool kept_from(const Facts& facts, const KnownOrder& order, const job::Step& finish, const job::Step& step, const PartId& part) {
  std::set<std::string> faces;
  for (const std::vector<job::FaceState>* named : {&step.face_needs, &step.face_gives}) {
    for (const job::FaceState& f : *named) {
      if (f.part == part) faces.insert(f.face);
    }
  }
  const auto bare = [&](const std::string& face) {
    return !face.empty() && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
      return std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const job::FaceState& f) {
        if (f.part != part || f.face != face) return false;
        if (f.state == "masked") return order.before(s.id, finish.id);
        return (f.state == "abraded" || f.state == "bare") && order.before(finish.id, s.id) && order.before(s.id, step.id);
      });
    });
  };
  return !faces.empty() && std::all_of(faces.begin(), faces.end(), bare);
}

/// Whether the part is there, or may be, when the step is done.
bool may_be_there(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  const job::Step* comes = facts.job.installer(part);
  if (comes == nullptr || comes == &step) return true;
  return step.on == part || has(step.touches, part) || !order.before(step.id, comes->id);
}

/// Finishes put on in the job, unless they surely come later, or the part lay in its bag meanwhile.
std::string finish_put_on(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  for (const job::Step& s : facts.job.steps) {
    if (&s == &step || !same_or_within(facts, s.on, part) || order.before(step.id, s.id) || !may_be_there(facts, order, s, part) || kept_from(facts, order, s, step, part)) continue;
    if (s.process.text == "shellac") return "shellac";
    if (s.process.text == "lacquer") return "lacquer";
  }
  return {};
}

void judge(const Facts& facts, const KnownOrder& order, const job::Step& step, const catalogue::Card& fluid, const PartId& part, const std::string& row, Yield& yield) {
  const std::string column = compatibility_column(fluid);
  if (row.empty() || column.empty() || (row == "fibre" && column == "cyanoacrylate")) return;  // glue-on-fibre speaks of that
  const safety::ContactAnswer answer = safety::contact(row, column, condition_of(facts, order, step, part));
  if (answer.verdict != safety::Verdict::refuse) return;
  // A wipe of a stressed plastic cracks some; what dissolves it spoils all.
  const bool dissolves = safety::table_cell(row, column)->attack == safety::Attack::refuse;
  const bool is_finish = row == "shellac" || row == "lacquer" || row == "varnish" || row == "oil-finish";
  // Rubber swells, and shrinks again when it has dried.
  const bool rubber = row == "nitrile" || row == "neoprene";
  auto f = finding(kRule, dissolves && !rubber ? plan::Severity::stop : plan::Severity::warn, step,
                   fmt::format("{} brings {} to {} ({}): {}", say(step), fluid.name, facts.name(part), is_finish ? row : row + ", by the table", answer.why),
                   dissolves ? "take another liquid, keep it off by masking, or do this before the part is there"
                             : "anneal the part first, wipe it unclamped and briefly, or take a liquid that the table passes",
                   answer.source);
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// What a coating or a glue carries solvents of its own for, and what those do to a plastic.
struct Carries {
  std::string_view fluid, rows;
  plan::Severity severity;
};
constexpr std::array kCarries{
    Carries{"lacquer", " ps pc ", plan::Severity::warn},
    Carries{"lacquer", " abs asa pmma ", plan::Severity::undecided},
    Carries{"varnish", " ps pc ", plan::Severity::undecided},
    Carries{"contact-glue", " ps pc pmma ", plan::Severity::undecided},
};

/// Under tape, or inside what is sprayed and covered by a step that comes first. A mask on the sprayed part itself covers a spot of it.
bool masked(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  if (step.on == part || has(step.touches, part)) return false;
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool says = std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && f.state == "masked"; });
    return (says || (s.process.text == "mask" && worked_on(facts, s).contains(part))) && order.before(s.id, step.id);
  });
}

/// A lacquer thins with ketones and esters, a contact glue with more; thin dry coats of some spare what a wet one of others eats.
void own_solvent(const Facts& facts, const KnownOrder& order, const job::Step& step, const catalogue::Card& fluid, const PartId& part, Yield& yield) {
  const bool solvent_glue = contact_glue(fluid) && fluid.find("flash-point") != nullptr;
  const std::string kind = solvent_glue ? "contact-glue" : fluid.kind == catalogue::CardKind::coating ? fluid.word_or("family") : "", row = compatibility_row(facts, part);
  for (const Carries& c : kCarries) {
    if (row.empty() || c.fluid != kind || c.rows.find(" " + row + " ") == std::string_view::npos || masked(facts, order, step, part)) continue;
    auto f = finding(kRule, c.severity, step, fmt::format("{} brings {} to {} ({}): its own solvents {}", say(step), fluid.name, facts.name(part), row, c.severity == plan::Severity::warn ? "dissolve or crack it" : "may dissolve or crack it, by brand"),
                     "try it on an offcut, mask the part, or take a water-borne one or one whose label names this plastic", {"", "labels of lacquers and contact glues: strong solvents on plastics", Standing::memory});
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

/// Plastic or rubber, but none of those that acetone leaves alone (from memory).
bool organic(const catalogue::Card& material) {
  constexpr std::array<std::string_view, 5> kProof{"lcp", "pbt", "ptfe", "epoxy", "phenolic"};
  const std::string family = material.word_or("family"), row = material.word_or("substrate", material.id.text);
  return (family == "plastic" || family == "rubber") && std::find(kProof.begin(), kProof.end(), row) == kProof.end();
}

/// A plastic that crazes, or that acetone may dissolve, and that the table has no row for.
void no_row(const Facts& facts, const job::Step& step, const catalogue::Card& fluid, const PartId& part, Yield& yield) {
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr || !compatibility_row(facts, part).empty() || compatibility_column(fluid).empty()) return;
  const bool cracks = material->yes("stress-cracks"), dissolves = compatibility_column(fluid) == "acetone" && organic(*material);
  if (!cracks && !dissolves) return;
  auto f = finding(kRule, plan::Severity::undecided, step, fmt::format("{} brings {} to {}, and the table has no row for {}, which {}", say(step), fluid.name, facts.name(part), material->name,
                                                                       cracks ? "cracks under stress and solvent" : "acetone may dissolve or swell"),
                   "try it on an offcut, and write substrate=\"...\" of a plastic of its kind on the material's card", practice());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// No material is written, but the name of the part or of its card calls it a plastic that acetone may spoil; empty: it does not.
std::string plastic_by_name(const Facts& facts, const job::Part& part) {
  constexpr std::array<std::string_view, 10> kPlastics{"acrylic", "polycarbonate", "polystyrene", "styrene", "abs", "asa", "pla", "petg", "pvc", "plastic"};
  const std::string text = both_names(facts, part.id);
  const auto named = std::find_if(kPlastics.begin(), kPlastics.end(), [&](std::string_view w) { return says_word(w, text); });
  return named == kPlastics.end() ? "" : std::string(*named);
}

void no_material(const Facts& facts, const job::Step& step, const catalogue::Card& fluid, const job::Part& part, Yield& yield) {
  const std::string plastic = material_of(facts, part.id) == nullptr && compatibility_column(fluid) == "acetone" ? plastic_by_name(facts, part) : "";
  if (plastic.empty()) return;
  auto f = finding(kRule, plan::Severity::undecided, step, fmt::format("{} brings {} to {}, which is '{}' by its name and of no material by its card: it may be dissolved or crazed", say(step), fluid.name, facts.name(part.id), plastic),
                   "write material=\"...\" on its card, or take isopropyl alcohol", practice());
  f.parts = {part.id};
  yield.findings.push_back(std::move(f));
}

/// Silicone oil goes into silicone rubber and swells it.
void silicone_on_silicone(const Facts& facts, const job::Step& step, const catalogue::Card& fluid, const PartId& part, Yield& yield) {
  if (fluid.kind != catalogue::CardKind::oil || fluid.word_or("family") != "silicone" || compatibility_row(facts, part) != "silicone") return;
  auto f = finding(kRule, plan::Severity::warn, step, fmt::format("{} brings {} to {} (silicone rubber): it swells and softens it", say(step), fluid.name, facts.name(part)),
                   "take a grease that is no silicone and that the seal's maker passes, or fit the ring dry", {"", "seal handbooks: like oil in like rubber", Standing::memory});
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// Between the two the body was taped, or shut: what was put in may lie inside.
bool covered_by_then(const Facts& facts, const KnownOrder& order, const job::Step& in, const job::Step& wipe) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return (s.process.text == "mask" || facts.process(s).yes("closes")) && s.on == wipe.on && order.before(in.id, s.id) && order.before(s.id, wipe.id);
  });
}

/// The wipe keeps to a face or a spot of the body, as it says.
bool keeps_to_a_spot(const job::Step& step) {
  constexpr std::array<std::string_view, 8> kWords{"seat", " rim", "edge", "spot", "around", "groove", "joint", "keep"};
  return !step.face_needs.empty() || !step.face_gives.empty() || says_one_of(kWords, step_words(step));
}

/// What is set on the wiped body gets some of the liquid: what dissolves it spoils it, what only crazes it is for the job to say. A board
/// is brushed, and says by no-wash what bears none of it.
void set_on_it(const Facts& facts, const KnownOrder& order, const job::Step& wipe, const catalogue::Card& fluid, Yield& yield) {
  if (fluid.kind != catalogue::CardKind::solvent || facts.process(wipe).word_or("class") != "clean" || marked(facts, wipe.on, "board") || keeps_to_a_spot(wipe)) return;
  const std::set<PartId> named = worked_on(facts, wipe);
  for (const PartId& part : set_on(facts, wipe)) {
    const job::Step* in = facts.job.installer(part);
    if (named.contains(part) || in == nullptr || in->on != wipe.on || !order.before(in->id, wipe.id) || masked(facts, order, wipe, part) || covered_by_then(facts, order, *in, wipe)) continue;
    Yield own;
    judge(facts, order, wipe, fluid, part, compatibility_row(facts, part), own);
    for (plan::Finding& f : own.findings) {
      f.severity = f.severity == plan::Severity::stop ? plan::Severity::warn : plan::Severity::undecided;
      f.mend = fmt::format("do it before {} is on, mask it, or say in a line which face is wiped", facts.name(part));
      yield.findings.push_back(std::move(f));
    }
  }
}

}  // namespace

void compatibility(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  for (const catalogue::Card* fluid : fluids_of(facts, step)) {
    for (const PartId& part : wetted(facts, step, *fluid)) {
      if (facts.job.part(part) == nullptr || !may_be_there(facts, order, step, part)) continue;
      judge(facts, order, step, *fluid, part, compatibility_row(facts, part), yield);
      no_row(facts, step, *fluid, part, yield);
      no_material(facts, step, *fluid, *facts.job.part(part), yield);
      own_solvent(facts, order, step, *fluid, part, yield);
      silicone_on_silicone(facts, step, *fluid, part, yield);
      judge(facts, order, step, *fluid, part, finish_row(facts, part), yield);
      judge(facts, order, step, *fluid, part, finish_put_on(facts, order, step, part), yield);
    }
    set_on_it(facts, order, step, *fluid, yield);
  }
}

}  // namespace handlot::rules
