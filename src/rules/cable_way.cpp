// A cable is as long as its way through the placed parts, closed and opened, bends gently and runs through nothing.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/text.h"
#include "rules/cable_facts.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"
#include "shapes/cables.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "cable-way";
using shapes::Vec3;

Vec3 vec(const std::array<double, 3>& v) { return {v[0], v[1], v[2]}; }

/// Where a point goes when a part is opened.
Vec3 opened_to(const job::Cable::Opened& o, Vec3 p) {
  const Vec3 about = vec(o.about_mm);
  const shapes::Placement turn = bodies::placed({{}, o.turn_deg});
  return turn.point(p - about) + about + vec(o.by_mm);
}

/// The way with the unit opened: what is tied to an opened part goes with it, and free stretches pull straight.
std::vector<Vec3> service_way(const Facts& facts, const job::Cable& cable) {
  std::vector<Vec3> way;
  for (std::size_t i = 0; i < cable.way.size(); ++i) {
    const job::Cable::Point& point = cable.way[i];
    if (point.of.empty() && i > 0 && i + 1 < cable.way.size()) continue;
    Vec3 at = vec(point.at_mm);
    for (const job::Cable::Opened& o : cable.opened) {
      if (!point.of.empty() && same_or_within(facts, point.of, o.part)) at = opened_to(o, at);
    }
    if (way.empty() || shapes::length(at - way.back()) > 1e-6) way.push_back(at);
  }
  return way;
}

/// Does a point tied to `tied` go along with the moving part: the same, or fixed to it?
bool goes_along(const Facts& facts, const job::Part& mover, const PartId& tied) {
  if (tied == mover.id) return true;
  if (facts.device == nullptr || facts.device->empty()) return false;
  const auto body = facts.device->bodies_of.find(mover.id), other = facts.device->bodies_of.find(tied);
  if (body == facts.device->bodies_of.end() || other == facts.device->bodies_of.end()) return false;
  return moves_with(facts, body->second.front()).has(other->second.front());
}

/// The longest way that the cable has to bridge while the part moves, pulled straight between what it is tied to.
std::vector<Vec3> longest_way(const Facts& facts, const job::Cable& cable, const job::Part& mover) {
  constexpr int kSteps = 72;
  std::vector<Vec3> longest;
  double most = -1;
  const bool slides = mover.motion == "slide";
  const double from = mover.motion_from.value_or(0), to = mover.motion_to.value_or(slides ? 0 : 360);
  std::vector<bool> along;
  for (const job::Cable::Point& point : cable.way) along.push_back(goes_along(facts, mover, point.of));
  for (int k = 0; k <= kSteps; ++k) {
    std::vector<Vec3> way;
    double length = 0;
    for (std::size_t i = 0; i < cable.way.size(); ++i) {
      const job::Cable::Point& point = cable.way[i];
      if (point.of.empty() && i > 0 && i + 1 < cable.way.size()) continue;
      Vec3 at = vec(point.at_mm);
      if (along[i]) at = moved(mover, mover.places.front(), from + (to - from) * k / kSteps, at);
      const double far = way.empty() ? 1 : shapes::length(at - way.back());
      if (far <= 1e-6) continue;
      length += way.empty() ? 0 : far;
      way.push_back(at);
    }
    if (length > most + 1e-9) longest = way, most = length;
  }
  return longest;
}

/// What the way has to keep out of: everything modelled but the cable and what it is tied to.
shapes::PartSet in_its_way(const Facts& facts, const job::Cable& cable, std::size_t parts) {
  shapes::PartSet set(parts);
  if (facts.device == nullptr) return set;
  const bodies::Device& d = *facts.device;
  for (std::size_t i = 0; i < parts; ++i) {
    const PartId& part = d.part_of[i];
    const bool tied = std::any_of(cable.way.begin(), cable.way.end(), [&](const job::Cable::Point& p) { return same_or_within(facts, p.of, part); });
    if (part != cable.part && !tied) set.add(i);
  }
  return set;
}

struct Way {
  std::string name;  ///< in sentences
  const job::Cable* cable = nullptr;
  shapes::Cable asked;
  Source bend_source;
};

std::optional<Way> way_of(const Facts& facts, const job::Cable& cable) {
  if (cable.way.size() < 2) return std::nullopt;
  Way w;
  w.name = facts.name(cable.part);
  w.cable = &cable;
  w.asked.id = w.name;
  w.asked.length = cable.length.value_or(Millimetres(0));
  const catalogue::Card& card = facts.card_of(cable.part);
  if (const auto outer = card.get<Millimetres>("outer-diameter")) w.asked.diameter = outer->high;
  if (const auto least = least_bend(card)) {
    w.asked.least_bend = least->low;
    w.bend_source = least->source;
  }
  w.asked.slack_wanted = cable.slack.value_or(Millimetres(0));
  for (const job::Cable::Point& p : cable.way) w.asked.closed_path.push_back(vec(p.at_mm));
  if (!cable.opened.empty()) w.asked.service_path = service_way(facts, cable);
  return w;
}

class Sayer {
 public:
  Sayer(const Way& way, Yield& yield) : way_(way), yield_(yield) {}

  void say(plan::Severity severity, std::string message, std::string mend, Source source = of_shapes(), const StepId& step = {}) {
    plan::Finding f = about_parts(kRule, severity, {way_.cable->part}, std::move(message), std::move(mend), way_.cable->place);
    f.source = std::move(source);
    if (!step.empty()) f.steps = {step};
    yield_.findings.push_back(std::move(f));
  }

 private:
  const Way& way_;
  Yield& yield_;
};

std::string mm(Millimetres m) { return number(m.value, 1) + " mm"; }

/// What the cable needs while the part moves; 0: it does not move, or stands in several places.
Millimetres travel_length(const Facts& facts, const Way& w, const job::Part& part) {
  const shapes::Scene nothing{shapes::Assembly{}};
  if (part.motion.empty() || part.places.size() != 1) return {};
  shapes::Cable asked = w.asked;
  asked.service_path = longest_way(facts, *w.cable, part);
  if (asked.service_path.size() < 2) return {};
  return shapes::check_cable(nothing, asked, shapes::PartSet(0)).service.front().length;
}

void say_length(const Facts& facts, const Way& w, const shapes::CableCheck& check, Sayer& sayer) {
  const job::Cable& cable = *w.cable;
  if (!cable.length) {
    Millimetres longest = check.closed.length + w.asked.slack_wanted;
    if (!check.service.empty()) longest = std::max(longest, check.service.front().length);
    for (const job::Part& part : facts.job.parts) longest = std::max(longest, travel_length(facts, w, part));
    sayer.say(plan::Severity::note, fmt::format("the cable {} needs {}: its way is {}{}", w.name, mm(Millimetres(std::ceil(longest.value))), mm(check.closed.length),
                                                check.service.empty() ? "" : fmt::format(" closed and {} opened", mm(check.service.front().length))),
              fmt::format("write length=\"{} mm\"", std::ceil(longest.value)));
    return;
  }
  if (!check.closed.long_enough) {
    sayer.say(plan::Severity::stop, fmt::format("the cable {} is {} long and its way in the closed unit {}", w.name, mm(*cable.length), mm(check.closed.length)), "take a longer cable, or a shorter way");
    return;
  }
  if (check.closed.slack < w.asked.slack_wanted) {
    sayer.say(plan::Severity::warn, fmt::format("the cable {} has {} of slack in the closed unit, and {} are wanted", w.name, mm(check.closed.slack), mm(w.asked.slack_wanted)), "take a longer cable");
  }
  if (check.service.empty() || check.service.front().long_enough) return;
  // A step that opens it so far can't be done; service, some day, is only harder.
  for (const job::Cable::Opened& o : cable.opened) {
    sayer.say(o.step.empty() ? plan::Severity::warn : plan::Severity::stop,
              fmt::format("the cable {} is {} long, and with {} opened it needs {}", w.name, mm(*cable.length), facts.name(o.part), mm(check.service.front().length)),
              "take a longer cable, or a plug that is pulled first", of_shapes(), o.step);
  }
}

void say_bend(const Way& w, const shapes::CablePath& path, const char* when, Sayer& sayer) {
  if (path.bend_ok || w.asked.least_bend.value <= 0) return;
  const Millimetres inside = std::max(Millimetres(0), path.tightest - w.asked.diameter * 0.5);
  sayer.say(plan::Severity::warn, fmt::format("the cable {} {} turns at ({}, {}, {}) within {}, and bears {}", w.name, when, number(w.asked.closed_path[path.corner].x, 1), number(w.asked.closed_path[path.corner].y, 1),
                                              number(w.asked.closed_path[path.corner].z, 1), mm(inside), mm(w.asked.least_bend)),
            "lead it round in a wider bow", w.bend_source);
}

void say_declared(const Way& w, const shapes::CableCheck& check, Sayer& sayer) {
  constexpr double kSame = 0.1;  // of the length
  const auto differs = [&](Millimetres said, Millimetres shown) { return std::abs((said - shown).value) > kSame * shown.value; };
  if (w.cable->closed_path && differs(*w.cable->closed_path, check.closed.length)) {
    sayer.say(plan::Severity::note, fmt::format("the way of the cable {} is said to be {}, and its points make {}", w.name, mm(*w.cable->closed_path), mm(check.closed.length)), "measure again, or drop closed-path");
  }
  if (w.cable->service_path && !check.service.empty() && differs(*w.cable->service_path, check.service.front().length)) {
    sayer.say(plan::Severity::note, fmt::format("the opened way of the cable {} is said to be {}, and its points make {}", w.name, mm(*w.cable->service_path), mm(check.service.front().length)), "measure again, or drop service-path");
  }
}

/// A cable tied to what turns or slides reaches over the whole range.
void say_travel(const Facts& facts, const Way& w, const shapes::CableCheck& closed, Sayer& sayer) {
  if (!w.cable->length || !closed.closed.long_enough) return;
  for (const job::Part& part : facts.job.parts) {
    const Millimetres needs = travel_length(facts, w, part);
    if (needs <= *w.cable->length) continue;
    sayer.say(plan::Severity::stop, fmt::format("the cable {} is {} long, and while {} moves it needs {}", w.name, mm(*w.cable->length), facts.name(part.id), mm(needs)), "take a longer cable, or let the part move less far");
  }
}

}  // namespace

void cable_way(const Facts& facts, Yield& yield) {
  const shapes::Scene nothing{shapes::Assembly{}};
  for (const job::Cable& cable : facts.job.cables) {
    const auto w = way_of(facts, cable);
    if (!w) continue;
    const bool modelled = facts.device != nullptr && !facts.device->empty();
    const shapes::Scene& scene = modelled ? *facts.device->scene : nothing;
    const shapes::CableCheck check = shapes::check_cable(scene, w->asked, in_its_way(facts, cable, scene.size()));
    Sayer sayer(*w, yield);
    say_length(facts, *w, check, sayer);
    say_travel(facts, *w, check, sayer);
    say_bend(*w, check.closed, "in the closed unit", sayer);
    say_declared(*w, check, sayer);
    std::vector<PartId> through;
    for (std::size_t body : check.closed.through) through.push_back(facts.device->part_of[body]);
    if (through.empty()) continue;
    plan::Finding f = about_parts(kRule, plan::Severity::warn, through, fmt::format("the way of the cable {} runs through {}", w->name, facts.name(through.front())), "lead it round, or tie the point to the part (of=...) if it goes through an opening there", cable.place);
    f.parts.insert(f.parts.begin(), cable.part);
    yield.findings.push_back(std::move(f));
  }
}

}  // namespace handlot::rules
