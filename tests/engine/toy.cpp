#include "toy.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/energy.h"
#include "engine/largest.h"
#include "engine/linear.h"
#include "engine/timetable.h"
#include "engine/windows.h"

namespace handlot::engine::test {

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

struct Shape {
  int whole, span, bools;
  int var(Dice& d) const { return d.roll(0, whole - 1); }
  int boolean(Dice& d) const { return d.roll(whole, whole + bools - 1); }
};

// A condition: always, or a Boolean that is wanted true or false.
struct When {
  int variable = -1;
  bool wanted = true;
  Literal literal(const std::vector<Var>& x) const {
    if (variable < 0) return kAlways;
    return wanted ? at_least(x[at(variable)], 1) : at_most(x[at(variable)], 0);
  }
  bool on(const Values& v) const { return variable < 0 || (v[at(variable)] == 1) == wanted; }
  std::string text() const {
    return variable < 0 ? "" : fmt::format(" when {}x{}", wanted ? "" : "not ", variable);
  }
};

When roll_when(Dice& d, const Shape& s, int chance) {
  if (s.bools == 0 || d.roll(0, 99) >= chance) return {};
  return {s.boolean(d), d.roll(0, 1) == 1};
}

Rule lag(Dice& d, const Shape& s) {
  const int a = s.var(d);
  const int b = s.var(d);
  const int w = d.roll(-s.span / 2, s.span / 2);
  const When when = roll_when(d, s, 60);
  return {
      fmt::format("x{} >= x{} + {}{}", b, a, w, when.text()),
      [=](Solver& solver, const std::vector<Var>& x) { solver.lag(x[at(a)], x[at(b)], w, when.literal(x)); },
      [=](const Values& v) { return !when.on(v) || v[at(b)] >= v[at(a)] + w; }};
}

Rule clause(Dice& d, const Shape& s) {
  struct Part {
    int x, bound;
    bool least;
  };
  std::vector<Part> parts;
  const int size = d.roll(1, 4);
  for (int i = 0; i < size; ++i)
    parts.push_back({d.roll(0, s.whole + s.bools - 1), d.roll(0, s.span), d.roll(0, 1) == 1});
  for (Part& p : parts)
    if (p.x >= s.whole) p.bound %= 2;
  std::string text = "one of";
  for (const Part& p : parts) text += fmt::format(" x{}{}{}", p.x, p.least ? ">=" : "<=", p.bound);
  return {text,
          [=](Solver& solver, const std::vector<Var>& x) {
            std::vector<Literal> literals;
            for (const Part& p : parts)
              literals.push_back(p.least ? at_least(x[at(p.x)], p.bound) : at_most(x[at(p.x)], p.bound));
            solver.clause(literals);
          },
          [=](const Values& v) {
            return std::any_of(parts.begin(), parts.end(), [&](const Part& p) {
              return p.least ? v[at(p.x)] >= p.bound : v[at(p.x)] <= p.bound;
            });
          }};
}

Rule capacity(Dice& d, const Shape& s, bool optional, bool varying) {
  struct Toil {
    int start, duration, demand, length;
    When present;
  };
  std::vector<Toil> toils;
  for (int i = 0; i < s.whole; ++i)
    toils.push_back({i, d.roll(0, 3), d.roll(0, 3), varying && d.roll(0, 1) ? s.var(d) : -1,
                     optional ? roll_when(d, s, 60) : When{}});
  const int most = d.roll(2, 4);
  std::string text = fmt::format("capacity {}:", most);
  for (const Toil& t : toils)
    text += fmt::format(" [x{} for {} takes {}{}]", t.start,
                        t.length < 0 ? std::to_string(t.duration) : fmt::format("x{}", t.length), t.demand,
                        t.present.text());
  const auto tasks = [=](const std::vector<Var>& x) {
    std::vector<Task> made;
    for (const Toil& t : toils)
      made.push_back({x[at(t.start)], t.duration, t.demand, t.present.literal(x),
                      t.length < 0 ? Var{} : x[at(t.length)]});
    return made;
  };
  return {text, [=](Solver& solver, const std::vector<Var>& x) { require_capacity(solver, tasks(x), most); },
          [=](const Values& v) {
            for (int time = 0; time <= 2 * s.span; ++time) {
              int load = 0;
              for (const Toil& t : toils) {
                const int length = t.length < 0 ? t.duration : v[at(t.length)];
                if (t.present.on(v) && v[at(t.start)] <= time && time < v[at(t.start)] + length)
                  load += t.demand;
              }
              if (load > most) return false;
            }
            return true;
          },
          [=](Solver& solver, const std::vector<Var>& x) { watch_energy(solver, tasks(x), most); }};
}

Rule windows(Dice& d, const Shape& s) {
  const int x = s.var(d);
  std::vector<Window> open;
  const int count = d.roll(0, 3);
  for (int i = 0; i < count; ++i) {
    const int from = d.roll(0, s.span);
    open.push_back({from, from + d.roll(-1, 1)});
  }
  const When when = roll_when(d, s, 60);
  std::string text = fmt::format("x{} in", x);
  for (const Window& w : open) text += fmt::format(" {}..{}", w.from, w.to);
  return {text + when.text(),
          [=](Solver& solver, const std::vector<Var>& v) {
            require_windows(solver, v[at(x)], open, when.literal(v));
          },
          [=](const Values& v) {
            return !when.on(v) || std::any_of(open.begin(), open.end(), [&](const Window& w) {
              return w.from <= v[at(x)] && v[at(x)] <= w.to;
            });
          }};
}

Rule linear(Dice& d, const Shape& s) {
  std::vector<std::pair<int, int>> terms;
  const int size = d.roll(1, s.whole);
  for (int i = 0; i < size; ++i) terms.push_back({d.roll(-3, 3), d.roll(0, s.whole + s.bools - 1)});
  const int limit = d.roll(-s.span, 2 * s.span);
  const When when = roll_when(d, s, 50);
  std::string text = fmt::format("sum <= {}{}:", limit, when.text());
  for (const auto& [w, x] : terms) text += fmt::format(" {}*x{}", w, x);
  return {text,
          [=](Solver& solver, const std::vector<Var>& x) {
            std::vector<Term> sum;
            for (const auto& [w, i] : terms) sum.push_back({w, x[at(i)]});
            require_at_most(solver, sum, limit, when.literal(x));
          },
          [=](const Values& v) {
            int sum = 0;
            for (const auto& [w, i] : terms) sum += w * v[at(i)];
            return !when.on(v) || sum <= limit;
          }};
}

Rule largest(Dice& d, const Shape& s) {
  const int y = s.var(d);
  std::vector<std::pair<int, When>> of{{s.var(d), When{}}};
  for (int i = 1; i < s.whole; ++i) of.push_back({s.var(d), roll_when(d, s, 70)});
  std::string text = fmt::format("x{} is the largest of", y);
  for (const auto& [x, when] : of) text += fmt::format(" x{}{}", x, when.text());
  return {text,
          [=](Solver& solver, const std::vector<Var>& x) {
            std::vector<Candidate> candidates;
            for (const auto& [i, when] : of) candidates.push_back({x[at(i)], when.literal(x)});
            require_largest(solver, x[at(y)], candidates);
          },
          [=](const Values& v) {
            int most = -1;
            for (const auto& [i, when] : of)
              if (when.on(v)) most = std::max(most, v[at(i)]);
            return v[at(y)] == most;
          }};
}

Rule one_way(Dice& d, const Shape& s) {
  const int start = s.var(d);
  const When present = roll_when(d, s, 40);
  std::vector<std::pair<int, When>> ways;
  const int count = d.roll(1, 3);
  for (int i = 0; i < count; ++i) ways.push_back({s.var(d), roll_when(d, s, 100)});
  std::string text = fmt::format("x{}{} is one of", start, present.text());
  for (const auto& [x, when] : ways) text += fmt::format(" x{}{}", x, when.text());
  return {text,
          [=](Solver& solver, const std::vector<Var>& x) {
            std::vector<Candidate> candidates;
            for (const auto& [i, when] : ways) candidates.push_back({x[at(i)], when.literal(x)});
            require_one_way(solver, x[at(start)], present.literal(x), candidates);
          },
          [=](const Values& v) {
            int on = 0;
            bool same = true;
            for (const auto& [i, when] : ways) {
              on += when.on(v) ? 1 : 0;
              same = same && (!when.on(v) || v[at(i)] == v[at(start)]);
            }
            return same && on == (present.on(v) ? 1 : 0);
          }};
}

Rule random_rule(Dice& d, const Shape& s, Kind kind) {
  switch (kind) {
    case Kind::lag:
      return lag(d, s);
    case Kind::clause:
      return clause(d, s);
    case Kind::capacity:
      return capacity(d, s, false, false);
    case Kind::optional_capacity:
      return capacity(d, s, true, false);
    case Kind::varying_capacity:
      return capacity(d, s, true, true);
    case Kind::windows:
      return windows(d, s);
    case Kind::linear:
      return linear(d, s);
    case Kind::largest:
      return largest(d, s);
    case Kind::one_way:
      return one_way(d, s);
  }
  return clause(d, s);
}

}  // namespace

std::vector<Var> Toy::post(Solver& solver) const {
  std::vector<Var> vars;
  for (const Domain& d : domains) vars.push_back(solver.integer(d.low, d.high));
  for (const Rule& r : rules) r.post(solver, vars);
  return vars;
}

bool Toy::kept(const Values& values) const {
  return std::all_of(rules.begin(), rules.end(), [&](const Rule& r) { return r.kept(values); });
}

std::vector<Values> Toy::all_solutions() const {
  std::vector<Values> found;
  Values v;
  for (const Domain& d : domains) v.push_back(d.low);
  while (true) {
    if (kept(v)) found.push_back(v);
    std::size_t i = 0;
    while (i < v.size() && v[i] == domains[i].high) {
      v[i] = domains[i].low;
      ++i;
    }
    if (i == v.size()) return found;
    ++v[i];
  }
}

std::string Toy::text() const {
  std::string text;
  for (std::size_t i = 0; i < domains.size(); ++i)
    text += fmt::format("x{} in {}..{}\n", i, domains[i].low, domains[i].high);
  for (const Rule& r : rules) text += r.text + "\n";
  return text;
}

Toy random_toy(Dice& dice, int whole, int span, int bools, int count, const std::vector<Kind>& kinds) {
  Toy toy;
  for (int i = 0; i < whole; ++i) toy.domains.push_back({0, span});
  for (int i = 0; i < bools; ++i) toy.domains.push_back({0, 1});
  const Shape shape{whole, span, bools};
  for (int i = 0; i < count; ++i)
    toy.rules.push_back(
        random_rule(dice, shape, kinds[at(dice.roll(0, static_cast<int>(kinds.size()) - 1))]));
  return toy;
}

bool holds(Literal l, const Values& values, const std::vector<Var>& vars) {
  for (std::size_t i = 0; i < vars.size(); ++i)
    if (vars[i] == variable(l.view)) return (l.view & 1 ? -values[i] : values[i]) >= l.bound;
  return l == kAlways;
}

}  // namespace handlot::engine::test
