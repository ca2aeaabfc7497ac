#include <fmt/format.h>

#include <algorithm>

#include "sheets/text.h"
#include "sheets/wrap.h"

namespace handlot::sheets {

namespace {

struct Writer {
  std::size_t width;
  std::string out;

  void say(std::string_view first, std::string_view text) {
    if (!text.empty()) out += hanging(first, text, width);
  }
  void rule(char c) { out += std::string(width, c) + "\n"; }
};

std::string cell_text(const Cell& cell) {
  switch (cell.form) {
    case Cell::Form::tick:
      return "[ ]";
    case Cell::Form::blank:
      return "____";
    case Cell::Form::picture:
    case Cell::Form::page:
      return "";
    case Cell::Form::text:
    case Cell::Form::strong:
      break;
  }
  return cell.text;
}

/// A table as one row a line group: columns side by side, each wrapped in its own width.
void write(Writer& w, Table table) {
  while (!table.columns.empty() && table.columns.back().paper_only) table.columns.pop_back();
  double shares = 0;
  for (const auto& c : table.columns) shares += c.share;
  std::vector<std::size_t> wide;
  for (const auto& c : table.columns) {
    wide.push_back(std::max<std::size_t>(
        4, static_cast<std::size_t>(c.share / shares * static_cast<double>(w.width)) - 1));
  }
  const auto row = [&](const std::vector<std::string>& texts) {
    std::vector<std::vector<std::string>> cells;
    std::size_t high = 0;
    for (std::size_t i = 0; i < texts.size(); ++i) {
      cells.push_back(wrapped(texts[i], wide[i]));
      high = std::max(high, cells.back().size());
    }
    for (std::size_t line = 0; line < high; ++line) {
      std::string text;
      for (std::size_t i = 0; i < cells.size(); ++i) {
        text += padded(line < cells[i].size() ? cells[i][line] : "", wide[i], table.columns[i].right) + " ";
      }
      text.erase(text.find_last_not_of(' ') + 1);
      w.out += text + "\n";
    }
  };
  std::vector<std::string> heads;
  for (const auto& c : table.columns) heads.push_back(c.head);
  row(heads);
  w.rule('-');
  for (const auto& cells : table.rows) {
    std::vector<std::string> texts;
    for (std::size_t i = 0; i < cells.size() && i < wide.size(); ++i) texts.push_back(cell_text(cells[i]));
    row(texts);
  }
}

std::string codes(const std::vector<Sign>& signs) {
  std::string out;
  for (const auto& s : signs) out += (out.empty() ? "" : "; ") + s.code + " " + s.meaning;
  return out;
}

void write(Writer& w, const CautionBox& c) {
  std::string text = c.hazard + " " + c.consequence + " " + c.avoid;
  if (!c.protect.empty()) text += " " + c.protect;
  w.say("!! " + c.word + ": ", text);
  const std::string signs =
      codes(c.substance) + (c.substance.empty() || c.bench.empty() ? "" : "; ") + codes(c.bench);
  w.say("   signs: ", signs);
  w.say("   ", c.codes);
  w.say("   at ", c.at_steps);
  w.say("   source: ", c.source);
}

void write(Writer& w, const Boxes& boxes) {
  for (const auto& row : boxes.rows) {
    std::string label = row.label;
    if (!row.limit.empty()) label += ": " + row.limit;
    if (row.value) label += " (value on the unit's record)";
    w.say("   ", label);
    std::string units;
    for (std::size_t i = 0; i < boxes.units.size(); ++i)
      units += (boxes.gap_before[i] ? " | " : " ") + std::string("[ ]") + boxes.units[i];
    w.say("     ", units);
  }
}

void write(Writer& w, const StepBox& s) {
  w.rule('=');
  w.say(s.number + "  ", s.title);
  w.say("   ", s.units + (s.expected.empty() ? "" : " · " + s.expected));
  w.say("   Planned ", s.when);
  for (const auto& mark : s.marks) w.say("   ** ", mark);
  w.say("   ", s.why + (s.after.empty() ? "" : (s.why.empty() ? "" : " ") + s.after + "."));
  for (const auto& c : s.cautions) write(w, c);
  for (const auto& gate : s.not_before) w.say("   [ ] Before you start: ", gate);
  for (const auto& [label, text] : s.needs) w.say("   " + padded(label, 5) + " ", text);
  w.say("   This way: ", s.orientation);
  for (std::size_t i = 0; i < s.actions.size(); ++i) w.say(fmt::format("   {}. ", i + 1), s.actions[i]);
  for (const auto& line : s.also) w.say("   Also: ", line);
  w.say("   [ ] Remember: ", s.reminder);
  for (const auto& check : s.checks) w.say("   Check ", check);
  write(w, s.boxes);
  for (const auto& wait : s.waits) {
    w.say("   ~ ", wait.text);
    w.say("     ", wait.meanwhile);
    w.say("     ", wait.if_late);
  }
  w.say("   ", s.stop);
  w.say("   ", s.record);
}

void write(Writer& w, const WaitBox& wait) {
  w.say("~ ", wait.title + ": " + wait.span);
  w.say("  ", wait.from);
  for (const auto& row : wait.rows) {
    std::string text = row.units + ": started ____";
    if (!row.start.empty()) text += " (plan " + row.start + ")";
    if (wait.has_min)
      text += "; not before ____" + (row.not_before.empty() ? "" : " (plan " + row.not_before + ")");
    if (wait.has_max)
      text += "; not after ____" + (row.not_after.empty() ? "" : " (plan " + row.not_after + ")");
    w.say("  [ ] ", text);
  }
  w.say("  ", wait.then);
  w.say("  ", wait.meanwhile);
  w.say("  ", wait.if_late);
  w.say("  Source: ", wait.source);
}

struct ToText {
  Writer& w;
  void operator()(const Para& p) const { w.say("", p.text); }
  void operator()(const Subheading& h) const { w.say("\n-- ", h.text); }
  void operator()(const Facts& f) const {
    for (const auto& [name, value] : f.rows) w.say(padded(name, 10) + " ", value);
  }
  void operator()(const Tick& t) const { w.say("[ ] ", t.text); }
  void operator()(const WriteIn& in) const { w.say("", in.label + ": ____________________"); }
  void operator()(const Table& t) const { write(w, t); }
  void operator()(const CautionBox& c) const { write(w, c); }
  void operator()(const Boxes& b) const { write(w, b); }
  void operator()(const StepBox& s) const { write(w, s); }
  void operator()(const WaitBox& box) const { write(w, box); }
  void operator()(const Picture& p) const { w.say("[picture] ", p.alt); }
};

}  // namespace

std::string sheet_as_text(const Sheet& sheet, const TextOptions& options) {
  Writer w{std::max<std::size_t>(options.width, 60), ""};
  w.say("", sheet.title + "  " + sheet.strip);
  for (const auto& section : sheet.sections) {
    w.out += "\n";
    w.rule('#');
    w.say("# ", section.title);
    w.rule('#');
    for (const auto& block : section.blocks) std::visit(ToText{w}, block);
  }
  w.out += "\n";
  w.say("", sheet.foot);
  return w.out;
}

}  // namespace handlot::sheets
