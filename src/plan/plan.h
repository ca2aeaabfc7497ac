// plan.h: everything the sheet prints and the bench runs. Data without behaviour.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "plan/constraint.h"
#include "plan/reason.h"
#include "plan/schedule.h"
#include "plan/step.h"

namespace handlot::plan {

/// "board rev C", "stencil rev C", "firmware 1.4": verified by the first tick of the sheet.
struct Document {
  std::string name;
  std::string revision;
};

struct Head {
  std::string name;      ///< of the device
  std::string revision;
  int lot = 1;
  std::vector<std::string> serials;  ///< one a unit
  std::string hash;      ///< SHA-256 over what the plan says, first 12 hex digits
  std::string zone;      ///< IANA name: "Europe/Paris"
  std::string builder;   ///< as the builder wishes to be printed; may be empty
  std::string notes;
  std::vector<Document> documents;
  std::optional<Celsius> room_temperature;
  std::optional<RelativeHumidity> room_humidity;
  std::string program_version;
  std::string file;      ///< the job file as given
  std::vector<std::string> deferrals;  ///< what this program leaves to licensed practice and local codes, where it applies
};

struct KitRow {
  std::string id;           ///< part, screw or material id
  std::string name;
  std::string kind;         ///< "part", "made" (a part that the lot prints), "screw", "material", "consumable", "tool"
  double per_unit = 0;
  std::string unit;         ///< "" for pieces, "g", "ml", "m"
  double lot = 0;
  double spare = 0;         ///< attrition
  std::optional<double> stock;
  std::string spec;         ///< "M2.5 x 8, pan head, T8"
  std::string bag;          ///< label that keeps look-alikes apart
  std::vector<std::string> look_alikes;
  std::string first_step;   ///< where it is first needed
  std::string picture_svg;  ///< may be empty
  std::string size;         ///< "16 x 8 x 3 mm"
};

/// A span of time that somebody must respect: the wait board of the sheet, the timers of the bench, plan.ics.
struct Wait {
  std::string id;           ///< stable: "glue-feet.end>oil-case.start"
  Event from;
  Event to;
  Scope scope = Scope::unit;
  Duration min{0};          ///< not before
  std::optional<Duration> max;  ///< not after
  std::optional<Instant> latest;  ///< not after, by the calendar: the clock ran before the lot began; holds whenever `from` comes
  std::string what;         ///< "epoxy of the feet cures"
  std::string then;         ///< what to do when it ends: "oil the case (step 190)"
  std::string if_late;      ///< what happens past max
  ReasonKind kind = ReasonKind::cure;
  Source source;
  std::vector<StepId> meanwhile;  ///< steps that the schedule does while it runs
};

struct Waiver {
  RuleId rule;
  std::vector<StepId> steps;
  std::string because;
  Place place;
};

/// A table of a page: cells are words, one row a line.
struct PageTable {
  std::string caption;
  std::vector<std::string> heads;
  std::vector<double> shares;  ///< of the width, one a head
  std::vector<std::vector<std::string>> rows;
};

/// A page of its own in the sheet: oven verdict, stencil picture, placing page.
struct Page {
  std::string id;       ///< "oven", "stencil", "placing-place", "placing-place-1"
  std::string title;
  std::vector<std::string> lines;
  std::vector<PageTable> tables;
  std::vector<std::string> ticks;    ///< a row of boxes each, one box a unit
  std::string picture_svg;
  double picture_height_mm = 190;    ///< at most
  bool follows = false;              ///< stands under the page before, where there is room
  std::vector<std::string> because;  ///< for `why`: what decides it, figures, window, source, line of the file
  StepId step;          ///< it belongs to; may be empty
};

struct Plan {
  Head head;
  Work work;                      ///< steps in plan order, resources, hours, links
  std::vector<Finding> findings;  ///< stop first, then warn, undecided, note; then by rule and step
  std::vector<Caution> cautions;
  std::vector<KitRow> kit;
  std::vector<Wait> waits;
  std::vector<Waiver> waivers;
  std::vector<Page> pages;
  Schedule schedule;
  std::vector<std::string> sources;  ///< "WH: Wood Handbook, FPL-GTR-190 (2010)": those that the plan uses
  std::map<std::string, std::string> material_lots;  ///< card id -> lot known already
};

}  // namespace handlot::plan
