// Some adhesives do not hold on some materials, crack them, or corrode them.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/ground.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

using joints::Affinity;
using joints::Way;

std::string row_of(const catalogue::Card& material) { return material.word_or("substrate", material.id.text); }

/// A card that prints a strength or a time on that very material belongs to an adhesive that was made for it.
bool printed_on(const catalogue::Card& adhesive, const std::string& row) {
  return std::any_of(adhesive.figures.begin(), adhesive.figures.end(), [&](const catalogue::Figure& f) { return f.on == row; });
}

bool overcome(const Facts& facts, const job::Joint& joint, const PartId& part, Way way) {
  const bool primed = left_so(facts, part, "primed");
  switch (way) {
    case Way::none: return false;
    case Way::activator: return primed || !joint.activator.empty();
    case Way::primed: return primed;
    case Way::roughened: return primed || left_so(facts, part, "abraded");
  }
  return false;
}

/// In a cup the resin is held by the walls all round.
plan::Severity severity_of(const job::Step& glue, Affinity affinity) {
  if (affinity == Affinity::unsure) return plan::Severity::undecided;
  const bool stops = affinity == Affinity::none || affinity == Affinity::never;
  return stops && glue.process.text != "pot" ? plan::Severity::stop : plan::Severity::warn;
}

std::string mend_of(const PartId& part, Way way) {
  switch (way) {
    case Way::none: return "take another adhesive, or a screw";
    case Way::activator: return "take another adhesive, a primer made for it, or a screw";
    case Way::primed: return fmt::format("take an adhesive whose card prints a figure on it, or a screw; or treat the face in a step that says <gives face=\"{}\" is=\"primed\"/>", part.text);
    case Way::roughened: return fmt::format("roughen the face in a step that says <gives face=\"{}\" is=\"abraded\"/>, or take a screw", part.text);
  }
  return {};
}

void add_with_all_under(const Facts& facts, const PartId& part, const job::Step& step, std::vector<PartId>& chain) {
  const std::vector<PartId> under = sits_in(facts, part, step);
  chain.push_back(part);
  chain.insert(chain.end(), under.begin(), under.end());
}

/// What the joint's two sides sit in or on once they are glued, as listed.
std::vector<PartId> body_of(const Facts& facts, const job::Step& glue, const job::Joint& joint) {
  std::vector<PartId> body;
  add_with_all_under(facts, glue.on, glue, body);
  for (const PartId& side : joint.between) add_with_all_under(facts, side, glue, body);
  return body;
}

/// The part lies in that body by then. What no step brings in is there from the start, where the joint lies in no subassembly.
bool in_one_body(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& part) {
  const bool whole = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& side) { return facts.job.around(side).empty(); });
  if (glue.on.text == "unit" || (whole && brings_in(facts, part) == nullptr && facts.job.around(part).empty())) return true;
  const std::vector<PartId> body = body_of(facts, glue, joint);
  std::vector<PartId> own;
  add_with_all_under(facts, part, glue, own);
  return std::any_of(own.begin(), own.end(), [&](const PartId& id) { return has(body, id); });
}

/// Acetic acid creeps over what lies in the same box while the silicone cures, not only over what it touches.
void acid_in_the_box(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  std::vector<std::string> bared;
  std::vector<PartId> parts;
  for (const job::Part& one : facts.job.parts) {
    const PartId& id = one.id;
    const catalogue::Card* material = material_of(facts, id);
    const std::string row = material == nullptr ? "" : row_of(*material);
    const bool red = row == "brass" || row == "copper", board = marked(facts, id, "board");
    const job::Step* comes = facts.job.installer(id);
    const bool later = comes != nullptr && &glue < comes;
    if (one.jig || later || (!red && !board) || (red && has(joint.between, id)) || !in_one_body(facts, glue, joint, id)) continue;
    bared.push_back(facts.name(id));
    parts.push_back(id);
  }
  if (bared.empty()) return;
  auto f = finding("bond-surface", plan::Severity::warn, glue,
                   fmt::format("bond '{}': the acetic acid that {} gives off while it cures corrodes copper and brass, and {} {} in the same body", joint.id.text, adhesive.name, listed(bared), bared.size() == 1 ? "is" : "are"),
                   "take a neutral grade, or put electronics and brass in after the full cure", {"HAS", "p. 401", Standing::read});
  f.parts = std::move(parts);
  yield.findings.push_back(std::move(f));
}

/// A tape may be made for a slick face; contact glue wets it no better than epoxy does. In a foam it has the open cells to hold by.
joints::Chemistry wets_as(const Facts& facts, const catalogue::Card& adhesive, joints::Chemistry chemistry, const PartId& part) {
  const bool foam = both_names(facts, part).find("foam") != std::string::npos;
  return contact_glue(adhesive) && !foam && joints::affinity(chemistry, row_of(*material_of(facts, part))).affinity == Affinity::unsure ? joints::Chemistry::epoxy : chemistry;
}

/// The material's own row, else that of its family.
joints::SurfaceWord said_of(joints::Chemistry chemistry, const catalogue::Card& material) {
  const joints::SurfaceWord own = joints::affinity(chemistry, row_of(material));
  return own.affinity != Affinity::good ? own : joints::affinity(chemistry, material.word_or("family"));
}

/// What a silicone gives off while it cures, on faces where it depends on the grade or on the state of the face.
void by_product(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, const PartId& part, const catalogue::Card& material, Yield& yield) {
  const std::string gives = adhesive.word_or("by-product"), row = row_of(material);
  const bool acid = gives.find("acetic") != std::string::npos, oxime = gives.find("oxime") != std::string::npos;
  const auto say_so = [&](plan::Severity severity, std::string_view why, std::string mend) {
    auto f = finding("bond-surface", severity, glue, fmt::format("bond '{}': {} on {} ({}): {}", joint.id.text, adhesive.name, facts.name(part), material.name, why), std::move(mend),
                     {"", "silicone sealants: grades by what they give off", Standing::memory});
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  };
  if (acid && row == "steel") say_so(plan::Severity::undecided, "its acetic acid rusts steel that is bare; paint or plating is not spoken of", "take a neutral grade, or waive this where the steel is coated");
  if (!oxime || (row != "pc" && row != "copper")) return;
  const bool either = gives.find(" or ") != std::string::npos;
  say_so(either ? plan::Severity::undecided : plan::Severity::warn,
         row == "pc" ? "a grade that gives off oxime cracks polycarbonate, and one that gives off alcohol does not" : "a grade that gives off oxime tarnishes copper, and one that gives off alcohol does not",
         "take an alkoxy grade, and write by-product=\"methanol\" on its card");
}

/// Neither damp nor pores reach the middle of the film.
bool dense(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  constexpr std::array<std::string_view, 6> kDense{"metal", "glass", "plastic", "rubber", "ceramic", "laminate"};
  return material != nullptr && std::find(kDense.begin(), kDense.end(), material->word_or("family")) != kDense.end();
}

/// A step on one of the faces says that it is dampened.
bool dampened(const Facts& facts, const job::Joint& joint, const job::Step& glue) {
  constexpr std::array<std::string_view, 5> kWords{"damp", "moist", "mist", "wet ", "water"};
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool here = &s == &glue || has(joint.between, s.on);
    return here && says_one_of(kWords, step_words(s));
  });
}

/// Glue that hardens by moisture, between two faces that let none through.
void no_moisture(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  const bool shut = std::all_of(joint.between.begin(), joint.between.end(), [&](const PartId& p) { return dense(facts, p); });
  if (!shut || dampened(facts, joint, glue)) return;
  auto f = finding("bond-surface", plan::Severity::warn, glue,
                   fmt::format("bond '{}': {} hardens by moisture, and neither face lets any through: its middle stays soft", joint.id.text, adhesive.name),
                   "dampen one face and say so in the step, or take a two-part adhesive", {"", "labels of polyurethane glues: dampen faces that are not porous", Standing::memory});
  f.parts = joint.between;
  yield.findings.push_back(std::move(f));
}

/// Woods so full of oil or resin that glue does not wet a face which has lain.
bool oily_wood(const catalogue::Card& material) {
  constexpr std::array<std::string_view, 6> kOily{"teak", "rosewood", "cocobolo", "ebony", "lignum", "olive"};
  return material.word_or("family") == "wood" && says_one_word(kOily, lower(material.name));
}

/// Cut, sanded or wiped by a step before, or in the words of the gluing.
bool freshened(const Facts& facts, const job::Step& glue, const PartId& part) {
  constexpr std::array<std::string_view, 5> kFresh{"degreased", "abraded", "raw", "clean", "bare"};
  constexpr std::array<std::string_view, 9> kWords{"acetone", "alcohol", "solvent", "wipe", "degreas", "fresh", "sand", "scrape", "plane"};
  if (says_one_of(kWords, step_words(glue))) return true;
  return std::any_of(facts.job.steps.data(), &glue, [&](const job::Step& s) {
    const std::string gives = facts.process(s).word_or("surface-gives");
    const bool fresh = s.process.text == "drill" || std::find(kFresh.begin(), kFresh.end(), gives) != kFresh.end();
    return fresh && same_or_within(facts, s.on, part);
  });
}

/// Source   Wood Handbook, chapter on adhesives (from memory): extractives come up to the face of oily woods and keep glue from wetting it;
///          such faces are cut fresh, or wiped with a solvent, just before they are glued.
void oil_comes_up(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, const PartId& part, const catalogue::Card& material, Yield& yield) {
  constexpr std::array<std::string_view, 4> kWetting{"epoxy", "wood-glue", "polyurethane", "polyurethane-moist"};
  const bool wets = std::find(kWetting.begin(), kWetting.end(), adhesive.word_or("chemistry")) != kWetting.end();
  if (!wets || !oily_wood(material) || freshened(facts, glue, part)) return;
  auto f = finding("bond-surface", plan::Severity::warn, glue,
                   fmt::format("bond '{}': nothing freshens {} ({}) before {}, and the oil of the wood that has come up keeps {} from wetting it", joint.id.text, facts.name(part), material.name, say(glue), adhesive.name),
                   fmt::format("sand it, or wipe it with acetone, just before the glue: a step of process degrease on '{}', or an action of the gluing", part.text), {"WH", "adhesive bonding: extractives", Standing::memory});
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void bond_surface(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr) return;
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  const auto chemistry = joints::chemistry_named(adhesive.word_or("chemistry", "other")).value_or(joints::Chemistry::other);
  if (adhesive.word_or("by-product").find("acetic") != std::string::npos) acid_in_the_box(facts, *glue, joint, adhesive, yield);
  if (chemistry == joints::Chemistry::polyurethane_moist) no_moisture(facts, *glue, joint, adhesive, yield);
  for (const PartId& part : joint.between) {
    const catalogue::Card* material = material_of(facts, part);
    if (material == nullptr) continue;
    by_product(facts, *glue, joint, adhesive, part, *material, yield);
    oil_comes_up(facts, *glue, joint, adhesive, part, *material, yield);
    const std::string row = row_of(*material);
    const joints::SurfaceWord said = said_of(wets_as(facts, adhesive, chemistry, part), *material);
    if (said.affinity == Affinity::good) continue;
    if (said.affinity == Affinity::corrodes && adhesive.word_or("by-product").find("acetic") == std::string::npos) continue;
    const bool adheres = said.affinity != Affinity::corrodes && said.affinity != Affinity::never && printed_on(adhesive, row);
    if (adheres || overcome(facts, joint, part, said.way)) continue;
    auto f = finding("bond-surface", severity_of(*glue, said.affinity), *glue,
                     fmt::format("bond '{}': {} on {} ({}): {}", joint.id.text, adhesive.name, facts.name(part), material->name, said.why),
                     mend_of(part, said.way), said.cite.source());
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
