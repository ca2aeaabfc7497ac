// The peak that a board is passed at lies where its paste melts and is not burnt.
#include <fmt/format.h>

#include <optional>

#include "core/text.h"
#include "input/units.h"
#include "rules/board_work.h"
#include "rules/rules.h"
#include "rules/saying.h"

namespace handlot::rules {

namespace {

constexpr double kAside = 5;  // kelvin: a thermocouple under tape errs by as much (common practice, no source)

/// The limits of a check that speaks of the peak, in degC; empty for any other check and for a unit of something else.
std::optional<input::Amount> peak_passed(const job::CheckLine& check) {
  if (!check.limit || lower(check.id + " " + check.what).find("peak") == std::string::npos) return std::nullopt;
  const auto read = input::read_amount(fmt::format("{}..{} {}", check.limit->low, check.limit->high, check.unit), input::Dimension::temperature, {-300, 1000});
  return read ? std::optional(*read) : std::nullopt;
}

}  // namespace

void peak_limit(const Facts& facts, const job::Step& step, Yield& yield) {
  if (step.process.text != "reflow") return;
  if (const catalogue::Card* paste = paste_of(facts, step)) {
    const auto liquidus = paste->get<Celsius>("liquidus"), peak = paste->get<Celsius>("peak");
    for (const job::CheckLine& check : step.checks) {
      const auto passed = peak_passed(check);
      if (!passed) continue;
      const double low = passed->low, high = passed->high;
      const auto say_it = [&](plan::Severity severity, const std::string& message, const Source& source) {
        const std::string window = peak ? fmt::format("{} to {} degC", number(peak->low.value, 0), number(peak->high.value, 0)) : "above its liquidus";
        auto f = finding("peak-limit", severity, step, message, fmt::format("take limits within {}", window), source);
        f.place = check.place;
        yield.findings.push_back(std::move(f));
      };
      if (liquidus && low < liquidus->high.value)
        say_it(plan::Severity::stop, fmt::format("{} passes a peak of {} degC, and {} melts at {} degC", say(step), number(low, 0), paste->name, number(liquidus->high.value, 0)), liquidus->source);
      else if (peak && (low < peak->low.value - kAside || high > peak->high.value + kAside))
        say_it(plan::Severity::warn, fmt::format("{} passes a peak of {} to {} degC, and {} asks for {} to {} degC", say(step), number(low, 0), number(high, 0), paste->name,
                                                 number(peak->low.value, 0), number(peak->high.value, 0)), peak->source);
    }
  }
}

}  // namespace handlot::rules
