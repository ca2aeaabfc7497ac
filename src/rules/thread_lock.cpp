// Threadlocker goes on clean metal threads, stays off plastic, and has its time before the joint is tried.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "joints/torque.h"
#include "rules/cure.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "thread-lock";

const catalogue::Card* threadlocker_of(const Facts& facts, const job::Step& step) {
  const auto fluids = fluids_of(facts, step);
  const auto found = std::find_if(fluids.begin(), fluids.end(), [](const catalogue::Card* c) { return c->word_or("chemistry") == "anaerobic"; });
  return found == fluids.end() ? nullptr : *found;
}

std::string thread_material(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  if (material == nullptr) return {};
  if (material->id.text == "zinc-plated") return "zinc";
  return material->word_or("family") == "plastic" ? "plastic" : material->word_or("substrate", material->id.text);
}

/// A screw, or a gland with a thread of its own, that the step turns in.
bool turned_in(const Facts& facts, const job::Part& part) {
  return facts.card(part.card).kind == catalogue::CardKind::screw || (!part.into.empty() && part.into_kind == "tapped");
}

/// The two sides of the thread: what is turned in, and what it goes into unless a bush of metal stands between.
std::vector<PartId> thread_of(const job::Part& part) {
  if (part.into.empty() || part.into_kind == "insert" || part.into_kind == "nut") return {part.id};
  return {part.id, part.into};
}

void on_plastic(const Facts& facts, const job::Step& step, Yield& yield) {
  std::set<PartId> threads, near(step.touches.begin(), step.touches.end());
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part == nullptr || !turned_in(facts, *part)) continue;
    for (const PartId& id : thread_of(*part)) threads.insert(id);
    near.insert(part->clamps.begin(), part->clamps.end());
  }
  const auto say_it = [&](plan::Severity severity, const PartId& part, std::string_view why, std::string mend, const Source& source) {
    auto f = finding(kRule, severity, step, fmt::format("{} puts threadlocker beside {}: {}", say(step), facts.name(part), why), std::move(mend), source);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  };
  for (const PartId& part : threads) {
    near.erase(part);
    const std::string material = thread_material(facts, part);
    if (material.empty()) continue;
    const joints::Locking said = joints::threadlocker_on(material);
    if (said.speed == joints::LockSpeed::never) say_it(plan::Severity::stop, part, said.why, "lock with a nylon-ringed nut, a spring washer or a dab of paint", said.cite.source());
  }
  for (const PartId& part : near) {
    if (thread_material(facts, part) != "plastic") continue;
    const catalogue::Card* material = material_of(facts, part);
    if (joints::cracked_by_threadlocker(material->word_or("substrate", material->id.text))) {
      say_it(plan::Severity::stop, part, "what runs out cracks it", "lock with a nylon-ringed nut, a spring washer or a dab of paint", joints::threadlocker_on("plastic").cite.source());
    } else {
      say_it(plan::Severity::warn, part, "what runs out may attack it", "put it on sparingly and keep it off the body, or lock with a nylon-ringed nut", practice());
    }
  }
}

bool oils(const Facts& facts, const job::Step& step) {
  const bool pours = std::any_of(step.materials.begin(), step.materials.end(), [&](const job::MaterialUse& u) { return facts.card(u.card).kind == catalogue::CardKind::oil; });
  return pours || spoils_bonds(left_by(facts, step));
}

/// Takes the oil off the part. A wipe does not, out of a thread.
bool degreases(const Facts& facts, const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 3> kCleaning{"degrease", "clean-flux", "wash"};
  const bool gives = std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && (f.state == "bare" || f.state == "degreased"); });
  return gives || (std::find(kCleaning.begin(), kCleaning.end(), step.process.text) != kCleaning.end() && worked_on(facts, step).contains(part));
}

void on_oil(const Facts& facts, const job::Step& step, Yield& yield) {
  std::set<PartId> threads;
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part == nullptr || !turned_in(facts, *part)) continue;
    for (const PartId& id : thread_of(*part)) threads.insert(id);
    if (!part->into.empty()) threads.insert(part->into);
  }
  for (const PartId& part : threads) {
    const job::Step* oily = nullptr;
    for (const job::Step& other : facts.job.steps) {
      if (&other == &step) break;
      if (degreases(facts, other, part)) oily = nullptr;
      if (oils(facts, other) && (other.on == part || has(other.touches, part))) oily = &other;
    }
    if (oily == nullptr) continue;
    auto f = finding(kRule, plan::Severity::warn, step, fmt::format("{} leaves oil on {}, and no step takes it off before {} puts threadlocker on its thread", say(*oily), facts.name(part), say(step)),
                     fmt::format("add a step of process degrease on {} between the two", facts.name(part)), practice());
    f.steps.push_back(oily->id);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

/// The thread as a joint, for the times of the card; the job declares none.
job::Joint thread_joint(const job::Part& screw, const catalogue::Card& locker) {
  job::Joint joint;
  joint.id = JointId(screw.id.text);
  joint.between = {screw.id, screw.into};
  joint.adhesive = locker.id;
  joint.place = screw.place;
  return joint;
}

/// A test of what it holds waits for the fixture time, one under load for the full strength.
void time_to_lock(const Facts& facts, const job::Step& step, const job::Part& screw, const catalogue::Card& locker, Yield& yield) {
  const job::Joint joint = thread_joint(screw, locker);
  for (const job::Step& later : facts.job.steps) {
    const std::string kind = facts.process(later).word_or("class");
    if (&later <= &step || kind != "test") continue;
    const job::Cure shaken = cure_asked(facts, later, joint);
    if (shaken == job::Cure::none) continue;
    const auto time = cure_time(facts, joint, shaken == job::Cure::full ? job::Cure::full : job::Cure::fixture);
    if (!time) continue;
    plan::Constraint link = before(step, later, time->wait, reason(plan::ReasonKind::cure, kRule, fmt::format("{} tries what {} locks, and {} reaches its {} strength in {}", say(later), facts.name(screw.id), locker.name, word(time->reached), in_words(time->wait)), time->source, time->place));
    link.clock = fmt::format("{} on {} ({})", locker.name, facts.name(screw.id), word(time->reached));
    yield.links.push_back(std::move(link));
  }
}

}  // namespace

void thread_lock(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* locker = threadlocker_of(facts, step);
  if (locker == nullptr) return;
  on_plastic(facts, step, yield);
  if (!step.bonds.empty()) return;  // a bond has its clean faces and its times by rules of its own
  on_oil(facts, step, yield);
  for (const job::Installs& i : step.installs) {
    const job::Part* part = facts.job.part(i.part);
    if (part != nullptr && turned_in(facts, *part) && !part->into.empty()) time_to_lock(facts, step, *part, *locker, yield);
  }
}

}  // namespace handlot::rules
