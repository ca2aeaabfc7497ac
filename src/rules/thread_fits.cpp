// A screw has the thread of what it goes into.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "joints/screws.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"
#include "rules/screw_shapes.h"
#include "rules/shape_facts.h"

namespace handlot::rules {

namespace {

std::string thread_of(const Facts& facts, const PartId& part) { return facts.job.part(part) == nullptr ? "" : facts.card_of(part).word_or("thread"); }

/// The threads on offer: that of the part itself, else those of the inserts and nuts that were set into it.
std::vector<PartId> threaded(const Facts& facts, const job::Part& screw) {
  if (!thread_of(facts, screw.into).empty()) return {screw.into};
  std::vector<PartId> set_in;
  for (const job::Part& p : facts.job.parts) {
    const bool bush = facts.card(p.card).kind == catalogue::CardKind::part;
    if (bush && p.into == screw.into && !thread_of(facts, p.id).empty()) set_in.push_back(p.id);
  }
  return set_in;
}

/// "M12 M2.5": a body may have several threads.
bool has_thread(const std::string& words, const std::string& thread) {
  return fmt::format(" {} ", words).find(fmt::format(" {} ", thread)) != std::string::npos;
}

/// The other size whose tapped hole has this diameter; none where it may as well be a rough drawing of the screw's own.
const joints::MetricSize* other_thread(const joints::MetricSize& own, double hole) {
  constexpr double kSame = 0.03;  // mm: minor diameter and tap drill differ by less
  if (std::abs(hole - own.diameter) < 0.055 || std::abs(hole - own.minor) < 0.055 || std::abs(hole - own.tap_drill) < 0.055) return nullptr;
  for (const joints::MetricSize& size : joints::metric_sizes()) {
    if (size.name != own.name && (std::abs(hole - size.minor) < kSame || std::abs(hole - size.tap_drill) < kSame)) return &size;
  }
  return nullptr;
}

/// In a hole wider than the screw no thread is left; true when it is said.
bool too_wide(const Facts& facts, const job::Part& screw, Yield& yield) {
  const auto size = metric_size(facts.card(screw.card));
  if (!size || (screw.into_kind != "tapped" && screw.into_kind != "boss")) return false;
  for (const SeatedScrew& s : seated(facts, screw)) {
    for (const shapes::Layer& layer : s.sits.layers) {
      // A thread is often drawn as wide as its screw.
      if (!layer.threaded || layer.hole.value <= size->diameter + 0.055) continue;
      plan::Finding f = finding(facts, "thread-fits", plan::Severity::stop, screw,
                                fmt::format("the hole for {} in {} is {} mm, wider than its thread of {} mm: it bites nothing", facts.name(screw.id), facts.name(screw.into), number(layer.hole.value, 2), number(size->diameter, 2)),
                                "draw the hole for the thread; if an insert or a nut lies there, list it, and write into-kind=\"insert\" or \"nut\"", of_shapes());
      f.parts.push_back(screw.into);
      yield.findings.push_back(std::move(f));
      return true;
    }
  }
  return false;
}

/// A screw for an insert or a nut that no part of the job is. What is bought may have its inserts already.
void no_bush(const Facts& facts, const job::Part& screw, Yield& yield) {
  const job::Part* body = facts.job.part(screw.into);
  if (body == nullptr || !body->into.empty() || facts.card_of(screw.into).word_or("made") == "bought") return;
  const bool set_in = std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) { return p.into == screw.into && facts.card(p.card).kind == catalogue::CardKind::part; });
  if (set_in) return;
  plan::Finding f = finding(facts, "thread-fits", plan::Severity::undecided, screw, fmt::format("{} goes into {} of {}, and no part of the job is one", facts.name(screw.id), screw.into_kind == "nut" ? "a nut" : "an insert", facts.name(screw.into)),
                            fmt::format("add it as a part with into=\"{}\"; if {} has it already, write its thread on its card", screw.into.text, facts.name(screw.into)), stated());
  f.parts.push_back(screw.into);
  yield.findings.push_back(std::move(f));
}

/// The hole of a tapped part is drawn for another thread.
void as_drawn(const Facts& facts, const job::Part& screw, Yield& yield) {
  const auto size = metric_size(facts.card(screw.card));
  if (!size || screw.into_kind != "tapped" || facts.card(screw.card).word_or("head") == "thread-forming") return;
  for (const SeatedScrew& s : seated(facts, screw)) {
    for (const shapes::Layer& layer : s.sits.layers) {
      const joints::MetricSize* other = layer.threaded && layer.hole.value > 0 ? other_thread(*size, layer.hole.value) : nullptr;
      if (other == nullptr) continue;
      plan::Finding f = finding(facts, "thread-fits", plan::Severity::stop, screw,
                                fmt::format("{} has the thread {}, and its hole in {} is drawn with {} mm, as for {}", facts.name(screw.id), size->name, facts.name(screw.into), number(layer.hole.value, 2), other->name),
                                "take the screw of that thread, or draw the hole of this one", {"FASTENERS", "minor diameter and tap drill", Standing::read});
      f.parts.push_back(screw.into);
      yield.findings.push_back(std::move(f));
      return;
    }
  }
}

}  // namespace

void thread_fits(const Facts& facts, const job::Part& screw, Yield& yield) {
  const catalogue::Card& card = facts.card(screw.card);
  const bool in_a_bush = screw.into_kind == "insert" || screw.into_kind == "nut";
  if (card.kind != catalogue::CardKind::screw || screw.into.empty() || screw.into_kind == "through" || screw.into_kind == "wood") return;
  const bool wide = too_wide(facts, screw, yield);
  if (screw.into_kind == "boss") return;
  if (!wide) as_drawn(facts, screw, yield);
  // A plain part may have other threads than the one on its card: only inserts and nuts are sought in it.
  const std::vector<PartId> offered = threaded(facts, screw);
  if (offered.empty() && in_a_bush) no_bush(facts, screw, yield);
  if (offered.empty() || (!in_a_bush && offered.front() != screw.into)) return;
  const std::string thread = card.word_or("thread");
  if (thread.empty() || std::any_of(offered.begin(), offered.end(), [&](const PartId& p) { return has_thread(thread_of(facts, p), thread); })) return;
  // Where the job says how deep this thread is, the part has it: its card only names another one.
  const auto severity = in_a_bush ? plan::Severity::stop : screw.into_depth ? plan::Severity::note : plan::Severity::warn;
  plan::Finding f = finding(facts, "thread-fits", severity, screw,
                            fmt::format("{} has the thread {}, and {} has {}", facts.name(screw.id), thread, facts.name(offered.front()), thread_of(facts, offered.front())),
                            in_a_bush ? "take the screw or the insert of the other's thread" : fmt::format("take the screw of the other's thread, or write all threads on its card: thread=\"{} {}\"", thread_of(facts, offered.front()), thread), practice());
  f.parts.push_back(offered.front());
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
