#include <fmt/format.h>

#include <charconv>
#include <optional>

#include "engine/project.h"

namespace handlot::engine {

namespace {

// Whole numbers one after another, with the line they stand in.
class Numbers {
 public:
  Numbers(std::string_view text, std::string_view file) : text_(text), file_(file) {}

  bool next(std::int32_t low, std::int32_t high, std::string_view what, std::int32_t& value) {
    skip_blanks();
    if (faults.empty() && at_ == text_.size())
      faults.push_back(error("project-malformed", here(), fmt::format("the file ends before {}", what),
                             "check that the file is whole"));
    if (!faults.empty()) return false;
    const auto [stop, fault] = std::from_chars(text_.data() + at_, text_.data() + text_.size(), value);
    const auto end = static_cast<std::size_t>(stop - text_.data());
    const bool ends_well = end == text_.size() || text_[end] == ' ' || text_[end] == '\n' ||
                           text_[end] == '\r' || text_[end] == '\t';
    if (fault != std::errc() || !ends_well || value < low || value > high) {
      faults.push_back(error("project-malformed", here(),
                             fmt::format("{} is not a whole number from {} to {}", what, low, high),
                             "write the number the form asks for here"));
      return false;
    }
    at_ = end;
    return true;
  }
  bool at_end() { return skip_blanks(), at_ == text_.size(); }
  Place here() const { return {std::string(file_), line_, 0}; }

  Diagnostics faults;

 private:
  void skip_blanks() {
    for (; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (c == '\n') ++line_;
      if (c != ' ' && c != '\n' && c != '\r' && c != '\t') return;
    }
  }
  std::string_view text_, file_;
  std::size_t at_ = 0;
  int line_ = 1;
};

constexpr std::int32_t kMost = 1'000'000;

}  // namespace

Result<ProjectInstance> read_project(std::string_view text, std::string_view file) {
  Numbers in(text, file);
  ProjectInstance p;
  std::int32_t n = 0;
  std::int32_t resources = 0;
  std::int32_t lags = 0;
  in.next(1, 100'000, "the number of activities", n);
  in.next(0, 1000, "the number of resources", resources);
  in.next(0, kMost, "the number of lags", lags);
  for (std::int32_t k = 0, c = 0; k < resources && in.next(0, kMost, "a capacity", c); ++k)
    p.capacity.push_back(c);
  for (std::int32_t i = 0; i < n && in.faults.empty(); ++i) {
    ProjectInstance::Activity a;
    in.next(0, kMost, "a duration", a.duration);
    for (std::int32_t k = 0, r = 0; k < resources && in.next(0, kMost, "a demand", r); ++k)
      a.demand.push_back(r);
    p.activities.push_back(std::move(a));
  }
  for (std::int32_t e = 0; e < lags && in.faults.empty(); ++e) {
    ProjectInstance::Lag l;
    in.next(0, n - 1, "the activity a lag comes from", l.from);
    in.next(0, n - 1, "the activity a lag goes to", l.to);
    in.next(-kMost, kMost, "a lag", l.lag);
    p.lags.push_back(l);
  }
  if (in.faults.empty() && !in.at_end())
    in.faults.push_back(error("project-malformed", in.here(),
                              "there is more in the file than its first line says",
                              "mend the counts in the first line"));
  if (!in.faults.empty()) return fail(std::move(in.faults));
  return p;
}

}  // namespace handlot::engine
