#include "rules/shape_facts.h"

#include <fmt/format.h>

#include <algorithm>

#include "bodies/solid_text.h"
#include "core/text.h"
#include "rules/kept_findings.h"
#include "rules/matter.h"
#include "rules/saying.h"
#include "shapes/distance.h"

namespace handlot::rules {

Source of_shapes() { return {"", "the shapes of the parts", Standing::measured}; }

plan::Finding about_parts(std::string_view rule, plan::Severity severity, std::vector<PartId> parts, std::string message, std::string mend, Place place) {
  plan::Finding f;
  f.rule = RuleId(std::string(rule));
  f.severity = severity;
  f.parts = std::move(parts);
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = of_shapes();
  f.place = std::move(place);
  return f;
}

namespace {

std::string names_of(const Facts& facts) {
  std::string text;
  for (const PartId& id : facts.device->part_of) text += facts.name(id) + "\n";
  return text;
}

}  // namespace

std::vector<plan::Finding> kept_or_found(const Facts& facts, const std::string& what, const std::function<std::vector<plan::Finding>()>& find) {
  const std::string key = shapes::content_key(facts.device->key + " " + what + "\n" + names_of(facts));
  std::optional<std::vector<plan::Finding>> found;
  if (const auto kept = facts.shape_cache.get("findings", key)) found = findings_from_bytes(*kept);
  if (!found) {
    found = find();
    facts.shape_cache.put("findings", key, to_bytes(*found));
  }
  for (plan::Finding& f : *found) {
    const job::Part* first = f.parts.empty() ? nullptr : facts.job.part(f.parts.front());
    if (first != nullptr) f.place = first->place;
  }
  return *found;
}

std::optional<shapes::Making> making_of(const Facts& facts, const PartId& part) {
  const catalogue::Card& card = facts.card_of(part);
  if (const auto own = card.get<Millimetres>("tolerance")) return shapes::Making{own->high, own->source};
  const std::string made = card.word_or("made");
  if (made.empty()) return std::nullopt;
  if (const auto bench = facts.job.bench.tolerances.find(made); bench != facts.job.bench.tolerances.end()) {
    return shapes::Making{bench->second, {"", "the bench of the job", Standing::stated}};
  }
  const auto usual = shapes::usual_making(made);
  return usual ? std::optional(*usual) : std::nullopt;
}

std::string say_making(const Facts& facts, const PartId& part) {
  const auto making = making_of(facts, part);
  const std::string made = facts.card_of(part).word_or("made");
  if (!making) return fmt::format("{}: not known", facts.name(part));
  return fmt::format("{}: {}{} mm", facts.name(part), made.empty() ? "" : made + ", ", number(making->tolerance.value, 3));
}

bool put_in_by_a_step(const Facts& facts, const PartId& id) {
  const std::vector<PartId> around = facts.job.around(id);
  return facts.job.installer(id) != nullptr || std::any_of(around.begin(), around.end(), [&](const PartId& outer) { return facts.job.installer(outer) != nullptr; });
}

std::string motions_of(const Facts& facts) {
  std::string text;
  for (const job::Part& p : facts.job.parts) {
    if (!p.motion.empty()) text += fmt::format(" {} {} {} {} {}", p.id.text, p.motion, p.motion_axis, p.motion_from.value_or(0), p.motion_to.value_or(360));
    for (const PartId& id : p.clamps) text += fmt::format(" {}<{}", id.text, p.id.text);
    if (!put_in_by_a_step(facts, p.id)) text += fmt::format(" {}!", p.id.text);
  }
  for (const job::Joint& j : facts.job.joints) {
    for (const PartId& id : j.between) text += " " + id.text;
  }
  return text;
}

namespace {

constexpr double kBearing = 0.1;  // mm; nearer parts are bearings or hold each other

bool glued(const Facts& facts, const PartId& id, const PartId& base) {
  return std::any_of(facts.job.joints.begin(), facts.job.joints.end(), [&](const job::Joint& j) {
    return has(j.between, id) && has(j.between, base);
  });
}

bool is_screw(const Facts& facts, const job::Part& part) { return facts.card(part.card).kind == catalogue::CardKind::screw; }

/// What a screw draws together: all that it clamps and what it bites in.
std::vector<PartId> drawn_together(const Facts& facts, const job::Part& screw) {
  std::vector<PartId> all;
  std::vector<PartId> named = screw.clamps;
  if (!screw.into.empty()) named.push_back(screw.into);
  for (const PartId& id : named) {
    for (const PartId& inside : facts.job.within(id)) {
      if (!has(all, inside)) all.push_back(inside);
    }
  }
  return all;
}

/// Does the job tie the two together so that they move as one: pressed, glued, set in, or by a screw?
bool tied(const Facts& facts, const job::Part& a, const job::Part& b) {
  const auto by = [&](const job::Part& x, const job::Part& y) {
    return has(x.presses, y.id) || (is_screw(facts, x) ? has(drawn_together(facts, x), y.id) : !x.into.empty() && same_or_within(facts, y.id, x.into));
  };
  return by(a, b) || by(b, a) || glued(facts, a.id, b.id);
}

/// Is `id` tied to something that was there from the start, by ways that lead neither over the moving parts nor over `not_over`?
/// Then it stands, and the moving part turns or slides on it.
bool stands(const Facts& facts, const PartId& id, const std::vector<PartId>& moving, const PartId& not_over) {
  std::vector<PartId> seen{id}, open{id};
  while (!open.empty()) {
    const job::Part* part = facts.job.part(open.back());
    open.pop_back();
    if (part == nullptr) continue;
    // What is itself set or pressed into something goes where that goes.
    if (!is_screw(facts, *part) && !part->jig && part->into.empty() && part->presses.empty() && !put_in_by_a_step(facts, part->id)) return true;
    for (const job::Part& other : facts.job.parts) {
      if (other.jig || other.id == not_over || has(moving, other.id) || has(seen, other.id) || !tied(facts, *part, other)) continue;
      seen.push_back(other.id);
      open.push_back(other.id);
    }
  }
  return false;
}

/// What a screw draws together with a moving part moves with it, unless some of it stands: then the screw is its pivot, or moves it.
bool rides_on_screw(const Facts& facts, const job::Part& screw, const std::vector<PartId>& moving) {
  const std::vector<PartId> all = drawn_together(facts, screw);
  return std::none_of(all.begin(), all.end(), [&](const PartId& id) { return !has(moving, id) && stands(facts, id, moving, screw.id); });
}

/// Is `id` fixed to `base`, which moves?
bool holds_on(const Facts& facts, const PartId& id, const PartId& base, const std::vector<PartId>& moving) {
  const job::Part *part = facts.job.part(id), *mover = facts.job.part(base);
  if (part == nullptr || mover == nullptr) return false;
  if (has(part->presses, base) || glued(facts, id, base)) return true;
  if (is_screw(facts, *part)) return has(drawn_together(facts, *part), base) && rides_on_screw(facts, *part, moving);
  if (is_screw(facts, *mover)) return has(drawn_together(facts, *mover), id) && rides_on_screw(facts, *mover, moving);
  if (!part->into.empty() && same_or_within(facts, base, part->into)) return true;
  // The moving part is pressed onto it: a pin put into a sledge rides on it, a servo under its horn stands.
  const job::Step* in = facts.job.installer(id);
  return has(mover->presses, id) && in != nullptr && same_or_within(facts, in->on, base) && !stands(facts, id, moving, {});
}

shapes::Vec3 axis_of(const std::string& text) {
  const double sign = text.starts_with("-") ? -1 : 1;
  const std::string word = text.starts_with("-") || text.starts_with("+") ? text.substr(1) : text;
  if (word == "x") return {sign, 0, 0};
  if (word == "y") return {0, sign, 0};
  if (const auto v = bodies::three(text + " mm", "mm"); v && shapes::length(*v) > 0) return shapes::unit(*v);
  return {0, 0, sign};
}

}  // namespace

shapes::PartSet moves_with(const Facts& facts, std::size_t body) {
  constexpr double kScrewed = 0.6;  // mm: the play of a coarse hole round its screw [practice]
  const bodies::Device& d = *facts.device;
  const auto screwed = [&](std::size_t i) { return is_screw(facts, *facts.job.part(d.part_of[i])); };
  shapes::PartSet moving(d.part_of.size());
  moving.add(body);
  std::vector<PartId> parts{d.part_of[body]};
  std::vector<std::size_t> open{body};
  while (!open.empty()) {
    const std::size_t base = open.back();
    open.pop_back();
    for (std::size_t i = 0; i < d.part_of.size(); ++i) {
      if (moving.has(i) || !holds_on(facts, d.part_of[i], d.part_of[base], parts)) continue;
      if (shapes::meeting(*d.scene, i, base, screwed(i) || screwed(base) ? kScrewed : kBearing).how == shapes::Meeting::apart) continue;
      moving.add(i);
      parts.push_back(d.part_of[i]);
      open.push_back(i);
    }
  }
  return moving;
}

namespace {

/// What one moving body is judged against. A shaft in its bearing stands that near on purpose: its gap is the business of
/// a fit, as that of a press fit is.
shapes::PartSet judged_for(const shapes::Scene& scene, std::size_t mine, const shapes::PartSet& moving, const shapes::PartSet& others) {
  shapes::PartSet alone(scene.size()), judged = others;
  alone.add(mine);
  judged -= moving;
  for (std::size_t i : judged.list()) {
    if (scene.declared(mine, i) == shapes::Declared::Kind::press_fit) judged.remove(i);
  }
  for (const auto& [me, other] : shapes::bearings(scene, alone, judged, kBearing)) judged.remove(other);
  return judged;
}

bool worse(const shapes::Clearest& a, const shapes::Clearest& b) {
  if (a.first_contact.has_value() != b.first_contact.has_value()) return a.first_contact.has_value();
  if (a.first_contact) return *a.first_contact < *b.first_contact;
  return a.gap < b.gap;
}

}  // namespace

shapes::Vec3 moved(const job::Part& part, const job::Placement& at, double by, shapes::Vec3 point) {
  const shapes::Vec3 axis = axis_of(part.motion_axis), through{at.at_mm[0], at.at_mm[1], at.at_mm[2]};
  if (part.motion == "slide") return point + axis * by;
  return shapes::turned_about(through, axis, Degrees(by)).point(point);
}

shapes::Clearest over_its_range(const Facts& facts, const job::Part& part, std::size_t body, const shapes::PartSet& others, const shapes::MotionRules& rules, const shapes::PartSet* only) {
  const bodies::Device& d = *facts.device;
  const auto& bodies = d.bodies_of.at(part.id);
  const auto which = static_cast<std::size_t>(std::find(bodies.begin(), bodies.end(), body) - bodies.begin());
  const job::Placement& at = part.places[which];
  const shapes::Vec3 axis = axis_of(part.motion_axis);
  const bool slides = part.motion == "slide";
  const shapes::Slide slide{axis, Millimetres(part.motion_from.value_or(0)), Millimetres(part.motion_to.value_or(0))};
  const shapes::Turn turn{{at.at_mm[0], at.at_mm[1], at.at_mm[2]}, axis, Degrees(part.motion_from.value_or(0)), Degrees(part.motion_to.value_or(360))};
  const shapes::PartSet moving = moves_with(facts, body);
  std::optional<shapes::Clearest> worst;
  bool stopped = false;
  for (std::size_t mine : moving.list()) {
    if (only != nullptr && !only->has(mine)) continue;
    shapes::PartSet alone(d.part_of.size());
    alone.add(mine);
    const shapes::PartSet judged = judged_for(*d.scene, mine, moving, others);
    shapes::Clearest now = slides ? shapes::sliding(*d.scene, alone, judged, slide, rules) : shapes::turning(*d.scene, alone, judged, turn, rules);
    stopped = stopped || now.stopped;
    if (now.gap.value >= rules.beyond) now.moving = mine;
    if (!worst || worse(now, *worst)) worst = now;
  }
  if (!worst) {
    worst.emplace();
    worst->gap = worst->at_least = Millimetres(rules.beyond);
  }
  worst->stopped = stopped;
  return *worst;
}

}  // namespace handlot::rules
