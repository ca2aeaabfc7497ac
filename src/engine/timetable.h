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
  struct Part {  // what must run
    std::int32_t begin, end, task;
  };
  struct Step {
    std::int32_t begin, end, height;
  };
  struct Span {
    std::int32_t early, late, length, demand;  // earliest and latest start
  };
  void read(const Trail& trail);
  void build_profile();
  bool overload(State& state, const Step& step);
  bool push_later(State& state, std::int32_t task);
  bool push_earlier(State& state, std::int32_t task);
  bool drop_absent(State& state, std::int32_t task);
  void running_at(const Trail& trail, std::int32_t t, std::int32_t position, std::int32_t but,
                  std::int32_t needed, std::vector<Literal>& because) const;
  std::int32_t load_at(const Trail& trail, std::int32_t t, std::int32_t position, std::int32_t but) const;
  bool covers(const Trail& trail, const Task& task, std::int32_t t, std::int32_t position) const;
  std::int32_t length_before(const Trail& trail, const Task& task, std::int32_t position) const;

  std::int32_t number_ = -1;
  std::int32_t capacity_;
  std::vector<Task> tasks_;
  // Working store of one call, kept to spare allocations.
  std::vector<Span> spans_;
  std::vector<Part> parts_;
  struct Event {
    std::int32_t time, change;
  };
  std::vector<Event> events_;
  std::vector<Step> steps_;
  std::int32_t highest_ = 0;
};

}  // namespace handlot::engine
