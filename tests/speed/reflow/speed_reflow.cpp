// speed_reflow: how long a log takes to read and judge, and how that grows with its rows. CPU time of this
// process.
#include <fmt/format.h>

#include <cmath>
#include <ctime>
#include <string>

#include "reflow/verdict.h"

using namespace handlot;
using namespace handlot::reflow;

namespace {

/// A pass of 500 s with `rows` readings of two board channels and the air.
std::string made_log(int rows) {
  std::string text = "time_s,board_a_C,board_b_C\n";
  text.reserve(static_cast<std::size_t>(rows) * 24);
  for (int i = 0; i < rows; ++i) {
    const double t = 500.0 * i / rows;
    const double top =
        25 + 218 * std::exp(-std::pow((t - 300) / 110, 2)) + 60 * std::exp(-std::pow((t - 150) / 80, 2));
    fmt::format_to(std::back_inserter(text), "{:.4f},{:.2f},{:.2f}\n", t, top, top - 2);
  }
  return text;
}

double cpu() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

}  // namespace

int main() {
  double last = 0;
  for (const int rows : {62'500, 125'000, 250'000, 500'000, 1'000'000}) {
    const std::string text = made_log(rows);
    const double start = cpu();
    const auto log = read_log(text, "made.csv");
    const double read = cpu();
    if (!log) {
      fmt::print("{}", format(log.error().front()));
      return 1;
    }
    const Verdict verdict = judge(*log, criteria(*practice_window("sac305")));
    const double end = cpu();
    fmt::print("{:>8} rows: read {:.3f} s, judge {:.3f} s, together {:.3f} s", rows, read - start, end - read,
               end - start);
    if (last > 0) fmt::print(", growth {:.2f} for twice the rows", (end - start) / last);
    fmt::print(" ({})\n", word(verdict.answer));
    last = end - start;
  }
}
