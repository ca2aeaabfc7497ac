// list.h: a vector indexed by signed whole numbers, as trails and views are.
#pragma once

#include <cassert>
#include <cstdint>
#include <vector>

namespace handlot::engine {

/// std::vector whose index and count are std::int32_t, so that -1 can mean "none" without a cast at every
/// use.
template <class T>
class List {
 public:
  List() = default;
  explicit List(std::int32_t count, const T& value = T()) : items_(static_cast<std::size_t>(count), value) {}

  std::int32_t count() const { return static_cast<std::int32_t>(items_.size()); }
  bool empty() const { return items_.empty(); }
  T& operator[](std::int32_t i) {
    assert(i >= 0 && i < count());
    return items_[static_cast<std::size_t>(i)];
  }
  const T& operator[](std::int32_t i) const {
    assert(i >= 0 && i < count());
    return items_[static_cast<std::size_t>(i)];
  }
  T& back() { return items_.back(); }
  const T& back() const { return items_.back(); }
  void add(T item) { items_.push_back(std::move(item)); }
  void drop_last() { items_.pop_back(); }
  void resize(std::int32_t count, const T& value = T()) {
    items_.resize(static_cast<std::size_t>(count), value);
  }
  void clear() { items_.clear(); }
  T* data() { return items_.data(); }
  const T* data() const { return items_.data(); }
  auto begin() { return items_.begin(); }
  auto end() { return items_.end(); }
  auto begin() const { return items_.begin(); }
  auto end() const { return items_.end(); }

 private:
  std::vector<T> items_;
};

}  // namespace handlot::engine
