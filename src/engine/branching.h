// branching.h: which bound to decide next: those that took part in recent conflicts first.
#pragma once

#include <unordered_map>
#include <vector>

#include "engine/trail.h"

namespace handlot::engine {

/// Activity of bound literals. An atom [x >= b] comes into being when a conflict first meets it; each meeting
/// raises its activity, and all others fade. The undecided atom of highest activity is decided next, in the
/// direction that the remembered value of x points.
class Branching {
 public:
  explicit Branching(std::uint64_t seed) : random_(seed * 2 + 1) {}

  void meet(Literal l);
  void fade() { step_ *= 1.0 / kFade; }
  /// The value to steer a variable towards: the last solution's, or a hint.
  void remember(Var x, std::int32_t value);
  /// Forgets nothing of the search but undoes the steering.
  /// Returns  the next literal to decide, or kAlways when no atom is undecided.
  Literal next(const Trail& trail);
  /// After going back to `level`: atoms set aside as decided may be open again.
  void back_to(std::int32_t level);
  /// Drops atoms that the root decides and those whose activity has all but gone.
  void tidy(const Trail& trail);

 private:
  static constexpr double kFade = 0.98;
  struct Atom {
    Literal literal;  // always of a rising view
    double activity;
    std::int32_t place;  // in the heap, or -1
  };
  struct Aside {
    std::int32_t atom;
    std::int32_t level;
  };
  bool before(std::int32_t a, std::int32_t b) const;
  void insert(std::int32_t atom);
  void rise(std::int32_t place);
  void sink(std::int32_t place);
  std::int32_t take();
  double noise();
  Literal steer(Literal atom) const;

  List<Atom> atoms_;
  std::unordered_map<std::uint64_t, std::int32_t> by_literal_;  // looked up, never walked
  List<std::int32_t> heap_;
  std::vector<Aside> aside_;
  List<std::int32_t> remembered_;  // by variable
  List<char> has_memory_;
  double step_ = 1.0;
  std::uint64_t random_;
};

}  // namespace handlot::engine
