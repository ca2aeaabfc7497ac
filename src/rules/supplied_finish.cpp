// Glue on a part that came finished holds on its wax, oil or lacquer, not on the part.
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

bool gives_bare(const Facts& facts, const job::Step& step, const PartId& part) {
  const bool stated = std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) { return f.part == part && (f.state == "bare" || f.state == "abraded" || f.state == "primed"); });
  const std::string made = facts.process(step).word_or("surface-gives");
  return stated || ((made == "abraded" || made == "raw") && worked_on(facts, step).contains(part));
}

bool says_scraped(const job::Step& glue) {
  constexpr std::array<std::string_view, 6> kWords{"scuff", "sand", "scrape", "abrade", "roughen", "bare"};
  return std::any_of(glue.actions.begin(), glue.actions.end(), [&](const std::string& action) { return says_one_of(kWords, lower(action)); });
}

}  // namespace

void supplied_finish(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  if (glue == nullptr || says_scraped(*glue)) return;
  for (const PartId& part : joint.between) {
    if (facts.job.part(part) == nullptr) continue;
    const std::string finish = facts.card_of(part).word_or("finish", "bare");
    const bool greasy = finish == "wax" || finish == "oil", film = finish == "lacquer" || finish == "shellac" || finish == "varnish";
    if (!greasy && !film) continue;
    if (std::any_of(facts.job.steps.data(), glue, [&](const job::Step& s) { return gives_bare(facts, s, part); })) continue;
    // On a film it holds as well as the film does: enough for felt, not for a load.
    auto f = finding("supplied-finish", greasy ? plan::Severity::warn : plan::Severity::note, *glue,
                     fmt::format("{} comes finished with {}, and no step bares it before {}: bond '{}' holds on the {}", facts.name(part), finish, say(*glue), joint.id.text, finish),
                     fmt::format("sand the spot in a step that says <gives face=\"{}\" is=\"bare\"/>, or write it as an action of the gluing", part.text), practice());
    f.parts = {part};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
