// verdict.h: a log held against a window: pass, fail, undecided or indicative, and what decides it.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "reflow/faults.h"
#include "reflow/figures.h"
#include "reflow/log.h"
#include "reflow/window.h"

namespace handlot::reflow {

/// A figure and how far off it may be: gaps, sensor error, scatter, slow sampling.
/// Units    of the criterion's kind. `low` and `high` may be infinite.
struct Figure {
  double value = 0;
  double low = 0;
  double high = 0;
  std::string missing;  ///< what widened it most, as a sentence; empty if low == high
  bool on_limit = false;  ///< `missing` is the scatter of a good logger: no other log would tell more
};

enum class Answer {
  pass,
  fail,
  undecided,
  indicative,
  doubtful  ///< outside a bound that shapes the joint and spoils no board for certain (Criterion::spoils is not set)
};
std::string_view word(Answer answer);

/// One criterion on one channel.
struct Judged {
  Criterion criterion;
  std::size_t channel = 0;            ///< index into Log::channels
  std::optional<Figure> figure;       ///< nothing if the curve never gets there
  Answer answer = Answer::undecided;  ///< pass, fail, undecided or doubtful
  std::optional<Percent> share;  ///< of the window used, signed; nothing for a bound with one end and no zero
  std::string why;               ///< a sentence: what was measured against what, or which datum is missing
};

/// How far the board is from being one temperature.
struct Spread {
  std::optional<Kelvin> at_soak_end;  ///< when the hottest channel leaves the soak; nothing where no soak is asked for
  std::optional<Kelvin> at_liquidus;  ///< when the hottest channel reaches liquidus; nothing where none does, or it is not known
  Kelvin at_peak;                     ///< hottest peak minus coldest peak
  std::optional<Seconds> melting;     ///< from the first channel over liquidus to the last; infinite if one never melts
  std::string coldest;
  std::string hottest;
};

struct JudgeOptions {
  std::optional<Kelvin>
      sensor_error;  ///< of the whole chain; unknown = figures are taken as if exact, and said so
  std::optional<Seconds> oven_entry;  ///< when the board went in, for the time to peak
  std::optional<Celsius> liquidus;  ///< of the paste that is named; unknown = as far as the criteria say
  std::optional<Celsius> room;  ///< that the board lay in before; unknown = a start below it is not seen
  int board_channels_wanted = 2;
  int passes = 1;  ///< heatings over liquidus that the parts will have seen, this one included
};

struct Verdict {
  Answer answer = Answer::undecided;
  Answer measured =
      Answer::undecided;        ///< what the board channels by themselves say: pass, fail, undecided or doubtful
  std::vector<Judged> figures;  ///< by criterion, then channel
  std::optional<std::size_t> deciding;  ///< index into `figures`: the worst one
  std::optional<Percent> worst_share;   ///< signed; of the figure with the largest |share|
  std::optional<std::size_t> worst;     ///< index into `figures`
  std::optional<Spread> spread;         ///< with two board channels or more whose peak is in the log
  std::vector<Fault> faults;
  std::vector<std::string> missing;  ///< the data that would decide it
  std::vector<std::string> notes;    ///< what a reader must know: windows, assumptions, contradictions
};

/// Judges every board channel of `log` by every criterion; the worst channel decides. Without one, channels that
/// nobody has placed are measured and shown, and the answer is undecided.
///
/// Returns  undecided if the log holds two passes, or if it would pass and a channel starts below the room, or the paste's card
///          gives neither peak nor time above liquidus; fail if a figure that spoils boards is outside for certain; else undecided
///          if one may be outside (or there is no board channel); else doubtful if any other figure is outside; else undecided if
///          one may be; else indicative if there are fewer board channels than wanted; else pass.
/// Cost     linear in the log, times criteria.
Verdict judge(const Log& log, const std::vector<Criterion>& criteria,
              const std::vector<PartLimit>& parts = {}, const JudgeOptions& options = {});

/// The slopes that a criterion of kind rise or fall looks at; nothing where there are too few readings.
std::optional<SlopeRange> slopes_of(const Trace& trace, const Criterion& criterion);

/// The figure alone, as if every reading were `shift` higher; nothing if the curve never gets there.
std::optional<double> figure_value(const Trace& trace, const Criterion& criterion, Kelvin shift = Kelvin(0),
                                   std::optional<Seconds> oven_entry = {});

/// One figure with its interval; nothing if the curve never gets there.
std::optional<Figure> measure(const Trace& trace, const Criterion& criterion,
                              const JudgeOptions& options = {});

/// True where the log does not show that the curve turns down, or starts when it has: the peak may lie outside it.
bool peak_unseen(const Trace& trace);
/// False where the curve stays below `level` for certain, also in its gaps and behind its end.
bool may_reach(const Trace& trace, Celsius level);

/// Where in the curve a figure is settled: at the peak, at the first crossing of its level, at the start of its
/// steepest stretch; nothing if the curve never gets there.
std::optional<Seconds> settled_at(const Trace& trace, const Criterion& criterion);

/// Why the verdict is what it is, line by line: the figure that decides, its window and who sets it, with its
/// source, the reading and line of the log, the share of the window used, the spread across the board.
std::vector<std::string> because(const Verdict& verdict, const Log& log);

/// The verdict as lines of text for a terminal or a sheet.
std::string in_words(const Verdict& verdict, const Log& log);

}  // namespace handlot::reflow
