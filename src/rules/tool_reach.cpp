// A screw is driven while its driver can still get at it.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/tool_facts.h"

namespace handlot::rules {

namespace {

/// The driver that the step names for this drive, else the first of our cards that fits it.
const catalogue::Card* driver_for(const Facts& facts, const job::Step& step, const std::string& drive) {
  for (const job::ToolUse& use : step.tools) {
    if (use.card.empty()) continue;
    const catalogue::Card& card = facts.card(use.card);
    if (card.word_or("form") == "driver" || card.word_or("form") == "hex-key") return &card;
  }
  for (const catalogue::Card* card : facts.cards.of_kind(catalogue::CardKind::tool)) {
    if (card->word_or("drive") == drive && card->word_or("form") == "driver") return card;
  }
  return nullptr;
}

void reach_one(const Facts& facts, const job::Step& step, const Sibling& screw, const std::vector<Sibling>& all, const catalogue::Card& driver, const shapes::Tool& tool, Yield& yield) {
  const auto& scene = *facts.device->scene;
  for (std::size_t body : screw.bodies.list()) {
    const auto spot = shapes::head_of(scene, body);
    if (!spot) continue;
    shapes::PartSet work(facts.device->part_of.size());
    work.add(body);
    std::string last;  // said with each that is in the way
    bool asked = false;
    for (const Sibling& other : all) {
      if (other.id == screw.id || other.step == &step) continue;
      const shapes::Access seen = shapes::access(scene, tool, *spot, other.bodies, work);
      if (seen.verdict != shapes::Access::Verdict::blocked) continue;
      if (other.step != nullptr) {
        if (!asked) last = last_place(facts, step, shapes::in_the_way_of(scene, tool, *spot, others_of(facts, step, all), work), all);
        asked = true;
        const std::string text = fmt::format("{} no longer reaches {}: {}{}", driver.name, facts.name(screw.id), shapes::say(scene, seen), last);
        plan::Constraint link = before(step, *other.step, reason(plan::ReasonKind::access, "tool-reach", text, {"", "the shapes of the parts and the card of the tool", Standing::measured}, step.place));
        yield.links.push_back(std::move(link));
      } else {
        auto f = finding("tool-reach", plan::Severity::stop, step, fmt::format("{} does not reach {}: {}", driver.name, facts.name(screw.id), shapes::say(scene, seen)),
                         "take a longer or thinner driver (tool card), or change the place of the screw", {"", "the shapes of the parts and the card of the tool", Standing::measured});
        f.parts = {screw.id};
        yield.findings.push_back(std::move(f));
      }
    }
  }
}

/// The same later step said once for a screw, however many of its bodies it covers.
void said_once(std::vector<plan::Constraint>& links, std::size_t from) {
  for (std::size_t i = from; i < links.size(); ++i) {
    for (std::size_t k = links.size() - 1; k > i; --k) {
      if (links[k].to.step == links[i].to.step && links[k].from.step == links[i].from.step) links.erase(links.begin() + static_cast<std::ptrdiff_t>(k));
    }
  }
}

}  // namespace

void tool_reach(const Facts& facts, const job::Step& step, Yield& yield) {
  if (facts.device == nullptr || facts.device->empty()) return;
  for (const job::Installs& installs : step.installs) {
    const job::Part* part = facts.job.part(installs.part);
    if (part == nullptr || facts.card(part->card).kind != catalogue::CardKind::screw) continue;
    const std::vector<Sibling> all = siblings(facts, part->assembly);
    const auto screw = std::find_if(all.begin(), all.end(), [&](const Sibling& s) { return s.id == part->id; });
    const catalogue::Card* driver = driver_for(facts, step, facts.card(part->card).word_or("drive"));
    if (screw == all.end() || driver == nullptr) continue;
    const auto tool = tool_of(*driver);
    if (!tool) continue;
    const std::size_t from = yield.links.size();
    reach_one(facts, step, *screw, all, *driver, *tool, yield);
    said_once(yield.links, from);
  }
}

}  // namespace handlot::rules
