// Dust and chips of the body do not fall on what is fitted in it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "core/text.h"
#include "rules/fitted.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

/// A drill, a saw, a file, coarse paper.
bool makes_chips(const job::Step& step) {
  constexpr std::array<std::string_view, 5> kChips{"sand", "saw", "drill", "turn", "deburr"};
  return std::find(kChips.begin(), kChips.end(), step.process.text) != kChips.end();
}

/// "Drill 4 pilot holes" among the actions of another work.
bool drills_besides(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 2> kDrills{"drill ", "ream "};
  if (facts.process(step).word_or("class") != "build") return false;
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) { return std::any_of(kDrills.begin(), kDrills.end(), [&](std::string_view w) { return lower(action).starts_with(w); }); });
}

/// Chips that carry current: of a metal body, of steel wool or a wire brush.
bool of_metal(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 4> kWire{"steel wool", "wire wool", "wire brush", "brass brush"};
  const catalogue::Card* material = material_of(facts, step.on);
  return (material != nullptr && material->word_or("family") == "metal") || says_one_of(kWire, step_words(step));
}

/// Stands open, and dust gets at what moves in it.
bool open_to_dust(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 3> kThings{"speaker", "loudspeaker", "microphone"};
  const std::string name = lower(facts.card_of(part).name);
  const std::string thing = name.substr(0, name.find_first_of(",("));
  return std::any_of(kThings.begin(), kThings.end(), [&](std::string_view w) { return thing.ends_with(w); });
}

bool suffers(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 5> kMarks{"board", "cell", "display", "optical", "mains"};
  return ball_bearing(facts, part) || open_to_dust(facts, part) || std::any_of(kMarks.begin(), kMarks.end(), [&](std::string_view m) { return marked(facts, part, m); });
}

/// What the chips would fall on, and the step that fitted each.
struct Fitted {
  std::vector<PartId> parts;
  std::vector<const job::Step*> by;
};

Fitted fitted_in(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  Fitted fitted;
  for (const job::Part& part : facts.job.parts) {
    const job::Step* in = part.jig || !suffers(facts, part.id) ? nullptr : fitted_by(facts, order, step, part.id);
    if (in == nullptr) continue;
    fitted.parts.push_back(part.id);
    fitted.by.push_back(in);
  }
  return fitted;
}

/// What is covered is named: by a part's own name or its last word, or as electronics, opening, inside.
bool names_inside(const Facts& facts, const Fitted& fitted, std::string_view line) {
  constexpr std::array<std::string_view, 14> kInside{"board", "electronics", "inside", "opening", "cell", "display", "screen", "window", "lens", "bearing", "component", "everything", "circuit", "them"};
  return std::any_of(kInside.begin(), kInside.end(), [&](std::string_view w) { return says_noun(w, line); }) ||
         std::any_of(fitted.parts.begin(), fitted.parts.end(), [&](const PartId& part) { return names_part(facts, line, part); });
}

/// "Cover", "Lay a cloth", "with the board covered": not the tape that is measured with, nor the edge of the cover.
bool says_covering(std::string_view line) {
  constexpr std::array<std::string_view, 6> kCovers{"cover ", "mask ", "tape ", "bag ", "wrap ", "shield "};
  constexpr std::array<std::string_view, 7> kLays{"lay ", "put ", "spread ", "stick ", "stuff ", "pull ", "hang "};
  constexpr std::array<std::string_view, 6> kSheets{"cloth", "tape", "film", "bag", "foil", "paper"};
  constexpr std::array<std::string_view, 5> kCovered{"covered", "masked", "taped", "bagged", "wrapped"};
  const auto begins = [](const auto& words, std::string_view clause) { return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return clause.starts_with(w); }); };
  if (says_one_of(kCovered, line)) return true;
  for (std::string_view rest = line; !rest.empty();) {
    if (begins(kCovers, rest) || (begins(kLays, rest) && says_one_of(kSheets, rest))) return true;
    const std::size_t next = std::min(rest.find(", "), rest.find(" and "));
    rest = next == std::string_view::npos ? std::string_view() : rest.substr(next + (rest[next] == ',' ? 2 : 5));
    if (rest.starts_with("and ")) rest.remove_prefix(4);
  }
  return false;
}

bool tells_cover(const Facts& facts, const Fitted& fitted, const job::Step& step) {
  const auto covers = [&](const std::string& line) { return says_covering(lower(line)) && names_inside(facts, fitted, lower(line)); };
  return covers(step.title) || std::any_of(step.actions.begin(), step.actions.end(), covers);
}

/// It comes off before the work in every order.
bool off_by_then(const Facts& facts, const KnownOrder& order, const job::Step& mask, const job::Step& step) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "unmask" && same_or_within(facts, s.on, mask.on) && order.before(mask.id, s.id) && order.before(s.id, step.id); });
}

/// A mask that lies on what is fitted while the chips fall: it names it, or is laid on the body when all of it is in. Plugs in threads cover
/// nothing else.
bool masked_while(const Facts& facts, const KnownOrder& order, const job::Step& mask, const job::Step& step, const Fitted& fitted) {
  if (mask.process.text != "mask" || !order.before(mask.id, step.id) || off_by_then(facts, order, mask, step)) return false;
  const bool on_it = std::any_of(fitted.parts.begin(), fitted.parts.end(), [&](const PartId& p) { return mask.on == p || has(mask.touches, p); });
  const bool all_in = std::all_of(fitted.by.begin(), fitted.by.end(), [&](const job::Step* in) { return order.before(in->id, mask.id); });
  const bool of_threads = step_words(mask).find("thread") != std::string::npos;
  return on_it || (same_or_within(facts, mask.on, step.on) && (tells_cover(facts, fitted, mask) || (all_in && !of_threads)));
}

bool covered(const Facts& facts, const KnownOrder& order, const job::Step& step, const Fitted& fitted) {
  return tells_cover(facts, fitted, step) || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return masked_while(facts, order, s, step, fitted); });
}

/// A lid was put on before, by its process, by what it hides or by its title.
bool shut_by_then(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  constexpr std::array<std::string_view, 5> kShuts{"lid on", "cover on", "back on", "close", "shut"};
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    const bool shuts = facts.process(s).yes("closes") || !s.hides.empty() || says_one_of(kShuts, lower(s.title));
    return shuts && same_or_within(facts, s.on, step.on) && order.before(s.id, step.id);
  });
}

/// On the coat or the outside of a shut body little falls in; of a drill and a saw it does.
bool rubs_outside(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  const bool rubs = step.process.text == "abrade" || step.process.text == "deburr" || levels_film(facts, step);
  return rubs && shut_by_then(facts, order, step);
}

/// Nothing: no dust that a rule speaks of.
std::optional<plan::Severity> dust_of(const Facts& facts, const KnownOrder& order, const job::Step& step) {
  if (rubs_outside(facts, order, step)) return of_metal(facts, step) ? std::optional(plan::Severity::note) : std::nullopt;
  if (makes_chips(step)) return plan::Severity::warn;
  // A face is keyed with a few strokes, a pilot hole leaves a pinch of dust.
  if (step.process.text != "abrade" && !drills_besides(facts, step)) return std::nullopt;
  return of_metal(facts, step) ? plan::Severity::warn : plan::Severity::note;
}

}  // namespace

bool ball_bearing(const Facts& facts, const PartId& part) { return marked(facts, part, "moving") && lower(facts.card_of(part).name).find("bearing") != std::string::npos; }

bool covered_from(const Facts& facts, const job::Step& step) {
  constexpr std::array<std::string_view, 5> kWords{"cover", "mask", "tape", "cloth", "bag"};
  const bool says = std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& action) { return says_one_of(kWords, lower(action)); });
  return says || std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) { return s.process.text == "mask" && same_or_within(facts, s.on, step.on); });
}

bool sits_on_one_of(const Facts& facts, const PartId& part, const job::Step& step, const std::set<PartId>& bodies) {
  const std::vector<PartId> under = sits_in(facts, part, step);
  return std::any_of(under.begin(), under.end(), [&](const PartId& p) { return bodies.contains(p); });
}

const job::Step* fitted_by(const Facts& facts, const KnownOrder& order, const job::Step& step, const PartId& part) {
  std::vector<PartId> bodies{part};
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const PartId at = bodies[i];  // by value: the chain grows
    if (at == step.on) return nullptr;
    const job::Step* comes = facts.job.installer(at);
    const bool by_then = comes != nullptr && order.before(comes->id, step.id);
    if (by_then && same_or_within(facts, comes->on, step.on)) return comes;
    for (const PartId& outer : facts.job.around(at)) {
      if (!has(bodies, outer)) bodies.push_back(outer);
    }
    if (by_then && !comes->on.empty() && !has(bodies, comes->on)) bodies.push_back(comes->on);
  }
  return nullptr;
}

void chips_inside(const Facts& facts, const KnownOrder& order, const job::Step& step, Yield& yield) {
  wet_inside(facts, order, step, yield);
  const auto severity = dust_of(facts, order, step);
  if (!severity) return;
  Fitted fitted = fitted_in(facts, order, step);
  if (fitted.parts.empty() || covered(facts, order, step, fitted)) return;
  auto f = finding("chips-inside", *severity, step, fmt::format("{} throws dust and chips on what is fitted by then: {}", say(step), names_of(facts, fitted.parts)),
                   "do it before they are fitted, or cover them and say so in an action", practice());
  f.parts = std::move(fitted.parts);
  yield.findings.push_back(std::move(f));
}

}  // namespace handlot::rules
