// package.h: the body that a package's name tells, over the spellings that people and programs use.
#pragma once

#include <optional>
#include <string_view>

#include "solder/chip.h"

namespace handlot::solder {

/// Whether two names are surely two packages: their bodies differ, or the pins that they count do.
///
/// Given    "SOIC-8", "SO8", "8-SOIC", "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm", "SOT-23-5", "TO-236", "MiniMELF", "0603"...;
///          `unit` is what a chip's code means that says no unit.
/// Returns  false where either can't be read, and for names of one body: SO, SOIC and SOP; SSOP, TSSOP and MSOP; QFN, DFN
///          and SON; SOT-23 and TO-236. A pin more may be an exposed pad or a tab that is counted too.
/// Source   JEDEC and maker's names of one body: common practice, no source
bool packages_differ(std::string_view a, std::string_view b, CodeUnit unit = CodeUnit::inch);

}  // namespace handlot::solder
