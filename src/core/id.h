// id.h: names of things as types, so that a part's id cannot stand where a step's is meant.
#pragma once

#include <compare>
#include <functional>
#include <string>
#include <utility>

namespace handlot {

/// The id a person wrote in a job or card file. Ordered by text: every listing is ordered by id.
template <class Kind>
struct Id {
  std::string text;

  Id() = default;
  explicit Id(std::string t) : text(std::move(t)) {}
  bool empty() const { return text.empty(); }
  auto operator<=>(const Id&) const = default;
};

using StepId = Id<struct StepKind>;
using PartId = Id<struct PartKind>;
using CardId = Id<struct CardKind>;          ///< parts, materials, tools: anything with a card
using JointId = Id<struct JointKind>;
using StateId = Id<struct StateKind>;        ///< "firmware-loaded", "port-reachable"
using ResourceId = Id<struct ResourceKind>;  ///< people, stations, counted fixtures
using RuleId = Id<struct RuleKind>;

}  // namespace handlot

template <class Kind>
struct std::hash<handlot::Id<Kind>> {
  std::size_t operator()(const handlot::Id<Kind>& id) const noexcept { return std::hash<std::string>{}(id.text); }
};
