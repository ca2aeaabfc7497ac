#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/text.h"
#include "sheets/sections.h"
#include "sheets/signs.h"

namespace handlot::sheets {

namespace {

std::string joined(const std::vector<std::string>& words) {
  return listed(words);
}

std::string comma(const std::vector<std::string>& words) {
  std::string out;
  for (const auto& w : words) out += (out.empty() ? "" : ", ") + w;
  return out;
}

std::vector<Sign> signs_of(const std::vector<std::string>& codes) {
  std::vector<Sign> out;
  for (const auto& code : codes) out.push_back({code, sign_meaning(code)});
  return out;
}

std::string steps_of(const View& view, const plan::Caution& caution) {
  if (caution.at == plan::CautionAt::head && caution.steps.empty()) return "the whole job";
  std::vector<std::string> numbers;
  for (const auto& id : caution.steps) {
    if (std::string n = view.number(id); std::find(numbers.begin(), numbers.end(), n) == numbers.end())
      numbers.push_back(n);
  }
  if (numbers.empty()) return "the whole job";
  std::sort(numbers.begin(), numbers.end(), [](const std::string& a, const std::string& b) { return a.size() != b.size() ? a.size() < b.size() : a < b; });
  return (numbers.size() == 1 ? "step " : "steps ") + joined(numbers);
}

bool stronger(const plan::Caution* a, const plan::Caution* b) {
  return a->level != b->level ? a->level < b->level : a->id < b->id;
}

/// Each caution once, the gravest first.
std::vector<const plan::Caution*> distinct(const plan::Plan& plan) {
  std::vector<const plan::Caution*> out;
  std::set<std::string> seen;
  for (const auto& c : plan.cautions) {
    const std::string key = c.id.empty() ? c.hazard + c.avoid : c.id;
    if (seen.insert(key).second) out.push_back(&c);
  }
  std::stable_sort(out.begin(), out.end(), stronger);
  return out;
}

}  // namespace

CautionBox caution_box(const View& view, const plan::Caution& c, bool in_step) {
  CautionBox box;
  box.id = c.id;
  box.level = c.level;
  box.word = upper(plan::word(c.level));
  box.hazard = sentence(c.hazard);
  box.consequence = sentence(c.consequence);
  box.avoid = sentence(c.avoid);
  box.substance = signs_of(c.ghs);
  box.bench = signs_of(c.signs);
  box.brief = in_step;
  if (!c.protect.empty()) box.protect = "Wear: " + joined(c.protect) + ".";
  if (in_step) return box;
  box.codes = comma(c.h_codes);
  box.at_steps = steps_of(view, c);
  box.source = describe(c.source);
  return box;
}

Section hazards(const View& view) {
  Section section{.id = "hazards",
                  .title = "What could hurt you or the work",
                  .short_title = "Hazards",
                  .one_page = true};
  const auto all = distinct(view.plan());
  if (all.empty()) return section;
  std::set<std::string> protect;
  for (const auto* c : all) protect.insert(c->protect.begin(), c->protect.end());
  if (!protect.empty()) {
    section.blocks.push_back(
        Para{"Have ready: " + joined({protect.begin(), protect.end()}) + ".", Para::Style::lead});
  }
  for (const auto* c : all) section.blocks.push_back(caution_box(view, *c, false));
  if (const auto& left = view.plan().head.deferrals; !left.empty()) {
    std::string text;
    for (const auto& one : left) text += (text.empty() ? "" : "; ") + one;
    section.blocks.push_back(Para{"Not decided by this sheet: " + text + ".", Para::Style::body});
  }
  section.blocks.push_back(Para{
      "DANGER: will kill or maim. WARNING: could. CAUTION: could hurt. NOTICE: spoils the work, not you. "
      "Diamonds are about substances (GHS), triangles, discs and rings about the bench (ISO 7010 numbers, "
      "pictures our own). "
      "First aid: see the safety data sheet of the material. Local codes and licensed practice come first.",
      Para::Style::small});
  return section;
}

}  // namespace handlot::sheets
