#include "bodies/solid_text.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <set>
#include <sstream>

#include "core/text.h"
#include "input/units.h"
#include "shapes/board.h"

namespace handlot::bodies {

namespace {

using catalogue::ShapeText;
using shapes::SolidTree;

std::optional<std::vector<double>> numbers(const std::string& text, const std::string& unit) {
  std::istringstream stream(text);
  std::vector<double> values;
  std::string last;
  for (std::string word; stream >> word;) {
    if (!last.empty()) return std::nullopt;  // something stands behind the unit
    double value = 0;
    const auto [end, code] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (code == std::errc() && end == word.data() + word.size() && std::isfinite(value) && std::abs(value) < 1e5) {
      values.push_back(value);
    } else {
      last = word;
    }
  }
  if (last != unit) return std::nullopt;
  return values;
}

class SolidReader {
 public:
  SolidTree read(const ShapeText& text) {
    SolidTree tree;
    tree.place = text.place;
    asked_.clear();
    asked_.insert({"at", "turn"});
    shape(text, tree);
    tree.at = placement(text);
    for (const auto& [word, value] : text.words) {
      if (!asked_.contains(word)) fault(text, "attribute-unknown", fmt::format("<{}> has no attribute '{}'", text.name, word), fmt::format("known here: {}", fmt::join(asked_, ", ")));
    }
    return tree;
  }

  std::vector<SolidTree> children(const ShapeText& text) {
    std::vector<SolidTree> all;
    for (const ShapeText& child : text.children) {
      SolidReader inner;
      all.push_back(inner.read(child));
      faults.insert(faults.end(), inner.faults.begin(), inner.faults.end());
    }
    return all;
  }

  Diagnostics faults;

 private:
  void fault(const ShapeText& text, std::string code, std::string what, std::string mend) { faults.push_back(error(std::move(code), text.place, std::move(what), std::move(mend))); }

  std::string word(const ShapeText& text, const std::string& name, bool must) {
    asked_.insert(name);
    const auto found = text.words.find(name);
    if (found != text.words.end()) return found->second;
    if (must) fault(text, "attribute-missing", fmt::format("<{}> has no '{}'", text.name, name), fmt::format("add {}=\"...\"", name));
    return {};
  }

  Millimetres length(const ShapeText& text, const std::string& name, bool must = true) {
    const std::string value = word(text, name, must);
    if (value.empty()) return Millimetres(0);
    const auto read = input::read_amount(value, input::Dimension::length, {0, 1e5});
    if (!read) {
      fault(text, read.error().code, fmt::format("{}: {}", name, read.error().text), read.error().mend);
      return Millimetres(1);
    }
    return Millimetres(read->low);
  }

  std::vector<double> sizes(const ShapeText& text, const std::string& name, std::size_t count) {
    const std::string value = word(text, name, true);
    const auto read = numbers(value, "mm");
    if (read && read->size() == count) return *read;
    if (!value.empty()) fault(text, "solid-number", fmt::format("{}: '{}' is not {} numbers and 'mm'", name, value, count), fmt::format("write {}=\"{}mm\"", name, count == 2 ? "10 5 " : "10 5 2 "));
    return std::vector<double>(count, 1.0);
  }

  shapes::Polygon outline(const ShapeText& text) {
    std::string value = word(text, "outline", true);
    shapes::Polygon polygon;
    std::istringstream corners(value);
    for (std::string corner; std::getline(corners, corner, ',');) {
      const bool last = corners.eof();
      const auto xy = numbers(last ? corner : corner + " mm", "mm");
      if (!xy || xy->size() != 2) {
        fault(text, "solid-number", fmt::format("outline: '{}' is no corner", corner), "write outline=\"0 0, 10 0, 10 5 mm\"");
        return {{0, 0}, {1, 0}, {0, 1}};
      }
      polygon.push_back({(*xy)[0], (*xy)[1]});
    }
    return polygon;
  }

  shapes::Placement placement(const ShapeText& text) {
    shapes::Vec3 at, turn;
    if (const auto found = text.words.find("at"); found != text.words.end()) {
      if (const auto v = three(found->second, "mm")) at = *v;
      else fault(text, "solid-number", fmt::format("at: '{}' is not three numbers and 'mm'", found->second), "write at=\"0 0 2 mm\"");
    }
    if (const auto found = text.words.find("turn"); found != text.words.end()) {
      if (const auto v = three(found->second, "deg")) turn = *v;
      else fault(text, "solid-number", fmt::format("turn: '{}' is not three numbers and 'deg'", found->second), "write turn=\"0 90 0 deg\"");
    }
    return shapes::placed_at(at, Degrees(turn.x), Degrees(turn.y), Degrees(turn.z));
  }

  std::vector<shapes::PlateHole> holes(const ShapeText& text) {
    std::vector<shapes::PlateHole> all;
    for (const ShapeText& child : text.children) {
      if (child.name != "hole") {
        fault(child, "solid-unknown", fmt::format("<{}> can't stand in <{}>", child.name, text.name), "write <hole at=\"5 5 mm\" diameter=\"3.2 mm\"/>");
        continue;
      }
      SolidReader inner;
      const std::vector<double> at = inner.sizes(child, "at", 2);
      all.push_back({{at[0], at[1]}, inner.length(child, "diameter"), inner.length(child, "countersink", false)});
      faults.insert(faults.end(), inner.faults.begin(), inner.faults.end());
    }
    return all;
  }

  void shape(const ShapeText& text, SolidTree& tree) {
    if (text.name == "box") {
      const auto s = sizes(text, "size", 3);
      tree.shape = shapes::BoxShape{Millimetres(s[0]), Millimetres(s[1]), Millimetres(s[2])};
    } else if (text.name == "cylinder") {
      tree.shape = shapes::CylinderShape{length(text, "diameter"), length(text, "height")};
    } else if (text.name == "cone") {
      tree.shape = shapes::ConeShape{length(text, "lower"), length(text, "upper"), length(text, "height")};
    } else if (text.name == "sphere") {
      tree.shape = shapes::SphereShape{length(text, "diameter")};
    } else if (text.name == "extrusion") {
      shapes::ExtrusionShape e{outline(text), {}, length(text, "height")};
      for (const ShapeText& child : text.children) {
        SolidReader inner;
        e.openings.push_back(inner.outline(child));
        faults.insert(faults.end(), inner.faults.begin(), inner.faults.end());
      }
      tree.shape = std::move(e);
    } else if (text.name == "plate") {
      const auto s = sizes(text, "size", 2);
      tree.shape = shapes::PlateShape{Millimetres(s[0]), Millimetres(s[1]), length(text, "thickness"), length(text, "corner", false), holes(text)};
    } else if (text.name == "disc") {
      tree.shape = shapes::PlateShape{length(text, "diameter"), Millimetres(0), length(text, "thickness"), Millimetres(0), holes(text)};
    } else if (text.name == "thread") {
      tree.shape = shapes::ThreadShape{length(text, "nominal"), length(text, "pitch"), length(text, "length"), word(text, "inner", false) == "yes"};
    } else if (text.name == "cut") {
      tree.shape = shapes::CutShape{children(text)};
    } else if (text.name == "fuse") {
      tree.shape = shapes::FuseShape{children(text)};
    } else if (text.name == "common") {
      tree.shape = shapes::CommonShape{children(text)};
    } else {
      static const std::vector<std::string> known{"box", "common", "cone", "cut", "cylinder", "disc", "extrusion", "fuse", "plate", "sphere", "thread"};
      const auto near = closest(text.name, known);
      fault(text, "solid-unknown", fmt::format("'{}' is no shape", text.name), near ? fmt::format("write <{}>", *near) : fmt::format("known: {}", listed(known)));
      tree.shape = shapes::BoxShape{Millimetres(1), Millimetres(1), Millimetres(1)};
      for (const auto& [name, value] : text.words) asked_.insert(name);
    }
  }

  std::set<std::string> asked_;
};

/// Heads by thread. Diameter and height, mm.
/// Source   ISO 7045 (pan) and ISO 7046 (countersunk) from memory; ISO 4762 (socket), ISO 7380-1 (button) as in fasteners_metric.
struct Head {
  std::string_view thread, form;
  double diameter, height;
};
constexpr std::array kHeads{
    Head{"M1.6", "pan", 3.2, 1.3},       Head{"M2", "pan", 4.0, 1.6},         Head{"M2.5", "pan", 5.0, 2.1},      Head{"M3", "pan", 5.6, 2.4},
    Head{"M4", "pan", 8.0, 3.1},         Head{"M5", "pan", 9.5, 3.7},         Head{"M6", "pan", 12.0, 4.6},       Head{"M1.6", "countersunk", 3.0, 1.0},
    Head{"M2", "countersunk", 3.8, 1.2}, Head{"M2.5", "countersunk", 4.7, 1.5}, Head{"M3", "countersunk", 5.5, 1.65}, Head{"M4", "countersunk", 8.4, 2.7},
    Head{"M5", "countersunk", 9.3, 2.7}, Head{"M6", "countersunk", 11.3, 3.3}, Head{"M1.6", "socket", 3.0, 1.6},    Head{"M2", "socket", 3.8, 2.0},
    Head{"M2.5", "socket", 4.5, 2.5},    Head{"M3", "socket", 5.5, 3.0},      Head{"M4", "socket", 7.0, 4.0},     Head{"M5", "socket", 8.5, 5.0},
    Head{"M6", "socket", 10.0, 6.0},     Head{"M3", "button", 5.7, 1.65},     Head{"M4", "button", 7.6, 2.2},     Head{"M5", "button", 9.5, 2.75},
    Head{"M6", "button", 10.5, 3.3},
};

std::optional<SolidTree> screw_body(const catalogue::Card& card) {
  // A thread-forming screw stands as a pan head of its outer diameter.
  const std::string form = card.word_or("head", "pan");
  std::string thread = card.word_or("thread");
  if (thread.starts_with("PT")) thread = "M" + thread.substr(2);
  const auto length = card.get<Millimetres>("length");
  double nominal = 0;
  if (thread.size() < 2 || std::from_chars(thread.data() + 1, thread.data() + thread.size(), nominal).ec != std::errc() || !length) return std::nullopt;
  const double l = length->low.value;
  if (form == "set") return shapes::cylinder(nominal, l, {0, 0, -l});
  const Head* head = nullptr;
  for (const Head& h : kHeads) {
    if (h.thread == thread && (h.form == form || (head == nullptr && h.form == "pan"))) head = &h;
  }
  if (head == nullptr) return std::nullopt;
  if (form == "countersunk") {
    // Flush: the rim of the head lies at z = 0, the whole screw below it.
    return shapes::fuse({shapes::cone(nominal, head->diameter, head->height, {0, 0, -head->height}), shapes::cylinder(nominal, l, {0, 0, -l})});
  }
  return shapes::fuse({shapes::cylinder(head->diameter, head->height), shapes::cylinder(nominal, l, {0, 0, -l})});
}

/// With a square section, which is how wide and how high it lies free.
SolidTree ring_of(double inner, double cord) { return shapes::cut({shapes::cylinder(inner + 2 * cord, cord), shapes::cylinder(inner, cord + 2, {0, 0, -1})}); }

}  // namespace

std::optional<shapes::Vec3> three(const std::string& text, const std::string& unit) {
  const auto values = numbers(text, unit);
  if (!values || values->size() != 3) return std::nullopt;
  return shapes::Vec3{(*values)[0], (*values)[1], (*values)[2]};
}

Result<shapes::SolidTree> read_solid(const ShapeText& solid) {
  SolidReader reader;
  std::vector<SolidTree> all = reader.children(solid);
  if (all.empty()) return fail(error("solid-empty", solid.place, "the <solid> holds no shape", "write a shape into it: <box size=\"10 5 2 mm\"/>"));
  SolidTree tree = all.size() == 1 ? std::move(all.front()) : shapes::fuse(std::move(all));
  if (tree.place.file.empty()) tree.place = solid.place;
  if (reader.faults.empty()) reader.faults = shapes::faults(tree);
  if (!reader.faults.empty()) return fail(std::move(reader.faults));
  return tree;
}

Result<std::optional<shapes::SolidTree>> body_of(const catalogue::Card& card) {
  if (!card.solid.empty()) {
    auto read = read_solid(card.solid.front());
    if (!read) return fail(read.error());
    return std::optional<SolidTree>(std::move(*read));
  }
  if (card.kind == catalogue::CardKind::screw) return screw_body(card);
  const auto cord = card.get<Millimetres>("cord-diameter"), inner = card.get<Millimetres>("inner-diameter");
  if (cord && inner) return std::optional<SolidTree>(ring_of(inner->high.value, cord->high.value));
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width"), height = card.get<Millimetres>("height");
  if (length && width && height) return std::optional<SolidTree>(shapes::box(length->high.value, width->high.value, height->high.value));
  if (const auto chip = shapes::chip_body(card.word_or("package"), card.word_or("package-unit") == "metric")) {
    return std::optional<SolidTree>(shapes::box(chip->length.value, chip->width.value, chip->height.value));
  }
  return std::optional<SolidTree>();
}

}  // namespace handlot::bodies
