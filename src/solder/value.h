// value.h: what the value of a resistor, capacitor or inductor says in numbers, however it is spelt.
#pragma once

#include <string_view>

namespace handlot::solder {

/// Whether two spellings of the value of `ref` are surely two values.
///
/// Units    ohm for R, farad for C, henry for L, as the letters before the number of `ref` say.
/// Given    "10k", "4k7", "4R7", "0,1 uF", "1 kΩ", "100n/50V", "10k 1%": a number with a prefix and unit, or with the
///          letter in the place of the point (IEC 60062 [memory]); a bare number is ohms or a three- or four-digit code.
/// Returns  false for other kinds of parts, and where either can't be read.
bool values_differ(std::string_view ref, std::string_view a, std::string_view b);

}  // namespace handlot::solder
