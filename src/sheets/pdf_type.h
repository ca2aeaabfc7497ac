// pdf_type.h: set lines of type and pictures, measured before they are drawn; private to the PDF form.
#pragma once

#include <cairo.h>

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

typedef struct _PangoLayout PangoLayout;
typedef struct _PangoContext PangoContext;
typedef struct _PangoFontMap PangoFontMap;
typedef struct _RsvgHandle RsvgHandle;

namespace handlot::sheets::pdf {

// All lengths in points (1/72 inch). Body 10.5 pt and step titles 15 pt read at arm's length.
inline constexpr double kMillimetre = 72.0 / 25.4;
inline constexpr double kBody = 10.5;
inline constexpr double kSmall = 8.5;
inline constexpr double kStepTitle = 15;
inline constexpr double kStepNumber = 30;
inline constexpr double kHeading = 19;
inline constexpr double kSubheading = 12.5;

struct Colour {
  double red = 0, green = 0, blue = 0;
};
inline constexpr Colour kBlack{0, 0, 0};
inline constexpr Colour kGrey{0.33, 0.33, 0.33};  ///< 7.5:1 on white
inline constexpr Colour kWhite{1, 1, 1};

struct Style {
  double size = kBody;
  bool bold = false;
  bool mono = false;
  Colour colour = kBlack;
  enum class Align { left, right, centre } align = Align::left;
};

struct Run {
  std::string text;
  bool bold = false;
};

/// A paragraph set to a width. Copies share the setting.
class Text {
 public:
  explicit Text(PangoLayout* owned, Colour colour);
  Text(const Text& other);
  Text& operator=(const Text&) = delete;
  ~Text();

  double height() const { return height_; }
  double width() const { return width_; }  ///< of the ink's lines, not of the measure
  void draw(cairo_t* cr, double x, double y) const;

 private:
  PangoLayout* layout_;
  Colour colour_;
  double height_ = 0;
  double width_ = 0;
};

/// A picture read from SVG. Copies share the reading.
class Svg {
 public:
  explicit Svg(const std::string& source);
  Svg(const Svg& other);
  Svg& operator=(const Svg&) = delete;
  ~Svg();

  bool readable() const { return handle_ != nullptr; }
  double ratio() const { return ratio_; }  ///< height to width
  void draw(cairo_t* cr, double x, double y, double width, double height) const;

 private:
  RsvgHandle* handle_ = nullptr;
  double ratio_ = 1;
};

class Typesetter {
 public:
  Typesetter();
  Typesetter(const Typesetter&) = delete;
  Typesetter& operator=(const Typesetter&) = delete;
  ~Typesetter();

  /// What was set before to the same width and style is not set again: records say the same for every unit.
  Text set(const std::string& text, const Style& style, double width) const;
  Text set(const std::vector<Run>& runs, const Style& style, double width) const;
  const Svg& picture(
      const std::string& svg);  ///< read once, however often it is shown; the reference stays good

 private:
  PangoFontMap* fonts_;
  PangoContext* context_;
  std::map<std::string, Svg> pictures_;
  mutable std::unordered_map<std::string, Text> settings_;
};

using Draw = std::function<void(cairo_t*, double x, double y)>;

/// Page of each anchor; filled before anything is drawn.
using PageNumbers = std::map<std::string, std::size_t>;

/// Something with a height that stays in one piece.
struct Item {
  double height = 0;
  Draw draw;
  double gap = 0;  ///< before it; dropped at the top of a page
  bool keep_with_next = false;
  bool new_page = false;
  bool notes = false;   ///< what it leaves of its page is ruled for notes
  int head = -1;        ///< of `Flow::heads`: drawn again when the run is broken before this item
  std::string anchor;   ///< links lead here
  std::string outline;  ///< in the reader's table of contents; empty: not there
  int level = 0;        ///< of the outline
};

struct Flow {
  const PageNumbers* pages = nullptr;  ///< outlives the flow's drawing
  std::vector<Item> items;
  std::vector<Item> heads;  ///< of tables
};

/// Items one under the other, as one.
Item stacked(std::vector<Item> items);
/// Smaller by a factor, as one.
Item scaled(Item item, double factor);
Item of_text(Text text, double gap = 0);

void set_colour(cairo_t* cr, Colour colour);
void line(cairo_t* cr, double x1, double y1, double x2, double y2, double width = 0.5);
void box(cairo_t* cr, double x, double y, double width, double height, double line_width = 0.8);
void fill(cairo_t* cr, double x, double y, double width, double height, Colour colour);

}  // namespace handlot::sheets::pdf
