// An earth lead is bolted to bare metal: paint, powder and anodising insulate it.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

/// The lead, tag or wire that the step fixes, by its name; null: none.
const job::Installs* earth_of(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 2> kEarth{" earth ", " protective earth"};
  constexpr std::array<std::string_view, 5> kLeads{"lead", "wire", "tag", "strap", "tongue"};
  const auto found = std::find_if(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) {
    const std::string text = " " + both_names(facts, i.part);
    return says_one_of(kEarth, text) && says_one_of(kLeads, text);
  });
  return found == step.installs.end() ? nullptr : &*found;
}

/// What the lead is held against: what the step is on, and what its screws clamp.
std::vector<PartId> held_against(const Facts& facts, const job::Step& step, const PartId& lead) {
  std::vector<PartId> found{step.on};
  for (const job::Installs& i : step.installs) {
    const job::Part* screw = facts.job.part(i.part);
    if (screw != nullptr && has(screw->clamps, lead)) found.insert(found.end(), screw->clamps.begin(), screw->clamps.end());
  }
  return found;
}

/// Metal that comes with a film on it, or gets one in a step listed before.
bool insulated(const Facts& facts, const PartId& part, const job::Step& bolt) {
  constexpr std::array<std::string_view, 6> kFilms{"lacquer", "paint", "powder", "anodis", "anodiz", "enamel"};
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr || material->word_or("family") != "metal") return false;
  const bool supplied = says_one_of(kFilms, lower(facts.card_of(part).word_or("finish")));
  return supplied || std::any_of(facts.job.steps.data(), &bolt, [&](const job::Step& s) { return film_process(s.process.text) && s.on == part; });
}

/// A step on it takes the film off or keeps it free, by its process, its words or what it gives; or a toothed washer cuts through.
bool bared(const Facts& facts, const PartId& part, const job::Step& bolt) {
  constexpr std::array<std::string_view, 9> kBaring{"scrape", "scratch", "bare", "grind", "file", "sand", "tooth", "serrated", "star washer"};
  constexpr std::array<std::string_view, 3> kProcesses{"sand", "abrade", "mask"};
  const bool by_step = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool gives = std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && (f.state == "bare" || f.state == "abraded"); });
    const bool here = s.on == part || has(s.touches, part) || &s == &bolt;
    return gives || (here && (says_one_of(kBaring, step_words(s)) || std::find(kProcesses.begin(), kProcesses.end(), s.process.text) != kProcesses.end()));
  });
  return by_step || std::any_of(bolt.installs.begin(), bolt.installs.end(), [&](const job::Installs& i) { return says_one_of(kBaring, " " + both_names(facts, i.part)); });
}

}  // namespace

void earth_bare(const Facts& facts, const job::Step& bolt, Yield& yield) {
  const job::Installs* lead = earth_of(facts, bolt);
  if (lead == nullptr) return;
  for (const PartId& body : held_against(facts, bolt, lead->part)) {
    if (body == lead->part || !insulated(facts, body, bolt) || bared(facts, body, bolt)) continue;
    auto f = finding("earth-bare", plan::Severity::warn, bolt, fmt::format("{} fixes {} on {}, whose coat insulates it: the earth may not carry", say(bolt), facts.name(lead->part), facts.name(body)),
                     "scrape the coat off round the hole in a step or an action, or put a toothed washer under the lead, and measure the earth", practice());
    f.parts = {lead->part, body};
    yield.findings.push_back(std::move(f));
    return;
  }
}

}  // namespace handlot::rules
