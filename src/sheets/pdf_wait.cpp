#include <algorithm>

#include "sheets/pdf_blocks.h"

namespace handlot::sheets::pdf {

namespace {

constexpr double kBoxHigh = 30, kGutter = 8;

struct ClockBox {
  Text label, plan;
};

/// Units, then a box to write a time into for each moment that counts; the planned time in small print.
Item row_item(const Typesetter& type, const WaitBox& wait, const WaitRow& row, double width,
              double units_wide) {
  const Text units = type.set(row.units, {kBody, true}, units_wide - 4);
  const double cell = std::min((width - units_wide) / (1.0 + wait.has_min + wait.has_max), 110.0);
  std::vector<ClockBox> clocks;
  const auto put = [&](const char* label, const std::string& planned) {
    clocks.push_back({type.set(label, {7.5, false, false, kGrey}, cell - 6),
                      type.set(planned, {7, false, false, kGrey}, cell - 8)});
  };
  put("started", row.start);
  if (wait.has_min) put("not before", row.not_before);
  if (wait.has_max) put("not after", row.not_after);
  Item item;
  item.height = std::max(kBoxHigh, units.height());
  item.draw = [units, clocks, cell, units_wide, high = item.height](cairo_t* cr, double x, double y) {
    units.draw(cr, x, y + (high - units.height()) / 2);
    double left = x + units_wide;
    for (const auto& clock : clocks) {
      box(cr, left, y, cell - 4, kBoxHigh, 0.9);
      clock.label.draw(cr, left + 3, y + 1);
      clock.plan.draw(cr, left + 2, y + kBoxHigh - clock.plan.height() - 1);
      left += cell;
    }
  };
  return item;
}

/// Two rows side by side where there are many.
void add_rows(const Typesetter& type, const WaitBox& wait, double width, std::vector<Item>& out) {
  const std::size_t abreast = wait.rows.size() > 2 ? 2 : 1;
  const double wide = abreast == 1 ? width : (width - kGutter) / 2;
  const auto wide_of = [&](const WaitRow& row) { return std::clamp(type.set(row.units, {kBody, true}, 160).width() + 8, 44.0, 120.0); };
  double units_wide = 44;
  for (const auto& row : wait.rows) {
    const bool the_rest = row.start.empty() && wait.rows.size() > 1;  // a sentence of its own
    if (!the_rest) units_wide = std::max(units_wide, wide_of(row));
  }
  for (std::size_t i = 0; i < wait.rows.size(); i += abreast) {
    std::vector<Item> cells;
    Item line;
    line.gap = 4;
    for (std::size_t k = i; k < std::min(i + abreast, wait.rows.size()); ++k) {
      cells.push_back(row_item(type, wait, wait.rows[k], wide, std::max(units_wide, wide_of(wait.rows[k]))));
      line.height = std::max(line.height, cells.back().height);
    }
    line.draw = [cells, wide](cairo_t* cr, double x, double y) {
      for (const auto& cell : cells) {
        cell.draw(cr, x, y);
        x += wide + kGutter;
      }
    };
    out.push_back(std::move(line));
  }
}

Item head_item(const Typesetter& type, const WaitBox& wait, double width) {
  const Text span = type.set(wait.span, {12, true, false, kBlack, Style::Align::right}, width * 0.42);
  const Text title = type.set(wait.title, {12, true}, width * 0.56);
  Item head;
  head.height = std::max(span.height(), title.height());
  head.draw = [span, title, width](cairo_t* cr, double x, double y) {
    title.draw(cr, x, y);
    span.draw(cr, x + width * 0.58, y);
  };
  return head;
}

}  // namespace

Item wait_item(Typesetter& type, const WaitBox& wait, double width) {
  std::vector<Item> out{head_item(type, wait, width)};
  out.push_back(of_text(type.set(wait.from, {}, width), 1));
  add_rows(type, wait, width, out);
  out.push_back(of_text(type.set(wait.then, {kBody, true}, width), 4));
  if (!wait.meanwhile.empty()) out.push_back(of_text(type.set(wait.meanwhile, {}, width), 1));
  out.push_back(of_text(type.set(wait.if_late, {}, width), 1));
  out.push_back(of_text(type.set("Source: " + wait.source, {7.5, false, false, kGrey}, width), 1));
  const Item inner = stacked(std::move(out));
  Item item;
  item.height = inner.height + 6;
  item.gap = 12;
  item.draw = [inner, width](cairo_t* cr, double x, double y) {
    line(cr, x, y, x + width, y, 1.4);
    inner.draw(cr, x, y + 5);
  };
  return item;
}

}  // namespace handlot::sheets::pdf
