// caution_words.h: the wording of the cautions, apart from where they are put.
#pragma once

#include <optional>
#include <string_view>

#include "plan/reason.h"
#include "safety/caution.h"

namespace handlot::safety {

/// Words, class and place of one caution; a substance's codes come on top.
struct CautionWords {
  std::string_view id;
  plan::CautionClass level;
  plan::CautionAt at;
  std::string_view hazard;
  std::string_view consequence;
  std::string_view avoid;
  std::string_view signs;    ///< ISO 7010 numbers, by spaces
  std::string_view protect;  ///< by semicolons
  std::string_view key;      ///< source; empty = common practice
  std::string_view key_at;
  Standing standing;
};
const CautionWords* words_of(Act act);
/// By family; flammable liquids and anything unknown have general words.
const CautionWords& words_of_family(std::string_view family, bool flammable_vapour);
const CautionWords& fibre_words();
const CautionWords& asthma_words();                 ///< H334
const CautionWords& asthma_sprayed_words();         ///< H334, as a mist
const CautionWords& acetone_words();
const CautionWords& sensitising_at_machine_words();

}  // namespace handlot::safety
