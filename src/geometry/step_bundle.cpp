#include "geometry/step_bundle.h"

#include <fmt/format.h>

#include <charconv>

namespace handlot::geometry {

namespace {

constexpr std::string_view kHead = "handlot solids 2";

std::string clean(std::string_view words) {
  std::string out(words);
  for (char& c : out)
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  return out;
}

std::string solid_line(const BundledSolid& s) {
  std::string line =
      fmt::format("solid\t{}\t{}\t{}\t{}\t", s.shape, clean(s.name), clean(s.instance), clean(s.path));
  line +=
      s.colour ? fmt::format("{} {} {}", (*s.colour)[0], (*s.colour)[1], (*s.colour)[2]) : std::string("-");
  line += s.stated_volume ? fmt::format("\t{}\t", *s.stated_volume) : std::string("\t-\t");
  for (double v : s.at.turn) line += fmt::format("{} ", v);
  return line + fmt::format("{} {} {}\n", s.at.shift.x, s.at.shift.y, s.at.shift.z);
}

std::vector<std::string_view> split(std::string_view text, char by) {
  std::vector<std::string_view> out;
  while (true) {
    const std::size_t at = text.find(by);
    out.push_back(text.substr(0, at));
    if (at == std::string_view::npos) return out;
    text.remove_prefix(at + 1);
  }
}

template <class T>
bool read(std::string_view text, T& value) {
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  return fault == std::errc{} && end == text.data() + text.size();
}

template <std::size_t N>
bool read_run(std::string_view text, std::array<double, N>& run) {
  const auto words = split(text, ' ');
  if (words.size() != N) return false;
  for (std::size_t i = 0; i < N; ++i)
    if (!read(words[i], run[i])) return false;
  return true;
}

bool read_solid(const std::vector<std::string_view>& f, StepBundle& bundle) {
  if (f.size() != 8) return false;
  BundledSolid s;
  s.name = f[2];
  s.instance = f[3];
  s.path = f[4];
  std::array<double, 3> colour{};
  std::array<double, 12> at{};
  double volume = 0;
  if (!read(f[1], s.shape) || !read_run(f[7], at)) return false;
  if (f[5] != "-") {
    if (!read_run(f[5], colour)) return false;
    s.colour = colour;
  }
  if (f[6] != "-") {
    if (!read(f[6], volume)) return false;
    s.stated_volume = volume;
  }
  std::copy_n(at.begin(), 9, s.at.turn.begin());
  s.at.shift = {at[9], at[10], at[11]};
  bundle.solids.push_back(std::move(s));
  return true;
}

}  // namespace

std::string to_bytes(const StepBundle& b) {
  std::string out = fmt::format("{}\nname\t{}\nunit\t{}\nschema\t{}\n", kHead, clean(b.name), clean(b.unit),
                                clean(b.schema));
  for (const Diagnostic& d : b.said)
    out += fmt::format("{}\t{}\t{}\t{}\n", d.severity == Diagnostic::Severity::error ? "error" : "warning",
                       d.code, clean(d.text), clean(d.mend));
  for (const BundledSolid& s : b.solids) out += solid_line(s);
  for (const std::string& shape : b.shapes) out += fmt::format("shape\t{}\n", shape.size()) + shape + "\n";
  return out + "end\n";
}

Result<StepBundle> bundle_from_bytes(std::string_view bytes) {
  const auto garbled = [] {
    return fail(error("step-garbled", {}, "the STEP program gave an answer that cannot be read",
                      "build handlot and handlot-step from the same source"));
  };
  StepBundle bundle;
  bool head = true;
  while (!bytes.empty()) {
    const std::size_t end = bytes.find('\n');
    if (end == std::string_view::npos) return garbled();
    const std::string_view line = bytes.substr(0, end);
    bytes.remove_prefix(end + 1);
    if (head) {
      if (line != kHead) return garbled();
      head = false;
      continue;
    }
    const auto f = split(line, '\t');
    std::size_t size = 0;
    if (f[0] == "end") {
      for (const BundledSolid& s : bundle.solids)
        if (s.shape >= bundle.shapes.size()) return garbled();
      return bundle;
    }
    if (f[0] == "name" && f.size() == 2) {
      bundle.name = f[1];
    } else if (f[0] == "unit" && f.size() == 2) {
      bundle.unit = f[1];
    } else if (f[0] == "schema" && f.size() == 2) {
      bundle.schema = f[1];
    } else if (f[0] == "error" && f.size() == 4) {
      bundle.said.push_back(error(std::string(f[1]), {}, std::string(f[2]), std::string(f[3])));
    } else if (f[0] == "warning" && f.size() == 4) {
      bundle.said.push_back(warning(std::string(f[1]), {}, std::string(f[2]), std::string(f[3])));
    } else if (f[0] == "shape" && f.size() == 2 && read(f[1], size) && size < bytes.size()) {
      bundle.shapes.emplace_back(bytes.substr(0, size));
      bytes.remove_prefix(size + 1);
    } else if (f[0] != "solid" || !read_solid(f, bundle)) {
      return garbled();
    }
  }
  return garbled();
}

}  // namespace handlot::geometry
