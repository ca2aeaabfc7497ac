#include "record/event.h"

#include <fmt/format.h>
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/text.h"

namespace handlot::record {
namespace {

constexpr std::array<std::pair<Kind, std::string_view>, 20> kWords{{
    {Kind::start, "start"},       {Kind::leave, "leave"},
    {Kind::done, "done"},         {Kind::tick, "tick"},
    {Kind::value, "value"},       {Kind::photo, "photo"},
    {Kind::note, "note"},         {Kind::scrap, "scrap"},
    {Kind::rework, "rework"},     {Kind::lot_opened, "lot-opened"},
    {Kind::lot_used, "lot-used"}, {Kind::correction, "correction"},
    {Kind::heard, "heard"},       {Kind::pause, "pause"},
    {Kind::resume, "resume"},     {Kind::plan, "plan"},
    {Kind::clock, "clock"},       {Kind::settled, "settled"},
    {Kind::times, "times"},       {Kind::away, "away"},
}};

bool good_id(std::string_view id) {
  return id.size() >= 8 && id.size() <= 64 && std::all_of(id.begin(), id.end(), [](char c) {
           return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                  c == '_' || c == '.';
         });
}

/// Bytes after a lead byte, or -1 for a byte that cannot lead.
int followers(unsigned char lead) {
  if (lead < 0x80) return 0;
  if (lead >= 0xC2 && lead <= 0xDF) return 1;
  if (lead >= 0xE0 && lead <= 0xEF) return 2;
  if (lead >= 0xF0 && lead <= 0xF4) return 3;
  return -1;
}

/// UTF-8 (RFC 3629, but for the few surrogates and overlong forms that a strict reader would refuse too), and
/// no control characters except new lines and tabs.
bool good_text(std::string_view text, std::size_t limit) {
  if (text.size() > limit) return false;
  for (std::size_t i = 0; i < text.size();) {
    const auto lead = static_cast<unsigned char>(text[i]);
    const int more = followers(lead);
    if (more < 0 || i + static_cast<std::size_t>(more) >= text.size()) return false;
    if (lead < 0x20 && lead != '\n' && lead != '\r' && lead != '\t') return false;
    if (lead == 0x7F) return false;
    for (int k = 1; k <= more; ++k)
      if ((static_cast<unsigned char>(text[i + static_cast<std::size_t>(k)]) & 0xC0) != 0x80) return false;
    i += static_cast<std::size_t>(more) + 1;
  }
  return true;
}

bool needs_value(Kind kind) {
  return kind == Kind::value || kind == Kind::clock || kind == Kind::settled || kind == Kind::times ||
         kind == Kind::away;
}

/// Lengths of time and amounts: less than nothing is nothing that anybody meant.
bool counts_up(Kind kind) {
  return kind == Kind::times || kind == Kind::away || kind == Kind::lot_used || kind == Kind::settled ||
         kind == Kind::heard || may_be_kept(kind);
}

/// A plan with no time at all for a step, nothing away for no time, nothing used of a lot: as impossible.
bool is_more_than_nothing(Kind kind) {
  return kind == Kind::times || kind == Kind::away || kind == Kind::lot_used;
}

bool needs_text(Kind kind) {
  return kind == Kind::scrap || kind == Kind::rework || kind == Kind::note || kind == Kind::correction ||
         kind == Kind::lot_opened;
}

}  // namespace

std::string_view word(Kind kind) {
  for (const auto& [k, w] : kWords)
    if (k == kind) return w;
  return "";
}

std::optional<Kind> kind_of(std::string_view word) {
  for (const auto& [k, w] : kWords)
    if (w == word) return k;
  return std::nullopt;
}

bool may_be_kept(Kind kind) {
  return kind == Kind::start || kind == Kind::leave || kind == Kind::done;
}

bool is_blank(std::string_view text) {
  return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

bool same_words(const Event& a, const Event& b) {
  return a.id == b.id && a.kind == b.kind && a.unit == b.unit && a.step == b.step && a.item == b.item &&
         a.text == b.text && (may_be_kept(a.kind) || a.value == b.value) && a.target == b.target;
}

Diagnostics faults_of_form(const Event& event) {
  Diagnostics out;
  const auto say = [&](const char* code, std::string text, std::string mend) {
    out.push_back(error(code, {}, std::move(text), std::move(mend)));
  };
  if (!good_id(event.id))
    say("record-event-id", "the id of a line has 8 to 64 letters, digits, '-', '_' or '.'",
        "send another id");
  if (!good_text(event.text, kLongestText))
    say("record-event-text",
        fmt::format("text must be UTF-8 of at most {} bytes without control characters", kLongestText),
        "shorten the text");
  if (!good_text(event.item, kLongestItem) || !good_text(event.step.text, kLongestItem) ||
      !good_text(event.target, kLongestItem) || !good_text(event.screen, kLongestItem))
    say("record-event-text", fmt::format("names must be UTF-8 of at most {} bytes", kLongestItem),
        "shorten the name");
  if (event.unit < 0)
    say("record-event-unit", "units count from 1; 0 is the whole lot", "name a unit of the lot");
  if (needs_value(event.kind) && !event.value)
    say("record-event-value", fmt::format("'{}' needs a value", word(event.kind)), "write the value");
  if (event.value && !std::isfinite(*event.value))
    say("record-event-value", "the value is not a number", "write the value as a number");
  else if (event.value && counts_up(event.kind) &&
           (*event.value < 0 || (*event.value == 0 && is_more_than_nothing(event.kind))))
    say("record-event-value", fmt::format("'{}' cannot be {}", word(event.kind), number(*event.value)),
        "write a value above 0");
  if (needs_text(event.kind) && is_blank(event.text))
    say("record-event-text", fmt::format("'{}' needs a few words", word(event.kind)), "say why, or which");
  return out;
}

}  // namespace handlot::record
