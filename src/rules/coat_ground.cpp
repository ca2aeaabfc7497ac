// A film holds on a clean ground: no wax, silicone or grease under it, and metal is degreased.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "joints/bond.h"
#include "rules/ground.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "coat-ground";

/// A coat of film on the part surely lies between the two; without `from`, before `until`.
bool coated_between(const Facts& facts, const KnownOrder& order, const job::Step* from, const job::Step& until, const PartId& part) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return film_process(s.process.text) && (from == nullptr || order.before(from->id, s.id)) && order.before(s.id, until.id) && works_at(facts, s, part);
  });
}

/// A mask between the two may keep the coat off the very face.
bool masked_between(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const job::Step& coat, const PartId& part) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return s.process.text == "mask" && order.before(dirty.id, s.id) && order.before(s.id, coat.id) && works_at(facts, s, part);
  });
}

bool says_degreased(const job::Step& step) {
  constexpr std::array<std::string_view, 12> kWords{"degreas", "alcohol", "propanol", "acetone", "spirit", "solvent", "naphtha", "heptane", "petrol", "thinner", "wash", "clean"};
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) { return says_one_of(kWords, lower(action)); });
}

/// `called` is the part, or the subassembly around it that both go over. False: the ground is clean.
bool over_grease(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const job::Step& coat, const PartId& part, const PartId& called, Yield& yield) {
  const std::string what = grease_left(facts, dirty);
  if (what.empty() || !works_at(facts, dirty, part) || taken_off(facts, order, dirty, coat, part)) return false;
  const bool wiped = says_degreased(coat) || (dirty.process.text != "wax" && says_degreased(dirty));
  if (wiped && what != "silicone") return false;
  // Shellac goes over much; a machine oil may be no more than a trace.
  const bool sure = what == "silicone" || (what == "wax" && coat.process.text == "lacquer");
  const bool masked = masked_between(facts, order, dirty, coat, part);
  auto f = finding(kRule, masked ? plan::Severity::undecided : sure ? plan::Severity::stop : plan::Severity::warn, coat,
                   fmt::format("{} leaves {} on {}, and {} coats it: the film crawls off it, or peels", say(dirty), what, facts.name(called), say(coat)),
                   what == "silicone" ? "coat first; silicone is not wiped off, only sanded off, and it creeps" : what == "wax" && dirty.process.text == "wax" ? "coat first, or take the wax off: sand it, or wipe with a solvent whose card removes wax" : fmt::format("add a step of process degrease on '{}' between the two", called.text),
                   practice());
  f.steps.push_back(dirty.id);
  f.parts = {part};
  yield.findings.push_back(std::move(f));
  return true;
}

/// The bead of a seal takes no coat, nor what its oil has crept over.
void over_seal(const Facts& facts, const KnownOrder& order, const job::Step& seal, const job::Step& coat, const PartId& part, Yield& yield) {
  for (const JointId& id : seal.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    if (facts.card(joint.adhesive).word_or("chemistry") != "silicone" || !has(joint.between, part) || masked_between(facts, order, seal, coat, part)) continue;
    auto f = finding(kRule, plan::Severity::warn, coat, fmt::format("{} coats {} after the silicone of {}: no coat holds on the bead, and it crawls back around it", say(coat), facts.name(part), say(seal)), "coat first, and mask the faces that the silicone has to hold on", practice());
    f.steps.push_back(seal.id);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

bool degreased(const Facts& facts, const KnownOrder& order, const job::Step& coat, const PartId& part) {
  constexpr std::array<std::string_view, 4> kCleaning{"degrease", "wash", "clean-flux", "clean"};
  return says_degreased(coat) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool cleans = std::find(kCleaning.begin(), kCleaning.end(), s.process.text) != kCleaning.end() || says_degreased(s);
    return cleans && order.before(s.id, coat.id) && works_at(facts, s, part);
  });
}

/// Metal as it comes from the shelf or the machine. Of a body with metal in it nobody says that the metal is coated.
void greasy_metal(const Facts& facts, const KnownOrder& order, const job::Step& coat, const PartId& part, Yield& yield) {
  const catalogue::Card* material = material_of(facts, part);
  const std::string finish = facts.job.part(part) == nullptr ? "" : facts.card_of(part).word_or("finish", "bare");
  if (material == nullptr || material->word_or("family") != "metal" || finish != "bare") return;
  if (coated_between(facts, order, nullptr, coat, part) || degreased(facts, order, coat, part)) return;
  auto f = finding(kRule, plan::Severity::warn, coat, fmt::format("no step degreases {} before {} coats it: a film peels off greasy metal", facts.name(part), say(coat)), fmt::format("add a step of process degrease on '{}' before it", part.text), practice());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// By flame, plasma or a primer, in the words or the materials of the coat or of a step before it.
bool says_treated(const Facts& facts, const KnownOrder& order, const job::Step& coat, const PartId& part) {
  constexpr std::array<std::string_view, 12> kWords{"flame-treat", "flame treat", "flamed", "flaming", "flame it", "flame the", "plasma", "corona", "primer", "primed", "promoter", " etch"};
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    if (&s != &coat && (!order.before(s.id, coat.id) || !works_at(facts, s, part))) return false;
    std::string words = " " + step_words(s);
    for (const job::MaterialUse& use : s.materials) words += " " + lower(facts.card(use.card).name);
    return says_one_of(kWords, words);
  });
}

/// A coat that was made for the plastic names it, or its card prints a figure on it.
bool made_for(const Facts& facts, const job::Step& coat, const catalogue::Card& material, const std::string& row) {
  const std::string name = lower(material.name), plastic = name.substr(0, name.find_first_of(", "));
  return std::any_of(coat.materials.begin(), coat.materials.end(), [&](const job::MaterialUse& use) {
    const catalogue::Card& card = facts.card(use.card);
    const bool printed = std::any_of(card.figures.begin(), card.figures.end(), [&](const catalogue::Figure& f) { return f.on == row; });
    return printed || lower(card.name).find(plastic) != std::string::npos;
  });
}

/// What epoxy peels off, a coat does: neither wets the face. Of a part within what is coated nobody says that the coat gets on it.
void slick_ground(const Facts& facts, const KnownOrder& order, const job::Step& coat, const PartId& part, bool within, Yield& yield) {
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr) return;
  const std::string row = material->word_or("substrate", material->id.text);
  const joints::SurfaceWord said = joints::affinity(joints::Chemistry::epoxy, row);
  const bool none = said.affinity == joints::Affinity::none;
  if (!none && said.affinity != joints::Affinity::poor) return;
  const bool treated = left_so(facts, part, "primed") || (said.way == joints::Way::roughened && left_so(facts, part, "abraded"));
  const bool masked = part != coat.on && std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && order.before(s.id, coat.id) && works_at(facts, s, part); });
  if (treated || masked || says_treated(facts, order, coat, part) || made_for(facts, coat, *material, row)) return;
  auto f = finding(kRule, within ? plan::Severity::undecided : none ? plan::Severity::stop : plan::Severity::warn, coat,
                   within ? fmt::format("{} coats {} with {} ({}) in it, and nothing says that it stays bare: {}", say(coat), facts.name(coat.on), facts.name(part), material->name, said.why) : fmt::format("{} coats {} ({}): {}", say(coat), facts.name(part), material->name, said.why),
                   said.way == joints::Way::roughened ? fmt::format("roughen the face in a step that says <gives face=\"{}\" is=\"abraded\"/>, or leave it bare", part.text)
                                                      : fmt::format("leave it bare, or treat the face before, by what is made for it, in a step that says <gives face=\"{}\" is=\"primed\"/>", part.text),
                   said.cite.source());
  f.parts = {part};
  yield.findings.push_back(std::move(f));
}

/// In the subassembly, or in no step's hands, when `step` begins.
bool there_by(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  const job::Step* in = facts.job.installer(part);
  return in == nullptr || step.on == part || order.before(in->id, step.id);
}

/// Of what the coat goes over as one body: a plastic in it that takes no coat, and wax or oil rubbed on the same body or on a part of it, said once for each such step. What is only
/// greased inside it is another face.
void over_body(const Facts& facts, const KnownOrder& order, const job::Step& coat, const PartId& body, Yield& yield) {
  const std::vector<PartId> inside = facts.job.within(body);
  for (const PartId& part : inside) {
    const catalogue::Card* material = material_of(facts, part);
    const bool plastic = material != nullptr && material->word_or("family") == "plastic" && !facts.job.part(part)->jig;
    if (plastic && there_by(facts, order, coat, part) && !spares(facts, coat, part)) slick_ground(facts, order, coat, part, true, yield);
  }
  for (const job::Step& dirty : facts.job.steps) {
    const bool whole = dirty.on == body || has(facts.job.around(body), dirty.on);
    const bool rubbed = dirty.process.text == "wax" || dirty.process.text == "polish" || dirty.process.text == "oil";
    if (&dirty == &coat || !order.before(dirty.id, coat.id) || (!whole && !rubbed)) continue;
    for (const PartId& part : inside) {
      const job::Part* one = facts.job.part(part);
      if (one == nullptr || one->jig || !there_by(facts, order, dirty, part) || coated_between(facts, order, &dirty, coat, part)) continue;
      if (over_grease(facts, order, dirty, coat, part, whole ? body : part, yield)) break;
    }
  }
}

}  // namespace

void coat_ground(const Facts& facts, const KnownOrder& order, const job::Step& coat, Yield& yield) {
  if (!film_process(coat.process.text)) return;
  std::set<PartId> named(coat.touches.begin(), coat.touches.end());
  named.insert(coat.on);
  for (const PartId& part : named) {
    if (facts.job.assembly(part) != nullptr) over_body(facts, order, coat, part, yield);
    if (facts.job.part(part) == nullptr) continue;
    slick_ground(facts, order, coat, part, false, yield);
    const std::size_t found = yield.findings.size();
    for (const job::Step& dirty : facts.job.steps) {
      if (&dirty == &coat || !order.before(dirty.id, coat.id) || coated_between(facts, order, &dirty, coat, part)) continue;
      over_grease(facts, order, dirty, coat, part, part, yield);
      over_seal(facts, order, dirty, coat, part, yield);
    }
    if (yield.findings.size() == found) greasy_metal(facts, order, coat, part, yield);
  }
}

}  // namespace handlot::rules
