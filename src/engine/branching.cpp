#include "engine/branching.h"

#include <utility>

namespace handlot::engine {

namespace {
std::uint64_t key(Literal l) {
  return (static_cast<std::uint64_t>(static_cast<std::uint32_t>(l.view)) << 32) |
         static_cast<std::uint32_t>(l.bound);
}
}  // namespace

// A small share of chance, so that seeds differ and equal activities do not all fall to the oldest atom.
double Branching::noise() {
  random_ ^= random_ << 13;
  random_ ^= random_ >> 7;
  random_ ^= random_ << 17;
  return static_cast<double>(random_ >> 40) * 0x1p-24 * 1e-3;
}

bool Branching::before(std::int32_t a, std::int32_t b) const {
  if (atoms_[a].activity != atoms_[b].activity) return atoms_[a].activity > atoms_[b].activity;
  return a < b;
}

void Branching::meet(Literal l) {
  if (l.view & 1) l = ~l;  // [-x >= c] is decided by the same atom as its negation [x >= 1-c]
  const auto [at, fresh] = by_literal_.try_emplace(key(l), atoms_.count());
  const std::int32_t atom = at->second;
  if (fresh) {
    atoms_.add({l, noise() * step_, -1});
    insert(atom);
  }
  atoms_[atom].activity += step_;
  if (atoms_[atom].place >= 0) rise(atoms_[atom].place);
  if (atoms_[atom].activity < 1e100) return;
  for (Atom& a : atoms_) a.activity *= 1e-100;
  step_ *= 1e-100;
}

void Branching::remember(Var x, std::int32_t value) {
  if (remembered_.count() <= x.index) {
    remembered_.resize(x.index + 1, 0);
    has_memory_.resize(x.index + 1, 0);
  }
  remembered_[x.index] = value;
  has_memory_[x.index] = 1;
}

// Without memory: early, which for times is the natural schedule and for Booleans "no".
Literal Branching::steer(Literal atom) const {
  const std::int32_t x = variable(atom.view).index;
  const bool known = x < has_memory_.count() && has_memory_[x] != 0;
  return known && remembered_[x] >= atom.bound ? atom : ~atom;
}

Literal Branching::next(const Trail& trail) {
  while (!heap_.empty()) {
    const std::int32_t atom = take();
    const Literal l = atoms_[atom].literal;
    aside_.push_back({atom, trail.level()});
    if (!trail.holds(l) && !trail.fails(l)) {
      aside_.back().level = trail.level() + 1;  // about to be decided
      return steer(l);
    }
  }
  return kAlways;
}

void Branching::back_to(std::int32_t level) {
  while (!aside_.empty() && aside_.back().level > level) {
    if (atoms_[aside_.back().atom].place < 0) insert(aside_.back().atom);
    aside_.pop_back();
  }
}

void Branching::tidy(const Trail& trail) {
  List<Atom> old;
  std::swap(old, atoms_);
  by_literal_.clear();
  heap_.clear();
  aside_.clear();
  for (Atom atom : old) {
    if (trail.holds(atom.literal) || trail.fails(atom.literal) || atom.activity < step_ * 1e-30) continue;
    atom.place = -1;
    by_literal_[key(atom.literal)] = atoms_.count();
    atoms_.add(atom);
    insert(atoms_.count() - 1);
  }
}

void Branching::insert(std::int32_t atom) {
  heap_.add(atom);
  atoms_[atom].place = heap_.count() - 1;
  rise(heap_.count() - 1);
}

std::int32_t Branching::take() {
  const std::int32_t top = heap_[0];
  atoms_[top].place = -1;
  const std::int32_t last = heap_.back();
  heap_.drop_last();
  if (!heap_.empty()) {
    heap_[0] = last;
    atoms_[last].place = 0;
    sink(0);
  }
  return top;
}

void Branching::rise(std::int32_t place) {
  const std::int32_t atom = heap_[place];
  while (place > 0 && before(atom, heap_[(place - 1) / 2])) {
    heap_[place] = heap_[(place - 1) / 2];
    atoms_[heap_[place]].place = place;
    place = (place - 1) / 2;
  }
  heap_[place] = atom;
  atoms_[atom].place = place;
}

void Branching::sink(std::int32_t place) {
  const std::int32_t atom = heap_[place];
  while (2 * place + 1 < heap_.count()) {
    std::int32_t child = 2 * place + 1;
    if (child + 1 < heap_.count() && before(heap_[child + 1], heap_[child])) ++child;
    if (!before(heap_[child], atom)) break;
    heap_[place] = heap_[child];
    atoms_[heap_[place]].place = place;
    place = child;
  }
  heap_[place] = atom;
  atoms_[atom].place = place;
}

}  // namespace handlot::engine
