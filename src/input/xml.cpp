#include "input/xml.h"

#include <fmt/format.h>
#include <tinyxml2.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "core/text.h"
#include "input/file.h"
#include "input/xml_tags.h"

namespace handlot::input {

struct XmlFile::Document {
  tinyxml2::XMLDocument xml;
  std::vector<std::string> lines;
};

namespace {

const tinyxml2::XMLElement* node(const void* pointer) { return static_cast<const tinyxml2::XMLElement*>(pointer); }

std::vector<std::string> split_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream stream(text);
  for (std::string line; std::getline(stream, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    lines.push_back(std::move(line));
  }
  return lines;
}

/// The column where `what` stands in the line, or 0 when it stands there never or more than once.
int sure_column(const std::string& line, const std::string& what) {
  const auto first = line.find(what);
  if (first == std::string::npos || line.find(what, first + 1) != std::string::npos) return 0;
  return static_cast<int>(first) + 1;
}

Diagnostic broken(const tinyxml2::XMLDocument& xml, std::string_view text, const std::string& path) {
  // The library names the line of the tag that it gave up, which may stand hundreds of lines above the fault.
  if (xml.ErrorID() == tinyxml2::XML_ERROR_MISMATCHED_ELEMENT) {
    if (auto tag = unmatched_tag(text, path)) return std::move(*tag);
  }
  if (xml.ErrorID() == tinyxml2::XML_ELEMENT_DEPTH_EXCEEDED) {
    return error("xml-deep", {path, xml.ErrorLineNum(), 0}, "elements are nested more than 100 deep",
                 "flatten the file: no job needs more than a dozen levels");
  }
  if (xml.ErrorID() == tinyxml2::XML_ERROR_EMPTY_DOCUMENT) {
    return error("file-empty", {path, 0, 0}, "the file holds no element", "start from 'handlot new DIR'");
  }
  return error("xml-broken", {path, xml.ErrorLineNum(), 0},
               fmt::format("the XML breaks off or is malformed here ({})", tinyxml2::XMLDocument::ErrorIDToName(xml.ErrorID())),
               "close every tag and quote; a look at the lines just above often shows it");
}

}  // namespace

XmlFile::XmlFile() : document_(std::make_unique<Document>()) {}
XmlFile::~XmlFile() = default;

Result<std::shared_ptr<const XmlFile>> XmlFile::read(const std::string& path) {
  auto text = read_text(path);
  if (!text) return fail(text.error());
  return parse(std::move(*text), path);
}

Result<std::shared_ptr<const XmlFile>> XmlFile::parse(std::string text, const std::string& path) {
  if (auto fault = encoding_fault(text, path)) return fail(*fault);
  std::shared_ptr<XmlFile> file(new XmlFile);
  file->path_ = path;
  file->document_->lines = split_lines(text);
  file->document_->xml.Parse(text.data(), text.size());
  if (file->document_->xml.Error()) return fail(broken(file->document_->xml, text, path));
  if (file->document_->xml.RootElement() == nullptr) {
    return fail(error("file-empty", {path, 0, 0}, "the file holds no element", "start from 'handlot new DIR'"));
  }
  return std::shared_ptr<const XmlFile>(file);
}

Element XmlFile::root() const { return Element(this, document_->xml.RootElement()); }

std::string XmlFile::line(int line) const {
  if (line < 1 || static_cast<std::size_t>(line) > document_->lines.size()) return {};
  return document_->lines[static_cast<std::size_t>(line) - 1];
}

std::string Element::name() const { return node(node_)->Name(); }

Place Element::place() const {
  const int line = node(node_)->GetLineNum();
  const std::string text = file_->line(line);
  int column = sure_column(text, "<" + name() + " ");
  if (column == 0) column = sure_column(text, "<" + name() + ">");
  if (column == 0) column = sure_column(text, "<" + name() + "/");
  return {file_->path(), line, column};
}

Place Element::place_of(std::string_view attribute) const {
  const auto* found = node(node_)->FindAttribute(std::string(attribute).c_str());
  if (found == nullptr) return place();
  const int line = found->GetLineNum();
  const int column = sure_column(file_->line(line), fmt::format(" {}=", attribute));
  return {file_->path(), line, column == 0 ? 0 : column + 1};
}

std::optional<std::string> Element::attribute(std::string_view name) const {
  const char* value = node(node_)->Attribute(std::string(name).c_str());
  if (value == nullptr) return std::nullopt;
  return std::string(value);
}

std::vector<std::string> Element::attributes() const {
  std::vector<std::string> names;
  for (const auto* a = node(node_)->FirstAttribute(); a != nullptr; a = a->Next()) names.emplace_back(a->Name());
  return names;
}

std::vector<Element> Element::children() const {
  std::vector<Element> all;
  for (const auto* e = node(node_)->FirstChildElement(); e != nullptr; e = e->NextSiblingElement()) {
    all.push_back(Element(file_, e));
  }
  return all;
}

std::string Element::text() const {
  std::string folded;
  for (const auto* n = node(node_)->FirstChild(); n != nullptr; n = n->NextSibling()) {
    if (const auto* t = n->ToText()) {
      std::istringstream words(t->Value());
      for (std::string word; words >> word;) folded += (folded.empty() ? "" : " ") + word;
    }
  }
  return folded;
}

void Take::fault(std::string code, Place at, std::string text, std::string mend) {
  faults_->push_back(error(std::move(code), std::move(at), std::move(text), std::move(mend)));
}

bool Take::require(std::string_view attribute) {
  asked_attributes_.emplace(attribute);
  const auto value = element_.attribute(attribute);
  if (value && !value->empty()) return true;
  if (value) {
    fault("attribute-empty", place_of(attribute), fmt::format("'{}' of <{}> is empty", attribute, element_.name()),
          fmt::format("write {}=\"...\"", attribute));
  } else {
    fault("attribute-missing", place(), fmt::format("<{}> has no '{}'", element_.name(), attribute),
          fmt::format("add {}=\"...\"", attribute));
  }
  return false;
}

std::string Take::text(std::string_view attribute) {
  if (!require(attribute)) return {};
  return *element_.attribute(attribute);
}

std::string Take::text_or(std::string_view attribute, std::string fallback) {
  asked_attributes_.emplace(attribute);
  return element_.attribute(attribute).value_or(std::move(fallback));
}

std::vector<std::string> Take::words(std::string_view attribute) {
  std::istringstream stream(text_or(attribute, ""));
  std::vector<std::string> all;
  for (std::string word; stream >> word;) all.push_back(std::move(word));
  return all;
}

std::string Take::id(std::string_view attribute) {
  if (!require(attribute)) return {};
  const std::string value = *element_.attribute(attribute);
  const bool good = value.size() <= 64 && std::all_of(value.begin(), value.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' || c == '.';
  });
  if (!good) {
    fault("id-bad", place_of(attribute), fmt::format("'{}' can't be an id", value.substr(0, 80)),
          "use letters, digits, '-', '_' and '.', at most 64 of them");
  }
  return value;
}

bool Take::yes(std::string_view attribute, bool fallback) {
  return word_of(attribute, {"yes", "no"}, fallback ? "yes" : "no") == "yes";
}

long Take::count(std::string_view attribute, long fallback, long low, long high) {
  asked_attributes_.emplace(attribute);
  const auto value = element_.attribute(attribute);
  if (!value) return fallback;
  long number = 0;
  const auto [end, code] = std::from_chars(value->data(), value->data() + value->size(), number);
  if (code != std::errc() || end != value->data() + value->size() || number < low || number > high) {
    fault("count-bad", place_of(attribute), fmt::format("'{}' is not a whole number from {} to {}", *value, low, high),
          "write a whole number in that range, without a unit");
    return fallback;
  }
  return number;
}

double Take::plain(std::string_view attribute, double fallback, Range range) {
  const auto read = canonical(attribute, Dimension::ratio, range);
  return read ? read->low : fallback;
}

std::string Take::word_of(std::string_view attribute, std::initializer_list<std::string_view> words, std::string fallback) {
  asked_attributes_.emplace(attribute);
  const auto value = element_.attribute(attribute);
  if (!value) return fallback;
  if (std::find(words.begin(), words.end(), *value) != words.end()) return *value;
  const std::vector<std::string> known(words.begin(), words.end());
  const auto near = closest(*value, known);
  fault("word-unknown", place_of(attribute), fmt::format("'{}' can't be '{}'", attribute, *value),
        near ? fmt::format("write {}=\"{}\"", attribute, *near) : fmt::format("write one of: {}", listed(known)));
  return fallback;
}

std::optional<Amount> Take::canonical(std::string_view attribute, Dimension dimension, Range range) {
  asked_attributes_.emplace(attribute);
  const auto value = element_.attribute(attribute);
  if (!value) return std::nullopt;
  const auto read = read_amount(*value, dimension, range);
  if (!read) {
    fault(read.error().code, place_of(attribute), fmt::format("{}: {}", attribute, read.error().text), read.error().mend);
    return std::nullopt;
  }
  return *read;
}

std::vector<Element> Take::children(std::string_view name) {
  asked_children_.emplace(name);
  std::vector<Element> named;
  for (Element& child : element_.children()) {
    if (child.name() == name) named.push_back(std::move(child));
  }
  return named;
}

std::optional<Element> Take::child(std::string_view name) {
  std::vector<Element> all = children(name);
  if (all.empty()) return std::nullopt;
  if (all.size() > 1) {
    fault("element-twice", all[1].place(), fmt::format("a second <{}> in <{}>", name, element_.name()), "keep one of them");
  }
  return all.front();
}

void Take::finish() {
  const std::vector<std::string> attributes(asked_attributes_.begin(), asked_attributes_.end());
  for (const std::string& name : element_.attributes()) {
    if (asked_attributes_.contains(name) || name.starts_with("xmlns") || name.starts_with("xsi:")) continue;
    const auto near = closest(name, attributes);
    fault("attribute-unknown", place_of(name), fmt::format("<{}> has no attribute '{}'", element_.name(), name),
          near ? fmt::format("write {}", *near) : fmt::format("known here: {}", listed(attributes)));
  }
  const std::vector<std::string> children(asked_children_.begin(), asked_children_.end());
  for (const Element& child : element_.children()) {
    if (asked_children_.contains(child.name())) continue;
    const auto near = closest(child.name(), children);
    fault("element-unknown", child.place(), fmt::format("<{}> can't stand in <{}>", child.name(), element_.name()),
          near              ? fmt::format("write <{}>", *near)
          : children.empty() ? "take it out: this element holds nothing"
                             : fmt::format("known here: {}", listed(children)));
  }
}

}  // namespace handlot::input
