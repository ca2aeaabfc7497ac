// A screw is driven by a bit that fits it, while that can still get at it.
#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/tool_facts.h"

namespace handlot::rules {

namespace {

bool drives_screws(const catalogue::Card& card) { return card.word_or("form") == "driver" || card.word_or("form") == "hex-key"; }

/// The driver that the step names for this drive, else any that it names, else the first of our cards that fits it.
const catalogue::Card* driver_for(const Facts& facts, const job::Step& step, const std::string& drive) {
  const catalogue::Card* named = nullptr;
  for (const job::ToolUse& use : step.tools) {
    if (use.card.empty() || !drives_screws(facts.card(use.card))) continue;
    const catalogue::Card& card = facts.card(use.card);
    if (card.word_or("drive") == drive) return &card;
    if (named == nullptr) named = &card;
  }
  if (named != nullptr) return named;
  for (const catalogue::Card* card : facts.cards.of_kind(catalogue::CardKind::tool)) {
    if (card->word_or("drive") == drive && card->word_or("form") == "driver") return card;
  }
  return nullptr;
}

/// A bit of another drive turns nothing. What a driver without a drive on its card fits, nobody says; a holder takes any bit, and a
/// nut driver may hold the nut.
void wrong_bit(const Facts& facts, const job::Step& step, const job::Part& screw, const catalogue::Card& driver, Yield& yield) {
  const std::string drive = facts.card(screw.card).word_or("drive"), bit = driver.word_or("drive");
  if (drive.empty() || bit.empty() || drive == bit || bit.starts_with("bit ") || bit.starts_with("nut ")) return;
  auto f = finding("tool-reach", plan::Severity::warn, step, fmt::format("{} has the drive {}, and the step names {}, which is {}", facts.name(screw.id), drive, driver.name, bit),
                   fmt::format("name a driver for {}", drive), practice());
  f.parts = {screw.id};
  yield.findings.push_back(std::move(f));
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
  for (const job::Installs& installs : step.installs) {
    const job::Part* part = facts.job.part(installs.part);
    if (part == nullptr || facts.card(part->card).kind != catalogue::CardKind::screw) continue;
    const catalogue::Card* driver = driver_for(facts, step, facts.card(part->card).word_or("drive"));
    if (driver == nullptr) continue;
    wrong_bit(facts, step, *part, *driver, yield);
    if (facts.device == nullptr || facts.device->empty()) continue;
    const std::vector<Sibling> all = siblings(facts, part->assembly);
    const auto screw = std::find_if(all.begin(), all.end(), [&](const Sibling& s) { return s.id == part->id; });
    const auto tool = tool_of(*driver);
    if (screw == all.end() || !tool) continue;
    const std::size_t from = yield.links.size();
    reach_one(facts, step, *screw, all, *driver, *tool, yield);
    said_once(yield.links, from);
  }
}

}  // namespace handlot::rules
