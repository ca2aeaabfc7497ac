#include "rules/matter.h"

#include <algorithm>
#include <array>
#include <utility>

#include "core/text.h"
#include "rules/rags.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

using catalogue::Card;
using catalogue::CardKind;

std::string mapped(std::span<const std::pair<std::string_view, std::string_view>> table, const std::string& word) {
  for (const auto& [from, to] : table) {
    if (from == word) return std::string(to);
  }
  return {};
}

bool is_fluid(const Card& card) {
  return card.kind == CardKind::adhesive || card.kind == CardKind::activator || card.kind == CardKind::oil ||
         card.kind == CardKind::solvent || card.kind == CardKind::coating || card.kind == CardKind::flux;
}

/// The points of one state for one row: those printed for it, else those without a condition.
std::vector<joints::CureAt> points_of(const Card& card, std::string_view state, const std::string& row, Source& source) {
  std::vector<joints::CureAt> points;
  for (const bool exact : {true, false}) {
    for (const catalogue::Figure* f : card.all(state)) {
      if (f->on != (exact ? row : "") || !f->at_temperature) continue;
      const Duration time(static_cast<std::int64_t>(f->high + 0.999));
      if (points.empty()) source = f->source;
      points.push_back({*f->at_temperature, std::max(time, Duration(1))});
    }
    if (!points.empty()) break;
  }
  std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.temperature < b.temperature; });
  return points;
}

bool slower(const std::vector<joints::CureAt>& a, const std::vector<joints::CureAt>& b) {
  return b.empty() || (!a.empty() && a.front().time > b.front().time);
}

void add_series(joints::AdhesiveFigures& out, const Card& card, const std::vector<std::string>& rows, joints::CureState state) {
  joints::CureSeries worst;
  worst.state = state;
  for (const std::string& row : rows) {
    Source source;
    auto points = points_of(card, word(state), row, source);
    if (!points.empty() && slower(points, worst.points)) worst.points = std::move(points), worst.source = source;
  }
  if (!worst.points.empty()) out.cures.push_back(std::move(worst));
}

}  // namespace

bool has(const std::vector<PartId>& ids, const PartId& id) { return std::find(ids.begin(), ids.end(), id) != ids.end(); }

bool gets_power(const job::Step& step) {
  constexpr std::array<std::string_view, 5> powered{"test", "test-load", "burn-in", "calibrate", "program"};
  return std::find(powered.begin(), powered.end(), step.process.text) != powered.end();
}

void prefer_listed(const Facts& facts, std::vector<std::vector<plan::Constraint>>& options) {
  const auto against = [&](const std::vector<plan::Constraint>& way) {
    return std::count_if(way.begin(), way.end(), [&](const plan::Constraint& c) { return facts.job.step(c.to.step) < facts.job.step(c.from.step); });
  };
  std::stable_sort(options.begin(), options.end(), [&](const auto& a, const auto& b) { return against(a) < against(b); });
}

const Card* material_of(const Facts& facts, const PartId& part) {
  if (facts.job.part(part) == nullptr) return nullptr;
  const std::string id = facts.card_of(part).word_or("material");
  return id.empty() ? nullptr : facts.cards.find(CardId(id));
}

bool wooden(const Facts& facts, const PartId& part) {
  const Card* material = material_of(facts, part);
  return material != nullptr && material->word_or("family") == "wood";
}

bool marked(const Facts& facts, const PartId& part, std::string_view word) {
  return facts.job.part(part) != nullptr && facts.card_of(part).yes(word);
}

bool is_wire(const Facts& facts, const PartId& part) {
  const auto& cables = facts.job.cables;
  if (std::any_of(cables.begin(), cables.end(), [&](const job::Cable& c) { return c.part == part; })) return true;
  const Card& card = facts.card_of(part);
  if (card.kind != CardKind::part || card.get<Millimetres>("height")) return false;
  if (card.get<Millimetres>("outer-diameter")) return true;
  // "Pigtail, 4 wires with socket" is one, "Cable gland, nylon" is none.
  const std::string thing = lower(card.name.substr(0, card.name.find_first_of(",(")));
  constexpr std::array<std::string_view, 9> kWords{"wire", "wires", "cable", "cables", "pigtail", "cord", "cords", "lead", "leads"};
  return std::any_of(kWords.begin(), kWords.end(), [&](std::string_view w) { return thing.ends_with(w); });
}

bool gives(const Facts& facts, const PartId& part) {
  if (facts.job.part(part) == nullptr) return false;
  const std::string word = facts.card_of(part).word_or("flexible");
  const Card* material = material_of(facts, part);
  return word == "yes" || (word.empty() && material != nullptr && material->word_or("family") == "rubber");
}

bool natural_fibre(const Facts& facts, const PartId& part) {
  const Card* material = material_of(facts, part);
  return marked(facts, part, "natural-fibre") || (material != nullptr && material->yes("natural-fibre"));
}

bool optical(const Facts& facts, const PartId& part) {
  return marked(facts, part, "optical") || marked(facts, part, "display");
}

std::string compatibility_row(const Facts& facts, const PartId& part) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 19> kRows{{
      {"abs", "abs"}, {"asa", "asa"}, {"pla", "pla"}, {"petg", "petg"}, {"pmma", "pmma"}, {"pc", "pc"}, {"ps", "ps"}, {"nylon", "pa"},
      {"pom", "pom"}, {"pvc", "pvc"}, {"tpu", "tpu"}, {"silicone", "silicone"}, {"nitrile", "nitrile"}, {"neoprene", "neoprene"}, {"hdpe", "hdpe"}, {"pp", "hdpe"}, {"brass", "brass"}, {"steel", "steel"},
      {"aluminium", "aluminium"}}};
  if (natural_fibre(facts, part)) return "fibre";
  const Card* material = material_of(facts, part);
  return material == nullptr ? "" : mapped(kRows, material->word_or("substrate", material->id.text));
}

std::string finish_row(const Facts& facts, const PartId& part) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 4> kRows{
      {{"shellac", "shellac"}, {"lacquer", "lacquer"}, {"oil", "oil-finish"}, {"varnish", "varnish"}}};
  return facts.job.part(part) == nullptr ? "" : mapped(kRows, facts.card_of(part).word_or("finish"));
}

std::string compatibility_column(const Card& fluid) {
  if (fluid.kind == CardKind::adhesive) return fluid.word_or("chemistry") == "cyanoacrylate" ? "cyanoacrylate" : "";
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 8> kColumns{
      {{"ipa", "ipa"}, {"ethanol", "ipa"}, {"acetone", "acetone"}, {"alkane", "activator-alkane"}, {"essential-oil", "essential-oil"},
       {"mineral-oil", "mineral-oil"}, {"flux-remover", "flux-remover"}, {"terpene", "flux-remover"}}};
  // A pen of flux wets a pad, not the parts around it.
  if (fluid.kind == CardKind::flux) return {};
  return mapped(kColumns, fluid.word_or("family"));
}

bool contact_glue(const Card& adhesive) {
  const auto open = adhesive.get<Duration>("open-time");
  return adhesive.kind == CardKind::adhesive && adhesive.word_or("chemistry") == "other" && open && open->low < open->high;
}

std::vector<const Card*> fluids_of(const Facts& facts, const job::Step& step) {
  std::vector<const Card*> found;
  const auto add = [&](const CardId& id) {
    const Card* card = id.empty() ? nullptr : facts.cards.find(id);
    if (card != nullptr && is_fluid(*card) && std::find(found.begin(), found.end(), card) == found.end()) found.push_back(card);
  };
  for (const job::MaterialUse& use : step.materials) add(use.card);
  for (const JointId& id : step.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    add(joint.adhesive);
    // The activator has a step of its own where there is one.
    const bool apart = std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
      return &s != &step && std::any_of(s.materials.begin(), s.materials.end(), [&](const auto& u) { return u.card == joint.activator; });
    });
    if (!apart) add(joint.activator);
  }
  return found;
}

const Card* oil_on_rags(const Facts& facts, const job::Step& step) {
  const auto drying = [&](const job::Step& s) -> const Card* {
    const Card* perhaps = nullptr;
    for (const Card* fluid : fluids_of(facts, s)) {
      if (fluid->yes("self-heating-rags")) return fluid;
      if (fluid->word_or("self-heating-rags") == "maybe") perhaps = fluid;
    }
    return perhaps;
  };
  if (step.process.text == "dispose-rags") return nullptr;
  if (step.process.text != "wipe-off") return drips_scent(facts, step) ? nullptr : drying(step);
  const std::set<PartId> wiped = worked_on(facts, step);
  const Card* found = drying(step);
  for (const job::Step& coat : facts.job.steps) {
    if (&coat == &step) break;
    const std::set<PartId> coated = worked_on(facts, coat);
    if (std::any_of(coated.begin(), coated.end(), [&](const PartId& p) { return wiped.contains(p); })) {
      if (const Card* oil = drying(coat)) found = oil;
    }
  }
  return found;
}

std::optional<Grams> mass_used(const Facts& facts, const job::Step& step, const Card& fluid) {
  const double units = step.whole_lot ? facts.job.units : 1;  // that one amount is for
  const auto density = fluid.get<GramsPerCubicCentimetre>("density");
  std::optional<Grams> all;
  for (const job::MaterialUse& use : step.materials) {
    if (use.card != fluid.id) continue;
    std::optional<Grams> one = use.mass;
    if (!one && use.volume && density) one = Grams(use.volume->value / 1000 * density->high.value);
    if (one) all = all.value_or(Grams(0)) + *one / units;
  }
  return all;
}

std::vector<std::string> bond_rows(const Facts& facts, const job::Joint& joint) {
  if (!joint.substrate.empty()) return {joint.substrate};
  std::vector<std::string> rows;
  for (const PartId& member : joint.between) {
    if (const Card* material = material_of(facts, member)) rows.push_back(material->word_or("substrate", material->id.text));
  }
  if (rows.empty()) rows.emplace_back();
  return rows;
}

joints::AdhesiveFigures adhesive_figures(const Card& card, const std::vector<std::string>& rows) {
  using joints::CureState;
  joints::AdhesiveFigures out;
  out.card = card.id;
  out.name = card.name;
  out.chemistry = joints::chemistry_named(card.word_or("chemistry", "other")).value_or(joints::Chemistry::other);
  for (const CureState state : {CureState::fixture, CureState::handling, CureState::working, CureState::full}) add_series(out, card, rows, state);
  if (const auto t = card.get<Celsius>("least-temperature")) out.coldest = t->low;
  if (const auto t = card.get<Celsius>("most-temperature")) out.hottest = t->high;
  if (const auto h = card.get<RelativeHumidity>("humidity")) out.driest = h->low, out.wettest = h->high;
  if (const auto g = card.get<Millimetres>("best-gap")) out.gap_warn = g->high;
  if (const auto g = card.get<Millimetres>("gap")) out.gap_max = g->high;
  if (const auto f = card.get<Millimetres>("film")) out.film = f->high;
  if (const auto d = card.get<GramsPerCubicCentimetre>("density")) out.density = d->high;
  if (const auto d = card.get<Grams>("drop")) out.drop = d->high;
  if (const auto d = card.get<Millimetres>("depth-per-day")) out.section_per_day = d->low;
  if (const auto d = card.get<Millimetres>("depth")) out.section_max = d->high;
  for (const catalogue::Figure* f : card.all("pot-life")) {
    if (f->at_temperature) out.pot_temperature = *f->at_temperature;
    out.pot_lives.push_back({f->at_mass.value_or(Grams(0)), Duration(static_cast<std::int64_t>(f->low))});
  }
  std::sort(out.pot_lives.begin(), out.pot_lives.end(), [](const auto& a, const auto& b) { return a.mass < b.mass; });
  out.flexible = !rigid(card);
  out.low_bloom = !card.yes("bloom");
  return out;
}

bool rigid(const Card& adhesive) {
  const std::string said = adhesive.word_or("rigid");
  if (!said.empty()) return said == "yes";
  const std::string chemistry = adhesive.word_or("chemistry");
  return chemistry != "silicone" && chemistry != "hot-melt";
}

const job::Step* gluing_step(const Facts& facts, const job::Joint& joint) {
  for (const job::Step& s : facts.job.steps) {
    if (std::find(s.bonds.begin(), s.bonds.end(), joint.id) != s.bonds.end()) return &s;
  }
  return nullptr;
}

}  // namespace handlot::rules
