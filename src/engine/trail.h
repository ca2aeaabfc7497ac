// trail.h: the bounds that hold now, in the order they came to hold, each with why.
#pragma once

#include "engine/list.h"
#include "engine/literal.h"

namespace handlot::engine {

/// Why a bound holds. `source` is a propagator's number, or one of the two words below; `datum` and `more`
/// are that source's own note to itself (a clause, an arc, a moment and a task), from which it can give the
/// reason when asked.
struct Reason {
  static constexpr std::int32_t kDecision = -1;
  static constexpr std::int32_t kWritten = -2;  ///< written out at once: State keeps the literals at `datum`
  std::int32_t source = kDecision;
  std::int32_t datum = 0;
  std::int32_t more = 0;
};

/// One bound raised.
struct Entry {
  Literal made;          ///< view >= bound holds from here on
  std::int32_t before;   ///< the view's bound until then
  std::int32_t earlier;  ///< the entry that raised the same view before, or -1
  std::int32_t level;    ///< number of decisions standing
  Reason reason;
};

/// Bounds of all views with their history. Level 0 holds without any decision; its entries may be forgotten
/// ("settled") once everybody has seen them.
class Trail {
 public:
  Var add_variable(std::int32_t low, std::int32_t high);
  std::int32_t views() const { return low_.count(); }

  std::int32_t low(View v) const { return low_[v]; }
  std::int32_t low(Var x) const { return low_[rising(x)]; }
  std::int32_t high(Var x) const { return -low_[falling(x)]; }
  std::int32_t root_low(View v) const { return root_[v]; }
  bool holds(Literal l) const { return low_[l.view] >= l.bound; }
  bool fails(Literal l) const { return low_[opposite(l.view)] > -l.bound; }
  bool fixed(Var x) const { return low(x) == high(x); }

  std::int32_t count() const { return entries_.count(); }
  /// Bounds raised since the beginning, those taken back too.
  std::int64_t raised() const { return raised_; }
  const Entry& operator[](std::int32_t i) const { return entries_[i]; }
  std::int32_t level() const { return level_starts_.count(); }
  /// The entry that is the decision opening `level` (1-based), if that level has any entry.
  std::int32_t level_start(std::int32_t level) const { return level_starts_[level - 1]; }

  /// The entry that made the present bound of `v`, or -1 if it holds from the root.
  std::int32_t latest(View v) const { return latest_[v]; }
  /// Given    `l` holds.
  /// Returns  the entry that first made it hold, -1 if it held from the root.
  /// Cost     the number of later entries of the same view.
  std::int32_t position(Literal l) const {
    assert(holds(l));
    std::int32_t i = latest_[l.view];
    while (i >= 0 && entries_[i].before >= l.bound) i = entries_[i].earlier;
    return i;
  }
  /// The last entry of `v` before entry `position`, or -1.
  /// Cost     that of the entries of `v` in between; since the question before this one where questions go backwards, as
  ///          those of an analysis do. Where times creep past one another a view has a hundred thousand entries.
  std::int32_t latest_before(View v, std::int32_t position) const {
    std::int32_t i = latest_[v];
    if (i < position) return i;
    if (const std::int32_t m = mark_[v]; m >= position && m < i && entries_[m].made.view == v) i = m;
    std::int32_t behind = i;
    for (; i >= position; i = entries_[i].earlier) behind = i;
    mark_[v] = behind;
    return i;
  }
  /// position(l), given that `l` held before entry `position`.
  std::int32_t position_before(Literal l, std::int32_t position) const {
    std::int32_t i = latest_before(l.view, position);
    while (i >= 0 && entries_[i].before >= l.bound) i = entries_[i].earlier;
    return i;
  }
  /// The same for any `l`: kNotYet if it did not hold then.
  static constexpr std::int32_t kNotYet = -2;
  std::int32_t known_before(Literal l, std::int32_t position) const {
    return low_before(l.view, position) >= l.bound ? position_before(l, position) : kNotYet;
  }
  /// The bound of `v` just before entry `position` was made.
  std::int32_t low_before(View v, std::int32_t position) const {
    const std::int32_t i = latest_before(v, position);
    return i < 0 ? root_[v] : entries_[i].made.bound;
  }
  bool held_before(Literal l, std::int32_t position) const {
    return low_before(l.view, position) >= l.bound;
  }

  void open_level() { level_starts_.add(entries_.count()); }
  /// Given    `l` does not hold and does not fail.
  void raise(Literal l, Reason reason) {
    assert(!holds(l) && !fails(l));
    entries_.add({l, low_[l.view], latest_[l.view], level(), reason});
    latest_[l.view] = entries_.count() - 1;
    low_[l.view] = l.bound;
    ++raised_;
  }
  /// Takes back every entry of a level above `level`.
  void back_to(std::int32_t level);
  /// At level 0: keeps the bounds, forgets how they came about.
  void settle();

 private:
  List<std::int32_t> low_;     // bound now, by view
  List<std::int32_t> root_;    // bound before entry 0
  List<std::int32_t> latest_;  // last entry of a view, or -1
  mutable List<std::int32_t> mark_;  // an entry of the view, if it still is one, at which a walk back may begin
  List<Entry> entries_;
  List<std::int32_t> level_starts_;
  std::int64_t raised_ = 0;
};

}  // namespace handlot::engine
