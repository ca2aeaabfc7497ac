// Glue that hardens by light needs a lamp, and a part that lets the light in.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

#include "core/text.h"
#include "rules/lamp.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "light-cure";

enum class Passes { light, visible_only, no_light, unknown };

constexpr int kStops = 390, kPasses = 400;  // nm: polycarbonate of any grade stops what is shorter and lets through what is longer (from memory)

/// Polycarbonate is stabilised against ultraviolet: below about 390 nm hardly anything comes through.
bool stops_ultraviolet(const catalogue::Card* material) { return material != nullptr && material->word_or("substrate", material->id.text) == "pc"; }

/// Where no card says it, by the names of the part: "window, clear", "opaque cap". A clear coat is another thing.
Passes by_name(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  const std::string text = both_names(facts, part) + (material == nullptr ? "" : " " + lower(material->name));
  constexpr std::array<std::string_view, 6> kOther{"anodi", "coat", "lacquer", "varnish", "passivat", "not "};
  if (says_one_of(kOther, text)) return Passes::unknown;
  if (says_word("opaque", text)) return Passes::no_light;
  if (!says_word("clear", text) && !says_word("transparent", text)) return Passes::unknown;
  return says_word("polycarbonate", text) || stops_ultraviolet(material) ? Passes::visible_only : Passes::light;
}

/// A window of another colour than clear, by its names: what it takes out may be the lamp's light. A display shines by itself.
bool tinted(const Facts& facts, const PartId& part) {
  constexpr std::array<std::string_view, 13> kTints{"red", "amber", "orange", "yellow", "green", "brown", "bronze", "smoked", "smoky", "smoke", "tinted", "dark", "infrared"};
  const std::string text = both_names(facts, part);
  if (marked(facts, part, "display") || says_word("clear", text) || says_word("colourless", text)) return false;
  return says_one_word(kTints, text);
}

Passes one_part(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  const std::string own = facts.card_of(part).word_or("clear"), said = own.empty() && material != nullptr ? material->word_or("clear") : own;
  if (own.empty() && (said == "yes" || optical(facts, part)) && tinted(facts, part)) return Passes::unknown;
  if (said == "yes" || optical(facts, part)) return stops_ultraviolet(material) ? Passes::visible_only : Passes::light;
  if (said == "no" || marked(facts, part, "board")) return Passes::no_light;
  constexpr std::array<std::string_view, 5> kOpaque{"metal", "wood", "fibre", "laminate", "ceramic"};
  const std::string family = material == nullptr ? "" : material->word_or("family");
  if (family == "glass") return Passes::light;
  return std::find(kOpaque.begin(), kOpaque.end(), family) != kOpaque.end() ? Passes::no_light : by_name(facts, part);
}

/// A body lets light in where one of its parts does.
Passes through(const Facts& facts, const PartId& side) {
  if (facts.job.part(side) != nullptr) return one_part(facts, side);
  const std::vector<PartId> inside = facts.job.within(side);
  bool visible = false, unknown = inside.empty();
  for (const PartId& id : inside) {
    const Passes p = one_part(facts, id);
    if (p == Passes::light) return p;
    visible = visible || p == Passes::visible_only;
    unknown = unknown || p == Passes::unknown;
  }
  return visible ? Passes::visible_only : unknown ? Passes::unknown : Passes::no_light;
}

/// What it says and with which tools.
std::string words_of(const job::Step& step) {
  std::string text = step_words(step);
  for (const job::ToolUse& tool : step.tools) text += " " + lower(tool.name);
  return text;
}

/// In the words of the step: "Harden it for 30 s under ultraviolet light."
bool says_light(const job::Step& step) {
  const std::string text = words_of(step);
  constexpr std::array<std::string_view, 6> kWords{" uv", "ultraviolet", "daylight", "sunlight", "in the sun", "curing lamp"};
  return says_one_of(kWords, text);
}

/// The longest wavelength that a text names: the 405 of "365 and 405 nm". A screw's "0.4 Nm" is none.
std::optional<int> nanometres(std::string_view text) {
  std::optional<int> longest;
  for (std::size_t at = text.find("nm"); at != std::string_view::npos; at = text.find("nm", at + 1)) {
    const std::string_view before = text.substr(0, text.find_last_not_of(' ', at == 0 ? 0 : at - 1) + 1);
    int value = 0, digit = 1, digits = 0;
    for (std::size_t i = before.size(); i > 0 && before[i - 1] >= '0' && before[i - 1] <= '9' && digits < 4; --i, ++digits, digit *= 10) value += digit * (before[i - 1] - '0');
    if (digits == 3 && value >= 200 && (!longest || value > *longest)) longest = value;
  }
  return longest;
}

/// In the step of a glue that hardens by light, "Harden it with the lamp for 60 s", "Light it" or "Hold the 405 nm lamp over it" is
/// enough; "Set the lamp on the foot" is not.
bool shines(const job::Step& glue) {
  constexpr std::array<std::string_view, 5> kLight{"lamp", "lamps", "light", "torch", "flashlight"};
  constexpr std::array<std::string_view, 6> kDoes{"harden", "cure", "expos", "shine", "illuminat", "flash"};
  constexpr std::array<std::string_view, 8> kLit{"light it", "light them", "light each", "light the joint", "light the bead", "light the glue", "under the lamp", "lamp over"};
  return std::any_of(glue.actions.begin(), glue.actions.end(), [&](const std::string& action) {
    const std::string text = lower(action);
    const bool light = says_one_word(kLight, text), does = says_one_of(kDoes, text);
    return says_one_of(kLit, text) || (light && does) || ((light || does) && nanometres(text));
  });
}

/// A lamp that the gluing is done with.
bool takes_a_lamp(const job::Step& glue) {
  return std::any_of(glue.tools.begin(), glue.tools.end(), [](const job::ToolUse& tool) { return says_word("lamp", lower(tool.name)); });
}

/// The longest wavelength that a lamp on the joint is said to have; the words for visible light count as blue.
std::optional<int> lamp_light(const Facts& facts, const job::Joint& joint, const job::Step& glue) {
  constexpr std::array<std::string_view, 2> kVisible{"visible", "blue light"};
  std::optional<int> longest;
  for (const job::Step& s : facts.job.steps) {
    const std::set<PartId> reached = worked_on(facts, s);
    if (&s != &glue && std::none_of(joint.between.begin(), joint.between.end(), [&](const PartId& p) { return reached.contains(p); })) continue;
    const auto said = says_one_of(kVisible, words_of(s)) ? std::optional(450) : nanometres(words_of(s));
    if (said && (!longest || *said > *longest)) longest = said;
  }
  return longest;
}

bool reaches(const Facts& facts, const job::Step& lamp, const job::Joint& joint) {
  const std::set<PartId> reached = worked_on(facts, lamp);
  return std::any_of(joint.between.begin(), joint.between.end(), [&](const PartId& side) {
    const std::vector<PartId> inside = facts.job.within(side);
    return std::any_of(inside.begin(), inside.end(), [&](const PartId& p) { return reached.contains(p); });
  });
}

/// A lamp, or the sun that hardens by the words of the step; what is packed "out of the sun" does not.
bool shines_on(const Facts& facts, const job::Step& step, const job::Joint& joint) {
  constexpr std::array<std::string_view, 4> kDoes{"harden", "cure", "expos", "shine"};
  const bool in_words = facts.process(step).word_or("class") == "build" && says_light(step) && says_one_of(kDoes, step_words(step));
  return (step.process.text == "uv-cure" || in_words) && reaches(facts, step, joint);
}

bool by_light(const Facts& facts, const CardId& adhesive) { return facts.card(adhesive).word_or("chemistry") == "light-cured"; }

/// Printed of resin that light has hardened, and hardens through.
bool of_resin(const Facts& facts, const PartId& part) {
  const catalogue::Card* material = material_of(facts, part);
  return material != nullptr && material->word_or("substrate") == "photopolymer";
}

/// Glued, and glued with nothing that hardens by light.
bool wants_no_light(const Facts& facts, const job::Step& glue) {
  return !glue.bonds.empty() && std::none_of(glue.bonds.begin(), glue.bonds.end(), [&](const JointId& id) { return by_light(facts, facts.job.joint(id)->adhesive); });
}

/// Listed before the lamp: a coat on what it shines on, or a bond that hardens by it.
bool wet_by_then(const Facts& facts, const job::Step& earlier, const job::Step& lamp) {
  if (facts.process(earlier).word_or("class") == "finish" && same_or_within(facts, earlier.on, lamp.on)) return true;
  return std::any_of(earlier.bonds.begin(), earlier.bonds.end(), [&](const JointId& id) {
    const job::Joint& joint = *facts.job.joint(id);
    return by_light(facts, joint.adhesive) && reaches(facts, lamp, joint);
  });
}

/// A lamp that shines on the joint before the glue is in it.
const job::Step* too_soon(const Facts& facts, const job::Joint& joint, const job::Step& glue) {
  const auto& steps = facts.job.steps;
  const auto found = std::find_if(steps.begin(), steps.end(), [&](const job::Step& s) { return &s < &glue && s.process.text == "uv-cure" && reaches(facts, s, joint); });
  return found == steps.end() ? nullptr : &*found;
}

/// By the gluing, by a lamp, or by what a later step says of light: there the builder may mean it.
bool lit(const Facts& facts, const job::Joint& joint, const job::Step& glue) {
  if (lit_as_glued(glue) || lamp_of(facts, joint, glue) != nullptr) return true;
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  return std::any_of(&glue + 1, end, [&](const job::Step& s) { return (says_light(s) || shines(s)) && reaches(facts, s, joint); });
}

/// Its card prints a time that needs no lamp.
bool hardens_by_day(const catalogue::Card& adhesive) {
  const catalogue::Figure* fixture = adhesive.find("fixture");
  return fixture != nullptr && fixture->on.empty();
}

void through_polycarbonate(const Facts& facts, const job::Step& glue, const job::Joint& joint, const std::string& text, Yield& yield) {
  const auto light = lamp_light(facts, joint, glue);
  if (light && *light >= kPasses) return;
  const bool edge = light && *light >= kStops;
  yield.findings.push_back(finding(kRule, edge ? plan::Severity::note : plan::Severity::undecided, glue,
                                   edge ? fmt::format("{}: of {} nm a part comes through, by its grade", text, *light) : fmt::format("{}: a lamp of {} nm hardens nothing behind it", text, light.value_or(365)),
                                   edge ? "try it on a piece of the same sheet first, or take a grade and a lamp for 405 nm" : "take a grade and a lamp for 405 nm or visible light and say so in the step, or let the light in from the other side",
                                   {"HANDBOOK", "light transmission of plastics: polycarbonate", Standing::memory}));
}

void light_gets_in(const Facts& facts, const job::Step& glue, const job::Joint& joint, const std::string& adhesive, Yield& yield) {
  std::vector<std::string> dark, stabilised;
  bool unknown = false;
  for (const PartId& side : joint.between) {
    const Passes p = through(facts, side);
    if (p == Passes::light) return;
    if (p == Passes::visible_only) stabilised.push_back(facts.name(side));
    unknown = unknown || p == Passes::unknown;
    dark.push_back(facts.name(side));
  }
  if (!stabilised.empty()) {
    through_polycarbonate(facts, glue, joint, fmt::format("bond '{}': {} gets its light through {}, and polycarbonate stops ultraviolet below about {} nm", joint.id.text, adhesive, listed(stabilised), kStops), yield);
    return;
  }
  const Source source{"HANDBOOK", "ultraviolet adhesives: one side must let the light through", Standing::memory};
  if (unknown) {
    yield.findings.push_back(finding(kRule, plan::Severity::undecided, glue, fmt::format("bond '{}': {} hardens only where light gets in, and no card says whether {} let it through", joint.id.text, adhesive, listed(dark)),
                                     "write clear=\"yes\" or clear=\"no\" on the card of the part or its material", source));
    return;
  }
  // A bead along the open edge is in the light; a film between two faces is not.
  const bool film = (joint.gap && !joint.gap_from_shapes) || (joint.area && !joint.area_from_shapes);
  yield.findings.push_back(finding(kRule, film ? plan::Severity::stop : plan::Severity::warn, glue, fmt::format("bond '{}': {} lies between {}, and none lets light through: it stays liquid there", joint.id.text, adhesive, listed(dark)),
                                   "take an adhesive that hardens in the dark, or write clear=\"yes\" on the card of the part that lets light through", source));
}

/// Poured and hardened layer by layer, each is as deep as it says.
bool in_layers(const job::Step& glue) {
  constexpr std::array<std::string_view, 1> kWords{"layer"};
  return says_one_of(kWords, step_words(glue));
}

/// Light does not get deeper than the card says, from each side that lets it in.
void too_deep(const Facts& facts, const job::Step& glue, const job::Joint& joint, const catalogue::Card& adhesive, Yield& yield) {
  const auto card = adhesive.get<Millimetres>("depth");
  if (!card || !joint.depth || in_layers(glue)) return;
  const auto lets_in = [&](const PartId& side) { return through(facts, side) == Passes::light; };
  const bool both = std::all_of(joint.between.begin(), joint.between.end(), lets_in);
  const Millimetres sure = card->low * (both ? 2 : 1), most = card->high * (both ? 2 : 1);
  if (*joint.depth <= sure) return;
  const bool over = *joint.depth > most;
  yield.findings.push_back(finding(kRule, over ? plan::Severity::stop : plan::Severity::undecided, glue,
                                   over ? fmt::format("bond '{}' is {} mm deep, and light hardens {} to {} mm at the most: it stays liquid below", joint.id.text, number(joint.depth->value, 1), adhesive.name, number(most.value, 1))
                                        : fmt::format("bond '{}' is {} mm deep, and light hardens {} {} to {} mm deep, by grade", joint.id.text, number(joint.depth->value, 1), adhesive.name, number(sure.value, 1), number(most.value, 1)),
                                   over ? "harden it in layers and say so in the step, or take an adhesive that hardens in the dark" : "write the depth that its data sheet prints on a card of your own", card->source));
}

}  // namespace

bool lit_as_glued(const job::Step& glue) { return says_light(glue) || shines(glue) || takes_a_lamp(glue); }

bool lamp_for_other(const Facts& facts, const job::Step& lamp, const job::Step& glue) {
  constexpr std::array<std::string_view, 3> kGlue{"glue", "bond", "adhesive"};
  constexpr std::array<std::string_view, 5> kPrints{"post-cure", "post cure", "postcure", "resin", "print"};
  if (&glue < &lamp) return false;
  if (wants_no_light(facts, glue) || std::any_of(facts.job.steps.data(), &lamp, [&](const job::Step& s) { return wet_by_then(facts, s, lamp); })) return true;
  const std::string text = step_words(lamp);
  if (says_one_of(kGlue, text)) return false;
  const std::set<PartId> reached = worked_on(facts, lamp);
  return says_one_of(kPrints, text) || std::any_of(reached.begin(), reached.end(), [&](const PartId& p) { return of_resin(facts, p); });
}

const job::Step* lamp_of(const Facts& facts, const job::Joint& joint, const job::Step& glue) {
  if (!by_light(facts, joint.adhesive) || lit_as_glued(glue)) return nullptr;
  const auto* end = facts.job.steps.data() + facts.job.steps.size();
  const auto* later = std::find_if(&glue + 1, end, [&](const job::Step& s) { return shines_on(facts, s, joint); });
  if (later != end) return later;
  const job::Step* sooner = too_soon(facts, joint, glue);
  const bool follows = sooner != nullptr && same_or_within(facts, sooner->on, glue.on) && !lamp_for_other(facts, *sooner, glue);
  return follows ? sooner : nullptr;
}

void light_cure(const Facts& facts, const job::Joint& joint, Yield& yield) {
  const job::Step* glue = gluing_step(facts, joint);
  const catalogue::Card& adhesive = facts.card(joint.adhesive);
  if (glue == nullptr || adhesive.word_or("chemistry") != "light-cured") return;
  if (!hardens_by_day(adhesive) && !lit(facts, joint, *glue)) {
    const job::Step* sooner = too_soon(facts, joint, *glue);
    const std::string early = sooner == nullptr ? "" : fmt::format("; {} comes before the glue", say(*sooner));
    yield.findings.push_back(finding(kRule, plan::Severity::stop, *glue, fmt::format("nothing brings light to {} of bond '{}': it does not harden without a lamp{}", adhesive.name, joint.id.text, early),
                                     "add a step with process=\"uv-cure\" on the joint, listed after the gluing", practice()));
  }
  light_gets_in(facts, *glue, joint, adhesive.name, yield);
  too_deep(facts, *glue, joint, adhesive, yield);
}

}  // namespace handlot::rules
