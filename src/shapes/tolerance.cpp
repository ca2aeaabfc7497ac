#include "shapes/tolerance.h"

#include <fmt/format.h>

#include <cmath>

#include "core/text.h"

namespace handlot::shapes {

Result<Making> usual_making(std::string_view word) {
  const Source practice{"", "", Standing::practice};
  const struct {
    std::string_view word;
    double tolerance;
    Source source;
  } known[] = {{"printed", 0.2, {"PRINTING", "untuned machine", Standing::read}},
               {"milled", 0.05, practice},
               {"turned", 0.03, practice},
               {"laser-cut", 0.1, practice},
               {"sawn", 0.5, practice},
               {"bought", 0.1, practice}};
  std::vector<std::string> words;
  for (const auto& k : known) {
    if (k.word == word) return Making{Millimetres(k.tolerance), k.source};
    words.emplace_back(k.word);
  }
  const auto meant = closest(word, words);
  return fail(
      error("making-unknown", {}, fmt::format("no way of making is called '{}'", word),
            meant ? fmt::format("write '{}'", *meant) : fmt::format("write one of {}", listed(words))));
}

Chain chain(const std::vector<Link>& links) {
  double nominal = 0, middle = 0, half_sum = 0, square_sum = 0;
  for (const Link& link : links) {
    const double size = link.measured ? link.measured->value : link.nominal.value;
    const double minus =
        link.measured ? link.measured_error.value_or(Millimetres(0)).value : link.minus.value;
    const double plus = link.measured ? minus : link.plus.value;
    nominal += link.sign * size;
    middle += link.sign * (size + (plus - minus) / 2);
    half_sum += (plus + minus) / 2;
    square_sum += (plus + minus) * (plus + minus) / 4;
  }
  const double rss = std::sqrt(square_sum);
  return {Millimetres(nominal), Millimetres(middle - half_sum), Millimetres(middle + half_sum),
          Millimetres(middle - rss), Millimetres(middle + rss)};
}

GapVerdict judge_gap(const std::vector<Link>& links, Millimetres asked) {
  constexpr double kEven = 1e-9;  // mm, of sums of decimals
  GapVerdict verdict{GapVerdict::Kind::fails, chain(links), asked};
  if (verdict.chain.rss_low.value >= asked.value - kEven) verdict.kind = GapVerdict::Kind::likely;
  if (verdict.chain.worst_low.value >= asked.value - kEven) verdict.kind = GapVerdict::Kind::holds;
  return verdict;
}

std::string say(const GapVerdict& v) {
  return fmt::format("{} mm asked: {} to {} mm at worst, {} to {} mm nearly always", number(v.asked.value),
                     number(v.chain.worst_low.value), number(v.chain.worst_high.value),
                     number(v.chain.rss_low.value), number(v.chain.rss_high.value));
}

}  // namespace handlot::shapes
