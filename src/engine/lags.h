// lags.h: one event at least so long after another, always or only when a literal holds.
#pragma once

#include <vector>

#include "engine/state.h"

namespace handlot::engine {

/// A prompt propagator for difference constraints  to >= from + lag.
///
///     from ----lag----> to          a maximum lag is the arc back:  from >= to - most
///
/// An arc with a condition works both ways: while the condition holds the arc pushes; where the arc could no
/// longer be kept, the condition fails. Two arcs with opposite conditions are a disjunction.
///
/// Arcs that ask more of an event than it can give itself, going round, would raise its bound second by second until it
/// leaves its range. Every so often the arcs that made the present bounds are walked back; where the walk meets itself, their
/// conditions clash, whatever the bounds are.
class Lags final : public Propagator {
 public:
  struct Arc {
    Var from, to;
    std::int32_t lag;
    Literal when;
  };
  void enlist(std::int32_t number) { number_ = number; }
  /// Given    level 0.
  /// Returns  false on a conflict at once.
  bool add(State& state, Arc arc);
  const List<Arc>& arcs() const { return arcs_; }

  bool on_raise(State&, const Entry&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "lag"; }

 private:
  // An arc seen from the view it is pushed from. Arc a lies in two rows: from -> to, and -to -> -from.
  struct Push {
    View to;
    std::int32_t lag;
    std::int32_t datum;  // 2a, or 2a + 1 for the mirrored one
    Literal when;
  };
  void grow(View view);
  bool push(State& state, const Push& push, std::int32_t low);
  bool conditional(State& state, const Push& push, View from, std::int32_t low);
  bool clear_of_circles(State& state, View view);

  std::int32_t number_ = -1;
  std::int32_t pushed_ = 0;      // since the last walk back
  std::int32_t walk_ = 0;        // walks back so far
  List<std::int32_t> walked_;    // by view: the walk that met it last
  List<Arc> arcs_;
  List<std::vector<Push>> always_;              // by source view
  List<std::vector<Push>> sometimes_;           // by source view
  List<std::vector<std::int32_t>> conditions_;  // by view of `when`: arcs
};

}  // namespace handlot::engine
