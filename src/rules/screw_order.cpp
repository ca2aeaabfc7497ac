// Several screws round one part are drawn down crosswise: which after which, as seen on the heads.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "joints/screws.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/screw_facts.h"

namespace handlot::rules {

namespace {

bool says(const job::Step& step, std::initializer_list<std::string_view> words) {
  return std::any_of(step.actions.begin(), step.actions.end(), [&](const std::string& line) {
    return std::any_of(words.begin(), words.end(), [&](std::string_view w) { return line.find(w) != std::string::npos; });
  });
}

/// Where the heads stand for one who looks at them, x to the right and y away; empty when they do not all face one way.
/// A screw's own +z leads out of its head. Up in the picture is the device's +z, or +y where one looks along z.
std::vector<joints::PlanePoint> seen(const job::Part& screw) {
  using shapes::Vec3;
  std::vector<joints::PlanePoint> at;
  if (screw.places.empty()) return at;
  const Vec3 towards = bodies::placed(screw.places.front()).direction({0, 0, 1});
  const Vec3 up_hint = std::abs(towards.z) > 0.7 ? Vec3{0, 1, 0} : Vec3{0, 0, 1};
  const Vec3 right = shapes::cross(up_hint, towards), up = shapes::cross(towards, right);
  for (const job::Placement& p : screw.places) {
    const shapes::Placement place = bodies::placed(p);
    if (shapes::dot(place.direction({0, 0, 1}), towards) < 0.99) return {};
    at.push_back({shapes::dot(place.shift, right), shapes::dot(place.shift, up)});
  }
  return at;
}

/// Numbers the heads clockwise from the one at the upper left, and says the order in these numbers: "1, 3, 2, 4".
std::string order_words(std::vector<joints::PlanePoint> at) {
  const double n = static_cast<double>(at.size());
  const joints::PlanePoint centre{std::accumulate(at.begin(), at.end(), 0.0, [](double s, const auto& p) { return s + p.x; }) / n,
                                  std::accumulate(at.begin(), at.end(), 0.0, [](double s, const auto& p) { return s + p.y; }) / n};
  const auto clock = [&](const joints::PlanePoint& p) {  // from the upper left, clockwise
    const double a = 0.75 * std::numbers::pi - std::atan2(p.y - centre.y, p.x - centre.x);
    const double full = 2 * std::numbers::pi, turn = std::fmod(a + 2 * full, full);
    return turn > full - 1e-6 ? 0.0 : turn;
  };
  std::sort(at.begin(), at.end(), [&](const auto& a, const auto& b) { return clock(a) < clock(b); });
  std::string words;
  for (const std::size_t i : joints::crosswise(at)) words += (words.empty() ? "" : ", ") + fmt::format("{}", i + 1);
  return words;
}

}  // namespace

void screw_order(const Facts& facts, const job::Step& step, Yield& yield) {
  if (says(step, {"cross", "diagonal", "in turn", "opposite"})) return;
  for (const job::Installs& i : step.installs) {
    const job::Part* screw = facts.job.part(i.part);
    if (screw == nullptr || facts.card(screw->card).kind != catalogue::CardKind::screw) continue;
    const int count = i.count > 0 ? i.count : screw->count;
    if (count < 3 || screw->clamps.empty() || adjusts(facts, *screw)) continue;
    const std::vector<joints::PlanePoint> at = count == static_cast<int>(screw->places.size()) ? seen(*screw) : std::vector<joints::PlanePoint>{};
    std::string text = fmt::format("Draw the {} {} down crosswise in two rounds, first until the heads touch, then tight", count, called(*screw));
    if (!at.empty()) text += fmt::format(": {} (counted clockwise on the heads from the upper left)", order_words(at));
    yield.hints.push_back({step.id, {RuleId("screw-order"), std::move(text), practice()}});
  }
}

}  // namespace handlot::rules
