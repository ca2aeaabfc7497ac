#include "pipeline/stock.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "calendar/zone.h"
#include "core/text.h"
#include "input/file.h"

namespace handlot::pipeline {

namespace {

class Findings {
 public:
  Findings(const std::string& file, std::vector<plan::Finding>& all) : file_(file), all_(all) {}

  plan::Finding& say(plan::Severity severity, std::string message, std::string mend, int line = 0) {
    plan::Finding f;
    f.rule = RuleId("stock");
    f.severity = severity;
    f.message = std::move(message);
    f.mend = std::move(mend);
    f.source = {"", file_, Standing::stated};
    f.place = {file_, line, 0};
    return all_.emplace_back(std::move(f));
  }

  void shortage(const job::Job& job, const kit::Shortage& s) {
    const bool spare_only = s.there + 1e-9 >= s.lot;
    const std::string unit = s.unit.empty() ? "" : " " + s.unit;
    plan::Finding& f =
        spare_only
            ? say(plan::Severity::note, fmt::format("{}: {}{} there, enough for the lot and not for {}{} to spare", s.name, number(s.there, 2), unit, number(s.needed - s.lot, 2), unit), "order some more, or work without spare")
            : say(plan::Severity::warn, fmt::format("{}: {}{} there, and the lot takes {}{}", s.name, number(s.there, 2), unit, number(s.lot, 2), unit), "order what is short, or make the lot smaller");
    if (job.part(PartId(s.id)) != nullptr) f.parts = {PartId(s.id)};
    if (!s.step.empty()) f.steps = {StepId(s.step)};
  }

  void remark(const kit::Remark& r) {
    switch (r.kind) {
      case kit::Remark::Kind::expired:
        say(plan::Severity::warn, r.text, "order it anew, or let the lot begin before that day", r.line);
        return;
      case kit::Remark::Kind::expires_meanwhile:
        say(plan::Severity::warn, r.text, "order it anew, or do that work before that day", r.line);
        return;
      case kit::Remark::Kind::other_unit:
        say(plan::Severity::undecided, r.text, "write its amount in the unit of the kit", r.line);
        return;
      case kit::Remark::Kind::expiry_not_read:
        say(plan::Severity::undecided, r.text, "write the last day as 2027-03-31", r.line);
        return;
      case kit::Remark::Kind::both_names:
      case kit::Remark::Kind::not_read:
        say(plan::Severity::note, r.text, "", r.line);
        return;
      case kit::Remark::Kind::stranger:
        return;  // a shelf holds more than one job's things: 'handlot kit' lists them
    }
  }

 private:
  const std::string& file_;
  std::vector<plan::Finding>& all_;
};

/// By kit id, the day on which the plan begins the last operation that takes of it, by the clock of the shop. A step that
/// only names a material which other steps weigh out works with what they took.
std::map<std::string, std::string> last_days(const plan::Plan& plan) {
  std::map<std::string, std::string> days;
  const auto zone = calendar::Zone::find(plan.head.zone);
  if (!zone) return days;
  std::set<std::string> weighed;
  for (const plan::Step& step : plan.work.steps) {
    for (const plan::StepMaterial& m : step.materials) {
      if (!m.amount_lot.empty()) weighed.insert(m.card.text);
    }
  }
  for (const plan::Operation& op : plan.schedule.operations) {
    const auto step = std::find_if(plan.work.steps.begin(), plan.work.steps.end(), [&](const plan::Step& s) { return s.id == op.step; });
    if (step == plan.work.steps.end()) continue;
    const std::string day = calendar::iso(zone->local(op.start).date);
    for (const plan::StepPart& p : step->parts) days[p.part.text] = std::max(days[p.part.text], day);
    for (const plan::StepMaterial& m : step->materials) {
      if (!m.amount_lot.empty() || !weighed.contains(m.card.text)) days[m.card.text] = std::max(days[m.card.text], day);
    }
  }
  return days;
}

}  // namespace

Result<kit::Clearance> clearance_of(const job::Job& job, const plan::Plan& plan, const std::string& stock_file) {
  auto text = input::read_text(stock_file);
  if (!text) return fail(text.error());
  const auto stock = kit::read_stock(std::move(*text), stock_file);
  if (!stock) return fail(stock.error());
  kit::Wanted wanted{plan.kit, plan.work.steps, {}, job.units, job.start.substr(0, 10), last_days(plan)};
  for (const job::Part& part : job.parts) wanted.cards[part.id.text] = part.card.text;
  return kit::clear_to_build(wanted, *stock);
}

Diagnostics add_stock(const rules::Facts& facts, plan::Plan& plan, std::vector<plan::Finding>& findings) {
  const job::ExtraFile* file = facts.job.file_of("stock");
  if (file == nullptr) return {};
  const auto clearance = clearance_of(facts.job, plan, file->path);
  if (!clearance) return clearance.error();
  for (plan::KitRow& row : plan.kit) {
    if (const auto there = clearance->there.find(row.id); there != clearance->there.end()) row.stock = there->second;
  }
  Findings found(file->path, findings);
  if (!clearance->units) found.say(plan::Severity::undecided, "the stock list names nothing of this kit", "write the ids of the kit list into it ('handlot kit' prints them), or those of the cards");
  else if (!clearance->unknown.empty()) found.say(plan::Severity::note, fmt::format("not in the stock list, so not judged: {}", listed(clearance->unknown)), "");
  for (const kit::Shortage& s : clearance->shortages) found.shortage(facts.job, s);
  for (const kit::Remark& r : clearance->remarks) found.remark(r);
  return {};
}

}  // namespace handlot::pipeline
