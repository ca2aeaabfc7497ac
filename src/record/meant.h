// meant.h: lines that stand in for others that are struck through: the same deed, of another unit. They count where those
// stood, and with their time: a clock that was begun at the wrong unit began at the right one no later.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "record/event.h"

namespace handlot::record {

/// A deed or what was seen of it; its unit may have been another.
bool may_be_of_another_unit(Kind kind);
/// `target` is the struck line whose place and time it takes.
bool stands_in(const Event& line);

/// What counts in place of struck lines.
class Meant {
 public:
  Meant() = default;
  /// Given  struck: id of a struck line -> id of its correction.
  Meant(std::span<const Event> lines, const std::map<std::string, std::string>& struck);

  /// With the number and the stamp of the struck line. Empty: nothing stands in for it.
  std::optional<Event> instead_of(const Event& struck) const;

 private:
  std::map<std::string, Event> by_target_;
  std::map<std::string, std::string> struck_;
};

/// The lines that count, in the order in which they count.
/// Cost  a copy of each.
std::vector<Event> as_meant(std::span<const Event> lines, const std::map<std::string, std::string>& struck);

/// What goes together with a line when its unit was another: beginning, ticks, values and end of one pass of its step, since
/// the end before or the last rework. Empty where the line does not count, or is nothing that a unit could be wrong of.
std::vector<Event> pass_of(std::span<const Event> lines, const std::map<std::string, std::string>& struck, const std::string& id);

}  // namespace handlot::record
