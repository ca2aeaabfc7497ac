#include "sheets/html.h"

#include <fmt/format.h>

#include <array>
#include <fstream>
#include <kainjow/mustache.hpp>
#include <set>
#include <sstream>

#include "sheets/scan_code.h"
#include "sheets/signs.h"
#include "sheets/templates.h"

namespace handlot::sheets {

namespace {

namespace m = kainjow::mustache;
using m::data;

data yes_no(bool value) {
  return data(value ? data::type::bool_true : data::type::bool_false);
}

std::string base64(std::string_view bytes) {
  static constexpr char kDigits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t three = 0;
    for (std::size_t k = 0; k < 3; ++k)
      three = three << 8U | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k) {
      out += i + k > bytes.size() ? '=' : kDigits[three >> (18U - 6U * static_cast<unsigned>(k)) & 63U];
    }
  }
  return out;
}

std::string picture_address(const std::string& svg) {
  return "data:image/svg+xml;base64," + base64(svg);
}

/// Text inside a CSS string.
std::string css_string(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '"' || c == '\\' || c == '<' || c == '\n') {
      out += fmt::format("\\{:x} ", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      out += c;
    }
  }
  return out;
}

/// Text that may be absent: NAME and has_NAME, so that a template never sees the NAME of something further
/// out.
void say(data& into, const std::string& name, const std::string& text) {
  into.set(name, text);
  into.set("has_" + name, yes_no(!text.empty()));
}

data texts(const std::vector<std::string>& list) {
  data out(data::type::list);
  for (const auto& text : list) {
    data one(data::type::object);
    one.set("text", text);
    out.push_back(one);
  }
  return out;
}

data signs(const std::vector<Sign>& list) {
  data out(data::type::list);
  for (const auto& sign : list) {
    data one(data::type::object);
    one.set("code", sign.code);
    one.set("meaning", sign.meaning);
    out.push_back(one);
  }
  return out;
}

data caution(const CautionBox& c) {
  static constexpr std::array kClass{"danger", "warning", "caution", "notice"};
  data out(data::type::object);
  out.set("class", kClass[static_cast<std::size_t>(c.level)]);
  out.set("word", c.word);
  say(out, "hazard", c.hazard);
  say(out, "consequence", c.consequence);
  say(out, "avoid", c.avoid);
  say(out, "protect", c.protect);
  say(out, "codes", c.codes);
  say(out, "at_steps", c.at_steps);
  say(out, "source", c.source);
  out.set("substance", signs(c.substance));
  out.set("bench", signs(c.bench));
  out.set("has_signs", yes_no(!c.substance.empty() || !c.bench.empty()));
  return out;
}

data cell(const Cell& c, const Column& column) {
  data out(data::type::object);
  out.set("is_text", yes_no(c.form == Cell::Form::text && c.link.empty()));
  out.set("is_strong", yes_no(c.form == Cell::Form::strong && !c.text.empty()));
  out.set("is_tick", yes_no(c.form == Cell::Form::tick));
  out.set("is_blank", yes_no(c.form == Cell::Form::blank));
  out.set("is_link", yes_no(c.form == Cell::Form::text && !c.link.empty() && !c.text.empty()));
  out.set("is_picture", yes_no(c.form == Cell::Form::picture));
  out.set("text", c.form == Cell::Form::picture ? picture_address(c.text) : c.text);
  out.set("link", c.link);
  out.set("right", yes_no(column.right));
  out.set("label", column.head);
  return out;
}

data table(const Table& t) {
  data out(data::type::object), columns(data::type::list), rows(data::type::list);
  double shares = 0;
  for (const auto& c : t.columns) shares += c.paper_only ? 0 : c.share;
  for (const auto& c : t.columns) {
    if (c.paper_only) continue;
    data one(data::type::object);
    one.set("head", c.head);
    one.set("width", fmt::format("{:.1f}", 100 * c.share / shares));
    one.set("right", yes_no(c.right));
    columns.push_back(one);
  }
  for (const auto& row : t.rows) {
    data one(data::type::object), cells(data::type::list);
    for (std::size_t i = 0; i < row.size() && i < t.columns.size(); ++i) {
      if (!t.columns[i].paper_only) cells.push_back(cell(row[i], t.columns[i]));
    }
    one.set("cells", cells);
    rows.push_back(one);
  }
  out.set("caption", t.caption);
  out.set("columns", columns);
  out.set("rows", rows);
  out.set("roomy", yes_no(t.roomy));
  out.set("whole", yes_no(t.whole));
  out.set("keep", yes_no(t.keep_with_next));
  return out;
}

data boxes(const Boxes& b) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& row : b.rows) {
    data one(data::type::object), units(data::type::list);
    for (std::size_t i = 0; i < b.units.size(); ++i) {
      data unit(data::type::object);
      unit.set("unit", b.units[i]);
      unit.set("apart", yes_no(b.gap_before[i]));
      unit.set("label", row.label + (b.units[i] == "lot" ? ", whole lot" : ", unit " + b.units[i]));
      units.push_back(unit);
    }
    one.set("label", row.label);
    say(one, "limit", row.limit);
    one.set("value", yes_no(row.value));
    one.set("units", units);
    rows.push_back(one);
  }
  out.set("rows", rows);
  return out;
}

data waits(const std::vector<WaitLine>& list) {
  data out(data::type::list);
  for (const auto& w : list) {
    data one(data::type::object);
    one.set("id", w.id);
    one.set("text", w.text);
    say(one, "meanwhile", w.meanwhile);
    say(one, "if_late", w.if_late);
    out.push_back(one);
  }
  return out;
}

data needs(const StepBox& s) {
  data out(data::type::list);
  for (const auto& [label, text] : s.needs) {
    data one(data::type::object);
    one.set("label", label);
    one.set("text", text);
    out.push_back(one);
  }
  return out;
}

data step(const StepBox& s) {
  data out(data::type::object), cautions(data::type::list);
  for (const auto& c : s.cautions) cautions.push_back(caution(c));
  out.set("id", s.id);
  out.set("number", s.number);
  out.set("title", s.title);
  out.set("marks", texts(s.marks));
  out.set("units_text", s.units);
  say(out, "when", s.when);
  say(out, "expected", s.expected);
  say(out, "why", s.why);
  say(out, "after", s.after);
  out.set("gates", texts(s.not_before));
  out.set("cautions", cautions);
  out.set("needs", needs(s));
  out.set("has_needs", yes_no(!s.needs.empty()));
  say(out, "orientation", s.orientation);
  out.set("actions", texts(s.actions));
  out.set("has_actions", yes_no(!s.actions.empty()));
  out.set("also", texts(s.also));
  say(out, "reminder", s.reminder);
  out.set("checks", texts(s.checks));
  out.set("boxes", boxes(s.boxes));
  out.set("waits", waits(s.waits));
  out.set("has_waits", yes_no(!s.waits.empty()));
  out.set("stop", s.stop);
  out.set("record", s.record);
  out.set("safe", yes_no(s.safe_to_stop));
  out.set("unsafe", yes_no(!s.safe_to_stop));
  out.set("has_picture", yes_no(!s.picture_svg.empty()));
  out.set("picture", s.picture_svg.empty() ? "" : picture_address(s.picture_svg));
  const ScanCode code = scan_code(s.code);
  out.set("has_code", yes_no(code.size > 0));
  out.set("code", s.code);
  out.set("opens", yes_no(s.code.starts_with("http")));
  out.set("code_size", fmt::format("{}", code.size + 8));
  out.set("code_path", scan_path(code));
  return out;
}

data wait_box(const WaitBox& w) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& row : w.rows) {
    data one(data::type::object);
    one.set("units_text", row.units);
    say(one, "start", row.start);
    say(one, "not_before", row.not_before);
    say(one, "not_after", row.not_after);
    rows.push_back(one);
  }
  out.set("id", w.id);
  out.set("title", w.title);
  out.set("span", w.span);
  out.set("from", w.from);
  out.set("then", w.then);
  say(out, "meanwhile", w.meanwhile);
  say(out, "if_late", w.if_late);
  out.set("source", w.source);
  out.set("has_min", yes_no(w.has_min));
  out.set("has_max", yes_no(w.has_max));
  out.set("rows", rows);
  return out;
}

data facts(const Facts& f) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& [name, value] : f.rows) {
    data one(data::type::object);
    one.set("name", name);
    one.set("value", value);
    rows.push_back(one);
  }
  out.set("rows", rows);
  return out;
}

data one_text(const std::string& text) {
  data out(data::type::object);
  out.set("text", text);
  return out;
}

struct ToData {
  data& out;
  void operator()(const Para& p) const {
    static constexpr std::array kName{"para", "lead", "small"};
    out.set(kName[static_cast<std::size_t>(p.style)], one_text(p.text));
  }
  void operator()(const Subheading& h) const { out.set("subheading", one_text(h.text)); }
  void operator()(const Facts& f) const { out.set("facts", facts(f)); }
  void operator()(const Tick& t) const { out.set("tick", one_text(t.text)); }
  void operator()(const WriteIn& w) const {
    data one(data::type::object);
    one.set("label", w.label);
    one.set("lines", texts(std::vector<std::string>(static_cast<std::size_t>(w.lines))));
    out.set("write_in", one);
  }
  void operator()(const Table& t) const { out.set("table", table(t)); }
  void operator()(const CautionBox& c) const { out.set("caution", caution(c)); }
  void operator()(const Boxes& b) const { out.set("grid", boxes(b)); }
  void operator()(const StepBox& s) const { out.set("step", step(s)); }
  void operator()(const WaitBox& w) const { out.set("wait", wait_box(w)); }
  void operator()(const Picture& p) const {
    data one(data::type::object);
    one.set("address", picture_address(p.svg));
    one.set("alt", p.alt);
    out.set("picture_block", one);
  }
};

void collect(const std::vector<Sign>& list, std::set<std::string>& into) {
  for (const auto& sign : list) into.insert(sign.code);
}

std::set<std::string> codes_of(const Sheet& sheet) {
  std::set<std::string> codes;
  const auto take = [&](const CautionBox& c) {
    collect(c.substance, codes);
    collect(c.bench, codes);
  };
  for (const auto& section : sheet.sections) {
    for (const auto& block : section.blocks) {
      if (const auto* c = std::get_if<CautionBox>(&block)) take(*c);
      if (const auto* s = std::get_if<StepBox>(&block)) {
        for (const auto& c : s->cautions) take(c);
      }
    }
  }
  return codes;
}

/// Every sign used, once, to be shown by reference.
std::string sprite(const Sheet& sheet) {
  std::string out;
  for (const auto& code : codes_of(sheet)) {
    const std::string svg = sign_svg(code);
    const auto from = svg.find('>') + 1;
    out += fmt::format(R"(<symbol id="sign-{}" viewBox="0 0 100 100">{}</symbol>)", code,
                       svg.substr(from, svg.rfind("</svg>") - from));
  }
  return out;
}

data context(const Sheet& sheet, const std::string& css) {
  data out(data::type::object), sections(data::type::list);
  for (const auto& section : sheet.sections) {
    data one(data::type::object), blocks(data::type::list);
    for (const auto& block : section.blocks) {
      data entry(data::type::object);
      std::visit(ToData{entry}, block);
      blocks.push_back(entry);
    }
    one.set("id", section.id);
    one.set("section_title", section.title);
    one.set("short_title", section.short_title.empty() ? section.title : section.short_title);
    one.set("new_page", yes_no(section.new_page));
    one.set("blocks", blocks);
    sections.push_back(one);
  }
  out.set("title", sheet.title);
  out.set("strip", sheet.strip);
  out.set("foot", sheet.foot);
  out.set("language", sheet.language);
  out.set("style", css);
  out.set("css_title", css_string(sheet.title));
  out.set("css_strip", css_string(sheet.strip));
  out.set("css_foot", css_string(sheet.foot));
  out.set("sprite", sprite(sheet));
  out.set("font_regular", base64(built_in("B612-Regular.otf")));
  out.set("font_bold", base64(built_in("B612-Bold.otf")));
  out.set("has_fonts", yes_no(!built_in("B612-Regular.otf").empty() && !built_in("B612-Bold.otf").empty()));
  out.set("sections", sections);
  return out;
}

std::string template_text(const std::string& folder, const std::string& name) {
  if (!folder.empty()) {
    if (std::ifstream file(folder + "/" + name, std::ios::binary); file) {
      std::ostringstream text;
      text << file.rdbuf();
      return text.str();
    }
  }
  return std::string(built_in(name));
}

}  // namespace

Result<std::string> to_html(const Sheet& sheet, const std::string& templates) {
  m::mustache page(template_text(templates, "sheet.html"));
  if (!page.is_valid()) {
    return fail(error("template-unreadable", {templates + "/sheet.html", 0, 0},
                      "the template is no Mustache: " + page.error_message(),
                      "close every {{#section}} with {{/section}}, or take the file out of the folder"));
  }
  return page.render(context(sheet, template_text(templates, "sheet.css")));
}

}  // namespace handlot::sheets
