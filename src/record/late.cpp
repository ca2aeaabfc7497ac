#include "record/late.h"

#include <fmt/format.h>

namespace handlot::record {

std::string if_late_words(const plan::Step& from, const std::string& if_late) {
  const std::string by_id = fmt::format("do '{}' again", from.id.text);
  const auto at = if_late.find(by_id);
  if (at == std::string::npos) return if_late;
  return if_late.substr(0, at) + fmt::format("do step {} ({}) again", from.number, from.title) + if_late.substr(at + by_id.size());
}

bool is_done_again_when_late(const plan::Constraint& link) {
  const bool says_so = link.if_late.find(fmt::format("do '{}' again", link.from.step.text)) == 0;
  return link.max && (link.spoils || says_so);
}

}  // namespace handlot::record
