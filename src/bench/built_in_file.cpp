#include "bench/built_in.h"
#include "bench/routes.h"

namespace handlot::bench {
namespace {

std::string type_of(std::string_view name) {
  const auto ends = [&](std::string_view tail) {
    return name.size() > tail.size() && name.substr(name.size() - tail.size()) == tail;
  };
  if (ends(".css")) return "text/css; charset=utf-8";
  if (ends(".js")) return "text/javascript; charset=utf-8";
  return "image/svg+xml";
}

}  // namespace

std::optional<Answer> built_in_file(const std::string& name) {
  for (std::size_t i = 0; i < kBuiltIns; ++i)
    if (kBuiltIn[i].name == name) return Answer{200, type_of(name), std::string(kBuiltIn[i].text), {}, ""};
  return std::nullopt;
}

}  // namespace handlot::bench
