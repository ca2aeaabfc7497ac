#include "rules/kept_findings.h"

#include <charconv>

namespace handlot::rules {

namespace {

/// Length, colon, text: no letter needs escaping.
void put(std::string& bytes, const std::string& text) { bytes += std::to_string(text.size()) + ":" + text; }

class Reader {
 public:
  explicit Reader(const std::string& bytes) : rest_(bytes) {}

  std::string text() {
    const auto colon = rest_.find(':');
    std::size_t length = 0;
    const auto [end, code] = std::from_chars(rest_.data(), rest_.data() + (colon == std::string_view::npos ? 0 : colon), length);
    if (colon == std::string_view::npos || code != std::errc() || end != rest_.data() + colon || length > rest_.size() - colon - 1) {
      good_ = false;
      return {};
    }
    std::string value(rest_.substr(colon + 1, length));
    rest_.remove_prefix(colon + 1 + length);
    return value;
  }

  long number() {
    const std::string digits = text();
    long value = 0;
    const auto [end, code] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
    good_ = good_ && code == std::errc() && end == digits.data() + digits.size() && value >= 0 && value < 1000000;
    return good_ ? value : 0;
  }

  bool good() const { return good_; }
  bool done() const { return rest_.empty(); }

 private:
  std::string_view rest_;
  bool good_ = true;
};

}  // namespace

std::string to_bytes(const std::vector<plan::Finding>& findings) {
  std::string bytes;
  put(bytes, std::to_string(findings.size()));
  for (const plan::Finding& f : findings) {
    put(bytes, f.rule.text);
    put(bytes, std::to_string(static_cast<int>(f.severity)));
    put(bytes, std::to_string(f.parts.size()));
    for (const PartId& id : f.parts) put(bytes, id.text);
    put(bytes, f.message);
    put(bytes, f.mend);
    put(bytes, f.source.at);
  }
  return bytes;
}

std::optional<std::vector<plan::Finding>> findings_from_bytes(const std::string& bytes) {
  Reader reader(bytes);
  std::vector<plan::Finding> findings;
  for (long n = reader.number(); n > 0 && reader.good(); --n) {
    plan::Finding f;
    f.rule = RuleId(reader.text());
    f.severity = static_cast<plan::Severity>(reader.number());
    for (long p = reader.number(); p > 0 && reader.good(); --p) f.parts.emplace_back(reader.text());
    f.message = reader.text();
    f.mend = reader.text();
    f.source = {"", reader.text(), Standing::measured};
    findings.push_back(std::move(f));
  }
  if (!reader.good() || !reader.done()) return std::nullopt;
  return findings;
}

}  // namespace handlot::rules
