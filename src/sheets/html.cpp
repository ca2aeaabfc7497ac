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
/// The library's own set and push_back copy whole trees, and its list is lent for reading only: these move. What it
/// lends is a list that is not const.
void put(data& into, const std::string& name, data value) {
  into[name] = std::move(value);
}

void add(data& to, data one) {
  auto& list = const_cast<m::basic_list<std::string>&>(to.list_value());
  if (list.size() == list.capacity()) {  // growing by itself would copy: the library's moves may throw
    m::basic_list<std::string> larger;
    larger.reserve(2 * list.size() + 4);
    for (data& old : list) larger.push_back(std::move(old));
    list.swap(larger);
  }
  list.push_back(std::move(one));
}

void say(data& into, const std::string& name, const std::string& text) {
  put(into, name, text);
  put(into, "has_" + name, yes_no(!text.empty()));
}

data texts(const std::vector<std::string>& list) {
  data out(data::type::list);
  for (const auto& text : list) {
    data one(data::type::object);
    put(one, "text", text);
    add(out, std::move(one));
  }
  return out;
}

data signs(const std::vector<Sign>& list) {
  data out(data::type::list);
  for (const auto& sign : list) {
    data one(data::type::object);
    put(one, "code", sign.code);
    put(one, "meaning", sign.meaning);
    add(out, std::move(one));
  }
  return out;
}

data caution(const CautionBox& c) {
  static constexpr std::array kClass{"danger", "warning", "caution", "notice"};
  data out(data::type::object);
  put(out, "class", kClass[static_cast<std::size_t>(c.level)]);
  put(out, "word", c.word);
  say(out, "hazard", c.hazard);
  say(out, "consequence", c.consequence);
  say(out, "avoid", c.avoid);
  say(out, "protect", c.protect);
  say(out, "codes", c.codes);
  say(out, "at_steps", c.at_steps);
  say(out, "source", c.source);
  put(out, "substance", signs(c.substance));
  put(out, "bench", signs(c.bench));
  put(out, "has_signs", yes_no(!c.substance.empty() || !c.bench.empty()));
  return out;
}

data cell(const Cell& c, const Column& column) {
  data out(data::type::object);
  put(out, "is_text", yes_no(c.form == Cell::Form::text && c.link.empty()));
  put(out, "is_strong", yes_no(c.form == Cell::Form::strong && !c.text.empty()));
  put(out, "is_tick", yes_no(c.form == Cell::Form::tick));
  put(out, "is_blank", yes_no(c.form == Cell::Form::blank));
  put(out, "is_link", yes_no(c.form == Cell::Form::text && !c.link.empty() && !c.text.empty()));
  put(out, "is_picture", yes_no(c.form == Cell::Form::picture));
  put(out, "text", c.form == Cell::Form::picture ? picture_address(c.text) : c.text);
  put(out, "link", c.link);
  put(out, "right", yes_no(column.right));
  put(out, "label", column.head);
  return out;
}

data table(const Table& t) {
  data out(data::type::object), columns(data::type::list), rows(data::type::list);
  double shares = 0;
  for (const auto& c : t.columns) shares += c.paper_only ? 0 : c.share;
  for (const auto& c : t.columns) {
    if (c.paper_only) continue;
    data one(data::type::object);
    put(one, "head", c.head);
    put(one, "width", fmt::format("{:.1f}", 100 * c.share / shares));
    put(one, "right", yes_no(c.right));
    add(columns, std::move(one));
  }
  for (const auto& row : t.rows) {
    data one(data::type::object), cells(data::type::list);
    for (std::size_t i = 0; i < row.size() && i < t.columns.size(); ++i) {
      if (!t.columns[i].paper_only) add(cells, cell(row[i], t.columns[i]));
    }
    put(one, "cells", std::move(cells));
    add(rows, std::move(one));
  }
  put(out, "caption", t.caption);
  put(out, "columns", std::move(columns));
  put(out, "rows", std::move(rows));
  put(out, "roomy", yes_no(t.roomy));
  put(out, "whole", yes_no(t.whole));
  put(out, "keep", yes_no(t.keep_with_next));
  return out;
}

data boxes(const Boxes& b) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& row : b.rows) {
    data one(data::type::object), units(data::type::list);
    for (std::size_t i = 0; i < b.units.size(); ++i) {
      data unit(data::type::object);
      put(unit, "unit", b.units[i]);
      put(unit, "apart", yes_no(b.gap_before[i]));
      put(unit, "label", row.label + (b.units[i] == "lot" ? ", whole lot" : ", unit " + b.units[i]));
      add(units, std::move(unit));
    }
    put(one, "label", row.label);
    say(one, "limit", row.limit);
    put(one, "value", yes_no(row.value));
    put(one, "units", std::move(units));
    add(rows, std::move(one));
  }
  put(out, "rows", std::move(rows));
  return out;
}

data waits(const std::vector<WaitLine>& list) {
  data out(data::type::list);
  for (const auto& w : list) {
    data one(data::type::object);
    put(one, "id", w.id);
    put(one, "text", w.text);
    say(one, "meanwhile", w.meanwhile);
    say(one, "if_late", w.if_late);
    add(out, std::move(one));
  }
  return out;
}

data needs(const StepBox& s) {
  data out(data::type::list);
  for (const auto& [label, text] : s.needs) {
    data one(data::type::object);
    put(one, "label", label);
    put(one, "text", text);
    add(out, std::move(one));
  }
  return out;
}

data step(const StepBox& s) {
  data out(data::type::object), cautions(data::type::list);
  for (const auto& c : s.cautions) add(cautions, caution(c));
  put(out, "id", s.id);
  put(out, "number", s.number);
  put(out, "title", s.title);
  put(out, "marks", texts(s.marks));
  put(out, "units_text", s.units);
  say(out, "when", s.when);
  say(out, "expected", s.expected);
  say(out, "why", s.why);
  say(out, "after", s.after);
  put(out, "gates", texts(s.not_before));
  put(out, "cautions", std::move(cautions));
  put(out, "needs", needs(s));
  put(out, "has_needs", yes_no(!s.needs.empty()));
  say(out, "orientation", s.orientation);
  put(out, "actions", texts(s.actions));
  put(out, "has_actions", yes_no(!s.actions.empty()));
  put(out, "also", texts(s.also));
  say(out, "reminder", s.reminder);
  put(out, "checks", texts(s.checks));
  put(out, "boxes", boxes(s.boxes));
  put(out, "waits", waits(s.waits));
  put(out, "has_waits", yes_no(!s.waits.empty()));
  put(out, "stop", s.stop);
  put(out, "record", s.record);
  put(out, "safe", yes_no(s.safe_to_stop));
  put(out, "unsafe", yes_no(!s.safe_to_stop));
  put(out, "has_picture", yes_no(!s.picture_svg.empty()));
  put(out, "picture", s.picture_svg.empty() ? "" : picture_address(s.picture_svg));
  const ScanCode code = scan_code(s.code);
  put(out, "has_code", yes_no(code.size > 0));
  put(out, "code", s.code);
  put(out, "opens", yes_no(s.code.starts_with("http")));
  put(out, "code_size", fmt::format("{}", code.size + 8));
  put(out, "code_path", scan_path(code));
  return out;
}

data wait_box(const WaitBox& w) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& row : w.rows) {
    data one(data::type::object);
    put(one, "units_text", row.units);
    say(one, "start", row.start);
    say(one, "not_before", row.not_before);
    say(one, "not_after", row.not_after);
    add(rows, std::move(one));
  }
  put(out, "id", w.id);
  put(out, "title", w.title);
  put(out, "span", w.span);
  put(out, "from", w.from);
  put(out, "then", w.then);
  say(out, "meanwhile", w.meanwhile);
  say(out, "if_late", w.if_late);
  put(out, "source", w.source);
  put(out, "has_min", yes_no(w.has_min));
  put(out, "has_max", yes_no(w.has_max));
  put(out, "rows", std::move(rows));
  return out;
}

data facts(const Facts& f) {
  data out(data::type::object), rows(data::type::list);
  for (const auto& [name, value] : f.rows) {
    data one(data::type::object);
    put(one, "name", name);
    put(one, "value", value);
    add(rows, std::move(one));
  }
  put(out, "rows", std::move(rows));
  return out;
}

data one_text(const std::string& text) {
  data out(data::type::object);
  put(out, "text", text);
  return out;
}

struct ToData {
  data& out;
  void operator()(const Para& p) const {
    static constexpr std::array kName{"para", "lead", "small"};
    put(out, kName[static_cast<std::size_t>(p.style)], one_text(p.text));
  }
  void operator()(const Subheading& h) const { put(out, "subheading", one_text(h.text)); }
  void operator()(const Facts& f) const { put(out, "facts", facts(f)); }
  void operator()(const Tick& t) const { put(out, "tick", one_text(t.text)); }
  void operator()(const WriteIn& w) const {
    data one(data::type::object);
    put(one, "label", w.label);
    put(one, "lines", texts(std::vector<std::string>(static_cast<std::size_t>(w.lines))));
    put(out, "write_in", std::move(one));
  }
  void operator()(const Table& t) const { put(out, "table", table(t)); }
  void operator()(const CautionBox& c) const { put(out, "caution", caution(c)); }
  void operator()(const Boxes& b) const { put(out, "grid", boxes(b)); }
  void operator()(const StepBox& s) const { put(out, "step", step(s)); }
  void operator()(const WaitBox& w) const { put(out, "wait", wait_box(w)); }
  void operator()(const Picture& p) const {
    data one(data::type::object);
    put(one, "address", picture_address(p.svg));
    put(one, "alt", p.alt);
    put(out, "picture_block", std::move(one));
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
      add(blocks, std::move(entry));
    }
    put(one, "id", section.id);
    put(one, "section_title", section.title);
    put(one, "short_title", section.short_title.empty() ? section.title : section.short_title);
    put(one, "new_page", yes_no(section.new_page));
    put(one, "blocks", std::move(blocks));
    add(sections, std::move(one));
  }
  put(out, "title", sheet.title);
  put(out, "strip", sheet.strip);
  put(out, "foot", sheet.foot);
  put(out, "language", sheet.language);
  put(out, "style", css);
  put(out, "css_title", css_string(sheet.title));
  put(out, "css_strip", css_string(sheet.strip));
  put(out, "css_foot", css_string(sheet.foot));
  put(out, "sprite", sprite(sheet));
  put(out, "font_regular", base64(built_in("B612-Regular.otf")));
  put(out, "font_bold", base64(built_in("B612-Bold.otf")));
  put(out, "has_fonts", yes_no(!built_in("B612-Regular.otf").empty() && !built_in("B612-Bold.otf").empty()));
  put(out, "sections", std::move(sections));
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
  const auto holds = [&](const char* name) { return std::ifstream(templates + "/" + name).good(); };
  if (!templates.empty() && !holds("sheet.html") && !holds("sheet.css")) {
    return fail(error("template-missing", {templates, 0, 0}, "there is neither a sheet.html nor a sheet.css in this folder",
                      "put one of them there, or leave --templates out"));
  }
  m::mustache page(template_text(templates, "sheet.html"));
  if (!page.is_valid()) {
    return fail(error("template-unreadable", {templates + "/sheet.html", 0, 0},
                      "the template is no Mustache: " + page.error_message(),
                      "close every {{#section}} with {{/section}}, or take the file out of the folder"));
  }
  return page.render(context(sheet, template_text(templates, "sheet.css")));
}

}  // namespace handlot::sheets
