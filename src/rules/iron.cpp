// The iron: no hotter than pads bear, no colder than solder flows at, no hotter and no longer than the parts' makers allow.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <set>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/setting.h"
#include "rules/step_words.h"
#include "solder/hand.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "iron";
constexpr double kTipError = 6;    // K: the source gives tips to +-10 degF
constexpr double kFreezes = 50;    // K over the melting point that a tip needs at the least: nearer, the joint chills it (common practice, no source)
constexpr double kFlows = 100;     // K over the melting point from where on joints flow in their time (common practice, no source)
constexpr double kOneTouch = 10;   // s: a longer time in an action is that of several joints

struct Tip {
  Celsius low, high;
};

/// By its card, else by its name or by being set to a temperature; but what warms the work beside the iron is set to one too.
bool an_iron(const Facts& facts, const job::ToolUse& tool) {
  if (!tool.card.empty()) return facts.card(tool.card).word_or("form") == "iron";
  const std::string name = lower(tool.name);
  const auto named = [&](std::string_view word) { return name.find(word) != std::string::npos; };
  constexpr std::array<std::string_view, 6> kOthers{"preheat", "heater", "plate", "bath", "pot", "gun"};
  if (hot_air(facts, tool) || std::any_of(kOthers.begin(), kOthers.end(), named)) return false;
  return named("iron") || named("solder") || set_to(tool, input::Dimension::temperature);
}

const job::ToolUse* unread_iron(const Facts& facts, const job::Step& step) {
  const auto unread = std::find_if(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return an_iron(facts, t) && not_understood(t, input::Dimension::temperature); });
  return unread == step.tools.end() ? nullptr : &*unread;
}

/// As set in the step, else what the tool's card says.
std::optional<Tip> tip_of(const Facts& facts, const job::Step& step) {
  for (const job::ToolUse& tool : step.tools) {
    const auto set = an_iron(facts, tool) ? set_to(tool, input::Dimension::temperature) : std::nullopt;
    if (set) return Tip{Celsius(set->low), Celsius(set->high)};
  }
  if (unread_iron(facts, step) != nullptr) return std::nullopt;
  for (const job::ToolUse& tool : step.tools) {
    if (tool.card.empty() || !an_iron(facts, tool)) continue;
    if (const auto range = facts.card(tool.card).get<Celsius>("temperature")) return Tip{range->low, range->high};
  }
  return std::nullopt;
}

void say_unread(const Facts& facts, const job::Step& step, Yield& yield) {
  const job::ToolUse* tool = unread_iron(facts, step);
  if (tool == nullptr) return;
  auto f = finding(kRule, plan::Severity::undecided, step, fmt::format("'{}' is no temperature that can be read, so the iron of {} is not checked", tool->setting, say(step)), "write it as in setting=\"350 degC\"; °C, C, °F and F are read too", stated());
  f.place = tool->place;
  yield.findings.push_back(std::move(f));
}

const catalogue::Card* wire_of(const Facts& facts, const job::Step& step) { return used_card(facts, step, catalogue::CardKind::solder); }

bool by_iron(const job::Step& step) { return step.process.text == "hand-solder" || step.process.text == "desolder" || step.process.text == "tin"; }

/// The steps that work the same solder with a tip set as in this one: what is worth a note is said at the first of them.
std::vector<StepId> set_alike(const Facts& facts, const job::Step& step, const Tip& tip) {
  std::vector<StepId> alike;
  for (const job::Step& s : facts.job.steps) {
    const auto other = by_iron(s) ? tip_of(facts, s) : std::nullopt;
    if (other && other->low == tip.low && other->high == tip.high && wire_of(facts, s) == wire_of(facts, step)) alike.push_back(s.id);
  }
  return alike;
}

/// Too hot for pads, too cold for the solder, or beside what the solder's card says is usual.
void check_tip(const Facts& facts, const job::Step& step, const Tip& tip, const solder::IronSetting& setting, Yield& yield) {
  const catalogue::Card* wire = wire_of(facts, step);
  const auto melts = wire == nullptr ? std::nullopt : wire->get<Celsius>("liquidus");
  const auto usual = wire == nullptr ? std::nullopt : wire->get<Celsius>("tip-temperature");
  const std::string degrees = number(tip.high.value, 0);
  const auto window = [&](Celsius low, Celsius high) { return fmt::format("{} to {} degC", number(low.value, 0), number(high.value, 0)); };
  const std::string hotter = !melts ? std::string() : usual ? "set it to " + window(usual->low, usual->high) : fmt::format("set it to {} degC or more", number(melts->high.value + kFlows, 0));
  const auto note = [&](std::string text, std::string mend, const Source& source) {
    const std::vector<StepId> alike = set_alike(facts, step, tip);
    if (alike.front() != step.id) return;
    auto f = finding(kRule, plan::Severity::note, step, std::move(text), std::move(mend), source);
    f.steps = alike;
    yield.findings.push_back(std::move(f));
  };
  if (tip.high > setting.never_above) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("the iron is set to {} degC, and no tip goes above {} degC: pads lift and flux burns", degrees, number(setting.never_above.value, 0)),
                                     fmt::format("set it to {} and take a larger tip", window(setting.low, setting.high)), setting.limit_source));
  } else if (melts && tip.high <= melts->high) {
    yield.findings.push_back(finding(kRule, plan::Severity::stop, step, fmt::format("the iron is set to {} degC, and {} melts at {} degC", degrees, wire->name, number(melts->high.value, 0)), hotter, melts->source));
  } else if (melts && tip.high < melts->high + Kelvin(kFreezes)) {
    yield.findings.push_back(finding(kRule, plan::Severity::warn, step, fmt::format("the iron is set to {} degC, and {} melts at {} degC: so near to it the joint chills the tip", degrees, wire->name, number(melts->high.value, 0)), hotter, practice()));
  } else if (melts && tip.low < melts->high + Kelvin(kFlows - kTipError)) {
    note(fmt::format("the iron is set to {} degC; {} melts at {} degC and flows fast from a tip {} K hotter", number(tip.low.value, 0), wire->name, number(melts->high.value, 0), number(kFlows, 0)), hotter + ", or take a larger tip and watch that each joint flows in its time", practice());
  } else if (usual && tip.high > usual->high + Kelvin(kTipError)) {
    note(fmt::format("the iron is set to {} degC; {} is usually worked at {}", degrees, wire->name, window(usual->low, usual->high)), "a larger tip helps more than a hotter one", usual->source);
  }
}

/// How long a joint takes.
struct Dwell {
  Seconds low, high;
  Source source;
};

/// By the package of the part, where its card names one.
std::optional<solder::JointKind> joint_of(const catalogue::Card& part) {
  const std::string package = lower(part.word_or("package"));
  if (package.empty()) return std::nullopt;
  constexpr std::array<std::string_view, 12> kThrough{"dip", "pdip", "cdip", "sip", "to-92", "to-220", "to-247", "do-35", "do-41", "do-15", "radial", "axial"};
  const bool legs = std::any_of(kThrough.begin(), kThrough.end(), [&](std::string_view name) { return package.starts_with(name); });
  return legs ? solder::JointKind::through_hole : solder::JointKind::surface;
}

Dwell dwell_of(const catalogue::Card& part, bool lead_free, const catalogue::Card* wire) {
  const auto kind = joint_of(part);
  const auto published = [&](solder::JointKind k) {
    const auto own = wire == nullptr ? std::nullopt : wire->get<Seconds>("dwell", k == solder::JointKind::surface ? "smd" : "through-hole");
    const solder::IronSetting setting = solder::iron_setting(lead_free, k);
    return own ? Dwell{own->low, own->high, own->source} : Dwell{setting.dwell_low, setting.dwell_high, setting.dwell_source};
  };
  if (kind) return published(*kind);
  // Without a package it may be either: from the shorter of the one to the longer of the other.
  const Dwell pad = published(solder::JointKind::surface), hole = published(solder::JointKind::through_hole);
  return {pad.low, hole.high, hole.source};
}

/// What the text says before it speaks of waiting, where it speaks of the iron; lower case.
std::string of_contact(std::string text) {
  for (const std::string_view rest : {"wait", "cool", "pause", "between", "before"}) text = text.substr(0, text.find(rest));
  constexpr std::array<std::string_view, 5> kContact{"solder", "touch", "iron", "heat", "tack"};
  return says_one_of(kContact, text) ? text : std::string();
}

/// "2 s", "2s", "2 sec", "2 seconds", the 3 of "2 to 3 s"; those of one touch only.
std::vector<double> seconds_in(std::string_view text) {
  constexpr std::array<std::string_view, 5> kWords{"s", "sec", "secs", "second", "seconds"};
  std::vector<double> found;
  for (std::size_t at = text.find_first_of("0123456789"); at != std::string_view::npos; at = text.find_first_of("0123456789", at)) {
    double value = 0;
    const auto [end, code] = std::from_chars(text.data() + at, text.data() + text.size(), value, std::chars_format::fixed);
    at = code == std::errc() ? static_cast<std::size_t>(end - text.data()) : at + 1;
    std::string_view rest = text.substr(at);
    if (rest.starts_with(' ')) rest.remove_prefix(1);
    const std::string_view word = rest.substr(0, rest.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789"));
    if (std::find(kWords.begin(), kWords.end(), word) != kWords.end() && value <= kOneTouch) found.push_back(value);
  }
  return found;
}

/// The touches that the step's actions give times for: of those that name the part, else of all.
std::vector<double> told(const Facts& facts, const job::Step& step, const PartId& id) {
  const job::Part* part = facts.job.part(id);
  std::string name = part == nullptr ? id.text : lower(called(*part));
  name.erase(0, name.rfind(' ') + 1);  // the diode of "indicator diode"
  if (name.size() > 3 && name.back() == 's') name.pop_back();
  std::vector<double> of_it, of_any;
  for (const std::string& action : step.actions) {
    const std::string text = of_contact(lower(action));
    for (const double seconds : seconds_in(text)) {
      of_any.push_back(seconds);
      if (text.find(name) != std::string::npos) of_it.push_back(seconds);
    }
  }
  return of_it.empty() ? of_any : of_it;
}

void check_time(const Facts& facts, const job::Step& step, const PartId& id, const Dwell& dwell, const catalogue::Sourced<Seconds>& limit, Yield& yield) {
  const double most = limit.low.value;
  const std::string seconds = number(most, 1);
  const auto add = [&](plan::Severity severity, const std::string& text, std::string mend) {
    auto f = finding(kRule, severity, step, text, std::move(mend), limit.source);
    f.parts = {id};
    yield.findings.push_back(std::move(f));
  };
  const std::vector<double> touches = told(facts, step, id);
  if (!touches.empty()) {
    const auto [shortest, longest] = std::minmax_element(touches.begin(), touches.end());
    if (*longest <= most) return;
    if (*shortest > most) {
      add(plan::Severity::warn, fmt::format("{} bears the iron for {} s, and {} tells to hold it there for {} s", facts.name(id), seconds, say(step), number(*shortest, 1)), fmt::format("tell to take it away after {} s", seconds));
      return;
    }
  }
  if (limit.low >= dwell.high) return;
  const double hopeless = solder::iron_setting(true, solder::JointKind::surface).dwell_low.value;
  const std::string text = fmt::format("{} bears the iron for {} s, and a joint takes {} to {} s ({})", facts.name(id), seconds, number(dwell.low.value, 0), number(dwell.high.value, 0), describe(dwell.source));
  const std::string away = fmt::format("take the iron away after {} s and let it cool between legs", seconds);
  if (most < hopeless) {
    add(plan::Severity::stop, text, "clip a heat sink to its legs, or solder it with paste and hot air within its limits");
  } else if (limit.low < dwell.low) {
    add(plan::Severity::warn, text, away);
  } else {
    add(plan::Severity::note, text, away + "; an action that says so is heard: \"Touch each leg for 2 s\"");
    const job::Part* part = facts.job.part(id);
    yield.hints.push_back({step.id, {RuleId(std::string(kRule)), fmt::format("Take the iron off the {} after {} s at the latest, and let it cool between legs", part == nullptr ? id.text : called(*part), seconds), limit.source}});
  }
}

void check_limit(const Facts& facts, const job::Step& step, const PartId& id, const std::optional<Tip>& tip, const catalogue::Sourced<Celsius>& limit, Yield& yield) {
  const std::string most = number(limit.low.value, 0);
  const auto add = [&](plan::Severity severity, std::string text, std::string mend) {
    auto f = finding(kRule, severity, step, std::move(text), std::move(mend), limit.source);
    f.parts = {id};
    yield.findings.push_back(std::move(f));
  };
  if (!tip) {
    if (unread_iron(facts, step) == nullptr) add(plan::Severity::undecided, fmt::format("{} bears a tip of {} degC, and {} does not say how hot the iron is", facts.name(id), most, say(step)), "write setting=\"350 degC\" into the <tool>");
  } else if (tip->high > limit.low) {
    add(plan::Severity::stop, fmt::format("{} bears a tip of {} degC by hand, and the iron is set to {} degC", facts.name(id), most, number(tip->high.value, 0)), fmt::format("set the iron to {} degC or less for it", most));
  }
}

void check_part(const Facts& facts, const job::Step& step, const PartId& id, const std::optional<Tip>& tip, Yield& yield) {
  const catalogue::Card& card = facts.card_of(id);
  const catalogue::Card* wire = wire_of(facts, step);
  if (const auto limit = card.get<Celsius>("iron-limit")) check_limit(facts, step, id, tip, *limit, yield);
  if (const auto time = card.get<Seconds>("iron-time")) check_time(facts, step, id, dwell_of(card, wire == nullptr || !wire->yes("lead"), wire), *time, yield);
}

/// What the iron comes to beside what it puts in: the parts that the step names one by one. A subassembly or a whole board
/// that it works on says nothing of the parts in it.
std::set<PartId> named_beside(const Facts& facts, const job::Step& step) {
  std::set<PartId> parts(step.touches.begin(), step.touches.end());
  parts.insert(step.on);
  for (const job::Installs& i : step.installs) {
    for (const PartId& id : facts.job.within(i.part)) parts.erase(id);
  }
  std::erase_if(parts, [&](const PartId& id) { return facts.job.part(id) == nullptr; });
  return parts;
}

/// The part stands loose in the board that the step solders on: put in by a step that does not solder, and this is the first iron listed
/// after that which names it, or else that puts nothing in itself.
bool solders_loose(const Facts& facts, const job::Step& step, const PartId& part) {
  const job::Step* in = facts.job.installer(part);
  if (in == nullptr || !(in < &step) || in->process.text != "fit" || in->on != step.on || !facts.card_of(step.on).yes("board")) return false;
  const std::string name = lower(called(*facts.job.part(part)));
  const job::Step *named = nullptr, *plain = nullptr;
  for (const job::Step& s : facts.job.steps) {
    if (s.process.text != "hand-solder" || !(in < &s)) continue;
    if (has(s.touches, part) || s.on == part) return false;
    if (s.on != step.on) continue;
    if (named == nullptr && step_words(s).find(name) != std::string::npos) named = &s;
    if (plain == nullptr && s.installs.empty()) plain = &s;
  }
  return (named == nullptr ? plain : named) == &step;
}

/// Parts near the joint that would suffer from its heat: those that do not bear molten solder.
void shield(const Facts& facts, const job::Step& step, const PartId& id, Celsius melts, Yield& yield) {
  constexpr double kReach = 5;  // mm from the iron, common practice
  const job::Part* own = facts.job.part(id);
  if (own == nullptr || own->assembly.empty()) return;
  if (board_of(facts, own->assembly) == nullptr) return;
  std::vector<std::string> near;
  for (const job::Part& other : facts.job.parts) {
    if (other.id == id || other.assembly != own->assembly || other.jig || facts.card_of(other.id).yes("board")) continue;
    const auto limit = heat_limit_of(facts, other.id, false);
    if (!limit || limit->low >= melts) continue;
    const bool close = std::any_of(own->places.begin(), own->places.end(), [&](const job::Placement& a) {
      return std::any_of(other.places.begin(), other.places.end(), [&](const job::Placement& b) { return std::hypot(a.at_mm[0] - b.at_mm[0], a.at_mm[1] - b.at_mm[1], a.at_mm[2] - b.at_mm[2]) <= kReach; });
    });
    if (close) near.push_back(fmt::format("{} ({} degC)", facts.name(other.id), number(limit->low.value, 0)));
  }
  if (near.empty()) return;
  auto f = finding(kRule, plan::Severity::note, step, fmt::format("within {} mm of {} lies what does not bear molten solder: {}", number(kReach, 0), facts.name(id), listed(near)), "shield it from the iron, or put it in afterwards", practice());
  f.parts = {id};
  yield.findings.push_back(std::move(f));
}

}  // namespace

void iron(const Facts& facts, const job::Step& step, Yield& yield) {
  if (!by_iron(step)) return;
  const auto uses = [&](auto kind) { return std::any_of(step.tools.begin(), step.tools.end(), [&](const job::ToolUse& t) { return kind(facts, t); }); };
  const bool air_alone = uses(hot_air) && !uses(an_iron);
  const auto tip = tip_of(facts, step);
  const catalogue::Card* wire = wire_of(facts, step);
  if (tip) check_tip(facts, step, *tip, solder::iron_setting(wire == nullptr || !wire->yes("lead"), solder::JointKind::surface), yield);
  say_unread(facts, step, yield);
  const auto liquidus = wire == nullptr ? std::nullopt : wire->get<Celsius>("liquidus");
  for (const job::Installs& i : step.installs) {
    for (const PartId& id : facts.job.within(i.part)) {
      if (!air_alone) check_part(facts, step, id, tip, yield);
      shield(facts, step, id, liquidus ? liquidus->low : Celsius(217), yield);
    }
  }
  if (air_alone) return;
  for (const PartId& id : named_beside(facts, step)) check_part(facts, step, id, tip, yield);
  for (const job::Part& part : facts.job.parts) {
    if (solders_loose(facts, step, part.id)) check_part(facts, step, part.id, tip, yield);
  }
}

}  // namespace handlot::rules
