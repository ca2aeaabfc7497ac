// command_line.h: the whole program but for main.
#pragma once

namespace handlot::cli {

/// Runs the verb that the words name. Returns the exit code (terminal.h).
int run(int argc, char** argv);

}  // namespace handlot::cli
