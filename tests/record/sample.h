// sample.h: an invented plan of nine steps with every kind of thing that record and bench must cope with.
#pragma once

#include <string>

#include "plan/plan.h"
#include "record/event.h"

namespace sample {

using namespace handlot;

constexpr std::int64_t kMorning = 1795075200;  // 2026-11-19 08:00 UTC

/// A moment of one boot, by both clocks, in seconds since the morning.
inline record::Stamp stamp(std::int64_t ran_s, std::int64_t wall_s) {
  return {"boot", ran_s * 1000, ran_s * 1000, (kMorning + wall_s) * 1000};
}

/// A line as the ledger would hold it.
inline record::Event line(std::int64_t seq, record::Kind kind, const char* step, int unit, const record::Stamp& at) {
  record::Event e;
  e.seq = seq;
  e.id = "line-" + std::to_string(seq);
  e.kind = kind;
  e.step = StepId(step);
  e.unit = unit;
  e.at = at;
  return e;
}

inline plan::Step step(const char* id, int number, const char* title, Duration run) {
  plan::Step s;
  s.id = StepId(id);
  s.number = number;
  s.title = title;
  s.process = "hand";
  s.section = number < 50 ? "board" : "case";
  s.timing.run = run;
  s.actions = {std::string("Do the first thing of ") + id + ".", "Do the second thing, and look at it."};
  return s;
}

inline plan::Constraint link(const char* from, const char* to, plan::ReasonKind kind, const char* why,
                             Duration min = {}, std::optional<Duration> max = {}) {
  plan::Constraint c;
  c.from = {StepId(from), plan::Edge::end};
  c.to = {StepId(to), plan::Edge::start};
  c.min = min;
  c.max = max;
  c.reason.kind = kind;
  c.reason.rule = RuleId("sample");
  c.reason.text = why;
  return c;
}

inline plan::Wait wait_of(const plan::Constraint& link, const char* what, const char* then,
                          const char* if_late) {
  plan::Wait w;
  w.id = link.from.step.text + ".end>" + link.to.step.text + ".start";
  w.from = link.from;
  w.to = link.to;
  w.min = link.min;
  w.max = link.max;
  w.what = what;
  w.then = then;
  w.if_late = if_late;
  w.kind = link.reason.kind;
  return w;
}

inline void steps(plan::Plan& p) {
  auto& s = p.work.steps;
  s.push_back(step("verify", 10, "Check documents and hardware", minutes(5)));
  s.back().timing.whole_lot = true;
  s.back().checks = {{"revision", "board says rev C", "", {}, {}, "", false}};
  s.back().hold = true;
  s.push_back(step("solder", 20, "Solder the lead to the board", minutes(6)));
  s.back().why_here = "the holes are hidden once the board is in";
  s.back().parts = {{PartId("lead"), "lead, two cores", 1, "A"}, {PartId("board"), "lamp board", 1, "B"}};
  s.back().tools = {{"iron", "350 degC tip"}};
  s.push_back(step("test", 30, "Test the board", minutes(3)));
  s.back().hold = true;
  s.back().checks = {{"current", "current at 5.0 V", "18 to 22 mA", 18.0, 22.0, "mA", true},
                     {"lit", "all three diodes are lit", "", {}, {}, "", false}};
  s.push_back(step("mix", 40, "Mix the epoxy", minutes(2)));
  s.back().timing.whole_lot = true;
  s.back().safe_to_stop = false;
  s.back().stop_note = "the mixed epoxy stiffens";
  s.push_back(step("glue", 50, "Glue the feet to the case", minutes(4)));
  s.back().irreversible = true;
  s.back().orientation = "the notch of the foot points to the cable";
  s.back().materials = {{CardId("epoxy-30min"), "epoxy", "0.5 g", "5 g"}};
  s.back().reminder = "4 of 4 feet";
  s.push_back(step("oil", 60, "Oil the case", minutes(5)));
  s.push_back(step("bake", 70, "Warm the case", minutes(1)));
  s.back().timing.unattended = minutes(10);
  s.push_back(step("close", 80, "Close the case", minutes(4)));
  s.back().hold = true;
  s.back().irreversible = true;
  s.back().timing.first_piece = true;
  s.back().checks = {{"gap", "gap of the lid, widest place", "0.2 to 0.4 mm", 0.2, 0.4, "mm", true}};
  s.push_back(step("pack", 90, "Pack the carton", minutes(10)));
  s.back().timing.whole_lot = true;
  for (auto& one : s)
    one.picture_svg =
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 320 200\"><rect x=\"20\" y=\"60\" "
        "width=\"280\" "
        "height=\"110\" fill=\"#fff\" stroke=\"#000\" stroke-width=\"4\"/><circle cx=\"160\" cy=\"115\" "
        "r=\"30\" "
        "fill=\"none\" stroke=\"#000\" stroke-width=\"4\"/></svg>";
}

inline void links(plan::Plan& p) {
  using plan::ReasonKind;
  auto& c = p.work.constraints;
  c.push_back(link("verify", "solder", ReasonKind::stated, "nothing is built from wrong papers"));
  c.push_back(link("solder", "test", ReasonKind::test, "the joint is what is tested"));
  c.push_back(link("test", "glue", ReasonKind::listing, "the order of the job file"));
  c.push_back(
      link("mix", "glue", ReasonKind::clock, "mixed epoxy is workable for 20 min", Duration(0), minutes(20)));
  c.back().if_late = "the epoxy has stiffened: mix anew";
  c.push_back(link("glue", "oil", ReasonKind::cure, "handled after 30 min", minutes(30)));
  c.push_back(link("oil", "bake", ReasonKind::surface, "oil is rubbed off before it is warmed", minutes(15),
                   hours(2)));
  c.back().if_late = "the oil gets sticky: wipe it with spirit and oil again";
  c.push_back(link("bake", "close", ReasonKind::surface, "a warm case stands open"));
  c.push_back(link("test", "close", ReasonKind::test, "tested before it is shut for good"));
  c.push_back(link("close", "pack", ReasonKind::process, "only closed lamps are packed"));
  p.waits = {
      wait_of(c[3], "mixed epoxy stiffens", "glue the feet (step 50)", "the epoxy has stiffened: mix anew"),
      wait_of(c[4], "epoxy of the feet cures", "oil the case (step 60)", ""),
      wait_of(c[5], "oil soaks in", "warm the case (step 70)",
              "the oil gets sticky: wipe it with spirit and oil again")};
  plan::NeverTogether apart;
  apart.a = StepId("oil");
  apart.b = StepId("solder");
  apart.clear_after_a = minutes(10);
  apart.reason.kind = ReasonKind::safety;
  apart.reason.text = "spirit vapour and a hot iron";
  p.work.apart = {apart};
}

inline void schedule(plan::Plan& p, int batch) {
  Instant at = p.work.start;
  p.schedule.start = at;
  const auto add = [&](const plan::Step& s, int first, int last) {
    plan::Operation op;
    op.step = s.id;
    op.first_unit = first;
    op.last_unit = last;
    op.start = at;
    op.hands_on = s.timing.run * (last - first + 1);
    op.hands_end = at + op.hands_on;
    op.end = op.hands_end + s.timing.unattended;
    at = op.end;
    p.schedule.operations.push_back(op);
  };
  for (const auto& s : p.work.steps) {
    if (s.timing.whole_lot) {
      add(s, 1, p.head.lot);
      continue;
    }
    int first = 1;
    if (s.timing.first_piece) add(s, first++, 1);
    for (; first <= p.head.lot; first += batch) add(s, first, std::min(first + batch - 1, p.head.lot));
  }
  p.schedule.finish = at;
  p.schedule.makespan = at - p.schedule.start;
  p.schedule.status = plan::Schedule::Status::feasible;
}

inline plan::Plan plan(int lot = 4, int batch = 4) {
  plan::Plan p;
  p.head.name = "Shelf lamp";
  p.head.revision = "C";
  p.head.lot = lot;
  p.head.hash = "0123456789ab";
  p.head.zone = "Europe/Paris";
  for (int n = 1; n <= lot; ++n) p.head.serials.push_back("SL-" + std::to_string(100 + n));
  p.work.units = lot;
  p.work.start = Instant(1795075200);  // 2026-11-19 08:00 UTC
  steps(p);
  links(p);
  plan::Caution oil;
  oil.level = plan::CautionClass::warning;
  oil.id = "oil-rag";
  oil.steps = {StepId("oil")};
  oil.hazard = "Rags wet with oil heat up by themselves.";
  oil.consequence = "A heap of them can catch fire.";
  oil.avoid = "Spread them out to dry, or drown them in water.";
  oil.ghs = {"GHS02"};
  oil.protect = {"nitrile gloves"};
  p.cautions = {oil};
  plan::KitRow row;
  row.id = "epoxy-30min";
  row.name = "epoxy, 30 min";
  row.kind = "material";
  row.per_unit = 0.5;
  row.unit = "g";
  row.lot = 0.5 * lot;
  row.first_step = "mix";
  p.kit = {row};
  plan::Resource oven;
  oven.id = ResourceId("oven");
  oven.name = "oven";
  plan::Resource hands;
  hands.id = ResourceId("builder");
  hands.name = "builder";
  hands.kind = plan::Resource::Kind::person;
  p.work.resources = {hands, oven};
  p.work.hours = {{p.work.start, p.work.start + handlot::hours(24 * 400)}};  // a shop that never shuts
  schedule(p, batch);
  return p;
}

}  // namespace sample
