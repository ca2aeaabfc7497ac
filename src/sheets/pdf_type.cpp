#include "sheets/pdf_type.h"

#include <fmt/format.h>
#include <librsvg/rsvg.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>

namespace handlot::sheets::pdf {

namespace {

constexpr const char* kFamily = "B612";
constexpr const char* kMonoFamily = "B612 Mono";

std::string valid_utf8(const std::string& text) {
  char* valid = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
  std::string out(valid);
  g_free(valid);
  return out;
}

PangoLayout* layout_for(PangoContext* context, const Style& style, double width) {
  PangoLayout* layout = pango_layout_new(context);
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, style.mono ? kMonoFamily : kFamily);
  pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
  pango_layout_set_width(layout, static_cast<int>(std::floor(std::max(width, 1.0) * PANGO_SCALE)));
  pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_alignment(layout, style.align == Style::Align::right    ? PANGO_ALIGN_RIGHT
                                     : style.align == Style::Align::centre ? PANGO_ALIGN_CENTER
                                                                           : PANGO_ALIGN_LEFT);
  return layout;
}

void add_attribute(PangoAttrList* list, PangoAttribute* attribute, std::size_t from, std::size_t to) {
  attribute->start_index = static_cast<guint>(from);
  attribute->end_index = static_cast<guint>(to);
  pango_attr_list_insert(list, attribute);
}

/// Words are never broken with a hyphen that is not in the text: searched text must be found.
PangoAttrList* attributes_of(const std::vector<std::pair<std::size_t, std::size_t>>& bold,
                             std::size_t length) {
  PangoAttrList* list = pango_attr_list_new();
  add_attribute(list, pango_attr_insert_hyphens_new(FALSE), 0, length);
  for (const auto& [from, to] : bold) add_attribute(list, pango_attr_weight_new(PANGO_WEIGHT_BOLD), from, to);
  return list;
}

std::string key_of(const std::vector<Run>& runs, const Style& style, double width) {
  std::string key =
      fmt::format("{} {} {} {} {} {} {} {}", style.size, style.bold, style.mono, style.colour.red,
                  style.colour.green, style.colour.blue, static_cast<int>(style.align), width);
  for (const Run& run : runs) key += (run.bold ? "\x02" : "\x01") + run.text;
  return key;
}

Text fresh(PangoContext* context, const std::vector<Run>& runs, const Style& style, double width) {
  std::string all;
  std::vector<std::pair<std::size_t, std::size_t>> bold;
  for (const Run& run : runs) {
    const std::size_t from = all.size();
    all += valid_utf8(run.text);
    if (run.bold && !style.bold) bold.emplace_back(from, all.size());
  }
  PangoLayout* layout = layout_for(context, style, width);
  pango_layout_set_text(layout, all.data(), static_cast<int>(all.size()));
  PangoAttrList* attributes = attributes_of(bold, all.size());
  pango_layout_set_attributes(layout, attributes);
  pango_attr_list_unref(attributes);
  return Text(layout, style.colour);
}

}  // namespace

Text::Text(PangoLayout* owned, Colour colour) : layout_(owned), colour_(colour) {
  int width = 0, height = 0;
  pango_layout_get_size(layout_, &width, &height);
  width_ = static_cast<double>(width) / PANGO_SCALE;
  height_ = static_cast<double>(height) / PANGO_SCALE;
}

Text::Text(const Text& other)
    : layout_(other.layout_), colour_(other.colour_), height_(other.height_), width_(other.width_) {
  g_object_ref(layout_);
}

Text::~Text() {
  g_object_unref(layout_);
}

void Text::draw(cairo_t* cr, double x, double y) const {
  set_colour(cr, colour_);
  cairo_move_to(cr, x, y);
  pango_cairo_show_layout(cr, layout_);
}

Svg::Svg(const std::string& source) {
  const auto* bytes = reinterpret_cast<const guint8*>(source.data());
  handle_ = rsvg_handle_new_from_data(bytes, source.size(), nullptr);
  if (!handle_) return;
  double width = 0, height = 0;
  gboolean has_box = FALSE, has_width = FALSE, has_height = FALSE;
  RsvgLength w{}, h{};
  RsvgRectangle view{};
  rsvg_handle_get_intrinsic_dimensions(handle_, &has_width, &w, &has_height, &h, &has_box, &view);
  if (has_box) {
    width = view.width;
    height = view.height;
  } else {
    rsvg_handle_get_intrinsic_size_in_pixels(handle_, &width, &height);
  }
  ratio_ = width > 0 && height > 0 ? height / width : 1;
}

Svg::Svg(const Svg& other) : handle_(other.handle_), ratio_(other.ratio_) {
  if (handle_) g_object_ref(handle_);
}

Svg::~Svg() {
  if (handle_) g_object_unref(handle_);
}

void Svg::draw(cairo_t* cr, double x, double y, double width, double height) const {
  if (!handle_) {
    box(cr, x, y, width, height);
    return;
  }
  const RsvgRectangle view{x, y, width, height};
  cairo_save(cr);
  rsvg_handle_render_document(handle_, cr, &view, nullptr);
  cairo_restore(cr);
}

Typesetter::Typesetter() : fonts_(pango_cairo_font_map_new()) {
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(fonts_), 72);
  context_ = pango_font_map_create_context(fonts_);
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context_, options);
  cairo_font_options_destroy(options);
  pango_context_set_language(context_, pango_language_from_string("en"));
  pango_context_set_round_glyph_positions(context_, FALSE);
}

Typesetter::~Typesetter() {
  g_object_unref(context_);
  g_object_unref(fonts_);
}

Text Typesetter::set(const std::string& text, const Style& style, double width) const {
  return set(std::vector<Run>{{text, style.bold}}, style, width);
}

Text Typesetter::set(const std::vector<Run>& runs, const Style& style, double width) const {
  std::string key = key_of(runs, style, width);
  if (const auto known = settings_.find(key); known != settings_.end()) return known->second;
  return settings_.emplace(std::move(key), fresh(context_, runs, style, width)).first->second;
}

const Svg& Typesetter::picture(const std::string& svg) {
  return pictures_.try_emplace(svg, svg).first->second;
}

Item stacked(std::vector<Item> items) {
  Item whole;
  bool first = true;
  for (const Item& item : items) {
    whole.height += item.height + (first ? 0 : item.gap);
    first = false;
  }
  whole.draw = [parts = std::move(items)](cairo_t* cr, double x, double y) {
    bool top = true;
    for (const Item& item : parts) {
      y += top ? 0 : item.gap;
      top = false;
      item.draw(cr, x, y);
      y += item.height;
    }
  };
  return whole;
}

Item scaled(Item item, double factor) {
  Item out = item;
  out.height = item.height * factor;
  out.gap = item.gap * factor;
  out.draw = [inner = std::move(item.draw), factor](cairo_t* cr, double x, double y) {
    cairo_save(cr);
    cairo_translate(cr, x, y);
    cairo_scale(cr, factor, factor);
    inner(cr, 0, 0);
    cairo_restore(cr);
  };
  return out;
}

Item of_text(Text text, double gap) {
  Item item;
  item.height = text.height();
  item.gap = gap;
  item.draw = [text](cairo_t* cr, double x, double y) { text.draw(cr, x, y); };
  return item;
}

void set_colour(cairo_t* cr, Colour colour) {
  cairo_set_source_rgb(cr, colour.red, colour.green, colour.blue);
}

void line(cairo_t* cr, double x1, double y1, double x2, double y2, double width) {
  set_colour(cr, kBlack);
  cairo_set_line_width(cr, width);
  cairo_move_to(cr, x1, y1);
  cairo_line_to(cr, x2, y2);
  cairo_stroke(cr);
}

void box(cairo_t* cr, double x, double y, double width, double height, double line_width) {
  set_colour(cr, kBlack);
  cairo_set_line_width(cr, line_width);
  cairo_rectangle(cr, x, y, width, height);
  cairo_stroke(cr);
}

void fill(cairo_t* cr, double x, double y, double width, double height, Colour colour) {
  set_colour(cr, colour);
  cairo_rectangle(cr, x, y, width, height);
  cairo_fill(cr);
}

}  // namespace handlot::sheets::pdf
