#include "solder/placing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <map>
#include <set>

#include "core/text.h"

namespace handlot::solder {

namespace {

struct Bag {
  std::string name;
  std::vector<std::size_t> parts;
  double height = 0;     ///< mm, highest part
  double footprint = 0;  ///< mm2, largest part
  int pins = 0;          ///< of the part with the most
  bool height_known() const { return height > 0; }
};

std::vector<Bag> bags_of(const std::vector<Placement>& parts) {
  std::map<std::string, Bag> by_name;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    Bag& bag = by_name[parts[i].bag];
    bag.name = parts[i].bag;
    bag.parts.push_back(i);
    bag.height = std::max(bag.height, parts[i].height.value);
    bag.pins = std::max(bag.pins, parts[i].pins);
    bag.footprint = std::max(bag.footprint, parts[i].length.value * parts[i].width.value);
  }
  std::vector<Bag> bags;
  for (auto& [name, bag] : by_name) bags.push_back(std::move(bag));
  std::sort(bags.begin(), bags.end(), [](const Bag& a, const Bag& b) {
    if (a.height_known() != b.height_known()) return a.height_known();
    if (a.height != b.height) return a.height < b.height;
    if (a.footprint != b.footprint) return a.footprint < b.footprint;
    return a.pins != b.pins ? a.pins < b.pins : a.name < b.name;
  });
  return bags;
}

double gap(const Placement& a, const Placement& b) {
  return std::hypot(a.centre.x - b.centre.x, a.centre.y - b.centre.y);
}

/// Nearest neighbour next, from the part nearest `start`; then stretches are turned about while that shortens
/// it.
std::vector<std::size_t> near_neighbours(const std::vector<Placement>& parts, std::vector<std::size_t> open,
                                         Point start) {
  std::vector<std::size_t> row;
  Point at = start;
  while (!open.empty()) {
    const auto next = std::min_element(open.begin(), open.end(), [&](std::size_t a, std::size_t b) {
      const double da = std::hypot(parts[a].centre.x - at.x, parts[a].centre.y - at.y),
                   db = std::hypot(parts[b].centre.x - at.x, parts[b].centre.y - at.y);
      return da != db ? da < db : parts[a].part < parts[b].part;
    });
    at = parts[*next].centre;
    row.push_back(*next);
    open.erase(next);
  }
  constexpr int kSweeps = 20;
  for (int sweep = 0; sweep < kSweeps; ++sweep) {
    bool better = false;
    for (std::size_t i = 1; i + 1 < row.size(); ++i) {
      for (std::size_t k = i + 1; k < row.size(); ++k) {
        const double now = gap(parts[row[i - 1]], parts[row[i]]) +
                           (k + 1 < row.size() ? gap(parts[row[k]], parts[row[k + 1]]) : 0);
        const double then = gap(parts[row[i - 1]], parts[row[k]]) +
                            (k + 1 < row.size() ? gap(parts[row[i]], parts[row[k + 1]]) : 0);
        if (then >= now - 1e-9) continue;
        std::reverse(row.begin() + static_cast<std::ptrdiff_t>(i),
                     row.begin() + static_cast<std::ptrdiff_t>(k) + 1);
        better = true;
      }
    }
    if (!better) break;
  }
  return row;
}

bool fine(const Placement& p) {
  return p.pins > 8 || (p.pitch && p.pitch->value <= 0.65);
}

Seconds group_time(const std::vector<Placement>& parts, const PlacingGroup& group, const PlacingTimes& times,
                   bool& recorded) {
  const auto record = std::find_if(times.recorded.begin(), times.recorded.end(),
                                   [&](const auto& r) { return r.first == group.bag; });
  recorded = record != times.recorded.end();
  Seconds sum = times.bag;
  constexpr std::size_t kStrip = 3;  // as many of a kind are laid out as a strip
  for (std::size_t i = 0; i < group.order.size(); ++i) {
    if (recorded)
      sum += record->second;
    else if (fine(parts[group.order[i]]))
      sum += times.fine;
    else
      sum += group.order.size() >= kStrip && i > 0 ? times.strip : times.chip;
  }
  return sum;
}

Result<std::vector<const Bag*>> ordered(const std::vector<Bag>& bags, const std::vector<PlacingAfter>& after,
                                        std::map<std::string, std::string>& why) {
  Diagnostics faults;
  std::map<std::string, std::set<std::string>> waits;
  for (const PlacingAfter& a : after) {
    for (const std::string& name : {a.bag, a.after}) {
      if (std::none_of(bags.begin(), bags.end(), [&](const Bag& b) { return b.name == name; })) {
        faults.push_back(error("placing-unknown-bag", {}, fmt::format("no part comes from bag '{}'", name),
                               "name a bag of the placement list"));
      }
    }
    waits[a.bag].insert(a.after);
    why[a.bag] = fmt::format("after {}: {}", a.after, a.why);
  }
  if (!faults.empty()) return fail(std::move(faults));
  std::vector<const Bag*> row;
  std::set<std::string> done;
  while (row.size() < bags.size()) {
    const auto next = std::find_if(bags.begin(), bags.end(), [&](const Bag& b) {
      return !done.count(b.name) && std::all_of(waits[b.name].begin(), waits[b.name].end(),
                                                [&](const std::string& w) { return done.count(w) > 0; });
    });
    if (next == bags.end()) {
      std::vector<std::string> stuck;
      for (const Bag& b : bags)
        if (!done.count(b.name)) stuck.push_back(b.name);
      return fail(error("placing-cycle", {},
                        fmt::format("each of the bags {} waits for another of them", listed(stuck)),
                        "take one of the orders back"));
    }
    done.insert(next->name);
    row.push_back(&*next);
  }
  return row;
}

}  // namespace

Result<PlacingPlan> plan_placing(const std::vector<Placement>& parts, const PlacingTimes& times,
                                 const std::vector<PlacingAfter>& after) {
  const std::vector<Bag> bags = bags_of(parts);
  std::map<std::string, std::string> why;
  auto row = ordered(bags, after, why);
  if (!row) return fail(std::move(row.error()));
  PlacingPlan plan;
  Point at;
  for (const Bag* bag : *row) {
    PlacingGroup group;
    group.bag = bag->name;
    group.value = parts[bag->parts.front()].value;
    group.order = near_neighbours(parts, bag->parts, at);
    group.time = group_time(parts, group, times, group.from_record);
    group.why = why.count(bag->name) ? why[bag->name]
                             : bag->height_known() ? fmt::format("low and small first: {} mm high", number(bag->height, 2))
                                                   : std::string("its height is not known: after those that are, small first");
    for (std::size_t i = 0; i + 1 < group.order.size(); ++i)
      plan.travel += Millimetres(gap(parts[group.order[i]], parts[group.order[i + 1]]));
    at = parts[group.order.back()].centre;
    plan.time += group.time;
    plan.groups.push_back(std::move(group));
  }
  const bool all_recorded = std::all_of(plan.groups.begin(), plan.groups.end(),
                                        [](const PlacingGroup& g) { return g.from_record; });
  if (!all_recorded)
    plan.notes.push_back(
        "placing times are planning values (common practice, no source) where the record has none");
  for (const Placement& p : parts) {
    if (p.polarised && p.mark.empty())
      plan.notes.push_back(fmt::format(
          "{} must not be turned, and nothing says how to see which way it goes: add its mark", p.part));
  }
  return plan;
}

namespace {

struct Ages {
  double oven = 0;   ///< s, oldest print when it goes into the oven
  double place = 0;  ///< s, longest from print to placed
};

/// `k` boards printed one after the other, placed one after the other, heated `places` at a time.
Ages ages_of(int k, double print, double place, double oven, int places) {
  Ages ages;
  double oven_free = 0;
  for (int first = 0; first < k; first += places) {
    const int last = std::min(k, first + places) - 1;
    const double placed = (k - 1) * print + (last + 1) * place;
    const double start = std::max(placed, oven_free);
    oven_free = start + oven;
    for (int i = first; i <= last; ++i) {
      ages.oven = std::max(ages.oven, start - i * print);
      ages.place = std::max(ages.place, (k - 1) * print + (i + 1) * place - i * print);
    }
  }
  return ages;
}

}  // namespace

BoardsAtOnce boards_at_once(int lot, Seconds print_each, Seconds place_each, Seconds oven_each,
                            int oven_places, Seconds limit, std::optional<Seconds> place_limit) {
  assert(lot >= 0 && oven_places >= 1);
  BoardsAtOnce best;
  const auto said = [](double s) { return in_words(Duration(static_cast<std::int64_t>(std::lround(s)))); };
  for (int k = 1; k <= lot; ++k) {
    const Ages ages = ages_of(k, print_each.value, place_each.value, oven_each.value, oven_places);
    const bool fits = ages.oven <= limit.value && (!place_limit || ages.place <= place_limit->value);
    if (!fits) {
      best.text =
          k == 1
              ? fmt::format("not even one board can be placed in time: it takes {} and the paste allows {}",
                            said(ages.oven), said(limit.value))
              : fmt::format(
                    "print {} at once: with {} the oldest print would be {} old in front of the oven, the "
                    "paste allows {}",
                    counted(best.boards, "board", "boards"), k, said(ages.oven), said(limit.value));
      return best;
    }
    best.boards = k;
    best.oldest_print = Seconds(ages.oven);
  }
  best.text =
      lot > 0 ? fmt::format("all {} can be printed at once: the oldest print is {} old in front of the oven",
                            counted(lot, "board", "boards"), said(best.oldest_print.value))
              : "";
  return best;
}

}  // namespace handlot::solder
