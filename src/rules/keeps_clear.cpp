// A part that turns or slides keeps clear of its neighbours over its range, with all that is fixed to it.
#include <fmt/format.h>

#include "core/text.h"
#include "rules/rules.h"
#include "rules/shape_facts.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "keeps-clear";
constexpr double kLeast = 0.1;  // mm, the tolerance of a bench [practice]

/// Everything that is hit, the first one first; of what is not hit, the nearest.
std::vector<plan::Finding> in_its_range(const Facts& facts, const job::Part& part, std::size_t body) {
  const bodies::Device& d = *facts.device;
  shapes::PartSet others(d.part_of.size());
  for (std::size_t i = 0; i < d.part_of.size(); ++i) others.add(i);
  shapes::MotionRules rules;
  rules.fine = kLeast / 10;
  const std::string unit = part.motion == "slide" ? "mm" : "degrees";
  std::vector<plan::Finding> found;
  while (true) {
    const shapes::Clearest nearest = over_its_range(facts, part, body, others, rules);
    const PartId mover = d.part_of[nearest.moving], other = d.part_of[nearest.other];
    const std::string name = mover == part.id ? facts.name(part.id) : fmt::format("{}, which moves with {},", facts.name(mover), facts.name(part.id));
    if (nearest.first_contact) {
      found.push_back(about_parts(kRule, plan::Severity::stop, {part.id, other}, fmt::format("{} hits {} at {} {}", name, facts.name(other), number(*nearest.first_contact, 1), unit),
                                  "give it room, or shorten its range", part.place));
      others -= d.set_of({other});
      continue;
    }
    if (nearest.stopped) {
      found.push_back(about_parts(kRule, plan::Severity::undecided, {part.id}, fmt::format("whether {} keeps clear could not be proven within the limit", facts.name(part.id)), "simplify its shape", part.place));
    } else if (nearest.gap.value < kLeast - 0.001) {
      found.push_back(about_parts(kRule, plan::Severity::warn, {part.id, other}, fmt::format("{} passes {} with {} mm at {} {}", name, facts.name(other), number(nearest.gap.value, 2), number(nearest.at, 1), unit),
                                  "a bench tolerance of 0.1 mm would make them touch: give it more room", part.place));
    }
    return found;
  }
}

}  // namespace

void keeps_clear(const Facts& facts, const job::Part& part, Yield& yield) {
  if (facts.device == nullptr || part.motion.empty() || !facts.device->bodies_of.contains(part.id)) return;
  for (std::size_t body : facts.device->bodies_of.at(part.id)) {
    const std::string what = fmt::format("motion 4 {} {}{}", part.id.text, body, motions_of(facts));
    const auto found = kept_or_found(facts, what, [&] { return in_its_range(facts, part, body); });
    yield.findings.insert(yield.findings.end(), found.begin(), found.end());
  }
}

}  // namespace handlot::rules
