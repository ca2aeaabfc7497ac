#include "reflow/window.h"

#include <fmt/format.h>

#include <algorithm>

#include "core/text.h"

namespace handlot::reflow {

std::string_view word(FigureKind kind) {
  switch (kind) {
    case FigureKind::rise:
      return "rise";
    case FigureKind::rise_above:
      return "rise-above";
    case FigureKind::soak:
      return "soak";
    case FigureKind::above:
      return "above";
    case FigureKind::near_peak:
      return "near-peak";
    case FigureKind::peak:
      return "peak";
    case FigureKind::fall:
      return "fall";
    case FigureKind::fall_mean:
      return "fall-mean";
    case FigureKind::time_to_peak:
      return "time-to-peak";
  }
  return "";
}

std::string_view unit(FigureKind kind) {
  switch (kind) {
    case FigureKind::rise:
    case FigureKind::rise_above:
    case FigureKind::fall:
    case FigureKind::fall_mean:
      return "K/s";
    case FigureKind::peak:
      return "degC";
    case FigureKind::soak:
    case FigureKind::above:
    case FigureKind::near_peak:
    case FigureKind::time_to_peak:
      return "s";
  }
  return "";
}

std::string describe(const Criterion& c) {
  const auto degrees = [](Celsius t) { return number(t.value, 1); };
  switch (c.kind) {
    case FigureKind::rise:
      return fmt::format("steepest rise over {} s{}", number(c.window.value, 1), c.until ? fmt::format(" up to {} degC", degrees(*c.until)) : "");
    case FigureKind::rise_above:
      return fmt::format("mean rise from {} degC to peak", degrees(c.level));
    case FigureKind::soak:
      return fmt::format("rising from {} to {} degC", degrees(c.level), degrees(c.level2));
    case FigureKind::above:
      return fmt::format("time above {} degC", degrees(c.level));
    case FigureKind::near_peak:
      return fmt::format("time within {} K of the peak", number(c.within.value, 1));
    case FigureKind::peak:
      return "peak";
    case FigureKind::fall:
      return fmt::format("steepest fall over {} s{}", number(c.window.value, 1), c.until ? fmt::format(" from peak to {} degC", degrees(*c.until)) : "");
    case FigureKind::fall_mean:
      return fmt::format("mean fall from peak to {} degC", degrees(c.level));
    case FigureKind::time_to_peak:
      return fmt::format("time from {} degC to peak", degrees(c.level));
  }
  return "";
}

namespace {

Criterion base(FigureKind kind, const Range& range, const std::string& who) {
  Criterion c;
  c.kind = kind;
  c.low = range.low;
  c.high = range.high;
  c.who = who;
  c.source = range.source;
  return c;
}

/// Too fast breaks parts at any heat. Too slow makes a coarse joint while the solder sets: a board that cools fast only once
/// the joints are solid has cooled too slowly.
void add_fall(std::vector<Criterion>& all, const PasteWindow& paste, const std::string& who) {
  constexpr Kelvin kSet(20);  // below liquidus, where the solders here are solid [practice]
  all.push_back(base(FigureKind::fall, *paste.fall, who));
  all.back().window = paste.slope_window;
  if (!paste.fall->high || *paste.fall->high >= 0) return;
  all.back().until = paste.liquidus - kSet;
  if (!paste.fall->low) return;
  all.push_back(base(FigureKind::fall, {paste.fall->low, {}, paste.fall->source}, who));
  all.back().window = paste.slope_window;
}

void add_paste(std::vector<Criterion>& all, const PasteWindow& paste) {
  const std::string who = "paste " + (paste.id.empty() ? paste.name : paste.id);
  if (paste.rise) {
    all.push_back(base(FigureKind::rise, *paste.rise, who));
    all.back().window = paste.slope_window;
  }
  if (paste.preheat) {
    all.push_back(base(FigureKind::rise, *paste.preheat, who));
    all.back().window = paste.slope_window;
    all.back().until = paste.preheat_to.value_or(paste.liquidus);
  }
  if (paste.soak && (paste.soak->high || !paste.straight_ramp)) {
    all.push_back(base(FigureKind::soak, *paste.soak, who));
    if (paste.straight_ramp) all.back().low.reset();
    all.back().level = paste.soak_from;
    all.back().level2 = paste.soak_to;
  }
  if (paste.above) {
    all.push_back(base(FigureKind::above, *paste.above, who));
    all.back().level = paste.liquidus;
    all.back().spoils = true;
  }
  if (paste.peak) {
    all.push_back(base(FigureKind::peak, *paste.peak, who));
    all.back().spoils = true;
  }
  if (!paste.id.empty() && !says_melting(paste)) {
    all.push_back(base(FigureKind::peak, {paste.liquidus.value, {}, paste.liquidus_source}, who));
    all.back().spoils = true;
  }
  if (paste.near_peak) all.push_back(base(FigureKind::near_peak, *paste.near_peak, who));
  if (paste.fall) add_fall(all, paste, who);
  if (paste.time_to_peak) {
    all.push_back(base(FigureKind::time_to_peak, *paste.time_to_peak, who));
    all.back().level = Celsius(25);
  }
}

void add_part(std::vector<Criterion>& all, const PartLimit& part, Seconds slope_window) {
  const std::string who = "part " + part.part;
  const auto first = static_cast<std::ptrdiff_t>(all.size());
  if (part.peak) all.push_back(base(FigureKind::peak, {{}, part.peak->value, part.source}, who));
  if (part.peak && part.near_tc) {
    all.push_back(base(FigureKind::above, {{}, part.near_tc->value, part.source}, who));
    all.back().level = *part.peak - Kelvin(5);
  }
  if (part.above) {
    all.push_back(base(FigureKind::above, *part.above, who));
    all.back().level = part.above_level;
  }
  if (part.rise) {
    all.push_back(base(FigureKind::rise, {{}, part.rise->value, part.source}, who));
    all.back().window = slope_window;
  }
  std::for_each(all.begin() + first, all.end(), [](Criterion& c) { c.spoils = true; });
}

Range practice(double low, double high) {
  return {low, high, {"", "", Standing::practice}};
}

}  // namespace

bool says_melting(const PasteWindow& paste) { return (paste.above && paste.above->low) || (paste.peak && paste.peak->low); }

std::vector<Criterion> criteria(const PasteWindow& paste, const std::vector<PartLimit>& parts) {
  std::vector<Criterion> all;
  add_paste(all, paste);
  for (const PartLimit& part : parts) add_part(all, part, paste.slope_window);
  return all;
}

std::optional<PasteWindow> practice_window(std::string_view family) {
  PasteWindow w;
  w.id = std::string(family);
  w.rise = practice(0.5, 2.5);
  w.soak = practice(60, 120);
  w.above = practice(40, 90);
  w.fall = practice(-4, -1);
  if (family == "sac305") {
    w.name = "SAC305, small oven";
    w.liquidus = Celsius(217);
    w.soak_from = Celsius(150), w.soak_to = Celsius(200);
    w.peak = practice(235, 250);
  } else if (family == "sn63") {
    w.name = "Sn63Pb37, small oven";
    w.liquidus = Celsius(183);
    w.soak_from = Celsius(100), w.soak_to = Celsius(150);
    w.peak = practice(205, 225);
  } else if (family == "snbiag") {
    w.name = "Sn42Bi57Ag1, small oven";
    w.liquidus = Celsius(138);
    w.soak_from = Celsius(90), w.soak_to = Celsius(130);
    w.peak = practice(160, 180);
  } else {
    return std::nullopt;
  }
  w.liquidus_source = {"ALASIR", "row " + w.id, Standing::read};
  return w;
}

}  // namespace handlot::reflow
