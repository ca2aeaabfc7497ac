#include "job/job.h"

#include <algorithm>

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

namespace {

template <class T, class I>
const T* find_by_id(const std::vector<T>& all, const I& id) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const T& one) { return one.id == id; });
  return found == all.end() ? nullptr : &*found;
}

}  // namespace

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

const Step* Job::installer(const PartId& id) const {
  for (const Step& s : steps) {
    for (const Installs& i : s.installs) {
      if (i.part == id) return &s;
    }
  }
  return nullptr;
}

}  // namespace handlot::job
