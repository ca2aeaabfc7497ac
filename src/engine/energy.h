// energy.h: a resource of limited capacity, kept by counting work that must fit between two moments.
#pragma once

#include <span>
#include <vector>

#include "engine/task.h"

namespace handlot::engine {

/// The same constraint as require_capacity, looked at the other way: in a span [a, b) the work that must be
/// done there (demand times time) is at most capacity * (b - a). Finds clashes that no single moment shows,
/// such as three tasks of length 2 that each fit alone into four units of time for two hands. Finds clashes
/// only; it is used beside require_capacity, not instead of it.
///
/// Work counted in [a, b): whole tasks that cannot leave it, and the compulsory parts of all others. The
/// reason given: a task that starts from a + e - length to b - e does at least e of its time inside. What the
/// overload can spare is given back, so that those bounds are as loose as may be.
///
/// Source   P. Vilim, "Timetable edge finding filtering algorithm for discrete cumulative resources", CPAIOR
///          2011; A. Schutt, T. Feydy, P. Stuckey, "Explaining time-table-edge-finding propagation for the
///          cumulative resource constraint", CPAIOR 2013 [memory].
/// Cost     n * n a call, n = tasks of the resource.
void watch_energy(Solver& solver, std::span<const Task> tasks, std::int32_t capacity);

/// The propagator behind it.
class Energy final : public Propagator {
 public:
  static void post(State& state, std::span<const Task> tasks, std::int32_t capacity);

  bool propagate(State&) override;
  void explain(const Trail&, Literal, std::int32_t, Reason, std::vector<Literal>&) const override {}
  std::string_view name() const override { return "energy"; }

 private:
  struct Span {
    std::int32_t early, late, length, demand;
    std::int32_t earliest_end() const { return early + length; }
    std::int32_t latest_end() const { return late + length; }
    std::int32_t part() const { return earliest_end() > late ? earliest_end() - late : 0; }
    std::int64_t free_work() const { return std::int64_t{demand} * (length - part()); }
  };
  void read(const Trail& trail);
  void sum_parts();
  std::int64_t parts_until(std::int32_t time) const;
  bool overload(State& state, std::int32_t a, std::int32_t b);
  std::int32_t inside(const Span& s, std::int32_t a, std::int32_t b) const;

  std::int32_t number_ = -1;
  std::int32_t capacity_ = 0;
  List<Task> tasks_;
  List<Span> spans_;            // of present tasks
  List<std::int32_t> of_task_;  // span -> task
  // The work of all compulsory parts, as a broken line: at `time`, `work` has been done, rising by `height`.
  struct Corner {
    std::int32_t time;
    std::int32_t height;
    std::int64_t work;
  };
  List<Corner> corners_;
  struct Bar {
    std::int32_t early, latest_end;
    std::int64_t free_work, parts_before_early, parts_before_end;
  };
  List<Bar> bars_;
};

}  // namespace handlot::engine
