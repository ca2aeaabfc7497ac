#include "solder/stencil.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <map>
#include <numbers>

#include "core/text.h"

namespace handlot::solder {

namespace {
constexpr double kPi = std::numbers::pi;
}

double area_ratio(SquareMillimetres area, Millimetres perimeter, Millimetres foil) {
  assert(perimeter.value > 0 && foil.value > 0);
  return area.value / (perimeter.value * foil.value);
}
double area_ratio_rectangle(Millimetres l, Millimetres w, Millimetres foil) {
  return area_ratio(SquareMillimetres(l.value * w.value), 2 * (l + w), foil);
}
double area_ratio_circle(Millimetres d, Millimetres foil) {
  return d.value / (4 * foil.value);
}
double area_ratio_rounded(Millimetres l, Millimetres w, Millimetres radius, Millimetres foil) {
  const double r = radius.value;
  assert(2 * r <= std::min(l.value, w.value) + 1e-12);
  return area_ratio(SquareMillimetres(l.value * w.value - (4 - kPi) * r * r),
                    Millimetres(2 * (l + w).value - (8 - 2 * kPi) * r), foil);
}
double area_ratio_obround(Millimetres l, Millimetres w, Millimetres foil) {
  const double straight = l.value - w.value;
  return area_ratio(SquareMillimetres(straight * w.value + kPi * w.value * w.value / 4),
                    Millimetres(2 * straight + kPi * w.value), foil);
}
double aspect_ratio(Millimetres width, Millimetres foil) {
  return width / foil;
}
Millimetres smallest_square(Millimetres foil, double ratio) {
  return foil * (4 * ratio);
}

StencilRules stencil_rules() {
  return {0.66, 1.5, {"IPC7525", "area and aspect ratio", Standing::read}};
}

double planned_transfer(double ratio) {
  // Planning values [practice]; published measurements are figures only. Straight lines between them.
  constexpr std::array<std::pair<double, double>, 6> kPoints{
      {{0.40, 0.30}, {0.50, 0.50}, {0.60, 0.65}, {0.66, 0.75}, {0.75, 0.85}, {1.00, 0.95}}};
  if (ratio <= kPoints.front().first)
    return std::max(0.0, kPoints.front().second * ratio / kPoints.front().first);
  for (std::size_t i = 0; i + 1 < kPoints.size(); ++i) {
    if (ratio > kPoints[i + 1].first) continue;
    const double share = (ratio - kPoints[i].first) / (kPoints[i + 1].first - kPoints[i].first);
    return kPoints[i].second + share * (kPoints[i + 1].second - kPoints[i].second);
  }
  return kPoints.back().second;
}

namespace {

constexpr double kTie = 1e-9;
constexpr double kSameRatio = 0.0005;  // a ratio that reads as the limit with three decimals passes

std::string size_of(const Opening& o) { return fmt::format("{} {} x {} mm", word(o.shape), number(o.length.value, 3), number(o.width.value, 3)); }

std::string doubts(const OpeningCheck& c, const Opening& o, const StencilJob& job, const StencilRules& rules,
                   const Powder& balls) {
  std::vector<std::string> parts;
  if (c.area_ratio_low)
    parts.push_back(
        fmt::format("area ratio {} is under {}", number(c.area_ratio, 3), number(rules.area_ratio, 2)));
  if (c.aspect_low)
    parts.push_back(
        fmt::format("aspect ratio {} is under {}", number(c.aspect_ratio, 3), number(rules.aspect_ratio, 2)));
  if (c.too_few_balls) {
    parts.push_back(fmt::format("{} mm is less than five balls of type {} powder ({} mm)",
                                number(o.width.value, 3), job.powder_type,
                                number(smallest_aperture(balls).value, 3)));
  }
  return parts.empty() ? "" : listed(parts);
}

OpeningCheck check_one(const Opening& o, std::size_t index, const StencilJob& job, const StencilRules& rules,
                       const Powder& balls) {
  OpeningCheck c;
  c.opening = index;
  c.area_ratio = area_ratio(o.area, o.perimeter, job.foil);
  c.aspect_ratio = aspect_ratio(o.width, job.foil);
  c.balls = o.width / balls.largest;
  c.volume = CubicMillimetres(o.area.value * job.foil.value);
  c.printed = c.volume * job.transfer.value_or(planned_transfer(c.area_ratio));
  c.area_ratio_low = c.area_ratio < rules.area_ratio - kSameRatio;
  c.aspect_low = c.aspect_ratio < rules.aspect_ratio - kSameRatio;
  c.too_few_balls = o.width.value < smallest_aperture(balls).value - kTie;
  const std::string doubt = doubts(c, o, job, rules, balls), name = name_of(o);
  if (doubt.empty()) return c;
  c.kind = fmt::format("{}: {}", size_of(o), doubt);
  c.text = fmt::format("{}{} at {}, {}: {}", name.empty() ? "" : name + ", ", size_of(o), number(o.centre.x, 2), number(o.centre.y, 2), doubt);
  return c;
}

/// Thickest foil that keeps both ratios for every opening.
Millimetres thickest_foil(const Layer& layer, const StencilRules& rules) {
  double thickest = 1e300;
  for (const Opening& o : layer.openings) {
    thickest = std::min(thickest, o.area.value / o.perimeter.value / rules.area_ratio);
    thickest = std::min(thickest, o.width.value / rules.aspect_ratio);
  }
  return Millimetres(thickest);
}

Millimetres narrowest(const Layer& layer) {
  double width = 1e300;
  for (const Opening& o : layer.openings) width = std::min(width, o.width.value);
  return Millimetres(width);
}

Millimetres layer_width(const Layer& layer) {
  double low = 1e300, high = -1e300;
  for (const Opening& o : layer.openings) low = std::min(low, o.low.x), high = std::max(high, o.high.x);
  return Millimetres(high - low);
}

void weigh(StencilCheck& check, const Layer& layer, const StencilJob& job) {
  if (!job.paste_density) {
    check.notes.push_back("no mass: the paste's density is not known (metal share and alloy density)");
    return;
  }
  const double grams_per_mm3 = job.paste_density->value / 1000;
  check.paste_per_board = Grams(check.printed.value * grams_per_mm3);
  const Millimetres squeegee = job.squeegee.value_or(layer_width(layer) + Millimetres(20));
  check.paste_bead =
      Grams(kPi * job.bead_diameter.value * job.bead_diameter.value / 4 * squeegee.value * grams_per_mm3);
  check.paste_lot = *check.paste_per_board * job.boards + *check.paste_bead;
  check.notes.push_back(
      fmt::format("the bead is {} mm thick and {} mm long ({}); what is left of it goes back to its own jar "
                  "or is thrown away",
                  number(job.bead_diameter.value, 1), number(squeegee.value, 0), describe(job.bead_source)));
}

}  // namespace

std::string name_of(const Opening& o) { return o.component.empty() || o.pin.empty() ? o.component : o.component + "." + o.pin; }

Result<StencilCheck> check_stencil(const Layer& layer, const StencilJob& job, const StencilRules& rules) {
  assert(job.foil.value > 0 && job.boards >= 1);
  if (layer.openings.empty()) {
    return fail(error("stencil-no-openings", {layer.file, 0, 0}, "the layer has no openings",
                      "give the paste layer, not the outline or the drill file"));
  }
  const Powder* balls = powder(job.powder_type);
  if (!balls) {
    return fail(error("stencil-unknown-powder", {},
                      fmt::format("there is no powder of type {}", job.powder_type),
                      "write 3, 4, 5, 6 or 7"));
  }
  StencilCheck check;
  for (std::size_t i = 0; i < layer.openings.size(); ++i) {
    check.openings.push_back(check_one(layer.openings[i], i, job, rules, *balls));
    const OpeningCheck& c = check.openings.back();
    check.doubtful += c.doubtful() ? 1 : 0;
    check.volume += c.volume;
    check.printed += c.printed;
  }
  check.thickest = thickest_foil(layer, rules);
  for (const Millimetres foil : job.foils) {
    const bool serves = foil.value <= check.thickest->value + kTie;
    if (serves && (!check.foil_that_serves || foil > *check.foil_that_serves)) check.foil_that_serves = foil;
  }
  check.powder_that_serves = coarsest_type(narrowest(layer));
  weigh(check, layer, job);
  if (!job.transfer)
    check.notes.push_back(
        "how much of each opening is printed is planned from its area ratio, +-15 points (common practice, "
        "no source)");
  const bool small_low = std::any_of(check.openings.begin(), check.openings.end(), [](const OpeningCheck& c) {
    return c.area_ratio_low && c.area_ratio >= 0.45;
  });
  if (small_low)
    check.notes.push_back(
        "makers of fine pastes claim prints at area ratios from 0.45 on with their own paste: their claim, "
        "on their board");
  return check;
}

std::vector<std::vector<const OpeningCheck*>> doubts_alike(const Layer& layer, const StencilCheck& check) {
  std::vector<const OpeningCheck*> doubtful;
  for (const OpeningCheck& c : check.openings) {
    if (c.doubtful()) doubtful.push_back(&c);
  }
  std::stable_sort(doubtful.begin(), doubtful.end(), [&](const auto* a, const auto* b) { return layer.openings[a->opening].line < layer.openings[b->opening].line; });
  std::vector<std::vector<const OpeningCheck*>> groups;
  std::map<std::string, std::size_t> group_of;
  for (const OpeningCheck* c : doubtful) {
    const auto [at, fresh] = group_of.emplace(c->kind, groups.size());
    if (fresh) groups.emplace_back();
    groups[at->second].push_back(c);
  }
  return groups;
}

std::vector<std::string> doubts_in_words(const Layer& layer, const StencilCheck& check) {
  constexpr std::size_t kPlaces = 12;
  std::vector<std::string> lines;
  for (const auto& alike : doubts_alike(layer, check)) {
    std::vector<std::string> places;
    for (std::size_t i = 0; i < std::min(alike.size(), kPlaces); ++i) {
      const Opening& o = layer.openings[alike[i]->opening];
      places.push_back(fmt::format("{}{}({}, {})", name_of(o), name_of(o).empty() ? "" : " ", number(o.centre.x, 2), number(o.centre.y, 2)));
    }
    const Point first = layer.openings[alike.front()->opening].centre;
    const std::string more = alike.size() > kPlaces ? fmt::format(" and {} more", alike.size() - kPlaces) : "";
    lines.push_back(alike.size() == 1 ? fmt::format("doubtful at ({}, {}) mm: {}", number(first.x, 2), number(first.y, 2), alike.front()->text)
                                      : fmt::format("{} alike are doubtful, {}; at {}{}, in mm", alike.size(), alike.front()->kind, fmt::join(places, " "), more));
  }
  return lines;
}

std::string what_serves(const StencilCheck& check) {
  const auto any = [&](bool OpeningCheck::*doubt) { return std::any_of(check.openings.begin(), check.openings.end(), [&](const OpeningCheck& c) { return c.*doubt; }); };
  std::vector<std::string> ways;
  if (any(&OpeningCheck::area_ratio_low) || any(&OpeningCheck::aspect_low)) {
    if (!check.foil_that_serves) return "widen these openings: no usual foil is thin enough for them";
    ways.push_back(fmt::format("a foil of {} mm", number(check.foil_that_serves->value)));
  }
  if (any(&OpeningCheck::too_few_balls)) {
    if (!check.powder_that_serves) return "widen these openings: no usual powder is fine enough for them";
    ways.push_back(fmt::format("a paste of powder type {}", *check.powder_that_serves));
  }
  return listed(ways) + " would serve";
}

Diagnostics not_paste(const Layer& layer) {
  if (layer.function.empty() || lower(layer.function).starts_with("paste")) return {};
  return {warning("stencil-not-paste", {layer.file, 0, 0}, fmt::format("the file says that it is '{}', and a stencil is cut from the paste layer", layer.function), "give the paste layer")};
}

namespace {

/// Pads that a paste layer has no opening for, as a rule (Gerber format, table of .AperFunction values).
bool may_be_bare(std::string_view function) {
  for (const std::string_view bare : {"ComponentPad", "ViaPad", "FiducialPad", "TestPad", "ConnectorPad", "CastellatedPad", "WasherPad", "ComponentDrill", "ViaDrill", "Conductor"}) {
    if (function == bare) return true;
  }
  return false;
}

}  // namespace

std::vector<Pad> pads_of(const Layer& layer) {
  std::vector<Pad> pads;
  for (const Opening& o : layer.openings) {
    const bool tall = o.high.y - o.low.y > o.high.x - o.low.x;
    pads.push_back({o.component, o.pin, o.centre, o.length,
                    Millimetres(o.area.value / std::max(1e-9, o.length.value)), Degrees(tall ? 90 : 0),
                    true, may_be_bare(o.function), o.shape == Shape::circle});
  }
  return pads;
}

}  // namespace handlot::solder
