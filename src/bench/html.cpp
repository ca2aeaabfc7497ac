#include "bench/html.h"

#include <fmt/format.h>

#include "bench/access.h"
#include "core/svg.h"

namespace handlot::bench {

std::string esc(std::string_view text) {
  return xml_escaped(text);
}

std::string form_id() {
  return "f" + fresh_token().substr(0, 23);
}

std::string form(std::string_view act, Fields hidden, std::string_view button, std::string_view css,
                 std::string_view inside, std::string_view extra) {
  std::string out = fmt::format(R"(<form method="post" action="/do" class="act {}">)", css);
  out +=
      fmt::format(R"(<input type="hidden" name="id" value="{}"><input type="hidden" name="act" value="{}">)",
                  form_id(), act);
  for (const auto& [name, value] : hidden)
    out += fmt::format(R"(<input type="hidden" name="{}" value="{}">)", name, esc(value));
  return out + fmt::format(R"({}<button {}>{}</button></form>)", inside, extra, button);
}

std::string mark(std::string_view css, std::string_view shape, std::string_view words) {
  return fmt::format(R"(<span class="mark {}"><span aria-hidden="true">{}</span> {}</span>)", css, shape,
                     esc(words));
}

}  // namespace handlot::bench
