#include "rules/case_file.h"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <map>
#include <stdexcept>

#include "core/text.h"
#include "graph/order.h"
#include "support/small_job.h"

namespace handlot::test {
namespace {

using rules::Facts;
using rules::Rule;
using rules::Yield;

class Order : public rules::KnownOrder {
 public:
  explicit Order(const graph::Order& o) : sequence_(o.sequence), closure_(o.sequence, o.constraints) {}
  bool before(const StepId& a, const StepId& b) const override { return closure_.before(a, b); }
  std::span<const StepId> sequence() const override { return sequence_; }

 private:
  std::vector<StepId> sequence_;
  graph::Closure closure_;
};

void ask(const Facts& facts, const Rule& rule, Yield& yield) {
  using namespace rules;
  const auto& steps = facts.job.steps;
  if (const auto* f = std::get_if<PerStep>(&rule.ask))
    for (const auto& s : steps) (*f)(facts, s, yield);
  if (const auto* f = std::get_if<PerPair>(&rule.ask))
    for (const auto& a : steps)
      for (const auto& b : steps)
        if (&a != &b) (*f)(facts, a, b, yield);
  if (const auto* f = std::get_if<PerPart>(&rule.ask))
    for (const auto& p : facts.job.parts) (*f)(facts, p, yield);
  if (const auto* f = std::get_if<PerJoint>(&rule.ask))
    for (const auto& j : facts.job.joints) (*f)(facts, j, yield);
  if (const auto* f = std::get_if<PerJob>(&rule.ask)) (*f)(facts, yield);
}

graph::Answer order_of(const job::Job& job, const Yield& yield) {
  std::vector<graph::Node> nodes;
  for (const auto& s : job.steps) nodes.push_back({s.id, s.setup + s.run + s.unattended});
  auto choices = yield.choices;
  std::stable_partition(choices.begin(), choices.end(), [](const plan::Choice& c) { return c.rule.text != rules::kListingRule; });
  return graph::find_order(nodes, yield.links, choices, 20000);
}

Yield ask_links(const Facts& facts) {
  Yield yield;
  for (const Rule& rule : rules::all_rules()) ask(facts, rule, yield);
  return yield;
}

std::string in_short(const plan::Constraint& c) {
  std::string text = c.from.step.text + ">" + c.to.step.text;
  if (c.min.seconds > 0 || (c.max && c.min.seconds == 0)) text += " " + in_words(c.min);
  if (c.max) text += (c.min.seconds < 0 ? " at most " : "..") + in_words(*c.max);
  return text;
}

std::string in_short(const std::vector<plan::Constraint>& links) {
  std::vector<std::string> each;
  for (const auto& c : links) each.push_back(in_short(c));
  return fmt::format("{}", fmt::join(each, " & "));
}

}  // namespace

std::vector<RuleCase> read_cases() {
  namespace fs = std::filesystem;
  std::vector<fs::path> files;
  for (const auto& entry : fs::directory_iterator(HANDLOT_TOP "/tests/rules/cases")) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::vector<RuleCase> cases;
  std::map<std::string, RuleCase> kept;
  for (const fs::path& path : files) {
    std::ifstream file(path);
    std::string rule;
    int number = 0;
    for (std::string line; std::getline(file, line);) {
      ++number;
      if (line.empty() || line[0] == '#') continue;
      const auto space = line.find(' ');
      const std::string word = line.substr(0, space), rest = space == std::string::npos ? "" : line.substr(space + 1);
      if (word == "rule") {
        rule = rest;
      } else if (word == "speaks" || word == "silent" || word == "boundary") {
        RuleCase one;
        one.rule = rule, one.kind = word, one.story = rest, one.file = path.filename().string(), one.line = number;
        cases.push_back(one);
      } else if (cases.empty()) {
        throw std::runtime_error(fmt::format("{}:{}: '{}' before any case", path.string(), number, word));
      } else if (word == "expect") {
        cases.back().expect = rest;
      } else if (word == "units") {
        cases.back().units = std::stoi(rest);
      } else if (word == "room") {
        cases.back().room += rest;
      } else if (word == "device") {
        cases.back().device += rest + "\n";
      } else if (word == "joints") {
        cases.back().joints += rest + "\n";
      } else if (word == "steps") {
        cases.back().steps += rest + "\n";
      } else if (word == "keep") {
        kept[rest] = cases.back();
      } else if (word == "use") {
        const RuleCase& from = kept.at(rest);
        RuleCase& to = cases.back();
        to.device = from.device, to.joints = from.joints, to.steps = from.steps, to.room = from.room, to.units = from.units;
      } else {
        throw std::runtime_error(fmt::format("{}:{}: no such word '{}'", path.string(), number, word));
      }
    }
  }
  return cases;
}

job::Job job_of(const RuleCase& one) {
  const std::string room = one.room.empty() ? "temperature='22 degC' humidity='50 %RH' volume='30 m3' air-changes='2 /h'" : one.room;
  const std::string text =
      fmt::format("<job version='1' name='Small' revision='A'><lot units='{}' start='2026-12-01 08:30'/><bench zone='Europe/Paris'><room {}/>"
                  "<hours days='mon tue wed thu fri' from='08:30' to='17:00'/><person id='me'/><station id='oven' card='reflow-oven' places='6' together='yes'/>"
                  "<station id='top'/><station id='cabinet' card='extraction'/><station id='seat' card='solder-seat'/><fixture id='clamp' count='4'/></bench><device>{}</device><joints>{}</joints><steps>{}</steps></job>",
                  one.units, room == "-" ? "" : room, one.device, one.joints, one.steps);
  auto read = job::parse_job(text, one.file, test_cards());
  if (!read) {
    std::string faults = fmt::format("{}:{}: the job does not read\n", one.file, one.line);
    for (const Diagnostic& d : read.error()) faults += format(d);
    throw std::runtime_error(faults);
  }
  return *read;
}

std::string said(const RuleCase& one) {
  job::Job job = job_of(one);
  const auto device = bodies::make_device(job, test_cards(), {}, shapes::Cache());
  if (!device) throw std::runtime_error(format(device.error().front()));
  bodies::measure_bonds(*device, job);
  const Facts facts{job, test_cards(), &*device, shapes::Cache()};
  const auto all = rules::all_rules();
  const auto rule = std::find_if(all.begin(), all.end(), [&](const Rule& r) { return r.id.text == one.rule; });
  if (rule == all.end()) throw std::runtime_error("no rule " + one.rule);
  Yield yield;
  ask(facts, *rule, yield);
  if (const auto* proof = std::get_if<rules::Proof>(&rule->ask)) {
    const auto answer = order_of(job, ask_links(facts));
    if (answer.status != graph::Answer::Status::found) return "no order";
    const Order order(answer.order);
    for (const auto& s : job.steps) (*proof)(facts, order, s, yield);
  }
  std::vector<std::string> words;
  const auto add = [&](std::string w) {
    if (std::find(words.begin(), words.end(), w) == words.end()) words.push_back(std::move(w));
  };
  for (const auto& f : yield.findings) add(std::string(word(f.severity)));
  for (const auto& c : yield.links) add(in_short(c));
  for (const auto& c : yield.choices) {
    std::vector<std::string> options;
    for (const auto& o : c.options) options.push_back(in_short(o));
    add(fmt::format("{}", fmt::join(options, " or ")));
  }
  for (const auto& a : yield.apart) add(fmt::format("{}|{} {} | {}", a.a.text, a.b.text, in_words(a.clear_after_a), in_words(a.clear_after_b)));
  for (const auto& c : yield.cautions) add(c.id);
  for (const auto& h : yield.hints) add("hint " + h.step.text);
  for (const auto& h : yield.held) add(fmt::format("{} held {}", h.use.resource.text, h.use.until_start_of ? "until " + h.use.until_start_of->text : in_words(h.use.hold_after_end)));
  for (const auto& m : yield.at_most) add(fmt::format("{} at most {}", m.step.text, m.units));
  return words.empty() ? "silent" : fmt::format("{}", fmt::join(words, "; "));
}

Asked ask_all(const job::Job& job, const catalogue::Catalogue& cards) {
  const Facts facts{job, cards};
  Asked asked;
  asked.yield = ask_links(facts);
  const auto answer = order_of(job, asked.yield);
  if (answer.status != graph::Answer::Status::found) {
    for (const auto& c : answer.contradiction.chain) asked.contradiction += fmt::format(" {} [{}: {}]", in_short(c), c.reason.rule.text, c.reason.text);
    asked.contradiction += answer.contradiction.choice;
    return asked;
  }
  asked.sequence = answer.order.sequence;
  asked.constraints = answer.order.constraints;
  const Order order(answer.order);
  for (const Rule& rule : rules::all_rules())
    if (const auto* proof = std::get_if<rules::Proof>(&rule.ask))
      for (const auto& s : job.steps) (*proof)(facts, order, s, asked.yield);
  return asked;
}

}  // namespace handlot::test
