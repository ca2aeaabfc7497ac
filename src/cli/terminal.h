// terminal.h: what goes to the screen, and how loudly.
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "core/diagnostic.h"

namespace handlot::cli {

enum Exit : int { kDone = 0, kAnswerIsNo = 1, kUsage = 2, kInputWrong = 3, kCannotWrite = 4, kOurFault = 70 };

/// Options that every verb has.
struct Screen {
  bool json = false;
  bool quiet = false;
  bool no_colour = false;

  bool colour_out() const;  ///< stdout is a terminal, NO_COLOR is unset or empty, TERM is not dumb
  bool colour_err() const;

  /// Progress on stderr, one line that is written over; nothing unless stderr is a terminal.
  void stage(std::string_view what) const;
  void stage_done() const;

  /// Talk on stderr: what was written, what to run next. Nothing with --quiet.
  void say(std::string_view line) const;

  /// Each diagnostic with its line of the file and a count at the end, on stderr; with --json as a document on stdout.
  void report(const Diagnostics& diagnostics) const;
};

/// A path as it can be typed after a verb: in double quotes where it has a blank or another letter that a shell reads.
std::string typed(const std::string& path);

/// 4 when everything that went wrong was writing, else 3.
int exit_for(const Diagnostics& diagnostics);

}  // namespace handlot::cli
