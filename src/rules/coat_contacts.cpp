// A coat insulates and resin fills what is plugged in later, unless its contacts were masked.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "coat-contacts";

/// The step uses contacts of what was coated; of what was poured over, those of its board: the shell around it has plugs of its own.
bool uses_what_is_coated(const Facts& facts, const job::Step& step, const job::Step& coat) {
  if (coat.process.text != "pot") return on_one_body(facts, step, coat);
  const std::vector<PartId> used = bodies_of(facts, step), poured = bodies_of(facts, coat);
  return std::any_of(used.begin(), used.end(), [&](const PartId& id) { return facts.card_of(id).yes("board") && std::any_of(poured.begin(), poured.end(), [&](const PartId& p) { return same_or_within(facts, p, id); }); });
}

/// A lead is plugged on by a step of process 'plug', or by one that wires and says so.
bool plugs(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 4> kWords{"plug", "connector", "socket", "header"};
  const std::string text = step_words(step);
  if (step.process.text != "wire" || text.find("unplug") != std::string::npos) return step.process.text == "plug";
  return says_one_of(kWords, text) || marked(facts, step.on, "socket");
}

bool programs(const Facts&, const job::Step& step) { return step.process.text == "program"; }

/// Something is put on or in it from outside: its card says so, or its name.
bool has_contacts(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 6> kNames{"socket", "terminal", "header", "connector", "jack", "holder"};
  return marked(facts, part, "socket") || says_one_of(kNames, both_names(facts, part));
}

/// What lies on the coated body by then and has contacts.
std::vector<PartId> contacts_under(const Facts& facts, const KnownOrder& order, const job::Step& coat) {
  const std::vector<PartId> bodies = bodies_of(facts, coat);
  std::vector<PartId> found;
  for (const job::Part& part : facts.job.parts) {
    const job::Step* in = facts.job.installer(part.id);
    const job::Part* board = has_contacts(facts, part.id) && in != nullptr && order.before(in->id, coat.id) ? board_under(facts, part.id, coat) : nullptr;
    if (board != nullptr && has(bodies, board->id)) found.push_back(part.id);
  }
  return found;
}

/// A test feeds or loads the board through what its words name.
std::vector<PartId> fed_through(const Facts& facts, const job::Step& test, const std::vector<PartId>& contacts) {
  std::vector<PartId> found;
  if (!gets_power(test) || programs(facts, test)) return found;
  const std::string words = step_words(test);
  std::copy_if(contacts.begin(), contacts.end(), std::back_inserter(found), [&](const PartId& id) { return names_part(facts, words, id); });
  return found;
}

/// The contacts that the step uses, as far as it names them by what it works on.
std::vector<PartId> used_by(const job::Step& step, const std::vector<PartId>& contacts) {
  std::vector<PartId> found;
  std::copy_if(contacts.begin(), contacts.end(), std::back_inserter(found), [&](const PartId& id) { return step.on == id || has(step.touches, id); });
  return found;
}

bool masks(const Facts& facts, const job::Step& s, const job::Step& coat) {
  const bool gives = std::any_of(s.face_gives.begin(), s.face_gives.end(), [](const job::FaceState& f) { return f.state == "masked"; });
  return (s.process.text == "mask" || gives) && (s.on.empty() || on_one_body(facts, s, coat));
}

/// The words of the coat go round contacts, whatever they are called: "brush round the sockets".
bool goes_round_contacts(const job::Step& coat) {
  constexpr std::array<std::string_view, 9> kContacts{"contact", "socket", "connector", "header", "terminal", "plug", "jack", "pin", "pad"};
  const std::vector<std::string> free = left_free(coat);
  return std::any_of(free.begin(), free.end(), [&](const std::string& phrase) { return says_one_of(kContacts, phrase); });
}

/// Kept free of the coat or resin, by a mask or by the words of the step; of a use that names no part, by any such.
bool kept_free(const Facts& facts, const job::Step& coat, const std::vector<PartId>& used) {
  const auto free = [&](const PartId& id) {
    return spares(facts, coat, id) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return masks(facts, s, coat) && mask_covers(facts, s, id); });
  };
  if (!used.empty()) return std::all_of(used.begin(), used.end(), free);
  return goes_round_contacts(coat) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return masks(facts, s, coat); });
}

struct Use {
  bool (*of)(const Facts&, const job::Step&);
  plan::Severity severity;
};

/// Sprayed or dipped, a socket is filled whatever is done with it later; a brush goes round it, unless it goes over both sides.
void sockets_coated(const Facts& facts, const job::Step& coat, std::vector<PartId> contacts, Yield& yield) {
  constexpr std::array<std::string_view, 5> kBrush{"brush", "touch up", "swab", "dab", "needle"};
  constexpr std::array<std::string_view, 3> kEverywhere{"spray", "dip", "whole board"}, kAllOver{"both sides", "all over", "whole board"};
  const std::string words = step_words(coat);
  const bool again = std::any_of(facts.job.steps.data(), &coat, [&](const job::Step& s) { return s.process == coat.process && on_one_body(facts, s, coat); });
  const bool by_hand = says_one_of(kBrush, words) || std::any_of(coat.tools.begin(), coat.tools.end(), [&](const job::ToolUse& t) { return says_one_of(kBrush, lower(t.card.text + " " + t.name)); });
  if (again || (by_hand && !says_one_of(kAllOver, words))) return;
  std::erase_if(contacts, [&](const PartId& id) { return !marked(facts, id, "socket") || kept_free(facts, coat, {id}); });
  if (contacts.empty()) return;
  const bool everywhere = !by_hand && says_one_of(kEverywhere, words);
  auto f = finding(kRule, everywhere ? plan::Severity::warn : plan::Severity::undecided, coat,
                   everywhere ? fmt::format("{} coats the contacts of {}, and nothing masks them", say(coat), names_of(facts, contacts)) : fmt::format("nothing says what keeps the coat of {} out of {}", say(coat), names_of(facts, contacts)),
                   "mask them before the coat; or brush round them, and say so in an action", practice());
  f.parts = std::move(contacts);
  yield.findings.push_back(std::move(f));
}

/// Sockets on what is poured over, which the resin is not said to hide: their mouths have to stay open.
void sockets_filled(const Facts& facts, const job::Step& pot, Yield& yield) {
  const std::vector<PartId> bodies = bodies_of(facts, pot);
  for (const job::Part& part : facts.job.parts) {
    const job::Part* board = marked(facts, part.id, "socket") && !has(pot.hides, part.id) ? board_under(facts, part.id, pot) : nullptr;
    if (board == nullptr || !has(bodies, board->id)) continue;
    auto f = finding(kRule, plan::Severity::undecided, pot, fmt::format("nothing says what keeps the resin of {} out of {}", say(pot), facts.name(part.id)),
                     "stop or tape it in a step of process 'mask' on it; name it in hides=\"...\" if it is to lie in the resin", practice());
    f.parts = {part.id};
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace

void coat_contacts(const Facts& facts, const KnownOrder& order, const job::Step& coat, Yield& yield) {
  if ((coat.process.text != "coat-board" && coat.process.text != "pot") || coat.on.empty()) return;
  const std::vector<PartId> contacts = contacts_under(facts, order, coat);
  const std::string mend = fmt::format("mask sockets and pads before the {}, or do it first", coat.process.text == "pot" ? "resin" : "coat");
  // A plug needs its socket; a program may come by another way.
  for (const auto& [uses, severity] : std::array{Use{plugs, plan::Severity::warn}, Use{programs, plan::Severity::note}}) {
    for (const job::Step& later : facts.job.steps) {
      if (!uses(facts, later) || later.on.text == "unit" || !uses_what_is_coated(facts, later, coat) || !order.before(coat.id, later.id) || kept_free(facts, coat, used_by(later, contacts))) continue;
      yield.findings.push_back(finding(kRule, severity, later, fmt::format("{} comes after {}, and no step masks the contacts that it uses", say(later), say(coat)), mend, practice()));
      return;
    }
  }
  for (const job::Step& test : facts.job.steps) {
    std::vector<PartId> used = coat.process.text == "coat-board" && order.before(coat.id, test.id) ? fed_through(facts, test, contacts) : std::vector<PartId>{};
    std::erase_if(used, [&](const PartId& id) { return kept_free(facts, coat, {id}); });
    if (used.empty()) continue;
    auto f = finding(kRule, plan::Severity::warn, test, fmt::format("{} comes after {} and uses {}, which nothing masks", say(test), say(coat), names_of(facts, used)), mend, practice());
    f.parts = std::move(used);
    yield.findings.push_back(std::move(f));
    return;
  }
  if (coat.process.text == "pot") {
    if (std::none_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return masks(facts, s, coat); })) sockets_filled(facts, coat, yield);
  } else {
    sockets_coated(facts, coat, contacts, yield);
  }
}

}  // namespace handlot::rules
