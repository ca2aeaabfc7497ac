// TWIN   random orders of each demo, mutated: what the rules' links forbid and what goes wrong in a slow replay are the same.
#include "rules/replay.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <map>
#include <random>

#include "rules/case_file.h"

using namespace handlot;
using namespace handlot::test;

namespace {

const std::vector<std::string> kDemos{"tide-dial", "soil-probe", "crystal-receiver"};

struct Demo {
  catalogue::Catalogue cards;
  job::Job job;
};

Demo demo(const std::string& name) {
  const std::string folder = HANDLOT_TOP "/jobs/" + name;
  auto cards = catalogue::Catalogue::read(std::vector<std::string>{HANDLOT_TOP "/parts", folder + "/parts"});
  REQUIRE(cards);
  auto job = job::read_job(folder + "/job.xml", *cards);
  REQUIRE(job);
  return {std::move(*cards), std::move(*job)};
}

std::string kind_of(const std::string& rule) {
  if (rule == "states") return "state";
  if (rule == "clean-faces" || rule == "face-states") return "surface";
  if (rule == "cure") return "cure";
  return rule == "heat-limit" ? "heat" : "";
}

class Verdict {
 public:
  Verdict(const job::Job& job, const rules::Yield& yield) : job_(job), yield_(yield) {}

  std::set<Wrong> of(const std::vector<Done>& build) const {
    std::map<StepId, Done> at;
    for (const Done& d : build) at[d.step->id] = d;
    std::set<Wrong> wrongs;
    for (const plan::Constraint& c : yield_.links) {
      const std::string kind = kind_of(c.reason.rule.text);
      if (!kind.empty() && !kept(c, at)) wrongs.insert({kind, sufferer(kind, c)});
    }
    for (const plan::Choice& choice : yield_.choices) {
      std::string kind = kind_of(choice.rule.text);
      const plan::Constraint* speaks = &choice.options.front().front();
      for (const auto& option : choice.options)
        for (const auto& c : option)
          if (kind.empty() && kind_of(c.reason.rule.text) == "cure") kind = "cure", speaks = &c;
      if (kind.empty()) continue;
      const bool some = std::any_of(choice.options.begin(), choice.options.end(), [&](const auto& option) {
        return std::all_of(option.begin(), option.end(), [&](const auto& c) { return kept(c, at); });
      });
      if (!some) wrongs.insert({kind, kind == "cure" || kind == "heat" ? sufferer(kind, *speaks) : step_at(choice.place)});
    }
    return wrongs;
  }

 private:
  static bool kept(const plan::Constraint& c, const std::map<StepId, Done>& at) {
    const Done &a = at.at(c.from.step), &b = at.at(c.to.step);
    const Duration from = c.from.edge == plan::Edge::start ? a.start : a.end, to = c.to.edge == plan::Edge::start ? b.start : b.end;
    return to - from >= c.min && (!c.max || to - from <= *c.max);
  }

  /// The step in the job file whose element holds that line.
  StepId step_at(const Place& place) const {
    const job::Step* best = nullptr;
    for (const job::Step& s : job_.steps)
      if (s.place.line <= place.line && (best == nullptr || s.place.line > best->place.line)) best = &s;
    return best == nullptr ? StepId() : best->id;
  }

  StepId sufferer(const std::string& kind, const plan::Constraint& c) const {
    if (kind == "cure") return c.to.step;
    if (kind == "heat") return c.from.step;
    if (c.reason.rule.text == "clean-faces") return c.from.step;  // a lone link is "bond before dirt"
    return step_at(c.reason.place);
  }

  const job::Job& job_;
  const rules::Yield& yield_;
};

Duration length(const job::Step& s) { return s.setup + s.run + s.unattended; }

/// A random order that keeps the chosen links, each step as soon as its waits allow, one after the other.
std::vector<Done> valid(const job::Job& job, const Asked& asked, std::mt19937_64& random) {
  std::map<StepId, Done> at;
  std::vector<Done> build;
  std::vector<StepId> left = asked.sequence;
  Duration now{0};
  while (!left.empty()) {
    std::vector<std::size_t> ready;
    for (std::size_t i = 0; i < left.size(); ++i) {
      const bool free = std::all_of(asked.constraints.begin(), asked.constraints.end(), [&](const plan::Constraint& c) { return c.to.step != left[i] || at.contains(c.from.step); });
      if (free) ready.push_back(i);
    }
    const std::size_t pick = ready[random() % ready.size()];
    const job::Step& s = *job.step(left[pick]);
    Duration start = now;
    for (const plan::Constraint& c : asked.constraints)
      if (c.to.step == s.id && c.to.edge == plan::Edge::start)
        start = std::max(start, (c.from.edge == plan::Edge::start ? at[c.from.step].start : at[c.from.step].end) + c.min);
    build.push_back({&s, start, start + length(s)});
    at[s.id] = build.back();
    now = build.back().end;
    left.erase(left.begin() + static_cast<std::ptrdiff_t>(pick));
  }
  return build;
}

/// Moves a few steps elsewhere, or squeezes the waits; the rest follows one after the other.
std::vector<Done> mutated(std::vector<Done> build, std::mt19937_64& random) {
  std::vector<Duration> gaps;
  for (std::size_t i = 0; i < build.size(); ++i) gaps.push_back(build[i].start - (i == 0 ? Duration(0) : build[i - 1].end));
  const std::vector<Duration> some{Duration(0), minutes(5), minutes(40), hours(3), hours(25), hours(24 * 9)};
  for (std::size_t n = 1 + random() % 3; n > 0; --n) {
    const std::size_t from = random() % build.size(), to = random() % build.size();
    if (random() % 3 == 0) {
      gaps[from] = some[random() % some.size()];
      continue;
    }
    const Done moved = build[from];
    build.erase(build.begin() + static_cast<std::ptrdiff_t>(from));
    build.insert(build.begin() + static_cast<std::ptrdiff_t>(to), moved);
  }
  Duration now{0};
  for (std::size_t i = 0; i < build.size(); ++i) {
    build[i].start = now + gaps[i];
    build[i].end = build[i].start + length(*build[i].step);
    now = build[i].end;
  }
  return build;
}

std::string words(const std::set<Wrong>& wrongs) {
  std::vector<std::string> each;
  for (const Wrong& w : wrongs) each.push_back(w.kind + " " + w.step.text);
  return fmt::format("{}", fmt::join(each, ", "));
}

std::string words(const std::vector<Done>& build) {
  std::vector<std::string> each;
  for (const Done& d : build) each.push_back(fmt::format("{}@{}", d.step->id.text, d.start.seconds));
  return fmt::format("{}", fmt::join(each, " "));
}

/// How often each kind went wrong: an oracle that never speaks proves nothing.
std::map<std::string, int> compare(const std::string& name, int orders, std::uint64_t seed) {
  const Demo d = demo(name);
  const Asked asked = ask_all(d.job, d.cards);
  REQUIRE_FALSE(asked.sequence.empty());
  const Verdict verdict(d.job, asked.yield);
  std::map<std::string, int> spoken;
  std::mt19937_64 random(seed);
  int differ = 0;
  for (int i = 0; i < orders && differ < 3; ++i) {
    const std::vector<Done> good = valid(d.job, asked, random), bad = mutated(good, random);
    for (const auto& build : {good, bad}) {
      const auto by_rules = verdict.of(build), by_replay = replay(d.job, d.cards, build);
      for (const Wrong& w : by_replay) ++spoken[w.kind];
      if (by_rules == by_replay) continue;
      ++differ;
      FAIL_CHECK(name << " seed " << seed << " order " << i << "\n  rules:  " << words(by_rules) << "\n  replay: " << words(by_replay) << "\n  " << words(build));
    }
  }
  return spoken;
}

}  // namespace

TEST_CASE("rules and replay agree on a few orders of each demo", "[rules][twin]") {
  for (const std::string& name : kDemos) compare(name, 40, 7);
}

TEST_CASE("rules and replay agree on two thousand mutated orders of each demo", "[rules][twin][slow]") {
  std::map<std::string, int> all;
  for (const std::string& name : kDemos) {
    const auto spoken = compare(name, 2000, 20261125);
    for (const auto& [kind, count] : spoken) {
      all[kind] += count;
      UNSCOPED_INFO(name << " " << kind << " " << count);
    }
  }
  for (const char* kind : {"state", "surface", "cure", "heat"}) {
    INFO(kind);
    CHECK(all[kind] > 50);
  }
}
