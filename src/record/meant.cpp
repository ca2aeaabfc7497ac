#include "record/meant.h"

#include <algorithm>

namespace handlot::record {

bool may_be_of_another_unit(Kind kind) {
  return kind == Kind::start || kind == Kind::leave || kind == Kind::done || kind == Kind::tick || kind == Kind::value;
}

bool stands_in(const Event& line) {
  return may_be_of_another_unit(line.kind) && !line.target.empty();
}

Meant::Meant(std::span<const Event> lines, const std::map<std::string, std::string>& struck) {
  for (const Event& line : lines)
    if (stands_in(line)) by_target_.insert_or_assign(line.target, line);
  if (!by_target_.empty()) struck_ = struck;
}

std::optional<Event> Meant::instead_of(const Event& struck) const {
  const Event* here = &struck;
  do {
    const auto next = by_target_.find(here->id);
    if (next == by_target_.end() || next->second.seq <= here->seq) return std::nullopt;  // one after the other: it ends
    here = &next->second;
  } while (struck_.count(here->id));
  Event out = *here;
  out.seq = struck.seq;
  out.at = struck.at;
  return out;
}

std::vector<Event> as_meant(std::span<const Event> lines, const std::map<std::string, std::string>& struck) {
  const Meant meant(lines, struck);
  std::vector<Event> out;
  out.reserve(lines.size());
  for (const Event& line : lines) {
    if (stands_in(line)) continue;
    if (!struck.count(line.id))
      out.push_back(line);
    else if (auto other = meant.instead_of(line))
      out.push_back(std::move(*other));
  }
  return out;
}

std::vector<Event> pass_of(std::span<const Event> lines, const std::map<std::string, std::string>& struck, const std::string& id) {
  const auto all = as_meant(lines, struck);
  const auto line = std::find_if(all.begin(), all.end(), [&](const Event& e) { return e.id == id; });
  if (line == all.end() || !may_be_of_another_unit(line->kind) || line->unit == 0) return {};
  const auto ours = [&](const Event& e) { return e.step == line->step && e.unit == line->unit && may_be_of_another_unit(e.kind); };
  const auto reworked = [&](const Event& e) { return e.kind == Kind::rework && (e.unit == line->unit || e.unit == 0); };
  const auto ended = [&](const Event& e) { return ours(e) && e.kind == Kind::done; };
  const auto before = std::find_if(std::make_reverse_iterator(line), all.rend(), [&](const Event& e) { return reworked(e) || ended(e); });
  const auto end = std::find_if(line, all.end(), [&](const Event& e) { return reworked(e) || ended(e); });
  std::vector<Event> out;
  std::copy_if(before.base(), end, std::back_inserter(out), ours);
  if (end != all.end() && ended(*end)) out.push_back(*end);
  return out;
}

}  // namespace handlot::record
