// A screw has the thread of what it goes into.
#include <fmt/format.h>

#include <algorithm>

#include "rules/rules.h"
#include "rules/saying.h"

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

}  // namespace

void thread_fits(const Facts& facts, const job::Part& screw, Yield& yield) {
  const catalogue::Card& card = facts.card(screw.card);
  const bool in_a_bush = screw.into_kind == "insert" || screw.into_kind == "nut";
  if (card.kind != catalogue::CardKind::screw || screw.into.empty() || screw.into_kind == "through" || screw.into_kind == "boss" || screw.into_kind == "wood") return;
  // A plain part may have other threads than the one on its card: only inserts and nuts are sought in it.
  const std::vector<PartId> offered = threaded(facts, screw);
  if (offered.empty() || (!in_a_bush && offered.front() != screw.into)) return;
  const std::string thread = card.word_or("thread");
  if (thread.empty() || std::any_of(offered.begin(), offered.end(), [&](const PartId& p) { return thread_of(facts, p) == thread; })) return;
  plan::Finding f = finding(facts, "thread-fits", in_a_bush ? plan::Severity::stop : plan::Severity::warn, screw,
                            fmt::format("{} has the thread {}, and {} has {}", facts.name(screw.id), thread, facts.name(offered.front()), thread_of(facts, offered.front())),
                            "take the screw or the insert of the other's thread", practice());
  f.parts.push_back(offered.front());
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
