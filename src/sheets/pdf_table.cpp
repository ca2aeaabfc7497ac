#include <algorithm>

#include "sheets/pdf_blocks.h"

namespace handlot::sheets::pdf {

namespace {

constexpr double kGutter = 7;
constexpr double kRoomyRow = 24;  ///< 8.5 mm
constexpr double kPictureHigh = 42.5;  // 15 mm: a kit picture is shown as it is drawn
constexpr double kPad = 2.5;

struct Slot {
  double x = 0, width = 0;
};

std::vector<Slot> slots_of(const Table& table, double width) {
  double shares = 0;
  for (const auto& c : table.columns) shares += c.share;
  std::vector<Slot> slots;
  double x = 0;
  for (const auto& c : table.columns) {
    const double wide = width * c.share / std::max(shares, 1e-9);
    slots.push_back({x, wide - kGutter});
    x += wide;
  }
  return slots;
}

Item head_item(const Typesetter& type, const Table& table, const std::vector<Slot>& slots, double width) {
  std::vector<std::pair<double, Text>> texts;
  double high = 0;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const auto align = table.columns[i].right ? Style::Align::right : Style::Align::left;
    texts.emplace_back(slots[i].x,
                       type.set(table.columns[i].head, {kSmall, true, false, kBlack, align}, slots[i].width));
    high = std::max(high, texts.back().second.height());
  }
  Item item;
  item.height = high + 4;
  item.gap = 6;
  item.keep_with_next = true;
  item.draw = [texts, high, width](cairo_t* cr, double x, double y) {
    for (const auto& [dx, text] : texts) text.draw(cr, x + dx, y + high - text.height());
    line(cr, x, y + high + 3, x + width, y + high + 3, 1.1);
  };
  return item;
}

/// The number is known only when all pages are, so it is set when it is drawn.
Item page_item(const Typesetter& type, const PageNumbers* pages, const std::string& anchor, double width) {
  Item item;
  item.height = 10;
  item.draw = [&type, pages, anchor, width](cairo_t* cr, double x, double y) {
    const auto found = pages->find(anchor);
    if (found == pages->end()) return;
    type.set(std::to_string(found->second), {9.5, false, false, kBlack, Style::Align::right}, width)
        .draw(cr, x, y);
  };
  return item;
}

Item cell_item(Typesetter& type, const PageNumbers* pages, const Cell& cell, const Column& column,
               double width, bool roomy) {
  Item item;
  switch (cell.form) {
    case Cell::Form::tick:
      item.height = kTick;
      item.draw = [](cairo_t* cr, double x, double y) { box(cr, x + 0.5, y + 0.5, kTick - 1, kTick - 1, 1); };
      return item;
    case Cell::Form::blank:
      item.height = kRoomyRow - 2 * kPad;
      item.draw = [width, high = item.height](cairo_t* cr, double x, double y) {
        box(cr, x, y, width, high, 0.4);
      };
      return item;
    case Cell::Form::picture: {
      const Svg picture = type.picture(cell.text);
      const double wide = std::min(width, kPictureHigh / std::max(picture.ratio(), 1e-6));
      item.height = wide * picture.ratio();
      item.draw = [picture, wide](cairo_t* cr, double x, double y) {
        picture.draw(cr, x, y, wide, wide * picture.ratio());
      };
      return item;
    }
    case Cell::Form::page:
      return page_item(type, pages, cell.link, width);
    case Cell::Form::text:
    case Cell::Form::strong:
      break;
  }
  const auto align = column.right ? Style::Align::right : Style::Align::left;
  return of_text(type.set(
      cell.text, {roomy ? 10.0 : 9.5, cell.form == Cell::Form::strong, false, kBlack, align}, width));
}

Draw with_link(Draw draw, const std::string& link) {
  if (link.empty()) return draw;
  return [draw = std::move(draw), attributes = "dest='" + link + "'"](cairo_t* cr, double x, double y) {
    cairo_tag_begin(cr, CAIRO_TAG_LINK, attributes.c_str());
    draw(cr, x, y);
    cairo_tag_end(cr, CAIRO_TAG_LINK);
  };
}

Item row_item(Typesetter& type, const PageNumbers* pages, const Table& table, const std::vector<Cell>& row,
              const std::vector<Slot>& slots, double width) {
  std::vector<std::pair<double, Item>> cells;
  double high = table.roomy ? kRoomyRow - 2 * kPad : 0;
  for (std::size_t i = 0; i < slots.size() && i < row.size(); ++i) {
    Item cell = cell_item(type, pages, row[i], table.columns[i], slots[i].width, table.roomy);
    high = std::max(high, cell.height);
    cell.draw = with_link(std::move(cell.draw), row[i].link);
    cells.emplace_back(slots[i].x, std::move(cell));
  }
  Item item;
  item.height = high + 2 * kPad;
  item.draw = [cells, high, width, middle = table.roomy](cairo_t* cr, double x, double y) {
    for (const auto& [dx, cell] : cells)
      cell.draw(cr, x + dx, y + kPad + (middle ? (high - cell.height) / 2 : 0));
    line(cr, x, y + high + 2 * kPad, x + width, y + high + 2 * kPad, 0.3);
  };
  return item;
}

}  // namespace

void add_table(Flow& flow, Typesetter& type, const Table& table, double width) {
  const auto slots = slots_of(table, width);
  Item head = head_item(type, table, slots, width);
  flow.heads.push_back(head);
  const int head_index = static_cast<int>(flow.heads.size()) - 1;
  flow.items.push_back(std::move(head));
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    Item item = row_item(type, flow.pages, table, table.rows[i], slots, width);
    if (i > 0) item.head = head_index;
    item.keep_with_next = i + 1 < table.rows.size() ? table.whole : table.keep_with_next;
    flow.items.push_back(std::move(item));
  }
}

}  // namespace handlot::sheets::pdf
