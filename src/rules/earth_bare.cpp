// An earth lead is bolted to bare metal: paint, powder and anodising insulate it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <span>

#include "core/text.h"
#include "rules/earth.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

/// "earth lead", "ground strap", "PE wire", "wire, green and yellow"; PE by itself may be the plastic.
bool is_earth(std::string_view text) {
  constexpr std::array<std::string_view, 4> kEarth{"earth", "earthing", "ground", "grounding"};
  constexpr std::array<std::string_view, 5> kSure{"green and yellow", "green/yellow", "green-yellow", "yellow/green", "yellow-green"};
  constexpr std::array<std::string_view, 4> kOfPe{"pe lead", "pe wire", "pe cable", "pe conductor"};
  constexpr std::array<std::string_view, 7> kLeads{"lead", "wire", "tag", "strap", "tongue", "braid", "cable"};
  return says_one_word(kOfPe, text) || (says_one_of(kLeads, text) && (says_one_word(kEarth, text) || says_one_of(kSure, text)));
}

/// The lead, tag or wire that the step fixes, by its name; null: none.
const job::Installs* earth_of(const Facts& facts, const job::Step& step) {
  const auto found = std::find_if(step.installs.begin(), step.installs.end(), [&](const job::Installs& i) { return earth_lead(facts, i.part); });
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

/// The coats that the steps listed before it lay on the part.
std::vector<const job::Step*> coats_on(const Facts& facts, const PartId& part, const job::Step& bolt) {
  std::vector<const job::Step*> coats;
  for (const job::Step* s = facts.job.steps.data(); s != &bolt; ++s) {
    if (film_process(s->process.text) && s->on == part) coats.push_back(s);
  }
  return coats;
}

/// Metal that comes with a film on it, or gets one in a step listed before.
bool insulated(const Facts& facts, const PartId& part, const job::Step& bolt) {
  constexpr std::array<std::string_view, 6> kFilms{"lacquer", "paint", "powder", "anodis", "anodiz", "enamel"};
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr || material->word_or("family") != "metal") return false;
  return says_one_of(kFilms, lower(facts.card_of(part).word_or("finish"))) || !coats_on(facts, part, bolt).empty();
}

constexpr std::array<std::string_view, 4> kTeeth{"tooth", "serrated", "star washer", "fan washer"};

/// A word that begins so: "file the edge", not "profile".
bool says_begun(std::span<const std::string_view> beginnings, std::string_view text) {
  return std::any_of(beginnings.begin(), beginnings.end(), [&](std::string_view word) {
    for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
      if (at == 0 || std::isalpha(static_cast<unsigned char>(text[at - 1])) == 0) return true;
    }
    return false;
  });
}

bool bares_metal(std::string_view text) {
  constexpr std::array<std::string_view, 11> kBaring{"scrap", "scratch", "bare", "grind", "file", "filing", "sand", "emery", "abrad", "wire brush", "wire-brush"};
  return says_begun(kBaring, text);
}

/// Where the earth sits, as people call it.
bool names_earth(const Facts& facts, const job::Step& step, const PartId& lead) {
  constexpr std::array<std::string_view, 8> kPoints{"earth", "earthing", "ground", "grounding", "stud", "tongue", "lug", "pe"};
  const std::string text = step_words(step);
  const bool face = std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) { return says_one_of(kPoints, lower(f.face)); });
  return face || has(step.touches, lead) || says_one_word(kPoints, text) || says_word(lower(called(*facts.job.part(lead))), text);
}

/// The coat comes off at the earth, by what the step gives or by its words: "File the paint off round the stud". What is sanded for the
/// paint, and an opening that is filed, bare nothing under the lead.
bool takes_off(const Facts& facts, const job::Step& s, const PartId& part, const PartId& lead) {
  constexpr std::array<std::string_view, 8> kToMetal{"bare metal", "bright metal", "to the metal", "to metal", "paint off", "coat off", "powder off", "lacquer off"};
  if (std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && (f.state == "bare" || f.state == "abraded"); })) return true;
  const std::string text = step_words(s);
  const bool rubs = s.process.text == "sand" || s.process.text == "abrade" || bares_metal(text);
  return (s.on == part || has(s.touches, part)) && rubs && (names_earth(facts, s, lead) || says_one_of(kToMetal, text));
}

/// The bolting itself bares it, by its words or with a washer whose teeth cut through.
bool bares_itself(const Facts& facts, const job::Step& bolt) {
  const std::string text = step_words(bolt);
  return bares_metal(text) || says_one_of(kTeeth, text) || std::any_of(bolt.installs.begin(), bolt.installs.end(), [&](const job::Installs& i) { return says_one_of(kTeeth, both_names(facts, i.part)); });
}

/// The coat is laid round the earth, as its words say.
bool spares_earth(const Facts& facts, const job::Step& coat, const PartId& lead) {
  constexpr std::array<std::string_view, 8> kSparing{"leave", "keep", "mask", "tape", "plug", "except", "not on", "free"};
  return says_one_of(kSparing, step_words(coat)) && names_earth(facts, coat, lead);
}

/// The bolting asks for the bare face, and a step makes it so: that one is put before it.
bool asked_bare(const Facts& facts, const PartId& part, const job::Step& bolt) {
  const auto bare = [&](const job::FaceState& f) { return f.part == part && f.state == "bare"; };
  return std::any_of(bolt.face_needs.begin(), bolt.face_needs.end(), bare) &&
         std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return &s != &bolt && std::any_of(s.face_gives.begin(), s.face_gives.end(), bare); });
}

/// Bare metal under the lead: kept free of the coats, or bared again after the last.
bool bared(const Facts& facts, const PartId& part, const job::Step& bolt, const PartId& lead) {
  const std::vector<const job::Step*> coats = coats_on(facts, part, bolt);
  const job::Step* from = coats.empty() ? facts.job.steps.data() : coats.back() + 1;
  if (asked_bare(facts, part, bolt) || bares_itself(facts, bolt) || std::any_of(from, &bolt + 1, [&](const job::Step& s) { return takes_off(facts, s, part, lead); })) return true;
  return !coats.empty() && std::all_of(coats.begin(), coats.end(), [&](const job::Step* coat) { return spares_earth(facts, *coat, lead); });
}

/// What is masked on the part before its first coat.
std::vector<const job::Step*> masks_on(const Facts& facts, const PartId& part, const job::Step& bolt) {
  std::vector<const job::Step*> masks;
  const std::vector<const job::Step*> coats = coats_on(facts, part, bolt);
  for (const job::Step* s = facts.job.steps.data(); !coats.empty() && s != coats.front(); ++s) {
    if (s->process.text == "mask" && (s->on == part || has(s->touches, part))) masks.push_back(s);
  }
  return masks;
}

/// Plugs in threads leave the face round them open.
bool masks_threads(const job::Step* mask) {
  constexpr std::array<std::string_view, 2> kThreads{"thread", "plug"};
  return says_one_of(kThreads, step_words(*mask));
}

}  // namespace

bool earth_lead(const Facts& facts, const PartId& part) { return is_earth(both_names(facts, part)); }

void earth_bare(const Facts& facts, const job::Step& bolt, Yield& yield) {
  const job::Installs* lead = earth_of(facts, bolt);
  if (lead == nullptr) return;
  for (const PartId& body : held_against(facts, bolt, lead->part)) {
    if (body == lead->part || !insulated(facts, body, bolt) || bared(facts, body, bolt, lead->part)) continue;
    std::vector<const job::Step*> masks = masks_on(facts, body, bolt);
    if (std::any_of(masks.begin(), masks.end(), [&](const job::Step* m) { return names_earth(facts, *m, lead->part); })) continue;
    std::erase_if(masks, masks_threads);
    auto f = masks.empty() ? finding("earth-bare", plan::Severity::warn, bolt, fmt::format("{} fixes {} on {}, whose coat insulates it: the earth may not carry", say(bolt), facts.name(lead->part), facts.name(body)),
                                     "scrape the coat off round the hole in a step or an action, or put a toothed washer under the lead, and measure the earth", practice())
                           : finding("earth-bare", plan::Severity::undecided, bolt, fmt::format("{} fixes {} on {}, whose coat insulates it, and {} does not say that it masks the earth point", say(bolt), facts.name(lead->part), facts.name(body), say(*masks.front())),
                                     fmt::format("name the earth point in {}; or scrape the coat off round the hole, and measure the earth", say(*masks.front())), practice());
    f.parts = {lead->part, body};
    yield.findings.push_back(std::move(f));
    return;
  }
}

}  // namespace handlot::rules
