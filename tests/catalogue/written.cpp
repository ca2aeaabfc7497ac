#include "catalogue/written.h"

#include <fmt/format.h>

#include <array>
#include <sstream>
#include <vector>

#include "catalogue/catalogue.h"

namespace handlot::catalogue {
namespace {

constexpr std::array kKinds{CardKind::part,      CardKind::screw, CardKind::material, CardKind::paste,   CardKind::solder,
                            CardKind::adhesive,  CardKind::activator, CardKind::oil,  CardKind::solvent, CardKind::coating,
                            CardKind::flux,      CardKind::station,   CardKind::tool, CardKind::process};

std::vector<std::string> words_in(std::string_view text) {
  std::istringstream stream{std::string(text)};
  std::vector<std::string> words;
  for (std::string w; stream >> w;) words.push_back(w);
  return words;
}

std::string choice_type(std::string_view choices) {
  std::string text = "<xs:simpleType><xs:restriction base=\"xs:string\">";
  for (const std::string& word : words_in(choices)) text += fmt::format("<xs:enumeration value=\"{}\"/>", word);
  return text + "</xs:restriction></xs:simpleType>";
}

std::string kind_type(CardKind kind) {
  std::string text = fmt::format("  <xs:complexType name=\"{}\">\n    <xs:choice minOccurs=\"0\" maxOccurs=\"unbounded\">\n", word(kind));
  std::string names;
  for (const FigureName& f : figures_of(kind)) {
    names += fmt::format("                <xs:enumeration value=\"{}\"/>\n", f.name);
  }
  if (!names.empty()) {
    text += "      <xs:element name=\"figure\">\n        <xs:complexType>\n          <xs:attribute name=\"name\" use=\"required\">\n"
            "            <xs:simpleType>\n              <xs:restriction base=\"xs:string\">\n" +
            names +
            "              </xs:restriction>\n            </xs:simpleType>\n          </xs:attribute>\n"
            "          <xs:attributeGroup ref=\"figure\"/>\n        </xs:complexType>\n      </xs:element>\n";
  }
  text += "      <xs:element name=\"hazard\" type=\"hazard\"/>\n      <xs:element name=\"note\" type=\"xs:string\"/>\n"
          "      <xs:element name=\"solid\" type=\"xs:anyType\"/>\n    </xs:choice>\n"
          "    <xs:attribute name=\"id\" type=\"id\" use=\"required\"/>\n    <xs:attribute name=\"name\" type=\"filled\" use=\"required\"/>\n";
  for (const WordName& w : words_of(kind)) {
    text += w.choices.empty() ? fmt::format("    <xs:attribute name=\"{}\" type=\"xs:string\"/>\n", w.name)
                              : fmt::format("    <xs:attribute name=\"{}\">{}</xs:attribute>\n", w.name, choice_type(w.choices));
  }
  return text + "  </xs:complexType>\n";
}

constexpr std::string_view kXsdHead = R"(<?xml version="1.0" encoding="UTF-8"?>
<!-- Cards, version 1. Follows the vocabulary of src/catalogue/vocabulary.cpp; a test holds the two together. -->
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">
  <xs:simpleType name="id">
    <xs:restriction base="xs:string"><xs:pattern value="[A-Za-z0-9_.\-]{1,64}"/></xs:restriction>
  </xs:simpleType>
  <xs:simpleType name="filled">
    <xs:restriction base="xs:string"><xs:minLength value="1"/></xs:restriction>
  </xs:simpleType>
  <xs:simpleType name="amount">
    <xs:restriction base="xs:string"><xs:pattern value="[\-+]?[0-9.]+(\.\.[\-+]?[0-9.]+)?( [^ ]+( [0-9.]+ [^ ]+)*)?"/></xs:restriction>
  </xs:simpleType>
  <xs:simpleType name="standing">
    <xs:restriction base="xs:string">
      <xs:enumeration value="read"/><xs:enumeration value="memory"/><xs:enumeration value="practice"/><xs:enumeration value="measured"/>
    </xs:restriction>
  </xs:simpleType>
  <xs:attributeGroup name="source">
    <xs:attribute name="source" type="xs:string"/>
    <xs:attribute name="at" type="xs:string"/>
    <xs:attribute name="standing" type="standing" use="required"/>
  </xs:attributeGroup>
  <xs:attributeGroup name="figure">
    <xs:attribute name="value" type="amount" use="required"/>
    <xs:attribute name="on" type="xs:string"/>
    <xs:attribute name="at-temperature" type="amount"/>
    <xs:attribute name="at-humidity" type="amount"/>
    <xs:attribute name="at-mass" type="amount"/>
    <xs:attributeGroup ref="source"/>
  </xs:attributeGroup>
  <xs:complexType name="hazard">
    <xs:attribute name="signal">
      <xs:simpleType>
        <xs:restriction base="xs:string">
          <xs:enumeration value="Danger"/><xs:enumeration value="Warning"/><xs:enumeration value="none"/>
        </xs:restriction>
      </xs:simpleType>
    </xs:attribute>
    <xs:attribute name="ghs" type="xs:string"/>
    <xs:attribute name="codes" type="xs:string"/>
    <xs:attribute name="advice" type="xs:string"/>
    <xs:attributeGroup ref="source"/>
  </xs:complexType>
  <xs:complexType name="document">
    <xs:attribute name="key" type="filled" use="required"/>
    <xs:attribute name="title" type="filled" use="required"/>
    <xs:attribute name="where" type="xs:string"/>
  </xs:complexType>
)";

constexpr std::string_view kPageHead = R"(# Cards

What is known of parts, materials, substances, tools and processes stands on cards. Ours are in `parts/`; a job's own lie
in the folder `parts` beside the job file; `--cards DIR` names a folder of yours. A card of a later folder stands before
one of the same id in an earlier folder, and that is said.

```xml
<cards version="1">
  <document key="MY-SHEET" title="Data sheet of my glue, 2025" where="folder on the shelf"/>
  <adhesive id="my-glue" name="Glue from the blue tin" chemistry="epoxy" two-part="yes">
    <figure name="handling" value="4 h" at-temperature="23 degC" source="MY-SHEET" at="p. 2" standing="read"/>
    <figure name="full" value="30 h" at-temperature="20 degC" standing="measured"/>
    <hazard signal="Warning" ghs="GHS07" codes="H315 H317" source="MY-SHEET" at="label" standing="read"/>
    <note>Stir the tin first.</note>
  </adhesive>
</cards>
```

- Every figure has a number and a unit (`20 min`, `0.12 mm`, `60..120 s`, `245 degC`, `40..60 %RH`), and says how well it
  stands: `read` and `memory` name a `<document>` by its key, `practice` is what people do without a source, `measured` is
  your own.
- `on` names the material or other condition that a figure is for; one without `on` serves everywhere else. Several that
  differ in `at-temperature`, `at-humidity` or `at-mass` make a table; the first stands where no law reads the table.
- A `<solid>` gives a part its shape: `solids.md`.
- `cards.xsd` beside this page completes names in an editor. Sources: `sources.md`.

)";

std::string cell(std::string_view text) { return text.empty() ? std::string(" ") : fmt::format(" {} ", text); }

}  // namespace

std::string cards_xsd() {
  std::string text(kXsdHead);
  for (const CardKind kind : kKinds) text += kind_type(kind);
  text += "  <xs:element name=\"cards\">\n    <xs:complexType>\n      <xs:choice minOccurs=\"0\" maxOccurs=\"unbounded\">\n"
          "        <xs:element name=\"document\" type=\"document\"/>\n";
  for (const CardKind kind : kKinds) text += fmt::format("        <xs:element name=\"{0}\" type=\"{0}\"/>\n", word(kind));
  return text + "      </xs:choice>\n      <xs:attribute name=\"version\" type=\"xs:string\" fixed=\"1\" use=\"required\"/>\n"
                "    </xs:complexType>\n  </xs:element>\n</xs:schema>\n";
}

std::string cards_page() {
  std::string text(kPageHead);
  for (const CardKind kind : kKinds) {
    text += fmt::format("## {}\n\n| word | choices | meaning |\n| --- | --- | --- |\n| id | | name for files, unique among all cards |\n| name | | as printed |\n", word(kind));
    for (const WordName& w : words_of(kind)) text += fmt::format("| {} |{}|{}|\n", w.name, cell(w.choices), cell(w.meaning));
    if (!figures_of(kind).empty()) text += "\n| figure | is | meaning |\n| --- | --- | --- |\n";
    for (const FigureName& f : figures_of(kind)) {
      const std::string_view unit = input::canonical_unit(f.dimension);
      text += fmt::format("| {} | {}{} |{}|\n", f.name, input::word(f.dimension), unit.empty() ? "" : fmt::format(" ({})", unit), cell(f.meaning));
    }
    text += "\n";
  }
  text.pop_back();
  return text;
}

}  // namespace handlot::catalogue
