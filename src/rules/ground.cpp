#include "rules/ground.h"

#include <algorithm>
#include <array>

#include "rules/matter.h"
#include "rules/saying.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

bool gives(const job::Step& step, const PartId& part, std::initializer_list<std::string_view> states) {
  return std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && std::find(states.begin(), states.end(), f.state) != states.end(); });
}

/// The solvent of the step takes wax off, by its card.
bool removes_wax(const Facts& facts, const job::Step& step) {
  return std::any_of(step.materials.begin(), step.materials.end(), [&](const job::MaterialUse& u) { return facts.card(u.card).word_or("removes").find("wax") != std::string::npos; });
}

bool cleans(const job::Step& step) {
  constexpr std::array<std::string_view, 4> kCleaning{"degrease", "wash", "clean-flux", "clean"};
  return std::find(kCleaning.begin(), kCleaning.end(), step.process.text) != kCleaning.end();
}

bool masked_while(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const job::Step& later, const PartId& part) {
  const auto& steps = facts.job.steps;
  const bool on = std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && works_at(facts, s, part) && order.before(s.id, dirty.id); });
  return on && std::any_of(steps.begin(), steps.end(), [&](const job::Step& s) { return s.process.text == "unmask" && works_at(facts, s, part) && order.before(dirty.id, s.id) && order.before(s.id, later.id); });
}

}  // namespace

std::string grease_left(const Facts& facts, const job::Step& step) {
  bool drying = false, oil = false;
  for (const job::MaterialUse& use : step.materials) {
    const catalogue::Card& card = facts.card(use.card);
    if (card.kind != catalogue::CardKind::oil) continue;
    const std::string family = card.word_or("family");
    if (family == "silicone") return "silicone";
    (family == "drying-oil" ? drying : oil) = true;
  }
  const std::string left = left_by(facts, step);
  if (left == "wax") return left;
  const bool finish = step.process.text == "oil" || step.process.text == "wipe-off";
  return oil || (left == "oil" && !finish && !drying) ? "oil" : "";
}

bool works_at(const Facts& facts, const job::Step& step, const PartId& part) {
  const auto holds = [&](const PartId& id) {
    if (id.empty()) return false;
    const std::vector<PartId> inside = facts.job.within(id);
    return id == part || id.text == "unit" || has(inside, part);
  };
  return holds(step.on) || std::any_of(step.touches.begin(), step.touches.end(), holds);
}

bool taken_off(const Facts& facts, const KnownOrder& order, const job::Step& dirty, const job::Step& later, const PartId& part) {
  const std::string what = grease_left(facts, dirty);
  const bool wiped = what == "oil" || (what == "wax" && dirty.process.text == "polish");
  return masked_while(facts, order, dirty, later, part) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    if (!order.before(dirty.id, s.id) || !order.before(s.id, later.id)) return false;
    if (gives(s, part, {"abraded", "bare"})) return true;
    if (!works_at(facts, s, part)) return false;
    return s.process.text == "sand" || s.process.text == "abrade" || (cleans(s) && (wiped || (what == "wax" && removes_wax(facts, s))));
  });
}

Duration planned_rest(const Facts& facts, const KnownOrder& order, const job::Step& coat, const job::Step& later) {
  std::vector<const job::Step*> between;
  for (const job::Step& s : facts.job.steps) {
    if (order.before(coat.id, s.id) && order.before(s.id, later.id)) between.push_back(&s);
  }
  const auto follows = [&](const job::Step& a, const job::Step& b) { return order.before(a.id, b.id); };
  // What has more before it comes later: an order in which each step stands behind all that it follows.
  const auto rank = [&](const job::Step* s) { return std::count_if(between.begin(), between.end(), [&](const job::Step* other) { return follows(*other, *s); }); };
  std::vector<std::pair<std::ptrdiff_t, const job::Step*>> ranked;
  for (const job::Step* s : between) ranked.emplace_back(rank(s), s);
  std::stable_sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  ranked.emplace_back(0, &later);
  std::vector<Duration> ends;  // least time from the coat to the end of each, in that order
  for (std::size_t i = 0; i < ranked.size(); ++i) {
    const job::Step& s = *ranked[i].second;
    const auto wait_after = [&](const job::Step& earlier) {
      const auto stated = std::find_if(s.after.begin(), s.after.end(), [&](const job::After& a) { return a.step == earlier.id; });
      return stated == s.after.end() ? Duration(0) : stated->at_least;
    };
    Duration start = wait_after(coat);
    for (std::size_t j = 0; j < i; ++j) {
      const job::Step& earlier = *ranked[j].second;
      if (follows(earlier, s)) start = std::max(start, ends[j] + wait_after(earlier));
    }
    ends.push_back(start + (&s == &later ? Duration(0) : s.run + s.unattended));
  }
  return ends.back();
}

bool left_so(const Facts& facts, const PartId& part, std::string_view state) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool stated = std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && f.state == state; });
    return stated || ((s.on == part || has(s.touches, part)) && facts.process(s).word_or("surface-gives") == state);
  });
}

}  // namespace handlot::rules
