#include "sheets/pdf_blocks.h"

#include <algorithm>
#include <cmath>

#include "sheets/signs.h"

namespace handlot::sheets::pdf {

namespace {

constexpr Colour kRed{0.76, 0.07, 0.12};
constexpr Colour kOrange{1.0, 0.58, 0.10};
constexpr Colour kYellow{1.0, 0.84, 0.0};
constexpr Colour kBlue{0.0, 0.31, 0.62};

struct Signal {
  Colour ground, ink;
};

Signal signal_of(plan::CautionClass level) {
  switch (level) {
    case plan::CautionClass::danger:
      return {kRed, kWhite};
    case plan::CautionClass::warning:
      return {kOrange, kBlack};
    case plan::CautionClass::caution:
      return {kYellow, kBlack};
    case plan::CautionClass::notice:
      return {kBlue, kWhite};
  }
  return {kWhite, kBlack};
}

Item para_item(Typesetter& type, const Para& para, double width) {
  switch (para.style) {
    case Para::Style::lead:
      return of_text(type.set(para.text, {12, true}, width), 6);
    case Para::Style::small:
      return of_text(type.set(para.text, {kSmall, false, false, kGrey}, width), 6);
    case Para::Style::body:
      break;
  }
  return of_text(type.set(para.text, {}, width), 4);
}

Item facts_item(Typesetter& type, const Facts& facts, double width) {
  constexpr double kLabel = 92;
  std::vector<Item> rows;
  for (const auto& [name, value] : facts.rows) {
    const Text label = type.set(name, {kBody, false, false, kGrey}, kLabel);
    const Text text = type.set(value, {11, true}, width - kLabel);
    Item row;
    row.height = std::max(label.height(), text.height());
    row.gap = 3;
    row.draw = [label, text](cairo_t* cr, double x, double y) {
      label.draw(cr, x, y + 0.4);
      text.draw(cr, x + kLabel, y);
    };
    rows.push_back(std::move(row));
  }
  Item item = stacked(std::move(rows));
  item.gap = 8;
  return item;
}

Item write_in_item(Typesetter& type, const WriteIn& write_in, double width) {
  constexpr double kPitch = 26;
  const Text label = type.set(write_in.label, {kBody, true}, width);
  Item item;
  item.height = label.height() + write_in.lines * kPitch;
  item.gap = 12;
  item.draw = [label, width, lines = write_in.lines](cairo_t* cr, double x, double y) {
    label.draw(cr, x, y);
    for (int i = 1; i <= lines; ++i)
      line(cr, x, y + label.height() + i * kPitch, x + width, y + label.height() + i * kPitch, 0.4);
  };
  return item;
}

struct PlacedSign {
  Svg svg;
  Text code;
  double x, y;
};

constexpr double kSignGap = 5, kCodeHigh = 9;

/// Signs in rows no wider than `most`; those of substances and those of the bench never in one row.
struct Signs {
  std::vector<PlacedSign> placed;
  double width = 0, height = 0;
};

Signs signs_of(Typesetter& type, const CautionBox& caution, double size, double most) {
  Signs out;
  double x = 0, y = 0;
  const auto next_row = [&] {
    if (x > 0) y += size + kCodeHigh + 2;
    x = 0;
  };
  const auto put = [&](const Sign& sign) {
    if (x > 0 && x + size > most) next_row();
    const Style style{6.5, false, false, kGrey, Style::Align::centre};
    out.placed.push_back({type.picture(sign_svg(sign.code)), type.set(sign.code, style, size + 4), x, y});
    x += size + kSignGap;
    out.width = std::max(out.width, x);
    out.height = y + size + kCodeHigh;
  };
  for (const auto& sign : caution.substance) put(sign);
  const double both =
      static_cast<double>(caution.substance.size() + caution.bench.size()) * (size + kSignGap);
  if (both > most) next_row();
  for (const auto& sign : caution.bench) put(sign);
  return out;
}

void draw_signs(cairo_t* cr, const Signs& signs, double size, double left, double top) {
  for (const auto& sign : signs.placed) {
    sign.svg.draw(cr, left + sign.x, top + sign.y, size, size);
    sign.code.draw(cr, left + sign.x - 2, top + sign.y + size + 0.5);
  }
}

std::vector<Run> caution_runs(const CautionBox& c) {
  std::vector<Run> runs{{c.hazard + " ", true}, {c.consequence + " ", false}, {c.avoid, true}};
  if (!c.protect.empty()) runs.push_back({" " + c.protect, false});
  return runs;
}

std::string caution_tail(const CautionBox& c) {
  std::string out;
  const auto say = [&](const std::string& text) {
    if (!text.empty()) out += (out.empty() ? "" : " · ") + text;
  };
  say(c.at_steps.empty() ? "" : "At " + c.at_steps);
  say(c.codes);
  say(c.source);
  return out;
}

}  // namespace

Item picture_item(Typesetter& type, const std::string& svg, double width, double most_height) {
  const Svg picture = type.picture(svg);
  if (!picture.readable()) {
    return of_text(type.set("[the picture could not be read]", {kSmall, false, false, kGrey}, width), 4);
  }
  const double scale = std::min(1.0, most_height / (width * picture.ratio()));
  Item item;
  item.height = width * picture.ratio() * scale;
  item.gap = 5;
  item.draw = [picture, width, scale](cairo_t* cr, double x, double y) {
    picture.draw(cr, x + width * (1 - scale) / 2, y, width * scale, width * picture.ratio() * scale);
  };
  return item;
}

Item tick_item(Typesetter& type, const std::vector<Run>& runs, double width) {
  const Text text = type.set(runs, {}, width - kTick - 8);
  Item item;
  item.height = std::max(text.height(), kTick);
  item.gap = 5;
  item.draw = [text, height = item.height](cairo_t* cr, double x, double y) {
    box(cr, x + 0.5, y + (height - kTick) / 2 + 0.5, kTick - 1, kTick - 1, 1);
    text.draw(cr, x + kTick + 8, y + (height - text.height()) / 2);
  };
  return item;
}

Item caution_item(Typesetter& type, const CautionBox& caution, double width) {
  const double size = caution.brief ? 26 : 32;
  constexpr double kPad = 5, kWord = 64;
  const Signal signal = signal_of(caution.level);
  const Signs signs = signs_of(type, caution, size, width * 0.295);
  const double text_left = kWord + signs.width + 2 * kPad;
  const double text_wide = width - text_left - kPad;
  const Text word = type.set(caution.word, {kBody, true, false, signal.ink, Style::Align::centre}, kWord);
  const Text text = type.set(caution_runs(caution), {}, text_wide);
  const Text tail = type.set(caution_tail(caution), {7.5, false, false, kGrey}, text_wide);
  const double tail_high = caution_tail(caution).empty() ? 0 : tail.height() + 2;
  Item item;
  item.gap = 6;
  item.height = std::max({text.height() + tail_high, signs.height, 18.0}) + 2 * kPad;
  item.draw = [=, height = item.height](cairo_t* cr, double x, double y) {
    fill(cr, x, y, kWord, height, signal.ground);
    box(cr, x, y, width, height, 1.2);
    line(cr, x + kWord, y, x + kWord, y + height, 1.2);
    word.draw(cr, x, y + (height - word.height()) / 2);
    draw_signs(cr, signs, size, x + kWord + kPad + 2, y + kPad);
    text.draw(cr, x + text_left, y + kPad);
    if (tail_high > 0) tail.draw(cr, x + text_left, y + kPad + text.height() + 2);
  };
  return item;
}

void add(Flow& flow, Typesetter& type, const Block& block, double width, double most_height) {
  const auto push = [&](Item item) { flow.items.push_back(std::move(item)); };
  if (const auto* para = std::get_if<Para>(&block)) push(para_item(type, *para, width));
  if (const auto* facts = std::get_if<Facts>(&block)) push(facts_item(type, *facts, width));
  if (const auto* tick = std::get_if<Tick>(&block)) push(tick_item(type, {{tick->text, false}}, width));
  if (const auto* write_in = std::get_if<WriteIn>(&block)) push(write_in_item(type, *write_in, width));
  if (const auto* table = std::get_if<Table>(&block)) add_table(flow, type, *table, width);
  if (const auto* boxes = std::get_if<Boxes>(&block)) push(boxes_item(type, *boxes, width));
  if (const auto* caution = std::get_if<CautionBox>(&block)) push(caution_item(type, *caution, width));
  if (const auto* wait = std::get_if<WaitBox>(&block)) push(wait_item(type, *wait, width));
  if (const auto* step = std::get_if<StepBox>(&block)) push(step_item(type, *step, width, most_height));
  if (const auto* picture = std::get_if<Picture>(&block)) {
    push(picture_item(type, picture->svg, width,
                      std::min(most_height, picture->most_height_mm * kMillimetre)));
  }
  if (const auto* heading = std::get_if<Subheading>(&block)) {
    Item item = of_text(type.set(heading->text, {kSubheading, true}, width), 14);
    item.keep_with_next = true;
    push(std::move(item));
  }
}

}  // namespace handlot::sheets::pdf
