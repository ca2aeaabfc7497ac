#include <algorithm>
#include <cmath>

#include "sheets/pdf_blocks.h"
#include "sheets/scan_code.h"

namespace handlot::sheets::pdf {

namespace {

constexpr double kSideWide = 190;  ///< 67 mm: the picture
constexpr double kCodeWide = 57;   ///< 20 mm
constexpr double kGutter = 12;
constexpr double kPictureLow = 115, kPictureHigh = 200;
constexpr double kLeastScale = 0.45;  ///< a step that would not fit a page is made smaller, not split

/// Label bold in a column of its own, text beside it.
Item labelled(const Typesetter& type, const std::string& label, const std::string& text, double width,
              double label_wide, bool strong = false) {
  const Text left = type.set(label, {kBody, true}, label_wide - 4);
  const Text right = type.set(text, {kBody, strong}, width - label_wide);
  Item item;
  item.height = std::max(left.height(), right.height());
  item.gap = 2.5;
  item.draw = [left, right, label_wide](cairo_t* cr, double x, double y) {
    left.draw(cr, x, y);
    right.draw(cr, x + label_wide, y);
  };
  return item;
}

/// White on black, so that they show in any print; side by side where there is room.
Item marks_item(const Typesetter& type, const std::vector<std::string>& marks, double width) {
  constexpr double kPad = 5, kApart = 5;
  struct Mark {
    Text text;
    double x, y;
  };
  std::vector<Mark> placed;
  double x = 0, y = 0, high = 0;
  for (const auto& mark : marks) {
    const Text text = type.set(mark, {9.5, true, false, kWhite}, width - 2 * kPad);
    if (x > 0 && x + text.width() + 2 * kPad > width) {
      x = 0;
      y += high + 3;
    }
    high = text.height() + 4;
    placed.push_back({text, x, y});
    x += text.width() + 2 * kPad + kApart;
  }
  Item item;
  item.height = y + high;
  item.gap = 3;
  item.draw = [placed](cairo_t* cr, double left, double top) {
    for (const auto& mark : placed) {
      fill(cr, left + mark.x, top + mark.y, mark.text.width() + 2 * kPad, mark.text.height() + 4, kBlack);
      mark.text.draw(cr, left + mark.x + kPad, top + mark.y + 2);
    }
  };
  return item;
}

Item code_item(const std::string& text) {
  const ScanCode code = scan_code(text);
  Item item;
  item.height = code.size > 0 ? kCodeWide : 0;
  item.gap = 6;
  item.draw = [code](cairo_t* cr, double x, double y) {
    if (code.size == 0) return;
    const double module = kCodeWide / (code.size + 2.0);
    set_colour(cr, kBlack);
    for (int row = 0; row < code.size; ++row) {
      for (int column = 0; column < code.size; ++column) {
        if (code.at(column, row))
          cairo_rectangle(cr, x + (column + 1) * module, y + (row + 1) * module, module, module);
      }
    }
    cairo_fill(cr);
  };
  return item;
}

std::string why_text(const StepBox& step) {
  std::string out = step.why;
  if (!step.after.empty()) out += (out.empty() ? "" : " ") + step.after + ".";
  return out;
}

Item header_item(const Typesetter& type, const StepBox& step, double width) {
  const Text number = type.set(step.number, {kStepNumber, true}, 120);
  const Item code = code_item(step.code);
  const double left = std::max(number.width() + 12, 66.0);
  const double wide = width - left - (code.height > 0 ? kCodeWide + kGutter : 0);
  std::vector<Item> lines{of_text(type.set(step.title, {kStepTitle, true}, wide))};
  std::string facts = step.units;
  if (!step.expected.empty()) facts += " · " + step.expected;
  lines.push_back(of_text(type.set(facts, {}, wide), 2));
  if (!step.when.empty())
    lines.push_back(of_text(type.set("Planned " + step.when, {9.5, false, false, kGrey}, wide), 1));
  if (!step.marks.empty()) lines.push_back(marks_item(type, step.marks, wide));
  if (const std::string why = why_text(step); !why.empty())
    lines.push_back(of_text(type.set(why, {9.5, false, false, kGrey}, wide), 3));
  const Item middle = stacked(std::move(lines));
  Item item;
  item.height = std::max({number.height() - 6, middle.height, code.height});
  item.draw = [number, middle, code, left, width](cairo_t* cr, double x, double y) {
    number.draw(cr, x, y - 6);
    middle.draw(cr, x + left, y);
    code.draw(cr, x + width - kCodeWide, y);
  };
  return item;
}

void add_actions(const Typesetter& type, const StepBox& step, double width, std::vector<Item>& out) {
  int number = 1;
  for (const auto& action : step.actions) {
    Item item = labelled(type, std::to_string(number) + ".", action, width, 22);
    item.gap = number == 1 ? 8 : 3.5;
    out.push_back(std::move(item));
    ++number;
  }
}

Item main_item(Typesetter& type, const StepBox& step, double width) {
  std::vector<Item> out;
  bool first = true;
  for (const auto& [label, text] : step.needs) {
    Item item = labelled(type, label, text, width, 42);
    if (first) item.gap = 6;
    first = false;
    out.push_back(std::move(item));
  }
  if (!step.orientation.empty()) {
    Item item = labelled(type, "This way", step.orientation, width, 62, true);
    item.gap = 5;
    out.push_back(std::move(item));
  }
  add_actions(type, step, width, out);
  for (const auto& line : step.also) out.push_back(labelled(type, "Also", line, width, 42));
  if (!step.reminder.empty()) {
    Item item = tick_item(type, {{"Remember: ", true}, {step.reminder, true}}, width);
    out.push_back(std::move(item));
  }
  for (const auto& check : step.checks) out.push_back(labelled(type, "Check", check, width, 42));
  return stacked(std::move(out));
}

/// What stands between the head and the work, over the whole width.
void add_before(Typesetter& type, const StepBox& step, double width, std::vector<Item>& out) {
  for (const auto& caution : step.cautions) out.push_back(caution_item(type, caution, width));
  for (const auto& gate : step.not_before)
    out.push_back(tick_item(type, {{"Before you start: ", true}, {gate, false}}, width));
}

Item wait_lines(const Typesetter& type, const StepBox& step, double width) {
  std::vector<Item> out;
  for (const auto& wait : step.waits) {
    out.push_back(of_text(type.set(wait.text, {kBody, true}, width - 40), 4));
    if (!wait.meanwhile.empty()) out.push_back(of_text(type.set(wait.meanwhile, {}, width - 40), 1));
    if (!wait.if_late.empty()) out.push_back(of_text(type.set(wait.if_late, {}, width - 40), 1));
  }
  const Item inner = stacked(std::move(out));
  Item item;
  item.height = inner.height + 10;
  item.gap = 7;
  item.draw = [inner, width, high = item.height](cairo_t* cr, double x, double y) {
    box(cr, x, y, width, high, 1);
    // An hour-glass: two triangles point to point.
    const double cx = x + 16, top = y + high / 2 - 11;
    set_colour(cr, kBlack);
    cairo_move_to(cr, cx - 8, top);
    cairo_line_to(cr, cx + 8, top);
    cairo_line_to(cr, cx - 8, top + 22);
    cairo_line_to(cr, cx + 8, top + 22);
    cairo_close_path(cr);
    cairo_fill(cr);
    inner.draw(cr, x + 34, y + 5);
  };
  return item;
}

Item stop_item(const Typesetter& type, const StepBox& step, double width) {
  const Text text = type.set(step.stop, {kBody, !step.safe_to_stop}, width - 20);
  const Text record = type.set(step.record, {9.5}, width - 20);
  const bool beside = 20 + text.width() + kGutter + record.width() <= width;
  const double high = std::max(text.height(), 14.0);
  Item item;
  item.height = beside ? std::max(high, record.height()) : high + record.height() + 4;
  item.gap = 6;
  item.draw = [text, record, beside, width, high, safe = step.safe_to_stop](cairo_t* cr, double x, double y) {
    const double cy = y + high / 2;
    set_colour(cr, kBlack);
    cairo_set_line_width(cr, 1.4);
    cairo_new_path(cr);
    if (safe) {
      cairo_arc(cr, x + 7, cy, 5.5, 0, 2 * M_PI);
      cairo_stroke(cr);
    } else {
      for (int i = 0; i < 8; ++i) {
        const double angle = M_PI / 8 + i * M_PI / 4;
        cairo_line_to(cr, x + 7 + 6.8 * std::cos(angle), cy + 6.8 * std::sin(angle));
      }
      cairo_close_path(cr);
      cairo_fill(cr);
      fill(cr, x + 3, cy - 1, 8, 2, kWhite);
    }
    text.draw(cr, x + 20, y + (high - text.height()) / 2);
    record.draw(cr, x + width - record.width(), beside ? y + (high - record.height()) / 2 : y + high + 4);
  };
  return item;
}

/// Words on the left, picture on the right; the picture takes as much height as the words do, within reason.
Item middle_item(Typesetter& type, const StepBox& step, double width) {
  if (step.picture_svg.empty()) return main_item(type, step, width);
  const Item main = main_item(type, step, width - kSideWide - kGutter);
  const Item picture =
      picture_item(type, step.picture_svg, kSideWide, std::clamp(main.height, kPictureLow, kPictureHigh));
  Item item;
  item.height = std::max(main.height, picture.height);
  item.draw = [main, picture, width](cairo_t* cr, double x, double y) {
    main.draw(cr, x, y);
    picture.draw(cr, x + width - kSideWide, y);
  };
  return item;
}

}  // namespace

Item boxes_item(Typesetter& type, const Boxes& boxes, double width) {
  constexpr double kPitch = 27, kGroupGap = 7, kCell = 20;
  // The labels give way until all units of a small lot stand in one row; larger lots go in rows of one length.
  const bool plain = boxes.rows.size() == 1;
  const double most_label = plain ? 74 : width * 0.36, least_label = plain ? 74 : width * 0.25;
  const auto gaps = static_cast<double>(std::count(boxes.gap_before.begin(), boxes.gap_before.end(), true));
  const double groups = std::min(gaps, 8.0) * kGroupGap;
  const auto most = static_cast<std::size_t>(std::max(1.0, std::floor((width - least_label - groups) / kPitch)));
  const std::size_t rows = std::max<std::size_t>(1, (boxes.units.size() + most - 1) / most);
  const std::size_t run = std::max<std::size_t>(1, (boxes.units.size() + rows - 1) / rows);
  const double label_wide = std::clamp(width - static_cast<double>(run) * kPitch - groups, least_label, most_label);
  std::vector<Item> out;
  for (std::size_t from = 0; from < boxes.units.size(); from += run) {
    const std::size_t to = std::min(boxes.units.size(), from + run);
    std::vector<std::pair<double, Text>> heads;
    double x = label_wide;
    for (std::size_t i = from; i < to; ++i) {
      if (i > from && boxes.gap_before[i]) x += kGroupGap;
      heads.emplace_back(x, type.set(boxes.units[i], {8, false, false, kGrey, Style::Align::centre}, kCell));
      x += kPitch;
    }
    Item head;
    head.height = 10;
    head.gap = 4;
    head.draw = [heads](cairo_t* cr, double left, double y) {
      for (const auto& [dx, text] : heads) text.draw(cr, left + dx, y - 1);
    };
    out.push_back(std::move(head));
    for (const auto& row : boxes.rows) {
      std::vector<Run> runs{{row.label, boxes.rows.size() == 1 || row.label == "Step done"}};
      if (!row.limit.empty()) runs.push_back({": " + row.limit, true});
      if (row.value) runs.push_back({" (value on the unit's record)", false});
      const Text label = type.set(runs, {}, label_wide - 8);
      Item line_item;
      line_item.height = std::max(label.height(), kCell);
      line_item.gap = 3;
      line_item.draw = [label, heads, high = line_item.height](cairo_t* cr, double left, double y) {
        label.draw(cr, left, y + (high - label.height()) / 2);
        for (const auto& [dx, unused] : heads) box(cr, left + dx, y + (high - kCell) / 2, kCell, kCell, 1);
      };
      out.push_back(std::move(line_item));
    }
  }
  Item item = stacked(std::move(out));
  item.gap = 7;
  return item;
}

Item step_item(Typesetter& type, const StepBox& step, double width, double most_height) {
  std::vector<Item> parts{header_item(type, step, width)};
  add_before(type, step, width, parts);
  parts.push_back(middle_item(type, step, width));
  parts.back().gap = 7;
  parts.push_back(boxes_item(type, step.boxes, width));
  if (!step.waits.empty()) parts.push_back(wait_lines(type, step, width));
  parts.push_back(stop_item(type, step, width));
  const Item inner = stacked(std::move(parts));
  Item item;
  item.height = inner.height + 9;
  item.draw = [inner, width](cairo_t* cr, double x, double y) {
    line(cr, x, y + 1, x + width, y + 1, 2.2);
    inner.draw(cr, x, y + 9);
  };
  if (item.height > most_height)
    item = scaled(std::move(item), std::max(kLeastScale, most_height / item.height));
  item.gap = 16;
  item.anchor = "step-" + step.id;
  item.outline = step.number + " " + step.title;
  item.level = 1;
  return item;
}

}  // namespace handlot::sheets::pdf
