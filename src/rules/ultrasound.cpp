// Ultrasound in a bath breaks what swings with it: quartz, bond wires, the beams of a small sensor.
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/bath.h"
#include "rules/board_work.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

/// "Ultrasonic bath, 3 min", and not "no ultrasound" or "keep it out of the ultrasonic bath".
bool speaks_of_ultrasound(const std::string& line) {
  constexpr std::array<std::string_view, 9> kNot{"no ", "not ", "never", "without", "out of", "n't", "instead of", "avoid", "not:"};
  const auto at = line.find("ultraso");
  return at != std::string::npos && !says_one_of(kNot, " " + line.substr(0, at));
}

bool says_ultrasound(const job::Step& step) {
  const std::vector<std::string> lines = step_lines(step);
  return std::any_of(lines.begin(), lines.end(), speaks_of_ultrasound);
}

bool ultrasonic(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kCleaning{"wash", "clean-flux", "clean", "degrease", "dry"};
  return std::find(kCleaning.begin(), kCleaning.end(), step.process.text) != kCleaning.end() && says_ultrasound(step);
}

/// Swings by itself, by the name of its card; a liquid crystal does not.
bool swings(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 8> kThings{"quartz", "crystal", "oscillator", "resonator", "mems", "gyro", "accelerometer", "tuning fork"};
  const std::string name = lower(facts.card_of(part).name);
  return says_one_of(kThings, name) && name.find("liquid crystal") == std::string::npos && !marked(facts, part, "display");
}

/// It is on what goes into the bath: within it, or set on its board by a step listed before that is not put after the bath.
bool goes_in_too(const Facts& facts, const KnownOrder& order, const job::Step& bath, const PartId& part) {
  const job::Step* in = facts.job.installer(part);
  if (in != nullptr && (!(in < &bath) || order.before(bath.id, in->id))) return false;
  const job::Part* board = board_under(facts, part, bath);
  return same_or_within(facts, bath.on, part) || has(bath.touches, part) || (board != nullptr && has(bodies_of(facts, bath), board->id));
}

void add(const Facts& facts, const job::Step& bath, const std::vector<PartId>& parts, bool sure, Yield& yield) {
  if (parts.empty()) return;
  auto f = finding("ultrasound", sure ? plan::Severity::warn : plan::Severity::undecided, bath,
                   sure ? fmt::format("{} shakes {} with ultrasound, which its card forbids", say(bath), names_of(facts, parts)) : fmt::format("{} shakes {} with ultrasound: quartz and bond wires may break in it, and no card says that they bear it", say(bath), names_of(facts, parts)),
                   sure ? "wash without ultrasound, or put it on after the bath" : "look it up in the part's data sheet and write no-ultrasound=\"yes\" or \"no\" on its card; or wash without ultrasound", practice());
  f.parts = parts;
  yield.findings.push_back(std::move(f));
}

}  // namespace

bool in_a_bath(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kBathing{" bath", "immers", "dunk", "soak it", "soak the"};
  constexpr std::array<std::string_view, 6> kWiping{"wipe", "cloth", "swab", "cotton", "brush", "outside"};
  if (step.process.text != "clean" && step.process.text != "degrease") return false;
  return ultrasonic(step) || (says_one_of(kBathing, step_words(step)) && !says_one_of(kWiping, step_words(step)));
}

void ultrasound(const Facts& facts, const KnownOrder& order, const job::Step& bath, Yield& yield) {
  if (!ultrasonic(bath) || bath.on.empty()) return;
  std::vector<PartId> forbidden, asked;
  for (const job::Part& part : facts.job.parts) {
    // What bears no bath at all is said already.
    if (part.jig || marked(facts, part.id, "no-wash") || !goes_in_too(facts, order, bath, part.id)) continue;
    const std::string said = facts.card_of(part.id).word_or("no-ultrasound");
    if (said == "yes") forbidden.push_back(part.id);
    if (said.empty() && swings(facts, part.id)) asked.push_back(part.id);
  }
  add(facts, bath, forbidden, true, yield);
  add(facts, bath, asked, false, yield);
}

}  // namespace handlot::rules
