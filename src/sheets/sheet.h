// sheet.h: what a build sheet says, before it has a form. PDF, HTML and plain text are drawn from this and
// add no words.
#pragma once

#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "plan/plan.h"

namespace handlot::sheets {

struct Para {
  enum class Style { body, lead, small };
  std::string text;
  Style style = Style::body;
};

struct Subheading {
  std::string text;
};

/// Name and value, one under the other.
struct Facts {
  std::vector<std::pair<std::string, std::string>> rows;
};

/// A box to tick and a sentence that is true or not.
struct Tick {
  std::string text;
};

/// Ruled lines to write on, under a label.
struct WriteIn {
  std::string label;
  int lines = 1;
};

struct Cell {
  enum class Form { text, strong, tick, blank, picture, page };
  std::string text;  ///< under a tick or blank: what it is for; of a picture: its SVG;
                     ///< of a page: nothing, the form puts in the number of the page that `link` leads to
  Form form = Form::text;
  std::string link;  ///< id of the block this cell leads to; may be empty
};

struct Column {
  std::string head;
  double share = 1;         ///< of the width
  bool right = false;       ///< numbers stand right
  bool paper_only = false;  ///< makes sense only where there are pages
};

struct Table {
  std::string caption;  ///< names the table to those who cannot see it
  std::vector<Column> columns;
  std::vector<std::vector<Cell>> rows{};
  bool roomy = false;           ///< rows high enough for a pencil
  bool whole = false;           ///< stays in one piece, where a page can hold it
  bool keep_with_next = false;  ///< and together with the block behind it
};

/// Sign with its number and what it means: "GHS07", "harmful or irritant".
struct Sign {
  std::string code;
  std::string meaning;
};

/// Hazard, consequence, avoidance, in this order, with the signal word of the class.
struct CautionBox {
  std::string id;
  plan::CautionClass level = plan::CautionClass::caution;
  std::string word;  ///< "WARNING"
  std::string hazard;
  std::string consequence;
  std::string avoid;
  std::vector<Sign> substance;  ///< GHS; never mixed with the other kind
  std::vector<Sign> bench;      ///< ISO 7010
  std::string codes;            ///< "H225, H319"
  std::string protect;          ///< "Wear: nitrile gloves and eye protection"
  std::string at_steps;         ///< "steps 30, 120"; empty inside a step
  std::string source;
  bool brief = false;  ///< inside a step: signs small, no codes
};

struct BoxRow {
  std::string label;
  std::string limit;   ///< "0.2 to 0.4 mm"; empty for a plain tick
  bool value = false;  ///< room to write a value
};

/// A grid of boxes: one column a unit, groups apart where a sub-batch ends.
struct Boxes {
  std::vector<std::string> units;  ///< "1", "2"; or "lot"
  std::vector<bool> gap_before;    ///< parallel to `units`
  std::vector<BoxRow> rows;
};

/// Reads as a line of the step: what ends, when, what then.
struct WaitLine {
  std::string id;
  std::string
      text;  ///< "Clock starts: epoxy of the feet cures. Not before 24 h after the end of this step: ..."
  std::string meanwhile;  ///< "Meanwhile: 150 Wind the coil or 160 Cut the felt"
  std::string if_late;    ///< "If late: ..."
};

struct StepBox {
  std::string id;
  std::string number;  ///< "120"
  std::string title;
  std::vector<std::string> marks;       ///< "HOLD", "CANNOT BE UNDONE", "FIRST PIECE"
  std::string units;                    ///< "Units 1-2, 3-4, 5-6"
  std::string when;                     ///< "Planned: Thu 26 Nov 14:20 to 15:05"
  std::string expected;                 ///< "set-up 5 min, then 2 min a unit hands-on, then 20 min alone"
  std::string why;                      ///< "Why here: ..."
  std::string after;                    ///< "After 90, 110"
  std::vector<std::string> not_before;  ///< waits that must be over before this step
  std::vector<CautionBox> cautions;
  std::vector<std::pair<std::string, std::string>>
      needs;  ///< "A", "4 x brass foot" / "Use", "epoxy: 0.2 g a unit, 1.2 g for the lot"
  std::string orientation;
  std::vector<std::string> actions;
  std::vector<std::string> also;  ///< what rules add: an order of tightening, fresh gloves; each ends with its source
  std::string reminder;
  std::vector<std::string> checks;  ///< "Check: gap under the foot: 0.2 to 0.4 mm"
  std::vector<WaitLine> waits;
  std::string stop;  ///< "Safe to stop after this step: yes"
  bool safe_to_stop = true;
  std::string record;  ///< "Took ____ min, by ____": written by whoever did the step
  Boxes boxes;
  std::string picture_svg;  ///< may be empty
  std::string code;         ///< what the scan code says: "/step/glue-feet"
};

/// One row of clock boxes: a sub-batch, or every unit where there are too many to list.
struct WaitRow {
  std::string units;       ///< "units 1 to 2"
  std::string start;       ///< as planned: "Thu 26 Nov 14:20"
  std::string not_before;  ///< as planned; empty when there is no least time
  std::string not_after;   ///< as planned; empty when there is no latest time
};

/// One clock of the wait board.
struct WaitBox {
  std::string id;
  std::string title;  ///< "Epoxy of the feet cures"
  std::string span;   ///< "not before 24 h, not after 36 h"
  std::string from;   ///< "Starts at the end of 120 Glue the feet"
  std::string then;
  std::string meanwhile;
  std::string if_late;
  std::string source;
  bool has_min = false;
  bool has_max = false;
  std::vector<WaitRow> rows;
};

struct Picture {
  std::string svg;
  std::string alt;
  double most_height_mm = 200;
};

using Block =
    std::variant<Para, Subheading, Facts, Tick, WriteIn, Table, CautionBox, Boxes, StepBox, WaitBox, Picture>;

struct Section {
  std::string id;  ///< "hazards"
  std::string title;
  std::string short_title{};  ///< for lists of sections; empty: the title
  bool new_page = true;
  bool one_page = false;  ///< made smaller, within reason, rather than broken
  bool notes = false;     ///< what is left of a page is ruled for notes
  std::vector<Block> blocks{};
};

struct Sheet {
  std::string title;  ///< "Tide dial"
  std::string strip;  ///< on each page: "rev C, lot of 6, plan 3fa9c12b77de"
  std::string foot;   ///< on each page: program version and start
  std::string language = "en";
  std::string author;
  Instant made;  ///< the plan's own start: no clock is read
  std::vector<Section> sections;
};

}  // namespace handlot::sheets
