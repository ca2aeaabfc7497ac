// The sources that a plan rests on, and the hash that names it.
#include <fmt/format.h>
#include <openssl/evp.h>

#include <array>
#include <cassert>
#include <set>

#include "pipeline/parts_of_plan.h"
#include "plan/units.h"

namespace handlot::pipeline {

std::vector<std::string> sources_of(const plan::Plan& plan, const catalogue::Catalogue& cards) {
  std::set<std::string> keys;
  const auto add = [&](const Source& s) {
    if (!s.key.empty()) keys.insert(s.key);
  };
  for (const plan::Finding& f : plan.findings) add(f.source);
  for (const plan::Constraint& c : plan.work.constraints) add(c.reason.source);
  for (const plan::Caution& c : plan.cautions) add(c.source);
  for (const plan::Wait& w : plan.waits) add(w.source);
  for (const plan::Step& s : plan.work.steps) {
    for (const plan::Hint& h : s.hints) add(h.source);
  }
  std::vector<std::string> lines;
  for (const std::string& key : keys) {
    const auto found = cards.documents().find(key);
    lines.push_back(found == cards.documents().end() ? key : fmt::format("{}: {}", key, found->second.title));
  }
  return lines;
}

namespace {

/// Everything that changes what is done: words, times, order, checks, cautions. Not where files lie.
std::string said_by(const plan::Plan& plan) {
  std::string text = fmt::format("{}|{}|{}|{}\n", plan.head.name, plan.head.revision, plan.head.lot, fmt::join(plan.head.serials, " "));
  for (const plan::Document& d : plan.head.documents) text += fmt::format("document {} {}\n", d.name, d.revision);
  for (const plan::Step& s : plan.work.steps) {
    text += fmt::format("step {} {} {} {} {} {} {} {} {}\n", s.number, s.id.text, s.process, s.title, s.timing.setup.seconds, s.timing.run.seconds,
                        s.timing.unattended.seconds, s.irreversible, s.hold);
    text += fmt::format("way {}|{}|{}|{}|{}|{}\n", s.timing.whole_lot, s.timing.first_piece, s.orientation, s.reminder, s.safe_to_stop, s.stop_note);
    for (const plan::StepPart& p : s.parts) text += fmt::format("part {} {}\n", p.part.text, p.count);
    for (const plan::StepMaterial& m : s.materials) text += fmt::format("material {} {}\n", m.card.text, m.amount_unit);
    for (const plan::StepTool& t : s.tools) text += fmt::format("tool {} {}\n", t.name, t.setting);
    for (const std::string& a : s.actions) text += a + "\n";
    for (const plan::Hint& h : s.hints) text += fmt::format("hint {}\n", h.text);
    for (const plan::Check& c : s.checks) text += fmt::format("check {} {} {}\n", c.id, c.what, c.limit);
  }
  for (const plan::Constraint& c : plan.work.constraints) {
    text += fmt::format("link {} {} {} {} {} {} {}|{}\n", c.from.step.text, static_cast<int>(c.from.edge), c.to.step.text, static_cast<int>(c.to.edge), c.min.seconds,
                        c.max ? c.max->seconds : -1, c.reason.text, c.if_late);
  }
  for (const plan::LookFirst& l : plan.work.looks) text += fmt::format("look {} before {} {}\n", l.look.text, l.repeat.text, l.reason.text);
  for (const plan::Caution& c : plan.cautions) text += fmt::format("caution {} {} {} {}\n", c.id, c.hazard, c.avoid, fmt::join(c.protect, " "));
  for (const plan::Finding& f : plan.findings) text += fmt::format("finding {} {} {}\n", f.rule.text, word(f.severity), f.message);
  for (const plan::Waiver& w : plan.waivers) text += fmt::format("waiver {} {}\n", w.rule.text, w.because);
  for (const plan::Operation& o : plan.schedule.operations) text += fmt::format("at {} {} {}{} {} {}\n", o.step.text, o.first_unit, o.last_unit, o.without.empty() ? "" : " without " + plan::spans(o.without), o.start.seconds, o.end.seconds);
  return text;
}

}  // namespace

std::string hash_of(const plan::Plan& plan) {
  const std::string text = said_by(plan);
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int length = 0;
  const int good = EVP_Digest(text.data(), text.size(), digest.data(), &length, EVP_sha256(), nullptr);
  assert(good == 1 && length == 32);
  (void)good;
  std::string hex;
  for (std::size_t i = 0; i < 6; ++i) hex += fmt::format("{:02x}", digest[i]);
  return hex;
}

}  // namespace handlot::pipeline
