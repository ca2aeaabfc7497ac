#include "rules/part_words.h"

#include "core/text.h"
#include "rules/saying.h"

namespace handlot::rules {

std::string both_names(const Facts& facts, const PartId& part) {
  const job::Part* named = facts.job.part(part);
  return named == nullptr ? "" : lower(called(*named) + " ; " + facts.card(named->card).name);
}

}  // namespace handlot::rules
