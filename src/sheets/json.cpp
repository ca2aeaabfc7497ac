#include "sheets/json.h"

#include <cmath>
#include <nlohmann/json.hpp>

#include "plan/units.h"
#include "sheets/clock.h"

namespace handlot::sheets {

namespace {

using Json = nlohmann::ordered_json;

template <class Kind>
Json ids(const std::vector<Id<Kind>>& list) {
  Json out = Json::array();
  for (const auto& id : list) out.push_back(id.text);
  return out;
}

Json place_of(const Place& place) {
  Json out{{"file", place.file}, {"line", place.line}};
  if (place.column > 0) out["column"] = place.column;
  return out;
}

std::string event_of(const plan::Event& event) {
  return event.step.text + (event.edge == plan::Edge::start ? ".start" : ".end");
}

std::string_view word(plan::Scope scope) {
  return scope == plan::Scope::unit ? "unit" : "lot";
}

Json maximum(const std::optional<Duration>& max) {
  return max ? Json(max->seconds) : Json(nullptr);
}

Json head_of(const plan::Plan& plan) {
  const plan::Head& head = plan.head;
  Json documents = Json::array();
  for (const auto& d : head.documents) documents.push_back({{"name", d.name}, {"revision", d.revision}});
  Json out{{"name", head.name},   {"revision", head.revision},       {"lot", head.lot},
           {"hash", head.hash},   {"serials", head.serials},         {"zone", head.zone},
           {"file", head.file},   {"program", head.program_version}, {"builder", head.builder},
           {"notes", head.notes}, {"documents", documents},
           {"deferrals", head.deferrals}};
  out["room_temperature_degc"] = head.room_temperature ? Json(head.room_temperature->value) : Json(nullptr);
  out["room_humidity_percent"] = head.room_humidity ? Json(head.room_humidity->value) : Json(nullptr);
  return out;
}

Json finding_of(const plan::Finding& f) {
  Json out{{"rule", f.rule.text},
           {"severity", plan::word(f.severity)},
           {"steps", ids(f.steps)},
           {"parts", ids(f.parts)},
           {"units", f.units},
           {"message", f.message},
           {"mend", f.mend},
           {"source", describe(f.source)},
           {"place", place_of(f.place)}};
  if (f.waived_because) out["waived_because"] = *f.waived_because;
  if (f.expected_loss) out["expected_loss_units"] = *f.expected_loss;
  return out;
}

Json constraint_of(const plan::Constraint& c) {
  return {{"from", event_of(c.from)},
          {"to", event_of(c.to)},
          {"kind", plan::word(c.reason.kind)},
          {"min_s", c.min.seconds},
          {"max_s", maximum(c.max)},
          {"text", c.reason.text},
          {"source", describe(c.reason.source)},
          {"rule", c.reason.rule.text},
          {"scope", word(c.scope)},
          {"redundant", c.redundant},
          {"builders_choice", c.reason.builders_choice},
          {"if_late", c.if_late},
          {"place", place_of(c.reason.place)}};
}

Json uses_of(const plan::Operation& op) {
  Json out = Json::array();
  for (const auto& person : op.people) out.push_back({{"resource", person.text}, {"count", 1}});
  for (const auto& use : op.uses) {
    const int count = use.per_unit ? use.count * static_cast<int>(plan::units_in(op).size()) : use.count;
    out.push_back({{"resource", use.resource.text}, {"count", count}});
  }
  return out;
}

Json operation_of(const plan::Operation& op) {
  return {{"step", op.step.text},
          {"units", plan::units_in(op)},
          {"start", utc_text(op.start)},
          {"end", utc_text(op.end)},
          {"hands_end", utc_text(op.hands_end)},
          {"hands_on_s", op.hands_on.seconds},
          {"uses", uses_of(op)},
          {"because", op.because}};
}

Json schedule_of(const plan::Schedule& s) {
  Json operations = Json::array(), batches = Json::array(), reliefs = Json::array(), clash = Json::array();
  for (const auto& op : s.operations) operations.push_back(operation_of(op));
  for (const auto& b : s.batches) {
    batches.push_back({{"step", b.step.text},
                       {"size", b.size},
                       {"makespan_s", maximum(b.makespan)},
                       {"chosen", b.chosen},
                       {"why", b.why}});
  }
  for (const auto& r : s.reliefs) reliefs.push_back({{"text", r.text}, {"saves_s", maximum(r.saves)}});
  for (const auto& r : s.clash) {
    clash.push_back({{"kind", plan::word(r.kind)},
                     {"rule", r.rule.text},
                     {"text", r.text},
                     {"source", describe(r.source)},
                     {"builders_choice", r.builders_choice},
                     {"place", place_of(r.place)}});
  }
  return {{"status", plan::word(s.status)},
          {"start", utc_text(s.start)},
          {"finish", utc_text(s.finish)},
          {"makespan_s", s.makespan.seconds},
          {"bound_s", s.bound.seconds},
          {"hands_on_s", s.hands_on.seconds},
          {"setups", s.setups},
          {"stopped_by", s.stopped_by},
          {"operations", operations},
          {"batches", batches},
          {"reliefs", reliefs},
          {"clash", clash}};
}

Json caution_of(const plan::Caution& c) {
  static constexpr std::string_view kAt[] = {"head", "section", "step"};
  return {{"id", c.id},
          {"level", plan::word(c.level)},
          {"at", kAt[static_cast<int>(c.at)]},
          {"steps", ids(c.steps)},
          {"hazard", c.hazard},
          {"consequence", c.consequence},
          {"avoid", c.avoid},
          {"ghs", c.ghs},
          {"h_codes", c.h_codes},
          {"signs", c.signs},
          {"protect", c.protect},
          {"materials", ids(c.materials)},
          {"source", describe(c.source)}};
}

Json kit_row_of(const plan::KitRow& k) {
  return {{"id", k.id},
          {"name", k.name},
          {"kind", k.kind},
          {"per_unit", k.per_unit},
          {"unit", k.unit},
          {"lot", k.lot},
          {"spare", k.spare},
          {"stock", k.stock ? Json(*k.stock) : Json(nullptr)},
          {"spec", k.spec},
          {"bag", k.bag},
          {"look_alikes", k.look_alikes},
          {"first_step", k.first_step},
          {"size", k.size}};
}

Json check_of(const plan::Check& c) {
  return {{"id", c.id},
          {"what", c.what},
          {"limit", c.limit},
          {"low", c.low ? Json(*c.low) : Json(nullptr)},
          {"high", c.high ? Json(*c.high) : Json(nullptr)},
          {"unit", c.unit},
          {"value", c.value},
          {"weighs", c.weighs}};
}

/// The centre to the micrometre: more is not known.
Json built_of(const plan::Built& b) {
  const auto rounded = [](double v) { return std::round(v * 1000) / 1000; };
  return {{"what", b.what},
          {"centre_mm", {rounded(b.centre_mm[0]), rounded(b.centre_mm[1]), rounded(b.centre_mm[2])}},
          {"without_mass", ids(b.without_mass)}};
}

Json step_of(const plan::Step& s) {
  Json parts = Json::array(), tools = Json::array(), materials = Json::array(), checks = Json::array(), hints = Json::array(), cups = Json::array();
  for (const auto& p : s.parts) {
    parts.push_back({{"part", p.part.text}, {"name", p.name}, {"count", p.count}, {"callout", p.callout}});
  }
  for (const auto& t : s.tools) tools.push_back({{"name", t.name}, {"setting", t.setting}});
  for (const auto& m : s.materials) {
    materials.push_back({{"card", m.card.text},
                         {"name", m.name},
                         {"amount_unit", m.amount_unit},
                         {"amount_lot", m.amount_lot}});
  }
  for (const auto& c : s.checks) checks.push_back(check_of(c));
  for (const auto& c : s.cups) cups.push_back({{"card", c.card.text}, {"what", c.what}, {"if_late", c.if_late}, {"life_s", c.life.seconds}, {"source", describe(c.source)}});
  for (const auto& h : s.hints) hints.push_back({{"rule", h.rule.text}, {"text", h.text}, {"source", describe(h.source)}});
  return {{"id", s.id.text},
          {"number", s.number},
          {"title", s.title},
          {"process", s.process},
          {"section", s.section},
          {"whole_lot", s.timing.whole_lot},
          {"setup_s", s.timing.setup.seconds},
          {"run_s", s.timing.run.seconds},
          {"run_per_unit", s.timing.run_per_unit},
          {"unattended_s", s.timing.unattended.seconds},
          {"parts", parts},
          {"tools", tools},
          {"materials", materials},
          {"actions", s.actions},
          {"hints", hints},
          {"cups", cups},
          {"needs", s.needs},
          {"gives", s.gives},
          {"takes", s.takes},
          {"weight_after_g", s.weight_after ? Json(s.weight_after->value) : Json(nullptr)},
          {"checks", checks},
          {"why_here", s.why_here},
          {"orientation", s.orientation},
          {"irreversible", s.irreversible},
          {"hold", s.hold},
          {"safe_to_stop", s.safe_to_stop},
          {"stop_note", s.stop_note},
          {"reminder", s.reminder},
          {"built", s.built ? built_of(*s.built) : Json(nullptr)},
          {"place", place_of(s.place)}};
}

Json wait_of(const plan::Wait& w) {
  return {{"id", w.id},
          {"from", event_of(w.from)},
          {"to", event_of(w.to)},
          {"scope", word(w.scope)},
          {"min_s", w.min.seconds},
          {"max_s", maximum(w.max)},
          {"latest", w.latest ? Json(utc_text(*w.latest)) : Json(nullptr)},
          {"what", w.what},
          {"then", w.then},
          {"if_late", w.if_late},
          {"kind", plan::word(w.kind)},
          {"source", describe(w.source)},
          {"meanwhile", ids(w.meanwhile)}};
}

template <class List, class One>
Json each(const List& list, One one) {
  Json out = Json::array();
  for (const auto& item : list) out.push_back(one(item));
  return out;
}

Json waiver_of(const plan::Waiver& w) {
  return {
      {"rule", w.rule.text}, {"steps", ids(w.steps)}, {"because", w.because}, {"place", place_of(w.place)}};
}

Json page_of(const plan::Page& p) {
  Json out{{"id", p.id}, {"title", p.title}, {"lines", p.lines}, {"step", p.step.text}};
  if (!p.because.empty()) out["because"] = p.because;
  if (!p.ticks.empty()) out["ticks"] = p.ticks;
  for (const auto& table : p.tables)
    out["tables"].push_back({{"caption", table.caption}, {"heads", table.heads}, {"rows", table.rows}});
  return out;
}

Json resource_of(const plan::Resource& r) {
  static constexpr std::string_view kKind[] = {"person", "station", "fixture"};
  return {{"id", r.id.text},
          {"name", r.name},
          {"kind", kKind[static_cast<int>(r.kind)]},
          {"capacity", r.capacity}};
}

Json apart_of(const plan::NeverTogether& n) {
  return {{"a", n.a.text},
          {"b", n.b.text},
          {"clear_after_a_s", n.clear_after_a.seconds},
          {"clear_after_b_s", n.clear_after_b.seconds},
          {"text", n.reason.text},
          {"source", describe(n.reason.source)}};
}

Json look_of(const plan::LookFirst& l) {
  return {{"look", l.look.text}, {"repeat", l.repeat.text}, {"text", l.reason.text}, {"source", describe(l.reason.source)}};
}

std::string written(const Json& json) {
  return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace

std::string to_json(const plan::Plan& plan) {
  Json out;
  out["job"] = head_of(plan);
  out["findings"] = each(plan.findings, finding_of);
  out["constraints"] = each(plan.work.constraints, constraint_of);
  out["schedule"] = schedule_of(plan.schedule);
  out["cautions"] = each(plan.cautions, caution_of);
  out["kit"] = each(plan.kit, kit_row_of);
  out["steps"] = each(plan.work.steps, step_of);
  out["waits"] = each(plan.waits, wait_of);
  out["never_together"] = each(plan.work.apart, apart_of);
  out["looks"] = each(plan.work.looks, look_of);
  out["resources"] = each(plan.work.resources, resource_of);
  out["waivers"] = each(plan.waivers, waiver_of);
  out["pages"] = each(plan.pages, page_of);
  out["material_lots"] = plan.material_lots;
  out["sources"] = plan.sources;
  return written(out);
}

std::string findings_to_json(const plan::Plan& plan) {
  Json out;
  out["job"] = head_of(plan);
  out["findings"] = each(plan.findings, finding_of);
  return written(out);
}

}  // namespace handlot::sheets
