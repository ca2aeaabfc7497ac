// Metal is cleaned before it is glued: what comes off a shelf or a machine is greasy.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::array<std::string_view, 6> kWords{"degrease", "abrade", "roughen", "alcohol", "acetone", "clean"};

bool readies(const Facts& facts, const job::Step& step, const PartId& part) {
  constexpr std::array<std::string_view, 6> kCleaners{"degrease", "abrade", "sand", "clean", "clean-flux", "wash"};
  if (std::find(kCleaners.begin(), kCleaners.end(), step.process.text) != kCleaners.end() && worked_on(facts, step).contains(part)) return true;
  return std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) { return f.part == part; });
}

/// An action of the gluing itself may say it: "Wipe the seat with alcohol."
bool says_so(const job::Step& glue) {
  return std::any_of(glue.actions.begin(), glue.actions.end(), [](const std::string& action) { return says_one_of(kWords, lower(action)); });
}

bool says_name(const Facts& facts, const PartId& part, std::string_view line) { return line.find(lower(facts.job.part(part)->name)) != std::string_view::npos; }

/// "Wipe the back of the plate." and no more: a dry cloth leaves the grease. Glue that is wiped away is another thing.
bool wiped_with_what(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& part) {
  constexpr std::array<std::string_view, 9> kAway{" off", "away", "surplus", "excess", "squeez", "glue", "adhesive", "epoxy", "resin"};
  return std::any_of(glue.actions.begin(), glue.actions.end(), [&](const std::string& action) {
    const std::string line = lower(action);
    if (!says_word("wipe", line) || says_one_of(kAway, line)) return false;
    const bool of_other = std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& other) { return other != part && says_name(facts, other, line); });
    return says_name(facts, part, line) || !of_other;
  });
}

plan::Finding not_readied(const Facts& facts, const job::Step& glue, const job::Joint& joint, const PartId& part) {
  const std::string name = facts.name(part);
  if (wiped_with_what(facts, glue, joint, part)) {
    return finding("metal-readied", plan::Severity::note, glue, fmt::format("{} wipes {} and does not say with what: a dry cloth leaves the grease", say(glue), name), "write it into the line: with isopropanol, or with what degreases it", practice());
  }
  return finding("metal-readied", plan::Severity::note, glue, fmt::format("no step cleans {} before {} glues it", name, say(glue)), fmt::format("add a step of process degrease on {}, or abrade and degrease", name), practice());
}

}  // namespace

void metal_readied(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const std::string chemistry = facts.card(joint.adhesive).word_or("chemistry");
  constexpr std::array<std::string_view, 5> kWetting{"epoxy", "cyanoacrylate", "acrylic", "light-cured", "anaerobic"};
  if (std::find(kWetting.begin(), kWetting.end(), chemistry) == kWetting.end()) return;
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr || says_so(*glue)) return;
  for (const PartId& part : joint.between) {
    const catalogue::Card* material = material_of(facts, part);
    if (material == nullptr || material->word_or("family") != "metal") continue;
    if (std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return readies(facts, s, part); })) continue;
    auto f = not_readied(facts, *glue, joint, part);
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
