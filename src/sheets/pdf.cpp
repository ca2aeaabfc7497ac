#include "sheets/pdf.h"

#include <cairo-pdf.h>
#include <fmt/format.h>

#include <algorithm>
#include <deque>
#include <span>

#include "sheets/clock.h"
#include "sheets/pdf_blocks.h"
#include "sheets/pdf_finish.h"

namespace handlot::sheets {

namespace {

using namespace pdf;

constexpr double kLeft = 17 * kMillimetre;  // room for two holes
constexpr double kRight = 12 * kMillimetre;
constexpr double kTop = 17.5 * kMillimetre;
constexpr double kBottom = 13.5 * kMillimetre;
constexpr double kTail = 0.25;      // of a page: with no more than that on it, it is nearly empty
constexpr double kSlightly = 0.86;  // of a section that would leave a tail
constexpr double kSmallest = 0.72;  // of a section that is to stay on one page

struct Size {
  double width, height;
};

Size size_of(Paper paper) {
  return paper == Paper::a4 ? Size{595.276, 841.89} : Size{612, 792};
}

struct Placed {
  const Item* item;
  double y;
};

using Page = std::vector<Placed>;

struct Layout {
  std::vector<Page> pages;
  std::deque<Item> notes;  ///< made for the room that was left
};

Item section_title(const Typesetter& type, const Section& section, const std::string& title, double width) {
  Item item = of_text(type.set(title, {kHeading, true}, width), 20);
  item.keep_with_next = true;
  item.new_page = section.new_page;
  item.anchor = section.id;
  item.outline = section.short_title.empty() ? section.title : section.short_title;
  return item;
}

/// Cautions of a run of steps stay with its first step, and a paragraph with the picture it explains.
bool stays_with_next(const std::vector<Block>& blocks, std::size_t i) {
  if (i + 1 >= blocks.size()) return false;
  if (std::holds_alternative<Para>(blocks[i])) return std::holds_alternative<Picture>(blocks[i + 1]);
  return std::holds_alternative<CautionBox>(blocks[i]) &&
         (std::holds_alternative<StepBox>(blocks[i + 1]) || stays_with_next(blocks, i + 1));
}

void add_section(Flow& flow, Typesetter& type, const Section& section, const std::string& title, double width,
                 double most_height) {
  const std::size_t first = flow.items.size();
  flow.items.push_back(section_title(type, section, title, width));
  for (std::size_t i = 0; i < section.blocks.size(); ++i) {
    add(flow, type, section.blocks[i], width, most_height);
    if (stays_with_next(section.blocks, i)) flow.items.back().keep_with_next = true;
  }
  for (std::size_t i = first; i < flow.items.size(); ++i) flow.items[i].notes = section.notes;
}

/// Sets a section wider and draws it smaller until it fits on one page, but no smaller than `least`. Returns whether it does.
bool add_whole(Flow& flow, Typesetter& type, const Section& section, const std::string& title_text, double width, double most_height, double least) {
  constexpr double kStep = 0.04;
  for (double factor = 1; factor > least; factor -= kStep) {
    Flow own;
    own.pages = flow.pages;
    add_section(own, type, section, title_text, width / factor, most_height);
    Item whole = stacked(own.items);
    if (whole.height * factor > most_height) continue;
    const Item& title = own.items.front();
    if (factor < 1) whole = scaled(std::move(whole), factor);
    whole.new_page = title.new_page;
    whole.anchor = title.anchor;
    whole.outline = title.outline;
    whole.gap = title.gap;
    flow.items.push_back(std::move(whole));
    return true;
  }
  return false;
}

double height_of(std::span<const Item> items) {
  double high = 0;
  for (const Item& item : items) high += item.height + (&item == items.data() ? 0 : item.gap);
  return high;
}

/// A section whose last lines would stand alone on a second page is drawn a little smaller, if that brings it on to one.
void add_without_tail(Flow& flow, Typesetter& type, const Section& section, const std::string& title, double width, double most_height) {
  const std::size_t items = flow.items.size(), heads = flow.heads.size();
  add_section(flow, type, section, title, width, most_height);
  const double high = height_of(std::span(flow.items).subspan(items));
  if (section.notes || high <= most_height || high > (1 + kTail) * most_height) return;
  Flow smaller;
  smaller.pages = flow.pages;
  if (!add_whole(smaller, type, section, title, width, most_height, kSlightly)) return;
  flow.items.resize(items);
  flow.heads.resize(heads);
  flow.items.push_back(std::move(smaller.items.front()));
}

Item notes_item(const Typesetter& type, double width, double height) {
  constexpr double kPitch = 25;
  const Text label = type.set("Notes, time, initials", {kSmall, true, false, kGrey}, width);
  Item item;
  item.height = height;
  item.draw = [label, width, height](cairo_t* cr, double x, double y) {
    label.draw(cr, x, y);
    cairo_save(cr);
    const double dots[] = {0.6, 3};
    cairo_set_dash(cr, dots, 2, 0);
    for (double at = label.height() + kPitch; at <= height; at += kPitch)
      line(cr, x, y + at, x + width, y + at, 0.6);
    cairo_restore(cr);
  };
  return item;
}

/// Rules what is left of the last page, if its last item wants that and the room is worth it.
void close_page(Layout& layout, const Typesetter& type, double y, double width, double most_height) {
  constexpr double kGap = 22, kLeast = 70;
  if (layout.pages.empty() || layout.pages.back().empty() || !layout.pages.back().back().item->notes) return;
  const double left = most_height - y - kGap;
  if (left < kLeast) return;
  layout.notes.push_back(notes_item(type, width, left));
  layout.pages.back().push_back({&layout.notes.back(), y + kGap});
}

/// What must stand together with each item: itself and, while headings, its followers. More than a page holds can't
/// be kept together: then a heading keeps what follows up to a second row of its table, and the pages are filled.
std::vector<double> blocks_of(const Flow& flow, double most_height) {
  const std::vector<Item>& items = flow.items;
  std::vector<double> out(items.size());
  for (std::size_t first = 0; first < items.size();) {
    std::size_t last = first;
    double high = items[first].height;
    while (items[last].keep_with_next && last + 1 < items.size() && !items[last + 1].new_page) {
      ++last;
      high += items[last].gap + items[last].height;
    }
    const bool too_high = high > most_height;
    for (std::size_t i = first; i <= last; ++i) {
      double least = items[i].height;
      for (std::size_t k = i; items[k].head < 0 && k < last; ++k) least += items[k + 1].gap + items[k + 1].height;
      out[i] = std::min(too_high ? least : high, most_height);
      high -= items[i].height + (i < last ? items[i + 1].gap : 0);
    }
    first = last + 1;
  }
  return out;
}

/// The section that begins with item `at` may go on below the last lines of another: it fits there, or no page holds it anyway.
bool goes_below(const Flow& flow, std::size_t at, double room, double most_height) {
  std::size_t end = at + 1;
  while (end < flow.items.size() && !flow.items[end].new_page) ++end;
  const double high = height_of(std::span(flow.items).subspan(at, end - at));
  return high <= room || high > most_height;
}

Layout layout_of(const Flow& flow, const Typesetter& type, double width, double most_height) {
  Layout layout;
  std::vector<Page>& pages = layout.pages;
  const std::vector<double> blocks = blocks_of(flow, most_height);
  double y = 0;
  bool tail = false;  // the page goes on with a section begun on a page before
  for (std::size_t i = 0; i < flow.items.size(); ++i) {
    const Item& item = flow.items[i];
    const bool top = pages.empty() || pages.back().empty();
    const bool fits = !top && y + item.gap + blocks[i] <= most_height + 0.01;
    const bool turns = item.new_page && !(tail && y <= kTail * most_height && goes_below(flow, i, most_height - y - item.gap, most_height));
    if (pages.empty() || (!top && (turns || !fits))) {
      tail = !item.new_page;
      close_page(layout, type, y, width, most_height);
      pages.emplace_back();
      y = 0;
      if (item.head >= 0) {
        const Item& head = flow.heads[static_cast<std::size_t>(item.head)];
        pages.back().push_back({&head, y});
        y += head.height;
      }
    } else if (!top) {
      y += item.gap;
    }
    pages.back().push_back({&item, y});
    y += item.height;
  }
  close_page(layout, type, y, width, most_height);
  return layout;
}

/// How far the last page is filled.
double filled(const Flow& flow, const Typesetter& type, double width, double most_height) {
  double y = 0;
  const Layout layout = layout_of(flow, type, width, most_height);
  if (layout.pages.empty()) return y;
  for (const Placed& placed : layout.pages.back()) {
    const bool ruled = !layout.notes.empty() && placed.item == &layout.notes.back();
    if (!ruled) y = std::max(y, placed.y + placed.item->height);
  }
  return y;
}

/// A section that follows on another's page and would leave its last lines on the next is drawn a little smaller, if that keeps it there.
bool add_to_page(Flow& flow, Typesetter& type, const Section& section, const std::string& title, double width, double most_height) {
  Flow own;
  own.pages = flow.pages;
  add_section(own, type, section, title, width, most_height);
  const double room = most_height - filled(flow, type, width, most_height) - own.items.front().gap;
  const double high = height_of(own.items);
  if (high <= room || high > room + kTail * most_height) return false;
  return add_whole(flow, type, section, title, width, room, kSlightly);
}

Flow flow_of(const Sheet& sheet, Typesetter& type, const PageNumbers& numbers, double width,
             double most_height) {
  Flow flow;
  flow.pages = &numbers;
  for (const auto& section : sheet.sections) {
    const std::string& title = section.id == "front" ? sheet.title : section.title;
    // Where even the smallest type that can be read does not fit, the section is left to break.
    if (section.one_page && add_whole(flow, type, section, title, width, most_height, kSmallest)) continue;
    if (!section.new_page && add_to_page(flow, type, section, title, width, most_height)) continue;
    add_without_tail(flow, type, section, title, width, most_height);
  }
  return flow;
}

PageNumbers numbers_of(const std::vector<Page>& pages) {
  PageNumbers out;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    for (const auto& [item, y] : pages[i]) {
      if (!item->anchor.empty()) out.emplace(item->anchor, i + 1);
    }
  }
  return out;
}

void draw_frame(cairo_t* cr, const Typesetter& type, const Sheet& sheet, Size size, std::size_t page,
                std::size_t pages) {
  const double width = size.width - kLeft - kRight;
  const double y = 9 * kMillimetre;
  const Text number = type.set(fmt::format("page {} of {}", page, pages),
                               {9.5, true, false, kBlack, Style::Align::right}, 110);
  const Text title = type.set({{sheet.title, true}, {"  " + sheet.strip, false}}, {9.5}, width - 116);
  title.draw(cr, kLeft, y);
  number.draw(cr, kLeft + width - 110, y);
  line(cr, kLeft, y + 14, kLeft + width, y + 14, 0.6);
  const Text foot = type.set(sheet.foot, {7.5, false, false, kGrey}, width);
  foot.draw(cr, kLeft, size.height - 9.5 * kMillimetre);
}

void draw_page(cairo_t* cr, const Page& page) {
  for (const auto& [item, y] : page) {
    const bool named = !item->anchor.empty();
    if (named) cairo_tag_begin(cr, CAIRO_TAG_DEST, fmt::format("name='{}'", item->anchor).c_str());
    const char* role = item->outline.empty() ? "P" : item->level == 0 ? "H1" : "Sect";
    cairo_tag_begin(cr, role, nullptr);
    item->draw(cr, kLeft, kTop + y);
    cairo_tag_end(cr, role);
    if (named) cairo_tag_end(cr, CAIRO_TAG_DEST);
  }
}

void add_outline(cairo_surface_t* surface, const Page& page, int& chapter, std::size_t number) {
  for (const auto& [item, y] : page) {
    if (item->outline.empty()) continue;
    const std::string where = fmt::format("page={} pos=[{:.1f} {:.1f}]", number, kLeft, kTop + y);
    const int parent = item->level == 0 ? CAIRO_PDF_OUTLINE_ROOT : chapter;
    const int id = cairo_pdf_surface_add_outline(surface, parent, item->outline.c_str(), where.c_str(),
                                                 CAIRO_PDF_OUTLINE_FLAG_OPEN);
    if (item->level == 0) chapter = id;
  }
}

cairo_status_t append(void* to, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

void set_metadata(cairo_surface_t* surface, const Sheet& sheet) {
  const auto say = [&](cairo_pdf_metadata_t what, const std::string& text) {
    cairo_pdf_surface_set_metadata(surface, what, text.c_str());
  };
  say(CAIRO_PDF_METADATA_TITLE, sheet.title + ", build sheet");
  say(CAIRO_PDF_METADATA_SUBJECT, sheet.strip);
  say(CAIRO_PDF_METADATA_CREATOR, "handlot");
  if (!sheet.author.empty()) say(CAIRO_PDF_METADATA_AUTHOR, sheet.author);
  say(CAIRO_PDF_METADATA_CREATE_DATE, utc_text(sheet.made));
  say(CAIRO_PDF_METADATA_MOD_DATE, utc_text(sheet.made));
}

}  // namespace

std::string to_pdf(const Sheet& sheet, Paper paper) {
  const Size size = size_of(paper);
  const double most_height = size.height - kTop - kBottom;
  Typesetter type;
  const double width = size.width - kLeft - kRight;
  PageNumbers numbers;
  const Flow flow = flow_of(sheet, type, numbers, width, most_height);
  const Layout layout = layout_of(flow, type, width, most_height);
  const std::vector<Page>& pages = layout.pages;
  numbers = numbers_of(pages);
  std::string bytes;
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, size.width, size.height);
  set_metadata(surface, sheet);
  cairo_t* cr = cairo_create(surface);
  int chapter = CAIRO_PDF_OUTLINE_ROOT;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    draw_frame(cr, type, sheet, size, i + 1, pages.size());
    draw_page(cr, pages[i]);
    add_outline(surface, pages[i], chapter, i + 1);
    cairo_show_page(cr);
  }
  cairo_destroy(cr);
  cairo_surface_finish(surface);
  cairo_surface_destroy(surface);
  return with_language(std::move(bytes), sheet.language);
}

}  // namespace handlot::sheets
