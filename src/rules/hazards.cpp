#include "rules/hazards.h"

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/heat.h"
#include "rules/matter.h"
#include "rules/named.h"
#include "rules/saying.h"
#include "safety/compatibility.h"

namespace handlot::rules {

namespace {

using catalogue::Card;
using safety::Act;

template <std::size_t N>
bool among(const std::string& word, const std::array<std::string_view, N>& words) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

bool codes_say_flammable(const Card& card) {
  if (card.hazards.empty()) return false;
  const auto& codes = card.hazards.front().h_codes;
  return std::any_of(codes.begin(), codes.end(), [](const std::string& c) { return c == "H224" || c == "H225"; });
}

safety::Substance substance_of(const Card& card) {
  safety::Substance s;
  s.card = card.id;
  s.name = card.name;
  s.family = card.kind == catalogue::CardKind::adhesive ? card.word_or("chemistry")
             : card.kind == catalogue::CardKind::paste  ? "paste"
                                                        : card.word_or("family");
  const std::string by_product = card.word_or("by-product");
  if (s.family == "silicone" && !by_product.empty() && by_product.find("acetic") == std::string::npos) s.family = "silicone-neutral";
  s.gives_off = !by_product.empty();
  s.flammable_vapour = card.yes("flammable") || codes_say_flammable(card);
  if (!card.hazards.empty()) {
    const catalogue::Hazard& h = card.hazards.front();
    s.label = {h.signal, h.ghs, h.h_codes, h.p_codes};
    s.source = h.source;
  }
  return s;
}

void heat_acts(const Facts& facts, const job::Step& step, std::set<Act>& acts) {
  constexpr std::array<std::string_view, 4> irons{"hand-solder", "desolder", "tin", "insert-set"};
  constexpr std::array<std::string_view, 5> ovens{"reflow", "bake", "anneal", "warm-up", "cure-warm"};
  const std::string process = step.process.text;
  if (among(process, irons)) acts.insert(Act::iron);
  if (among(process, ovens)) acts.insert(Act::oven);
  if (process == "heat-shrink") acts.insert(Act::hot_air);
  if (process == "hot-glue") acts.insert(Act::hot_glue);
  if (process == "hand-solder" || process == "desolder" || process == "tin" || process == "reflow") acts.insert(Act::rosin_fume);
  if (process == "drill" || process == "saw" || process == "turn") acts.insert(Act::machine);
  if (process == "uv-cure") acts.insert(Act::ultraviolet);
  for (const job::ToolUse& t : step.tools) {
    const Card* tool = t.card.empty() ? nullptr : facts.cards.find(t.card);
    if (tool != nullptr && tool->word_or("form") == "iron") acts.insert(Act::iron);
  }
  for (const job::MaterialUse& use : step.materials) {
    const Card& card = facts.card(use.card);
    if ((card.kind == catalogue::CardKind::solder || card.kind == catalogue::CardKind::paste) && card.yes("lead")) acts.insert(Act::leaded_solder);
  }
}

void dust_acts(const Facts& facts, const job::Step& step, const std::set<PartId>& parts, std::set<Act>& acts) {
  constexpr std::array<std::string_view, 5> dusty{"sand", "saw", "drill", "abrade", "turn"};
  if (!among(step.process.text, dusty) && facts.process(step).word_or("contaminates") != "dust") return;
  for (const PartId& part : parts) {
    const Card* material = material_of(facts, part);
    if (material == nullptr) continue;
    const std::string family = material->word_or("family");
    if (family == "laminate") acts.insert(Act::fibre_dust);
    if (family == "ceramic" || family == "glass") acts.insert(Act::stone_dust);
    if (family == "wood") acts.insert(material->yes("sensitising-dust") ? Act::sensitising_dust : Act::sanding_wood);
    if (material->word_or("substrate") == "brass" && step.process.text != "turn" && step.process.text != "drill") acts.insert(Act::brass_dust);
  }
}

/// A coin: as long as wide, and no thicker than 6 mm.
bool round_and_flat(const Card& card) {
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
  return length && width && height && length->high == width->high && height->high <= Millimetres(6);
}

/// Parts that the step takes in hand, and not only the device that they are in.
std::set<PartId> in_hand(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts(step.touches.begin(), step.touches.end());
  parts.insert(step.on);
  for (const job::Installs& i : step.installs) {
    for (const PartId& inside : facts.job.within(i.part)) parts.insert(inside);
  }
  for (const JointId& id : step.bonds) {
    for (const PartId& member : facts.job.joint(id)->between) parts.insert(member);
  }
  return parts;
}

void part_acts(const Facts& facts, const job::Step& step, const std::set<PartId>& parts, std::set<Act>& acts) {
  const auto any = [&](auto what) { return std::any_of(parts.begin(), parts.end(), what); };
  const auto is_button = [&](const PartId& p) { return marked(facts, p, "cell") && round_and_flat(facts.card_of(p)); };
  const bool button = any(is_button);
  const bool cell = any([&](const PartId& p) { return marked(facts, p, "cell") && !is_button(p); });
  const bool mains = any([&](const PartId& p) { return marked(facts, p, "mains"); });
  const bool glass = any([&](const PartId& p) {
    const Card* m = material_of(facts, p);
    return puts_in(step, p) && m != nullptr && m->word_or("family") == "glass" && optical(facts, p);
  });
  const bool window = any([&](const PartId& p) { return optical(facts, p); });
  const auto heat = heat_of(facts, step);
  if (cell) acts.insert(Act::lithium_cell);
  if (button) acts.insert(Act::button_cell);
  for (const PartId& p : in_hand(facts, step)) {
    if (parts.contains(p) && marked(facts, p, "cell")) acts.insert(is_button(p) ? Act::coin_in_hand : Act::cell_in_hand);
  }
  // Within what its card bears, 10 K short of it, a cell in a warm cupboard is no danger.
  const bool mild = heat && std::all_of(parts.begin(), parts.end(), [&](const PartId& p) {
    const auto limit = marked(facts, p, "cell") ? heat_limit_of(facts, p, false) : std::nullopt;
    return !marked(facts, p, "cell") || (limit && safety::under_heat(limit->low, heat->temperature) == safety::HeatVerdict::fine);
  });
  if (cell && (acts.contains(Act::iron) || ((heat || acts.contains(Act::oven)) && !mild))) acts.insert(Act::heat_near_cell);
  if (mains || step.process.text == "insulation-test") acts.insert(Act::mains);
  if (glass) acts.insert(Act::glass);
  if (window && !step.holds.empty() && !step.bonds.empty()) acts.insert(Act::clamping_optics);
  const bool blooms = std::any_of(step.bonds.begin(), step.bonds.end(), [&](const JointId& id) { return facts.card(facts.job.joint(id)->adhesive).yes("bloom"); });
  if (blooms && window) acts.insert(Act::bloom_near_optics);
}

std::vector<std::string> cut(const std::string& text, char mark) {
  std::vector<std::string> pieces{""};
  for (const char c : text) {
    if (c == mark) pieces.emplace_back();
    else if (c != ' ' || !pieces.back().empty()) pieces.back() += c;
  }
  std::erase_if(pieces, [](const std::string& p) { return p.empty(); });
  return pieces;
}

/// Glue that any hand may touch: what its process card asks for is meant for the others.
bool glues_wood_only(const Facts& facts, const job::Step& step) {
  const auto plain = [&](const JointId& id) { return facts.card(facts.job.joint(id)->adhesive).word_or("chemistry") == "wood-glue"; };
  return !step.bonds.empty() && std::all_of(step.bonds.begin(), step.bonds.end(), plain);
}

/// The words of its process card: what to wear, by commas; behind a semicolon what to heed.
void process_words(const Facts& facts, const job::Step& step, safety::StepFacts& out) {
  const Card& process = facts.process(step);
  out.process = step.process.text;
  out.process_name = process.name;
  if (glues_wood_only(facts, step)) return;
  out.signs = cut(process.word_or("signs"), ' ');
  const std::string protect = process.word_or("protect");
  out.wear = cut(protect.substr(0, protect.find(';')), ',');
  if (const auto heed = protect.find(';'); heed != std::string::npos) out.heed = cut(protect.substr(heed + 1), ';');
}

/// "Spray two coats"; not "do not spray" nor "in the spray booth".
bool says_spray(const std::string& line) {
  const std::string text = lower(line);
  for (const std::string_view no : {"not spray", "never spray", "n't spray", "no spray"}) {
    if (text.find(no) != std::string::npos) return false;
  }
  if (text.find("airbrush") != std::string::npos) return true;
  for (auto at = text.find("spray"); at != std::string::npos; at = text.find("spray", at + 1)) {
    const std::string rest = text.substr(at + 5);
    const auto begins = [&](std::string_view what) { return rest.starts_with(what); };
    if (!begins("ed") && !begins(" booth") && !begins("-booth") && !begins(" place") && !begins(" room")) return true;
  }
  return false;
}

}  // namespace

bool sprays(const job::Step& step) {
  return says_spray(step.title) || std::any_of(step.actions.begin(), step.actions.end(), says_spray);
}

safety::StepFacts step_facts(const Facts& facts, const job::Step& step) {
  safety::StepFacts out;
  out.step = step.id;
  const std::set<PartId> parts = worked_on(facts, step);
  heat_acts(facts, step, out.acts);
  dust_acts(facts, step, parts, out.acts);
  part_acts(facts, step, parts, out.acts);
  if (step.process.text == "cut-lead" || step.process.text == "trim") out.acts.insert(Act::cutting);
  if (oil_on_rags(facts, step) != nullptr) out.acts.insert(Act::drying_oil);
  for (const Card* fluid : fluids_of(facts, step)) {
    // The flux of a pen or a wire is the fume's business.
    if (fluid->kind != catalogue::CardKind::flux) out.substances.push_back(substance_of(*fluid));
  }
  for (const job::MaterialUse& use : step.materials) {
    const Card& card = facts.card(use.card);
    if (card.kind == catalogue::CardKind::paste && !card.hazards.empty()) out.substances.push_back(substance_of(card));
    if (use.at_once && *use.at_once >= Grams(100) && card.yes("two-part")) out.acts.insert(Act::mixing_warm);
  }
  process_words(facts, step, out);
  out.sprayed = sprays(step);
  if (const auto heat = heat_of(facts, step)) out.reaches = heat->temperature;
  out.fibre_touched = std::any_of(parts.begin(), parts.end(), [&](const PartId& p) { return natural_fibre(facts, p); });
  return out;
}

std::set<PartId> powered(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts = worked_on(facts, step);
  const bool plugs = step.process.text == "plug" && std::any_of(parts.begin(), parts.end(), [&](const PartId& p) { return marked(facts, p, "cell"); });
  if (!gets_power(step) && !plugs) return {};
  std::erase_if(parts, [&](const PartId& p) { return !marked(facts, p, "board") && !marked(facts, p, "cell") && !marked(facts, p, "mains"); });
  return parts;
}

Duration vapour_clears(const Facts& facts, const job::Step& step) {
  const auto figure = facts.process(step).get<Duration>("vapour-clears");
  return figure ? figure->high : Duration(0);
}

}  // namespace handlot::rules
