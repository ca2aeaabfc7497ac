#include "input/xml_tags.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace handlot::input {

namespace {

struct Open {
  std::string name;
  int line = 0;
};

/// Walks through a text and counts its lines.
class Walk {
 public:
  explicit Walk(std::string_view text) : text_(text) {}

  bool done() const { return at_ >= text_.size(); }
  int line() const { return line_; }
  bool sees(std::string_view what) const { return text_.substr(at_, what.size()) == what; }

  void step(std::size_t count = 1) {
    for (; count > 0 && !done(); --count) line_ += text_[at_++] == '\n' ? 1 : 0;
  }

  /// Behind the next `what`, or to the end.
  void pass(std::string_view what) {
    while (!done() && !sees(what)) step();
    step(what.size());
  }

  std::string name() {
    std::string out;
    for (; !done() && std::string_view(" \t\r\n/>").find(text_[at_]) == std::string_view::npos; step()) out += text_[at_];
    return out;
  }

  /// To the end of a tag; whether it closes itself.
  bool pass_tag() {
    char quote = 0, before = 0;
    for (; !done(); step()) {
      const char c = text_[at_];
      if (quote != 0) quote = c == quote ? '\0' : quote;
      else if (c == '"' || c == '\'') quote = c;
      else if (c == '>') break;
      before = c;
    }
    step();
    return before == '/';
  }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  int line_ = 1;
};

Diagnostic no_partner(const std::string& path, const std::string& name, int line, const std::vector<Open>& open) {
  if (open.empty()) return error("xml-broken", {path, line, 0}, fmt::format("</{}> closes nothing: no tag is open here", name), fmt::format("take </{}> out", name));
  const Open& inner = open.back();
  const bool outer = std::any_of(open.begin(), open.end(), [&](const Open& o) { return o.name == name; });
  Diagnostic d = error("xml-broken", {path, line, 0}, fmt::format("</{}> closes nothing here: <{}> of line {} is open", name, inner.name, inner.line),
                       outer ? fmt::format("write </{}> before it", inner.name) : fmt::format("take </{}> out, or write </{}>", name, inner.name));
  d.notes.push_back({{path, inner.line, 0}, fmt::format("<{}> is opened here", inner.name)});
  return d;
}

}  // namespace

std::optional<Diagnostic> unmatched_tag(std::string_view text, const std::string& path) {
  std::vector<Open> open;
  for (Walk walk(text); !walk.done();) {
    const int line = walk.line();
    if (walk.sees("<!--")) walk.pass("-->");
    else if (walk.sees("<![CDATA[")) walk.pass("]]>");
    else if (walk.sees("<?")) walk.pass("?>");
    else if (walk.sees("<!")) walk.pass(">");
    else if (walk.sees("</")) {
      walk.step(2);
      const std::string name = walk.name();
      walk.pass(">");
      if (open.empty() || open.back().name != name) return no_partner(path, name, line, open);
      open.pop_back();
    } else if (walk.sees("<")) {
      walk.step();
      const std::string name = walk.name();
      if (!walk.pass_tag()) open.push_back({name, line});
    } else {
      walk.step();
    }
  }
  if (open.empty()) return std::nullopt;
  return error("xml-broken", {path, open.back().line, 0}, fmt::format("<{}> is opened here and never closed", open.back().name), fmt::format("write </{}> where it ends", open.back().name));
}

}  // namespace handlot::input
