// job.h: what is to be built, how many, at which bench, in which steps: the job file as values.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "core/diagnostic.h"
#include "core/id.h"
#include "core/quantity.h"

namespace handlot::job {

/// Where a part sits in the finished device: turned about x, then y, then z, then moved. Absent: not modelled.
struct Placement {
  std::array<double, 3> at_mm{};
  std::array<double, 3> turn_deg{};
};

/// The dry bag of moisture-sensitive parts, and how they were kept since it was opened.
struct Bag {
  bool sealed = false;                 ///< still shut when the lot begins: the placing step opens it
  std::string opened;                  ///< local, "2026-11-20 09:00"; empty when sealed. A full bake counts as opening
  std::optional<Duration> in_room;     ///< of the time since then, how long the parts lay in the room
  std::string kept = "room";           ///< between uses: "room", "cabinet-5", "cabinet-10", "resealed"
  std::optional<Duration> label_life;  ///< level 6: the time on the label
  Place place;
};

struct Part {
  PartId id;
  std::string name;
  CardId card;
  int count = 1;                   ///< per unit
  PartId assembly;                 ///< the subassembly it belongs to; empty = the device itself
  std::vector<Placement> places;   ///< one for each of `count`, or none
  std::vector<PartId> clamps;      ///< screws: what they hold together, outermost first
  PartId into;                     ///< screws: what the thread bites in
  std::optional<Millimetres> into_depth;   ///< depth of that thread or hole
  std::string into_kind;           ///< "tapped", "insert", "boss", "nut", "wood", "through"
  std::vector<PartId> presses;     ///< press fit with these (declared, never guessed)
  std::vector<PartId> meshes;      ///< gears in mesh with these
  std::string motion;              ///< "turn" or "slide"
  std::string motion_axis;         ///< "z", "0 0 1"
  std::optional<double> motion_from, motion_to;  ///< degrees or mm
  bool serviceable = false;        ///< must come out again without breaking a bond
  std::string insert_along;        ///< declared direction: "-z"
  std::vector<std::string> refs;   ///< "R1": on the board and in its placement list; one for each of `count`, or none
  std::optional<Bag> bag;          ///< nothing: the job does not say
  bool jig = false;                ///< stands in the bench only, not in the device
  std::map<std::string, std::string> measured;  ///< "hole" -> "3.1 mm": replaces a nominal size
  Place place;
};

/// A subassembly: built by itself, put in as one body. Ids share the space of parts.
struct Assembly {
  PartId id;
  std::string name;
  PartId parent;  ///< empty = the device itself
  Place place;
};

/// A bond or other joint that needs time.
struct Joint {
  JointId id;
  std::vector<PartId> between;
  CardId adhesive;
  CardId activator;                     ///< empty = none
  std::optional<Millimetres> gap;       ///< as built; geometry may find it
  std::optional<SquareMillimetres> area;
  std::optional<Millimetres> span;      ///< the longest way that it runs; on wood, across the grain
  std::optional<Newtons> load;
  std::optional<double> load_factor;    ///< wanted safety factor
  std::string loaded_as;                ///< "shear", "tension", "peel"
  std::string substrate;                ///< row of the fixture table; else from the parts' materials
  std::optional<Millimetres> depth;     ///< for silicone and potting
  bool serviceable = false;             ///< meant to be broken again
  std::map<std::string, Duration> measured;  ///< "handling" -> the builder's own time, replaces the card's
  bool area_from_shapes = false, gap_from_shapes = false;  ///< the job states none
  Place place;
};

enum class Cure { none, fixture, handling, working, full };
std::string_view word(Cure cure);
std::optional<Cure> cure_of(std::string_view text);

struct Installs {
  PartId part;  ///< a part or a subassembly
  int count = 0;  ///< of one unit; 0 = all of them
  Place place;
};

struct MaterialUse {
  CardId card;
  std::optional<Grams> mass;               ///< of all pieces, per unit; for the lot in a step for the whole lot
  std::optional<CubicMillimetres> volume;  ///< the same
  std::optional<Millimetres> length;       ///< the same, of what is cut off a roll
  std::optional<int> pieces;               ///< the same; nothing: the job does not count them
  std::optional<Grams> at_once;          ///< mixed in one go: pot life and warmth depend on it
  Place place;

  /// What its amounts are kept in by the kit: "weight", "volume", "length" or "pieces"; empty: no amount is said.
  std::string_view measured_by() const;
};

/// "firmware-loaded of board". `of` may be empty: a state of the whole unit.
struct StateOf {
  StateId state;
  PartId of;
  Place place;
};

struct JointNeed {
  JointId joint;
  Cure cure = Cure::handling;
  Place place;
};

/// A face of a part in a state: "case.seat bare".
struct FaceState {
  PartId part;
  std::string face;   ///< empty = the whole part
  std::string state;  ///< bare, masked, oiled, waxed, abraded, degreased, primed, dry, clean
  std::optional<Duration> within;  ///< needs: no older than this
  Place place;
};

struct Holds {
  ResourceId fixture;
  int count = 1;       ///< per unit
  StepId until_step;   ///< empty when held for a time or a cure
  JointId until_joint; ///< held until that joint has reached `until_cure`
  Cure until_cure = Cure::none;
  std::optional<Duration> for_time;  ///< after the end of the step
  Place place;
};

struct CheckLine {
  std::string id;
  std::string what;
  std::optional<input::Amount> limit;
  std::string unit;    ///< canonical unit of the limit
  bool value = false;
  bool weighs = false;  ///< what is built so far goes on the scale
  Place place;
};

struct After {
  StepId step;
  std::string because;
  Duration at_least{0};
  std::optional<Duration> at_most;
  std::string if_late;
  bool whole_lot = false;
  bool from_start = false;  ///< counted from the start of that step, not its end
  Place place;
};

struct ToolUse {
  CardId card;         ///< or empty with a name of its own
  std::string name;
  std::string setting;
  std::optional<std::array<double, 3>> at_mm;  ///< where its tip works in the finished device
  std::array<double, 3> along{0, 0, 1};        ///< the way it points away from the work
  Place place;
};

struct Step {
  StepId id;
  CardId process;
  std::string title;
  PartId on;                    ///< the part or subassembly worked on
  std::vector<PartId> touches;  ///< further parts that hands, heat or fluid reach
  std::vector<Installs> installs;
  std::vector<MaterialUse> materials;
  std::vector<JointId> bonds;
  std::vector<StateOf> needs, gives, takes;
  std::vector<JointNeed> joint_needs;
  std::vector<FaceState> face_needs, face_gives;
  std::vector<Holds> holds;
  std::vector<ToolUse> tools;
  std::vector<std::string> actions;
  std::vector<CheckLine> checks;
  std::vector<PartId> tests;    ///< parts that this step proves to work
  std::vector<PartId> hides;    ///< parts that can't be reached any more after it
  std::vector<After> after;
  std::optional<Celsius> reaches;  ///< temperature at the parts
  std::string side;             ///< of the board: "top", "bottom"; empty = not said
  ResourceId station;
  std::vector<ResourceId> people;
  Duration setup{0};
  Duration run{0};
  bool run_per_unit = true;
  Duration unattended{0};
  bool hands_on = true;
  bool may_pause = false;
  bool whole_lot = false;
  int batch_min = 1;
  int batch_max = 0;            ///< 0 = up to the lot
  int takes_places = 1;         ///< of the station, per unit
  std::optional<bool> first_piece;   ///< as stated; else from the marks
  bool irreversible = false;
  bool orientation_critical = false;
  std::string orientation;
  bool hold = false;
  std::optional<bool> safe_to_stop;
  std::string stop_note;
  std::string reminder;
  std::string material_family;
  std::string picture_from;     ///< direction to look from, when the builder wants one
  Place place;
};

struct Hours {
  ResourceId person;           ///< whose own they are; empty: of everybody who has none
  std::array<bool, 7> days{};  ///< Monday first
  int from_minute = 0;         ///< after midnight, local time
  int to_minute = 0;
  Place place;
};

struct Station {
  ResourceId id;
  std::string name;
  CardId card;
  int capacity = 1;  ///< units at once; 0: not said, see places_of
  bool together = false;
  std::optional<Millimetres> board_length, board_width;  ///< held against the card's tray
  Duration warm_up{0};
  Duration stays_warm{0};
  Duration change_over{0};
  Place place;
};

struct Fixture {
  ResourceId id;
  std::string name;
  CardId card;
  int count = 1;
  Place place;
};

struct Person {
  ResourceId id;
  std::string name;
};

struct Bench {
  std::string zone;  ///< IANA name
  std::optional<Celsius> temperature;
  std::optional<RelativeHumidity> humidity;
  std::optional<CubicMetres> room;
  std::optional<AirChangesPerHour> air_changes;
  std::vector<Hours> hours;
  std::vector<std::string> closed;  ///< "2026-12-25"
  std::vector<Person> people;
  std::vector<Station> stations;
  std::vector<Fixture> fixtures;
  std::map<std::string, Millimetres> tolerances;  ///< "printed" -> 0.2 mm, plus and minus: of the builder's own machines
  Place place;
};

struct Waive {
  RuleId rule;
  std::vector<StepId> steps;  ///< empty = wherever the rule speaks
  std::vector<PartId> parts;
  std::string because;
  Place place;
};

struct Document {
  std::string name;
  std::string revision;
};

/// A cable between two parts, with its way when closed and when opened for service: measured, or as points.
struct Cable {
  PartId part;
  std::optional<Millimetres> length, closed_path, service_path, bend_radius;
  /// A corner of the way in the finished device. Tied to a part, it goes where the part goes.
  struct Point {
    std::array<double, 3> at_mm{};
    PartId of;  ///< empty: it lies free, and pulls straight when the unit is opened
  };
  std::vector<Point> way;  ///< from end to end; empty or two at least
  /// What is moved when the unit is opened: turned about a point, then moved.
  struct Opened {
    PartId part;
    std::array<double, 3> by_mm{}, turn_deg{}, about_mm{};
    StepId step;  ///< that opens it so far; empty: service, some day
    Place place;
  };
  std::vector<Opened> opened;
  std::optional<Millimetres> slack;  ///< wanted with the unit closed
  Place place;
};

/// A gap between two parts that has to stay open as built.
struct Clearance {
  PartId a, b;
  Millimetres least;
  std::optional<Millimetres> measured, measured_error;  ///< the gap itself, on the first piece
  /// A part whose size adds to the spread of the gap, though it bounds it not.
  struct Through {
    PartId part;
    std::optional<Millimetres> size, measured, measured_error;
    bool wider = true;  ///< a larger size makes the gap wider
    Place place;
  };
  std::vector<Through> through;
  Place place;
};

/// A shaft in a hole: by a class of ISO 286, or by the play that is wanted.
struct Fit {
  PartId hole, shaft;
  std::string tolerance_class;                         ///< "H7/g6"; empty: `least` and `most`
  std::optional<Millimetres> least, most;              ///< of the play, across; below 0 presses
  std::optional<Millimetres> hole_measured, shaft_measured, measured_error;
  Place place;
};

/// A file beside the job. There is one of a kind and side.
struct ExtraFile {
  std::string what;  ///< "stencil", "board-pads", "placement", "parts-list", "profile", "stock"
  std::string path;
  std::string side;  ///< of the board: "top", "bottom"; empty = not said
  std::optional<Millimetres> foil;  ///< thickness of the stencil
  Place place;
};

struct Job {
  std::string file;
  std::string name;
  std::string revision;
  int units = 1;
  std::string start;   ///< local, "2026-12-01 08:30"
  std::vector<std::string> serials;
  std::string builder;
  std::string notes;
  std::vector<Document> documents;
  Bench bench;
  std::vector<Part> parts;
  std::vector<Assembly> assemblies;
  std::vector<Joint> joints;
  std::vector<Cable> cables;
  std::vector<Clearance> clearances;
  std::vector<Fit> fits;
  std::vector<Step> steps;
  std::vector<Waive> waivers;
  std::vector<ExtraFile> files;

  const Step* step(const StepId& id) const;
  const Part* part(const PartId& id) const;
  const Assembly* assembly(const PartId& id) const;
  const Joint* joint(const JointId& id) const;
  const Station* station(const ResourceId& id) const;
  const Fixture* fixture(const ResourceId& id) const;
  /// The first file of a kind; null when the job names none.
  const ExtraFile* file_of(std::string_view what) const;

  /// The chain of subassemblies around a part or subassembly, innermost first.
  std::vector<PartId> around(const PartId& id) const;
  /// All parts (not subassemblies) within a part or subassembly; the part itself for a part.
  std::vector<PartId> within(const PartId& id) const;
  /// The step that puts the part or subassembly in; null when it is there from the start.
  const Step* installer(const PartId& id) const;
};

/// "R1-R9" as nine references, "U3" as one; nothing for what is neither. At most 1000.
std::vector<std::string> expand_reference(const std::string& word);

/// Reads and checks a job file against the cards.
///
/// Errors   every fault of the file at once (docs/reference/messages.md). Nothing is guessed.
Result<Job> read_job(const std::string& path, const catalogue::Catalogue& catalogue);

/// As above from text; `path` is used in places and for included files.
Result<Job> parse_job(std::string text, const std::string& path, const catalogue::Catalogue& catalogue);

}  // namespace handlot::job
