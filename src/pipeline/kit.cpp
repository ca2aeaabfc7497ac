#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "core/text.h"
#include "pipeline/parts_of_plan.h"

namespace handlot::pipeline {

namespace {

using catalogue::Card;
using catalogue::CardKind;

double spare_of(const Card& card, double lot) {
  const auto share = card.get<Percent>("attrition");
  const catalogue::Figure* least = card.find("attrition-least");
  const double by_share = share ? std::ceil(lot * share->high.value / 100 - 1e-9) : 0;
  return std::max(by_share, least == nullptr ? 0.0 : least->high);
}

std::string spec_of(const Card& card) {
  if (card.kind == CardKind::screw) {
    const catalogue::Figure* length = card.find("length");
    const std::string thread = card.word_or("thread"), head = card.word_or("head"), drive = card.word_or("drive"), far = length == nullptr ? "?" : number(length->low, 1);
    // A wood screw has no thread of the tables: its name says the diameter.
    std::string text = thread.empty() ? far + " mm long" : fmt::format("{} x {}", thread, far);
    if (!head.empty()) text += fmt::format(", {} head", head);
    if (!drive.empty()) text += ", " + drive;
    return text;
  }
  std::string text;
  if (const std::string package = card.word_or("package"), unit = card.word_or("package-unit"); !package.empty()) text = package + (unit.empty() ? "" : " " + unit);
  if (const std::string level = card.word_or("moisture-level"); !level.empty()) text += fmt::format("{}moisture level {}", text.empty() ? "" : ", ", level);
  return text;
}

std::string size_of(const Card& card) {
  std::string text;
  for (const char* side : {"length", "width", "height"}) {
    if (const catalogue::Figure* f = card.find(side)) text += fmt::format("{}{}", text.empty() ? "" : " x ", number(f->high, 2));
  }
  return text.empty() || card.kind == CardKind::screw ? std::string() : text + " mm";
}

/// Screws of one thread that differ by 2 mm or less are taken for each other at the bench [job evidence; practice].
bool look_alike(const Card& a, const Card& b) {
  if (a.kind != CardKind::screw || b.kind != CardKind::screw || a.id == b.id) return false;
  if (a.word_or("thread") != b.word_or("thread") || a.word_or("head") != b.word_or("head")) return false;
  const catalogue::Figure *x = a.find("length"), *y = b.find("length");
  return x != nullptr && y != nullptr && std::abs(x->low - y->low) <= 2.0 + 1e-9;
}

bool used_unit_by_unit(const rules::Facts& facts, const CardId& card) {
  return std::any_of(facts.job.steps.begin(), facts.job.steps.end(), [&](const job::Step& s) {
    return !s.whole_lot && std::any_of(s.materials.begin(), s.materials.end(), [&](const job::MaterialUse& u) { return u.card == card; });
  });
}

/// Of a material that is cut off a roll: how many pieces the lot takes of each length, in mm.
using Cuts = std::map<double, long>;

std::string cuts_text(const Cuts& cuts) {
  std::vector<std::string> each;
  for (const auto& [mm, pieces] : cuts) each.push_back(fmt::format("{} of {} mm", counted(pieces, "piece", "pieces"), number(mm, 1)));
  return listed(each);
}

/// In pieces, as the lot takes them; as long as the longest of them.
double spare_length(const Card& card, const Cuts& cuts) {
  double pieces = 0;
  for (const auto& [mm, count] : cuts) pieces += static_cast<double>(count);
  return spare_of(card, pieces) * cuts.rbegin()->first / 1000;
}

/// What one `<uses>` takes, in the unit that the kit keeps it in.
struct Taken {
  double amount = 0;
  std::string unit;  ///< empty: pieces
};
Taken taken_by(const job::MaterialUse& use) {
  if (use.mass) return {use.mass->value, "g"};
  if (use.volume) return {use.volume->value / 1000, "ml"};
  if (use.length) return {use.length->value / 1000, "m"};
  return {static_cast<double>(use.pieces.value_or(0)), ""};
}

std::string first_step_of(std::span<const plan::Step> steps, const auto& is_used) {
  for (const plan::Step& s : steps) {
    if (is_used(s)) return s.id.text;
  }
  return {};
}

bool reaches(const job::Step& work, const PartId& part) { return std::find(work.touches.begin(), work.touches.end(), part) != work.touches.end(); }

/// The step of the lot that prints the part: nobody has to fetch it.
const plan::Step* printed_by(const rules::Facts& facts, const job::Part& part, std::span<const plan::Step> steps) {
  const bool printed = facts.card(part.card).word_or("made") == "printed";
  for (const plan::Step& s : steps) {
    const job::Step* work = facts.job.step(s.id);
    if (work == nullptr || work->process.text != "print-frame") continue;
    if (work->on == part.id || (printed && reaches(*work, part.id))) return &s;
  }
  return nullptr;
}

/// Of a part that no step puts in, for it is what the others go on: the first step that works on it.
std::string first_work_on(const rules::Facts& facts, const job::Part& part, std::span<const plan::Step> steps) {
  return first_step_of(steps, [&](const plan::Step& s) {
    const job::Step* work = facts.job.step(s.id);
    return work != nullptr && (work->on == part.id || reaches(*work, part.id));
  });
}

/// Tools and fixtures that the steps name, each once, in the order in which they are needed.
std::vector<plan::KitRow> tools_of(const rules::Facts& facts, std::span<const plan::Step> steps) {
  std::vector<plan::KitRow> rows;
  const auto add = [&](std::string id, std::string name, const plan::Step& step, std::string spec) {
    if (std::any_of(rows.begin(), rows.end(), [&](const plan::KitRow& r) { return r.id == id; })) return;
    plan::KitRow row;
    row.id = std::move(id);
    row.name = std::move(name);
    row.kind = "tool";
    row.spec = std::move(spec);
    row.first_step = step.id.text;
    rows.push_back(std::move(row));
  };
  for (const plan::Step& s : steps) {
    const job::Step* work = facts.job.step(s.id);
    if (work == nullptr) continue;
    for (const job::ToolUse& t : work->tools) {
      if (t.card.empty()) add(t.name, t.name, s, "");
      else add(t.card.text, facts.card(t.card).name, s, "");
    }
    for (const job::Holds& h : work->holds) {
      const job::Fixture* f = facts.job.fixture(h.fixture);
      if (f != nullptr) add(f->id.text, f->name.empty() ? f->id.text : f->name, s, f->count > 1 ? fmt::format("{} of them", f->count) : "");
    }
  }
  return rows;
}

}  // namespace

std::vector<plan::KitRow> kit_of(const rules::Facts& facts, std::span<const plan::Step> steps) {
  std::vector<plan::KitRow> rows;
  const int units = facts.job.units;
  for (const job::Part& part : facts.job.parts) {
    if (part.jig) continue;
    const Card& card = facts.card(part.card);
    plan::KitRow row;
    row.id = part.id.text;
    row.name = called(facts, part.id);
    row.kind = card.kind == CardKind::screw ? "screw" : "part";
    row.per_unit = part.count;
    row.lot = static_cast<double>(part.count) * units;
    row.spare = spare_of(card, row.lot);
    row.spec = spec_of(card);
    row.size = size_of(card);
    row.first_step = first_step_of(steps, [&](const plan::Step& s) {
      return std::any_of(s.parts.begin(), s.parts.end(), [&](const plan::StepPart& p) { return p.part == part.id; });
    });
    if (row.first_step.empty()) row.first_step = first_work_on(facts, part, steps);
    if (const plan::Step* print = printed_by(facts, part, steps)) row.kind = "made", row.first_step = print->id.text;
    for (const job::Part& other : facts.job.parts) {
      if (look_alike(card, facts.card(other.card))) row.look_alikes.push_back(other.id.text);
    }
    if (!row.look_alikes.empty()) row.bag = fmt::format("bag {}", row.id);
    rows.push_back(std::move(row));
  }
  const auto is_part_of_the_device = [&](const CardId& card) { return std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) { return p.card == card; }); };
  std::map<CardId, plan::KitRow> materials;
  for (const plan::Step& step : steps) {
    for (const plan::StepMaterial& m : step.materials) {
      plan::KitRow& row = materials[m.card];
      row.id = m.card.text;
      row.name = m.name;
      row.kind = "material";
      if (row.first_step.empty()) row.first_step = step.id.text;
    }
  }
  std::map<CardId, Cuts> cuts;
  for (const job::Step& step : facts.job.steps) {
    for (const job::MaterialUse& use : step.materials) {
      plan::KitRow& row = materials[use.card];
      const Taken taken = taken_by(use);
      const int times = step.whole_lot ? 1 : units, pieces = use.pieces.value_or(1);
      if (!taken.unit.empty()) row.unit = taken.unit;
      if (!step.whole_lot) row.per_unit += taken.amount;
      row.lot += taken.amount * times;
      if (use.length) cuts[use.card][use.length->value / pieces] += static_cast<long>(pieces) * times;
    }
  }
  for (auto& [id, row] : materials) {
    const Card& card = facts.card(id);
    // A box that no step counts is one a unit, however many steps handle it.
    const bool one = row.lot <= 0 && card.kind == CardKind::part && !is_part_of_the_device(id) && used_unit_by_unit(facts, id);
    if (one) row.per_unit = 1, row.lot = units;
    if (row.unit.empty() && row.lot > 0) row.spare = spare_of(card, row.lot);
    if (const auto all = cuts.find(id); all != cuts.end()) {
      row.spec = cuts_text(all->second);
      row.spare = spare_length(card, all->second);
    }
    rows.push_back(std::move(row));
  }
  for (plan::KitRow& row : tools_of(facts, steps)) rows.push_back(std::move(row));
  return rows;
}

}  // namespace handlot::pipeline
