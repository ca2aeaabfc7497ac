// timetable.h: a resource of limited capacity, kept by what must be running at each moment.
#pragma once

#include <span>
#include <vector>

#include "engine/task.h"

namespace handlot::engine {

/// At every moment the demands of the running, present tasks add up to at most `capacity`.
///
/// A task whose latest start lies before its earliest end must run in between: its compulsory part.
///
///     earliest start   latest start   earliest end   latest end
///          |---------------|=============|---------------|
///                           compulsory part
///
/// The compulsory parts add up to a profile; a task is pushed out of every moment at which it would overload
/// it. The reason given is for one moment t only ("these tasks all run at t"), lifted: each bound is relaxed
/// as far as the task still covers t, and tasks that the overload can spare are left out.
///
/// Given    demand >= 0, duration >= 0.
/// Source   A. Schutt, T. Feydy, P. Stuckey, M. Wallace, "Explaining the cumulative propagator",
///          Constraints 16 (2011) [memory].
/// Cost     n log n a call, n = tasks of the resource.
void require_capacity(Solver& solver, std::span<const Task> tasks, std::int32_t capacity);

/// The propagator behind it.
class Timetable final : public Propagator {
 public:
  Timetable(std::vector<Task> tasks, std::int32_t capacity);
  static void post(State& state, std::vector<Task> tasks, std::int32_t capacity);

  bool propagate(State&) override;
  void explain(const Trail&, Literal what, std::int32_t position, Reason reason,
               std::vector<Literal>& because) const override;
  std::string_view name() const override { return "timetable"; }

 private:
  struct Span {  // what is known of a task: earliest and latest start, and whether it is certain to be done
    std::int32_t early = 0, late = 0, length = 0;
    bool present = false;
    bool operator==(const Span&) const = default;
    bool runs() const { return present && late < early + length; }
  };
  struct Step {
    std::int32_t begin, end, height;
  };
  void read(const Trail& trail);
  void note_part(const Span& before, const Span& now);
  bool rose_within(std::int32_t begin, std::int32_t end) const {
    return begin < rose_end_ && rose_begin_ < end;
  }
  void build_profile();
  void sweep_cells(std::int32_t begin, std::int32_t end);
  void sweep_sorted();
  void add_step(std::int32_t time, std::int32_t height);
  bool overload(State& state);
  bool check(State& state, std::int32_t task);
  bool push_later(State& state, std::int32_t task);
  bool push_earlier(State& state, std::int32_t task);
  bool drop_absent(State& state, std::int32_t task);
  std::int32_t length_before(const Trail& trail, const Task& task, std::int32_t position) const;
  std::int32_t known_running(const Trail& trail, std::int32_t task, std::int32_t t,
                             std::int32_t position) const;
  std::int32_t load_at(const Trail& trail, std::int32_t t, std::int32_t position, std::int32_t but) const;
  void running_at(const Trail& trail, std::int32_t t, std::int32_t position, std::int32_t but,
                  std::int32_t needed, std::vector<Literal>& because) const;

  std::int32_t number_ = -1;
  std::int32_t capacity_;
  List<Task> tasks_;
  // What the last call saw. Whether a task has to start later is looked at again only if its earliest start
  // changed, or if the profile rose where it would run from there; likewise at the other end.
  List<Span> spans_;
  struct Changed {
    bool early = true, late = true;
    bool pushed = false;  // out of what the span says by this call; going back may bring that span again
  };
  List<Changed> changed_;
  bool at_rest_ = false;  // the last call came to its end
  bool rebuild_ = true;
  std::int32_t rose_begin_ = 0, rose_end_ = 0;
  List<Step> steps_;
  std::int32_t highest_ = 0;
  struct Event {
    std::int32_t time, change;
  };
  List<Event> events_;
  struct Cell {
    std::int32_t change = 0;
    bool touched = false;
  };
  List<Cell> cells_;
};

}  // namespace handlot::engine
