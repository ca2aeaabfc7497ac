#include "job/job.h"

#include <algorithm>
#include <cctype>

namespace handlot::job {

std::string_view word(Cure cure) {
  switch (cure) {
    case Cure::none: return "none";
    case Cure::fixture: return "fixture";
    case Cure::handling: return "handling";
    case Cure::working: return "working";
    case Cure::full: return "full";
  }
  return "";
}

std::optional<Cure> cure_of(std::string_view text) {
  for (Cure cure : {Cure::none, Cure::fixture, Cure::handling, Cure::working, Cure::full}) {
    if (word(cure) == text) return cure;
  }
  return std::nullopt;
}

std::string_view MaterialUse::measured_by() const {
  return mass ? "weight" : volume ? "volume" : length ? "length" : pieces ? "pieces" : "";
}

namespace {

template <class T, class I>
const T* find_by_id(const std::vector<T>& all, const I& id) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const T& one) { return one.id == id; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace

std::vector<std::string> expand_reference(const std::string& word) {
  struct End {
    std::string letters;
    int number = 0;
  };
  const auto end_of = [](const std::string& text) -> std::optional<End> {
    const auto digits = text.find_first_of("0123456789");
    if (digits == 0 || digits == std::string::npos || text.size() - digits > 5) return std::nullopt;
    const bool letters = std::all_of(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(digits), [](unsigned char c) { return std::isalpha(c) != 0 || c == '_'; });
    const bool numbers = text.find_first_not_of("0123456789", digits) == std::string::npos;
    if (!letters || !numbers) return std::nullopt;
    return End{text.substr(0, digits), std::stoi(text.substr(digits))};
  };
  const auto dash = word.find('-');
  const auto from = end_of(word.substr(0, dash));
  const auto to = dash == std::string::npos ? from : end_of(word.substr(dash + 1));
  constexpr int kMost = 1000;
  if (!from || !to || from->letters != to->letters || to->number < from->number || to->number - from->number >= kMost) return {};
  std::vector<std::string> all;
  for (int n = from->number; n <= to->number; ++n) all.push_back(from->letters + std::to_string(n));
  return all;
}

const Step* Job::step(const StepId& id) const { return find_by_id(steps, id); }
const Part* Job::part(const PartId& id) const { return find_by_id(parts, id); }
const Assembly* Job::assembly(const PartId& id) const { return find_by_id(assemblies, id); }
const Joint* Job::joint(const JointId& id) const { return find_by_id(joints, id); }
const Station* Job::station(const ResourceId& id) const { return find_by_id(bench.stations, id); }
const Fixture* Job::fixture(const ResourceId& id) const { return find_by_id(bench.fixtures, id); }

std::vector<PartId> Job::around(const PartId& id) const {
  std::vector<PartId> chain;
  PartId at;
  if (const Part* p = part(id)) {
    at = p->assembly;
  } else if (const Assembly* a = assembly(id)) {
    at = a->parent;
  }
  while (!at.empty() && chain.size() <= assemblies.size()) {
    chain.push_back(at);
    const Assembly* a = assembly(at);
    at = a == nullptr ? PartId() : a->parent;
  }
  return chain;
}

std::vector<PartId> Job::within(const PartId& id) const {
  if (part(id) != nullptr) return {id};
  std::vector<PartId> inside;
  for (const Part& p : parts) {
    const std::vector<PartId> chain = around(p.id);
    if (std::find(chain.begin(), chain.end(), id) != chain.end()) inside.push_back(p.id);
  }
  return inside;
}

const ExtraFile* Job::file_of(std::string_view what) const {
  const auto found = std::find_if(files.begin(), files.end(), [&](const ExtraFile& f) { return f.what == what; });
  return found == files.end() ? nullptr : &*found;
}

const Step* Job::installer(const PartId& id) const {
  for (const Step& s : steps) {
    for (const Installs& i : s.installs) {
      if (i.part == id) return &s;
    }
  }
  return nullptr;
}

}  // namespace handlot::job
