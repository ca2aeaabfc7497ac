// Which solid of a file is which part of a job.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <functional>

#include "core/text.h"
#include "geometry/step.h"

namespace handlot::geometry {

namespace {

/// Letters and digits in small letters, without the number of an instance ("Bolt:2", "bolt_2", "bolt (2)").
std::string plain(std::string_view name, bool without_number) {
  std::string out;
  for (char c : name)
    if (std::isalnum(static_cast<unsigned char>(c)))
      out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  if (without_number) {
    const std::size_t cut = name.find_last_of(":_(. ");
    const bool numbered =
        cut != std::string_view::npos && cut > 0 &&
        std::all_of(name.begin() + static_cast<std::ptrdiff_t>(cut) + 1, name.end(),
                    [](char c) { return std::isdigit(static_cast<unsigned char>(c)) || c == ')'; });
    if (numbered && cut + 1 < name.size()) return plain(name.substr(0, cut), false);
  }
  return out;
}

class Matcher {
 public:
  Matcher(const StepModel& model, const std::vector<WantedSolid>& wanted)
      : model_(model), wanted_(wanted), taken_(model.solids.size(), false), found_(wanted.size()) {}

  std::vector<MatchedSolid> run() {
    pass(
        [&](std::size_t w, std::size_t s) {
          const std::string& instance = model_.solids[s].instance;
          return !instance.empty() && plain(wanted_[w].name, false) == plain(instance, false);
        },
        MatchedSolid::By::name);
    pass([&](std::size_t w,
             std::size_t s) { return plain(wanted_[w].name, false) == plain(model_.solids[s].name, false); },
         MatchedSolid::By::name);
    pass([&](std::size_t w,
             std::size_t s) { return plain(wanted_[w].name, true) == plain(model_.solids[s].name, true); },
         MatchedSolid::By::name);
    pass([&](std::size_t w, std::size_t s) { return like_volume(w, s); }, MatchedSolid::By::volume);
    pass([&](std::size_t w, std::size_t s) { return at_centre(w, s); }, MatchedSolid::By::centre);
    for (std::size_t w = 0; w < wanted_.size(); ++w)
      if (!found_[w].solid) found_[w].text = fmt::format("no solid of the file is '{}'", wanted_[w].name);
    return found_;
  }

 private:
  bool like_volume(std::size_t w, std::size_t s) const {
    if (!wanted_[w].volume) return false;
    const double asked = wanted_[w].volume->value,
                 has = model_.shapes[model_.solids[s].shape].amounts().volume.value;
    return std::abs(asked - has) <= 1e-4 * std::max(asked, has);
  }
  shapes::Vec3 centre(std::size_t s) const {
    return model_.solids[s].at.point(model_.shapes[model_.solids[s].shape].amounts().centre);
  }
  bool at_centre(std::size_t w, std::size_t s) const {
    return wanted_[w].centre && length(*wanted_[w].centre - centre(s)) <= 0.1;
  }

  void pass(const std::function<bool(std::size_t, std::size_t)>& same, MatchedSolid::By by) {
    for (std::size_t w = 0; w < wanted_.size(); ++w) {
      if (found_[w].solid) continue;
      std::vector<std::size_t> could;
      for (std::size_t s = 0; s < model_.solids.size(); ++s)
        if (!taken_[s] && same(w, s)) could.push_back(s);
      if (!could.empty()) take(w, could, by);
    }
  }

  void take(std::size_t w, const std::vector<std::size_t>& could, MatchedSolid::By by) {
    std::size_t chosen = could.front();
    if (wanted_[w].centre && could.size() > 1)
      chosen = *std::min_element(could.begin(), could.end(), [&](std::size_t a, std::size_t b) {
        return length(*wanted_[w].centre - centre(a)) < length(*wanted_[w].centre - centre(b));
      });
    taken_[chosen] = true;
    found_[w].solid = chosen;
    found_[w].by = by;
    const std::string& name = model_.solids[chosen].name;
    if (by == MatchedSolid::By::volume)
      found_[w].text =
          fmt::format("'{}' was taken to be '{}' of the file, which has its volume", wanted_[w].name, name);
    if (by == MatchedSolid::By::centre)
      found_[w].text = fmt::format("'{}' was taken to be '{}' of the file, which lies where it should",
                                   wanted_[w].name, name);
    if (could.size() > 1)
      found_[w].text += fmt::format("{}{} solids of the file fit '{}'; the {} was taken",
                                    found_[w].text.empty() ? "" : "; ", could.size(), wanted_[w].name,
                                    wanted_[w].centre ? "nearest" : "first");
  }

  const StepModel& model_;
  const std::vector<WantedSolid>& wanted_;
  std::vector<bool> taken_;
  std::vector<MatchedSolid> found_;
};

}  // namespace

std::vector<MatchedSolid> match(const StepModel& model, const std::vector<WantedSolid>& wanted) {
  return Matcher(model, wanted).run();
}

}  // namespace handlot::geometry
