#include "sheets/view.h"

#include <fmt/format.h>

#include <algorithm>

#include "plan/units.h"

namespace handlot::sheets {

View::View(const plan::Plan& plan) : plan_(plan), clock_(plan.head.zone) {
  for (const auto& step : plan.work.steps) steps_[step.id] = &step;
  for (const auto& op : plan.schedule.operations) operations_[op.step].push_back(&op);
  for (auto& [id, list] : operations_) {
    std::stable_sort(list.begin(), list.end(),
                     [](const auto* a, const auto* b) { return a->first_unit < b->first_unit; });
  }
  for (const auto& r : plan.work.resources) resources_[r.id] = r.name.empty() ? r.id.text : r.name;
}

const plan::Step* View::step(const StepId& id) const {
  const auto found = steps_.find(id);
  return found == steps_.end() ? nullptr : found->second;
}

const std::vector<const plan::Operation*>& View::operations(const StepId& id) const {
  static const std::vector<const plan::Operation*> none;
  const auto found = operations_.find(id);
  return found == operations_.end() ? none : found->second;
}

std::string View::name(const StepId& id) const {
  const plan::Step* found = step(id);
  return found ? fmt::format("{} {}", found->number, found->title) : id.text;
}

std::string View::number(const StepId& id) const {
  const plan::Step* found = step(id);
  return found ? fmt::format("{}", found->number) : id.text;
}

std::string View::names(const std::vector<StepId>& ids) const {
  std::string out;
  for (const auto& id : ids) out += (out.empty() ? "" : ", ") + name(id);
  return out;
}

std::string View::resource(const ResourceId& id) const {
  const auto found = resources_.find(id);
  return found == resources_.end() ? id.text : found->second;
}

std::string View::unit(int unit) const {
  const auto index = static_cast<std::size_t>(unit - 1);
  if (unit < 1 || index >= plan_.head.serials.size()) return fmt::format("{}", unit);
  return fmt::format("{} ({})", unit, plan_.head.serials[index]);
}

std::string capital(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

std::string sentence(const std::string& text) {
  if (text.empty()) return text;
  const char last = text.back();
  return capital(text) + (last == '.' || last == '!' || last == '?' || last == ':' ? "" : ".");
}

std::string units_in_short(const plan::Operation& op) {
  const std::vector<int> units = plan::units_in(op);
  std::string out;
  for (const auto& [first, last] : plan::stretches({units.begin(), units.end()})) {
    out += (out.empty() ? "" : ", ") + (first == last ? fmt::format("{}", first) : fmt::format("{}-{}", first, last));
  }
  return out;
}

std::string upper(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return out;
}

}  // namespace handlot::sheets
