#include "rules/saying.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>

#include "core/text.h"

namespace handlot::rules {

const catalogue::Card& Facts::card(const CardId& id) const {
  const catalogue::Card* found = cards.find(id);
  assert(found != nullptr);
  return *found;
}

const catalogue::Card& Facts::card_of(const PartId& part) const {
  static const catalogue::Card nothing_known;
  const job::Part* p = job.part(part);
  return p == nullptr ? nothing_known : card(p->card);
}

std::string names_of(const Facts& facts, std::span<const PartId> parts) {
  std::vector<std::string> names;
  for (const PartId& part : parts) names.push_back(facts.name(part));
  return listed(names);
}

std::string called(const job::Part& part) { return part.name.empty() ? part.id.text : part.name; }

std::string Facts::name(const PartId& id) const {
  if (id.text == "unit") return "the unit";
  if (const job::Part* p = job.part(id)) return fmt::format("'{}'", called(*p));
  if (const job::Assembly* a = job.assembly(id)) return fmt::format("'{}'", a->name);
  return fmt::format("'{}'", id.text);
}

plan::Constraint before(const job::Step& a, const job::Step& b, plan::Reason reason) {
  return before(a, b, Duration(0), std::move(reason));
}

plan::Constraint before(const job::Step& a, const job::Step& b, Duration least, plan::Reason reason) {
  plan::Constraint link;
  link.from = {a.id, plan::Edge::end};
  link.to = {b.id, plan::Edge::start};
  link.min = least;
  link.reason = std::move(reason);
  // A step for the whole lot waits for every unit, and every unit waits for it: the scope follows from the steps.
  link.scope = plan::Scope::unit;
  return link;
}

plan::Reason reason(plan::ReasonKind kind, std::string_view rule, std::string text, Source source, Place place) {
  plan::Reason r;
  r.kind = kind;
  r.rule = RuleId(std::string(rule));
  r.text = std::move(text);
  r.source = std::move(source);
  r.place = std::move(place);
  return r;
}

plan::Finding finding(std::string_view rule, plan::Severity severity, const job::Step& step, std::string message, std::string mend, Source source) {
  plan::Finding f;
  f.rule = RuleId(std::string(rule));
  f.severity = severity;
  f.steps = {step.id};
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = std::move(source);
  f.place = step.place;
  return f;
}

plan::Finding finding(const Facts& facts, std::string_view rule, plan::Severity severity, const job::Part& part, std::string message, std::string mend, Source source) {
  plan::Finding f;
  f.rule = RuleId(std::string(rule));
  f.severity = severity;
  if (const job::Step* step = facts.job.installer(part.id)) f.steps = {step->id};
  f.parts = {part.id};
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = std::move(source);
  f.place = part.place;
  return f;
}

void at_least_one(Yield& yield, std::string_view rule, std::vector<std::vector<plan::Constraint>> options, std::string text, const Place& place) {
  assert(!options.empty());
  if (options.size() == 1) {
    yield.links.insert(yield.links.end(), options[0].begin(), options[0].end());
    return;
  }
  yield.choices.push_back({RuleId(std::string(rule)), std::move(options), std::move(text), place});
}

Source practice() { return {"", "", Standing::practice}; }
Source stated() { return {"", "", Standing::stated}; }

std::set<PartId> worked_on(const Facts& facts, const job::Step& step) {
  std::set<PartId> reached;
  const auto add = [&](const PartId& id) {
    if (id.empty()) return;
    if (id.text == "unit") {
      for (const job::Part& p : facts.job.parts) {
        if (!p.jig) reached.insert(p.id);
      }
      return;
    }
    for (const PartId& inside : facts.job.within(id)) reached.insert(inside);
  };
  add(step.on);
  for (const PartId& id : step.touches) add(id);
  for (const job::Installs& i : step.installs) add(i.part);
  for (const JointId& id : step.bonds) {
    for (const PartId& member : facts.job.joint(id)->between) add(member);
  }
  return reached;
}

bool same_or_within(const Facts& facts, const PartId& a, const PartId& b) {
  if (a.empty() || b.empty()) return false;
  if (a == b || a.text == "unit" || b.text == "unit") return true;
  const auto holds = [&](const PartId& outer, const PartId& inner) {
    const std::vector<PartId> chain = facts.job.around(inner);
    return std::find(chain.begin(), chain.end(), outer) != chain.end();
  };
  return holds(a, b) || holds(b, a);
}

std::vector<const job::Step*> steps_of(const Facts& facts, std::string_view process, const PartId& on) {
  std::vector<const job::Step*> found;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text == process && same_or_within(facts, s.on, on)) found.push_back(&s);
  }
  return found;
}

const job::Step* brings_in(const Facts& facts, const PartId& part) {
  if (const job::Step* step = facts.job.installer(part)) return step;
  for (const job::Step& s : facts.job.steps) {
    for (const JointId& id : s.bonds) {
      const std::vector<PartId>& members = facts.job.joint(id)->between;
      if (std::find(members.begin(), members.end(), part) != members.end() && s.on != part) return &s;
    }
  }
  return nullptr;
}

std::vector<PartId> sits_in(const Facts& facts, const PartId& part, const job::Step& step) {
  std::vector<PartId> chain{part};
  const auto add = [&](const PartId& id) {
    if (!id.empty() && std::find(chain.begin(), chain.end(), id) == chain.end()) chain.push_back(id);
  };
  for (std::size_t i = 0; i < chain.size(); ++i) {
    const PartId at = chain[i];  // by value: the chain grows
    for (const PartId& around : facts.job.around(at)) add(around);
    const job::Step* put = brings_in(facts, at);
    if (put != nullptr && put < &step) add(put->on);
  }
  chain.erase(chain.begin());
  return chain;
}

std::vector<const job::Step*> joining_steps(const Facts& facts, const PartId& part, const PartId& other) {
  std::vector<PartId> mine = facts.job.around(part), theirs = facts.job.around(other);
  mine.insert(mine.begin(), part);
  theirs.insert(theirs.begin(), other);
  const auto in = [](const std::vector<PartId>& chain, const PartId& id) { return std::find(chain.begin(), chain.end(), id) != chain.end(); };
  // Put right on to the other, it is joined by that alone, wherever the two go together afterwards.
  for (const auto& [one, onto] : {std::pair{&mine, &theirs}, std::pair{&theirs, &mine}}) {
    std::vector<const job::Step*> so_far;
    for (const PartId& id : *one) {
      if (in(*onto, id)) break;
      const job::Step* step = brings_in(facts, id);
      if (step == nullptr) continue;
      so_far.push_back(step);
      if (in(*onto, step->on) && !in(*one, step->on)) return so_far;
    }
  }
  std::vector<const job::Step*> steps;
  const auto add = [&](const std::vector<PartId>& chain, const std::vector<PartId>& opposite) {
    for (const PartId& id : chain) {
      if (in(opposite, id)) break;  // from here on both lie inside it
      const job::Step* step = facts.job.installer(id);
      if (step != nullptr && std::find(steps.begin(), steps.end(), step) == steps.end()) steps.push_back(step);
    }
  };
  add(mine, theirs);
  add(theirs, mine);
  return steps;
}

std::string say(const job::Step& step) { return fmt::format("'{}'", step.id.text); }

}  // namespace handlot::rules
