// handlot: the program.
#include <fmt/format.h>

#include <cstdio>
#include <exception>

#include "cli/command_line.h"
#include "cli/terminal.h"

int main(int argc, char** argv) {
  try {
    return handlot::cli::run(argc, argv);
  } catch (const std::exception& e) {
    fmt::print(stderr, "handlot: our fault, not yours: {}\n  mend: please keep the job file and report it\n", e.what());
    return handlot::cli::kOurFault;
  }
}
