// The peak that a board reaches and is passed at lies where its paste melts and is not burnt.
#include <fmt/format.h>

#include <string>
#include <string_view>
#include <vector>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/heat.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr double kAside = 5;  // kelvin: a thermocouple under tape errs by as much (common practice, no source)

/// A peak of a step, by one of its checks or as it states what its parts reach: the hottest of them then, and no window.
struct Peak {
  double low, high;
  bool by_check = false;
  Place place;
};

std::vector<Peak> peaks_of(const job::Step& step) {
  std::vector<Peak> peaks;
  if (step.reaches) peaks.push_back({step.reaches->value, step.reaches->value, false, step.place});
  for (const job::CheckLine& check : step.checks) {
    if (const auto passed = peak_passed(check)) peaks.push_back({passed->low, passed->high, true, check.place});
  }
  return peaks;
}

std::string range(double low, double high) { return low == high ? number(low, 0) : fmt::format("{} to {}", number(low, 0), number(high, 0)); }

}  // namespace

void peak_limit(const Facts& facts, const job::Step& step, Yield& yield) {
  const catalogue::Card* paste = step.process.text == "reflow" ? paste_of(facts, step) : nullptr;
  if (paste == nullptr) return;
  const auto liquidus = paste->get<Celsius>("liquidus"), peak = paste->get<Celsius>("peak");
  for (const Peak& passed : peaks_of(step)) {
    const std::string_view verb = passed.by_check ? "passes a peak of" : "reaches";
    const auto say_it = [&](plan::Severity severity, const std::string& message, const Source& source) {
      const std::string window = peak ? fmt::format("within {} degC", range(peak->low.value, peak->high.value)) : "above its liquidus";
      auto f = finding("peak-limit", severity, step, message, fmt::format("{} {}", passed.by_check ? "take limits" : "let it reach what lies", window), source);
      f.place = passed.place;
      yield.findings.push_back(std::move(f));
    };
    if (liquidus && passed.low < liquidus->high.value)
      say_it(plan::Severity::stop, fmt::format("{} {} {} degC, and {} melts at {} degC", say(step), verb, number(passed.low, 0), paste->name, number(liquidus->high.value, 0)), liquidus->source);
    else if (peak && (passed.low < peak->low.value - kAside || (passed.by_check && passed.high > peak->high.value + kAside)))
      say_it(plan::Severity::warn, fmt::format("{} {} {} degC, and {} asks for {} degC", say(step), verb, range(passed.low, passed.high), paste->name, range(peak->low.value, peak->high.value)), peak->source);
  }
}

}  // namespace handlot::rules
