#include "core/source.h"

namespace handlot {

std::string_view word(Standing standing) {
  switch (standing) {
    case Standing::read: return "read";
    case Standing::memory: return "memory";
    case Standing::practice: return "practice";
    case Standing::measured: return "measured";
    case Standing::stated: return "stated";
  }
  return "";
}

std::string describe(const Source& source) {
  if (source.standing == Standing::practice) {
    return source.key.empty() ? "common practice, no source" : source.key + " (common practice)";
  }
  if (source.standing == Standing::stated && source.key.empty()) return "stated in the job";
  std::string text = source.key;
  if (!source.at.empty()) text += (text.empty() ? "" : ", ") + source.at;
  if (source.standing == Standing::memory) return text + " (from memory)";
  if (source.standing == Standing::measured) return text.empty() ? "measured by the builder" : text + " (measured)";
  return text;
}

}  // namespace handlot
