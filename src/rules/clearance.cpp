// A gap that the job asks for stays open when every size is off by what the machines leave.
#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "clearance";
using shapes::GapVerdict;

struct Drawn {
  Millimetres gap{std::numeric_limits<double>::infinity()};
  bool hits = false;  ///< over a range of motion
};

/// The part of these that turns or slides, with everything fixed to it counted as it.
const job::Part* mover(const Facts& facts, const shapes::PartSet& bodies) {
  for (const job::Part& part : facts.job.parts) {
    const auto found = facts.device->bodies_of.find(part.id);
    if (part.motion.empty() || found == facts.device->bodies_of.end()) continue;
    for (std::size_t body : found->second) {
      if (moves_with(facts, body).meets(bodies)) return &part;
    }
  }
  return nullptr;
}

/// The gap as drawn: where they stand, and over the range of the one that moves.
std::optional<Drawn> drawn(const Facts& facts, const job::Clearance& asked) {
  const bodies::Device& d = *facts.device;
  const shapes::PartSet a = d.set_of(facts.job.within(asked.a)), b = d.set_of(facts.job.within(asked.b));
  Drawn found;
  for (std::size_t i : a.list()) {
    for (std::size_t k : b.list()) {
      const auto gap = geometry::clearance(*d.scene, d.solids, i, k);
      if (!gap) return std::nullopt;
      found.gap = std::min(found.gap, gap->gap);
    }
  }
  shapes::MotionRules rules;
  rules.fine = 0.01;
  rules.beyond = std::max(20.0, 2 * asked.least.value);
  for (const auto& [moving, standing] : {std::pair(&a, &b), std::pair(&b, &a)}) {
    const job::Part* part = mover(facts, *moving);
    if (part == nullptr) continue;
    for (std::size_t body : d.bodies_of.at(part->id)) {
      // A moving part stands for all that is fixed to it; what only rides on it is asked for by itself.
      const bool whole = moving->meets(d.set_of({part->id}));
      const shapes::Clearest nearest = over_its_range(facts, *part, body, *standing, rules, whole ? nullptr : moving);
      found.hits = found.hits || nearest.first_contact.has_value();
      found.gap = std::min(found.gap, nearest.gap);
    }
  }
  return found;
}

std::vector<shapes::Link> links_of(const Facts& facts, const job::Clearance& asked, Millimetres gap) {
  if (asked.measured) return {{"the gap", gap, {}, {}, 1, asked.measured, asked.measured_error}};
  std::vector<shapes::Link> links{{"as drawn", gap, {}, {}, 1, {}, {}}};
  const auto spread = [&](const PartId& part) {
    const auto making = making_of(facts, part);
    const Millimetres t = making ? making->tolerance : Millimetres(0);
    links.push_back({part.text, {}, t, t, 1, {}, {}});
  };
  spread(asked.a);
  spread(asked.b);
  for (const job::Clearance::Through& t : asked.through) {
    if (!t.measured) {
      spread(t.part);
      continue;
    }
    const Millimetres off = *t.measured - *t.size;
    links.push_back({t.part.text, {}, {}, {}, t.wider ? 1 : -1, off, t.measured_error});
  }
  return links;
}

/// "tolerances: lens: bought, 0.1 mm; ...", and what nothing is known of.
std::string say_spread(const Facts& facts, const job::Clearance& asked, std::vector<PartId>& unknown) {
  std::vector<std::string> each;
  const auto add = [&](const PartId& part) {
    each.push_back(say_making(facts, part));
    if (!making_of(facts, part)) unknown.push_back(part);
  };
  add(asked.a);
  add(asked.b);
  for (const job::Clearance::Through& t : asked.through) {
    if (t.measured) {
      each.push_back(fmt::format("{}: measured, {} mm for {} mm", facts.name(t.part), number(t.measured->value, 3), number(t.size->value, 3)));
    } else {
      add(t.part);
    }
  }
  return fmt::format("{}", fmt::join(each, "; "));
}

plan::Finding judged(const Facts& facts, const job::Clearance& asked, const Drawn& as_drawn, const GapVerdict& verdict, plan::Severity severity) {
  std::vector<PartId> unknown;
  std::string spread = asked.measured ? "the gap was measured" : say_spread(facts, asked, unknown);
  std::string gap = fmt::format("{} mm {}", number(verdict.chain.nominal.value, 3), asked.measured ? "measured" : "as drawn");
  if (as_drawn.hits) gap = "they hit over the range of motion";
  return about_parts(kRule, severity, {asked.a, asked.b},
                     fmt::format("{} and {}: {}, {} ({})", facts.name(asked.a), facts.name(asked.b), gap, shapes::say(verdict), spread),
                     severity == plan::Severity::note ? "measure the first piece, and write measured=\"... mm\" into the clearance"
                                                      : "draw a wider gap, hold a size closer (tolerance on the card), or measure and write it into the clearance",
                     asked.place);
}

std::vector<plan::Finding> look(const Facts& facts, const job::Clearance& asked) {
  Drawn as_drawn;
  if (!asked.measured) {
    const bool modelled = facts.device != nullptr && !facts.device->empty() && !facts.device->set_of(facts.job.within(asked.a)).empty() && !facts.device->set_of(facts.job.within(asked.b)).empty();
    const auto found = modelled ? drawn(facts, asked) : std::nullopt;
    if (!found) {
      return {about_parts(kRule, plan::Severity::undecided, {asked.a, asked.b},
                          fmt::format("the gap of {} mm between {} and {} was not checked: one of them has no place or body", number(asked.least.value, 3), facts.name(asked.a), facts.name(asked.b)),
                          "give both a place and a body, or measure the gap and write measured=\"... mm\"", asked.place)};
    }
    as_drawn = *found;
  }
  const GapVerdict verdict = shapes::judge_gap(links_of(facts, asked, as_drawn.gap), asked.least);
  if (as_drawn.hits || verdict.chain.nominal.value < asked.least.value - 1e-6) return {judged(facts, asked, as_drawn, verdict, plan::Severity::stop)};
  if (verdict.kind == GapVerdict::Kind::fails) return {judged(facts, asked, as_drawn, verdict, plan::Severity::warn)};
  if (verdict.kind == GapVerdict::Kind::likely) return {judged(facts, asked, as_drawn, verdict, plan::Severity::note)};
  std::vector<PartId> unknown;
  if (!asked.measured) say_spread(facts, asked, unknown);
  if (unknown.empty()) return {};
  return {about_parts(kRule, plan::Severity::undecided, unknown,
                      fmt::format("how well the sizes of {} hold is not known, so the gap between {} and {} ({} mm as drawn) is checked without it", facts.name(unknown.front()), facts.name(asked.a),
                                  facts.name(asked.b), number(verdict.chain.nominal.value, 3)),
                      "write made=\"printed\" (milled, turned, laser-cut, sawn, bought) or a tolerance on its card", asked.place)};
}

/// Everything but the shapes that the answer depends on.
std::string key_of(const Facts& facts, const job::Clearance& asked) {
  std::vector<PartId> unknown;
  std::string key = fmt::format("clearance 3 {} {} {} {} {} {}", asked.a.text, asked.b.text, asked.least.value, asked.measured.value_or(Millimetres(-1)).value,
                                asked.measured_error.value_or(Millimetres(0)).value, say_spread(facts, asked, unknown));
  for (const job::Clearance::Through& t : asked.through) key += fmt::format(" {} {} {}", t.part.text, t.wider, t.measured_error.value_or(Millimetres(0)).value);
  key += motions_of(facts);
  return key;
}

}  // namespace

void clearance(const Facts& facts, Yield& yield) {
  for (const job::Clearance& asked : facts.job.clearances) {
    if (facts.device == nullptr && !asked.measured) continue;
    const auto find = [&] { return look(facts, asked); };
    auto found = facts.device == nullptr || facts.device->empty() ? find() : kept_or_found(facts, key_of(facts, asked), find);
    for (plan::Finding& f : found) f.place = asked.place;
    yield.findings.insert(yield.findings.end(), found.begin(), found.end());
  }
}

}  // namespace handlot::rules
