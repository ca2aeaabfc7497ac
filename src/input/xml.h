// xml.h: XML read with places; every fault of a file is collected, none stops the reading.
#pragma once

#include <initializer_list>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "core/diagnostic.h"
#include "input/units.h"

namespace handlot::input {

/// A parsed file. Copies share one document.
class XmlFile;

/// An element of an XmlFile; valid as long as some copy of the file is.
class Element {
 public:
  std::string name() const;
  Place place() const;                                 ///< of the '<'
  Place place_of(std::string_view attribute) const;    ///< of the attribute; the element's if it is absent
  std::optional<std::string> attribute(std::string_view name) const;
  std::vector<std::string> attributes() const;
  std::vector<Element> children() const;
  std::string text() const;  ///< of the element itself, white space folded

 private:
  friend class XmlFile;
  Element(const XmlFile* file, const void* node) : file_(file), node_(node) {}
  const XmlFile* file_;
  const void* node_;
};

class XmlFile {
 public:
  /// Reads `path`, or the text given.
  ///
  /// Errors   file-missing, file-empty, file-huge (over 8 MiB), file-encoding (not UTF-8), xml-broken,
  ///          xml-deep (over 100 levels).
  static Result<std::shared_ptr<const XmlFile>> read(const std::string& path);
  static Result<std::shared_ptr<const XmlFile>> parse(std::string text, const std::string& path);

  Element root() const;
  const std::string& path() const { return path_; }
  /// Line `line` (from 1) of the text, without its end; empty when there is none.
  std::string line(int line) const;

  ~XmlFile();

 private:
  friend class Element;
  XmlFile();
  struct Document;
  std::unique_ptr<Document> document_;
  std::string path_;
};

/// Reads one element: what is asked for is taken, what nobody asked for is reported by finish().
/// All faults go to the Diagnostics given; a faulty value comes back as the fallback, so that reading goes on.
class Take {
 public:
  Take(Element element, Diagnostics& faults) : element_(std::move(element)), faults_(&faults) {}

  const Element& element() const { return element_; }
  Place place() const { return element_.place(); }
  Place place_of(std::string_view attribute) const { return element_.place_of(attribute); }
  bool has(std::string_view attribute) const { return element_.attribute(attribute).has_value(); }

  std::string text(std::string_view attribute);                          ///< must be there and not empty
  std::string text_or(std::string_view attribute, std::string fallback);
  std::vector<std::string> words(std::string_view attribute);            ///< split at blanks; may be absent
  std::string id(std::string_view attribute);                            ///< letters, digits, '-', '_', '.'; 1 to 64
  bool yes(std::string_view attribute, bool fallback);                   ///< "yes" or "no"
  long count(std::string_view attribute, long fallback, long low, long high);
  double plain(std::string_view attribute, double fallback, Range range);  ///< a number without unit
  std::string word_of(std::string_view attribute, std::initializer_list<std::string_view> words, std::string fallback);

  template <class Q>
  std::optional<Q> amount(std::string_view attribute) {
    return amount<Q>(attribute, sensible(DimensionOf<Q>::value));
  }
  template <class Q>
  std::optional<Q> amount(std::string_view attribute, Range range) {
    const auto read = canonical(attribute, DimensionOf<Q>::value, range);
    if (!read) return std::nullopt;
    return from_canonical<Q>(read->low);
  }
  template <class Q>
  Q amount_or(std::string_view attribute, Q fallback) {
    return amount<Q>(attribute).value_or(fallback);
  }
  template <class Q>
  Q must(std::string_view attribute) {
    if (!require(attribute)) return Q{};
    return amount<Q>(attribute).value_or(Q{});
  }
  /// An amount of a dimension known only at run time.
  std::optional<Amount> canonical(std::string_view attribute, Dimension dimension, Range range);

  /// The children of this name, in file order.
  std::vector<Element> children(std::string_view name);
  std::optional<Element> child(std::string_view name);  ///< at most one; a second is an error

  /// Reports attributes and children that nobody asked for, each with the nearest known name.
  void finish();

  void fault(std::string code, Place at, std::string text, std::string mend);

 private:
  bool require(std::string_view attribute);
  Element element_;
  Diagnostics* faults_;
  std::set<std::string, std::less<>> asked_attributes_;
  std::set<std::string, std::less<>> asked_children_;
};

}  // namespace handlot::input
