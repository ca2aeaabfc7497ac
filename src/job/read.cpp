// The job file's elements, one function each. Cross-references are checked afterwards, in check.cpp.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <set>
#include <sstream>

#include "calendar/zone.h"
#include "core/spoken.h"
#include "core/text.h"
#include "input/pieces.h"
#include "input/xml.h"
#include "job/check.h"
#include "job/job.h"
#include "job/read_gaps.h"

namespace handlot::job {

namespace fs = std::filesystem;
using input::Element;
using input::Take;
using input::XmlFile;

namespace {

constexpr std::array<std::string_view, 7> kDays{"mon", "tue", "wed", "thu", "fri", "sat", "sun"};

/// Reads the elements of one job, over all files it includes.
class Reader {
 public:
  Reader(Job& job, Diagnostics& faults) : job_(job), faults_(faults) {}

  void root(const XmlFile& file) {
    Take take(file.root(), faults_);
    if (take.element().name() != "job") {
      take.fault("root-unknown", take.place(), fmt::format("a job file begins with <job>, not <{}>", take.element().name()),
                 "start from 'handlot new DIR'");
      return;
    }
    version(take);
    job_.name = take.text("name");
    job_.revision = take.text("revision");
    job_.builder = take.text_or("builder", "");
    open_files_.push_back(fs::weakly_canonical(file.path()).string());
    body(take, file.path());
    take.finish();
  }

  void required(const Place& root) {
    if (!lot_seen_) {
      faults_.push_back(error("lot-missing", root, "the job has no <lot>", "add <lot units=\"6\" start=\"2026-12-01 08:30\"/>"));
    }
    if (!bench_seen_) {
      faults_.push_back(error("bench-missing", root, "the job has no <bench>", "add <bench zone=\"Europe/Paris\"> with <hours/> and a <person/>"));
    }
    if (job_.steps.empty()) {
      faults_.push_back(error("steps-missing", root, "the job has no <step>", "add <steps> with at least one <step>"));
    }
    start_comes();
  }

  /// Clocks that go forward leave readings out.
  void start_comes() {
    const auto zone = calendar::Zone::find(job_.bench.zone);
    if (!zone || !is_date_time(job_.start)) return;
    const auto at = calendar::read_instant(job_.start, *zone, start_place_);
    if (!at) faults_.insert(faults_.end(), at.error().begin(), at.error().end());
  }

 private:
  void version(Take& take) {
    if (take.count("version", 0, 0, 1000000) != 1) {
      take.fault("version-unknown", take.place_of("version"), "only version=\"1\" of the job format is known",
                 "write version=\"1\", or use a newer handlot");
    }
  }

  void body(Take& take, const std::string& path) {
    for (const Element& e : take.children("include")) include(e, path);
    for (const Element& e : take.children("lot")) lot(e);
    for (const Element& e : take.children("document")) document(e);
    for (const Element& e : take.children("notes")) job_.notes += (job_.notes.empty() ? "" : "\n") + e.text();
    for (const Element& e : take.children("file")) extra_file(e, path);
    for (const Element& e : take.children("bench")) bench(e);
    for (const Element& e : take.children("device")) device(e, PartId());
    for (const Element& e : take.children("joints")) joints(e);
    for (const Element& e : take.children("steps")) steps(e);
    for (const Element& e : take.children("waive")) waive(e);
  }

  void include(const Element& element, const std::string& from) {
    Take take(element, faults_);
    const std::string name = take.text("file");
    take.finish();
    if (name.empty()) return;
    const fs::path folder = fs::path(from).parent_path();
    const fs::path path = folder / name;
    if (fs::path(name).is_absolute() || name.find("..") != std::string::npos) {
      take.fault("include-outside", take.place_of("file"), fmt::format("'{}' lies outside the job's folder", name), "put the file into the job's folder");
      return;
    }
    const std::string canonical = fs::weakly_canonical(path).string();
    if (std::find(open_files_.begin(), open_files_.end(), canonical) != open_files_.end()) {
      take.fault("include-loop", take.place_of("file"), fmt::format("'{}' includes itself", name), "take this <include> out");
      return;
    }
    auto file = XmlFile::read(path.string());
    if (!file) {
      for (Diagnostic d : file.error()) {
        d.notes.push_back({take.place_of("file"), "included here"});
        faults_.push_back(std::move(d));
      }
      return;
    }
    keep_.push_back(*file);
    Take inner((*file)->root(), faults_);
    if (inner.element().name() != "job-part") {
      inner.fault("root-unknown", inner.place(), fmt::format("an included file begins with <job-part>, not <{}>", inner.element().name()),
                  "put its elements into <job-part version=\"1\">");
      return;
    }
    version(inner);
    open_files_.push_back(canonical);
    body(inner, path.string());
    inner.finish();
    open_files_.pop_back();
  }

  void lot(const Element& element) {
    Take take(element, faults_);
    if (lot_seen_) take.fault("element-twice", take.place(), "a second <lot>", "keep one of them");
    lot_seen_ = true;
    if (!take.has("units")) take.text("units");
    job_.units = static_cast<int>(take.count("units", 1, 1, 1000));
    job_.start = take.text("start");
    start_place_ = take.place_of("start");
    if (job_.start.size() == 16 && !is_date(job_.start.substr(0, 10)) && is_date("2000" + job_.start.substr(4, 6))) {
      take.fault("date-out-of-range", take.place_of("start"), fmt::format("'{}' is outside {} to {}", job_.start, kFirstYear, kLastYear), "give the year in four digits and within that range");
    } else if (!job_.start.empty() && !is_date_time(job_.start)) {
      take.fault("date-bad", take.place_of("start"), fmt::format("'{}' is not a date and time", job_.start), "write it as in \"2026-12-01 08:30\"");
    }
    const std::string prefix = take.text_or("serials", "");
    const long first = take.count("first-serial", 1, 0, 1000000);
    const std::size_t width = serial_width(take.text_or("first-serial", ""), prefix, first + job_.units - 1);
    for (int unit = 0; unit < job_.units; ++unit) job_.serials.push_back(fmt::format("{}{:0{}}", prefix, first + unit, width));
    take.finish();
  }

  static constexpr int kFirstYear = 2000, kLastYear = calendar::kLastYear;

  /// All of a lot are as wide as the last one, and as the first is written: "007" asks for three digits.
  static std::size_t serial_width(const std::string& first, const std::string& prefix, long last) {
    const bool zeros = first.size() > 1 && first.front() == '0';
    const std::size_t least = zeros ? first.size() : prefix.empty() ? 1 : 2;
    return prefix.empty() && !zeros ? least : std::max(least, std::to_string(last).size());
  }

  static bool is_date(const std::string& text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
    for (std::size_t i : {0u, 1u, 2u, 3u, 5u, 6u, 8u, 9u}) {
      if (std::isdigit(static_cast<unsigned char>(text[i])) == 0) return false;
    }
    const int year = std::stoi(text.substr(0, 4)), month = std::stoi(text.substr(5, 2)), day = std::stoi(text.substr(8, 2));
    constexpr std::array<int, 12> lengths{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (year < kFirstYear || year > kLastYear || month < 1 || month > 12) return false;
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return day >= 1 && day <= lengths[static_cast<std::size_t>(month) - 1] + (month == 2 && leap ? 1 : 0);
  }

  static std::optional<int> minute_of_day(const std::string& text) {
    if (text.size() != 5 || text[2] != ':') return std::nullopt;
    for (std::size_t i : {0u, 1u, 3u, 4u}) {
      if (std::isdigit(static_cast<unsigned char>(text[i])) == 0) return std::nullopt;
    }
    const int hour = std::stoi(text.substr(0, 2)), minute = std::stoi(text.substr(3, 2));
    if (hour > 24 || minute > 59 || (hour == 24 && minute > 0)) return std::nullopt;
    return hour * 60 + minute;
  }

  static bool is_date_time(const std::string& text) {
    return text.size() == 16 && (text[10] == ' ' || text[10] == 'T') && is_date(text.substr(0, 10)) &&
           minute_of_day(text.substr(11)).has_value();
  }

  void document(const Element& element) {
    Take take(element, faults_);
    job_.documents.push_back({take.text("name"), take.text("revision")});
    take.finish();
  }

  void extra_file(const Element& element, const std::string& from) {
    Take take(element, faults_);
    const std::string what = take.word_of("what", {"stencil", "board-pads", "placement", "parts-list", "profile", "stock"}, "");
    const std::string name = take.text("path");
    ExtraFile file{what, "", take.word_of("side", {"top", "bottom"}, ""), take.amount<Millimetres>("foil", {0.02, 1}), take.place()};
    take.finish();
    if (fs::path(name).is_absolute() || name.find("..") != std::string::npos) {
      take.fault("file-outside", take.place_of("path"), fmt::format("'{}' lies outside the job's folder", name), "put the file into the job's folder");
      return;
    }
    const std::string path = (fs::path(from).parent_path() / name).string();
    if (!fs::exists(path)) {
      take.fault("file-missing", take.place_of("path"), fmt::format("there is no file '{}'", name), "check the path; it is taken from the job's folder");
    }
    file.path = path;
    if (!what.empty()) one_more_file(take, std::move(file));
  }

  /// Stencils, pads and logs go by the sides of the board; of the rest there is one.
  void one_more_file(Take& take, ExtraFile file) {
    const bool sided = file.what == "stencil" || file.what == "board-pads" || file.what == "profile";
    if (!sided && !file.side.empty()) take.fault("file-side", take.place_of("side"), fmt::format("a {} is of the whole board, not of a side", file.what), "take side= out");
    const auto first = std::find_if(job_.files.begin(), job_.files.end(), [&](const ExtraFile& f) { return f.what == file.what && (!sided || f.side == file.side || f.side.empty() || file.side.empty()); });
    if (first == job_.files.end()) return job_.files.push_back(std::move(file));
    Diagnostic d = error("file-twice", file.place, fmt::format("a second {}: only one of them can be meant", file.what),
                         sided ? "write side=\"top\" into one and side=\"bottom\" into the other, or take one of them out" : "join them into one file, or take one of them out");
    d.notes.push_back({first->place, "the first stands here"});
    faults_.push_back(std::move(d));
  }

  void bench(const Element& element) {
    Take take(element, faults_);
    if (bench_seen_) take.fault("element-twice", take.place(), "a second <bench>", "keep one of them");
    bench_seen_ = true;
    Bench& b = job_.bench;
    b.place = take.place();
    b.zone = take.text("zone");
    if (const auto room = take.child("room")) {
      Take r(*room, faults_);
      b.temperature = r.amount<Celsius>("temperature", {-20, 60});
      b.humidity = r.amount<RelativeHumidity>("humidity");
      b.room = r.amount<CubicMetres>("volume");
      b.air_changes = r.amount<AirChangesPerHour>("air-changes");
      r.finish();
    }
    for (const Element& e : take.children("hours")) hours(e);
    for (const Element& e : take.children("closed")) {
      Take c(e, faults_);
      const std::string date = c.text("date");
      if (!date.empty() && !is_date(date)) c.fault("date-bad", c.place_of("date"), fmt::format("'{}' is not a date", date), "write it as in \"2026-12-25\"");
      b.closed.push_back(date);
      c.finish();
    }
    for (const Element& e : take.children("person")) {
      Take p(e, faults_);
      b.people.push_back({ResourceId(p.id("id")), p.text_or("name", "")});
      for (const char* own : {"days", "hours", "from", "to"}) no_hours_in_here(p, own);
      p.finish();
    }
    for (const Element& e : take.children("station")) station(e);
    for (const Element& e : take.children("fixture")) {
      Take f(e, faults_);
      Fixture fixture;
      fixture.place = f.place();
      fixture.id = ResourceId(f.id("id"));
      fixture.name = f.text_or("name", spoken(fixture.id.text));
      fixture.card = CardId(f.text_or("card", ""));
      fixture.count = static_cast<int>(f.count("count", 1, 1, 10000));
      f.finish();
      b.fixtures.push_back(std::move(fixture));
    }
    for (const Element& e : take.children("tolerance")) {
      Take t(e, faults_);
      const std::string kind = t.word_of("of", {"printed", "milled", "turned", "laser-cut", "sawn", "bought"}, "printed");
      b.tolerances[kind] = t.must<Millimetres>("is");
      t.finish();
    }
    if (b.hours.empty()) take.fault("hours-missing", take.place(), "the bench has no shop hours", "add <hours days=\"mon tue wed thu fri\" from=\"08:30\" to=\"17:00\"/>");
    if (b.people.empty()) take.fault("person-missing", take.place(), "nobody works at the bench", "add <person id=\"me\"/>");
    take.finish();
  }

  static void no_hours_in_here(Take& person, const char* attribute) {
    if (!person.has(attribute)) return;
    const std::string days = person.text_or(attribute, "");
    person.fault("hours-of-person", person.place_of(attribute), "the hours of a person stand beside those of the shop, not in <person>",
                 fmt::format("take {}= out and add <hours days=\"{}\" from=\"08:30\" to=\"12:30\" person=\"{}\"/>", attribute, attribute == std::string_view("days") ? days : "tue", person.text_or("id", "")));
  }

  void hours(const Element& element) {
    Take take(element, faults_);
    Hours h;
    h.place = take.place();
    h.person = ResourceId(take.text_or("person", ""));
    for (const std::string& day : take.words("days")) {
      const auto found = std::find(kDays.begin(), kDays.end(), day);
      if (found == kDays.end()) {
        take.fault("day-unknown", take.place_of("days"), fmt::format("'{}' is no day", day), "use: mon tue wed thu fri sat sun");
      } else {
        h.days[static_cast<std::size_t>(found - kDays.begin())] = true;
      }
    }
    const auto from = minute_of_day(take.text("from"));
    const auto to = minute_of_day(take.text("to"));
    if (!from) take.fault("time-bad", take.place_of("from"), "'from' is not a time of day", "write it as in \"08:30\"");
    if (!to) take.fault("time-bad", take.place_of("to"), "'to' is not a time of day", "write it as in \"17:00\"");
    if (from && to && *from >= *to) {
      take.fault("hours-backward", take.place(), "these hours end before they begin", "write two <hours> for a shift over midnight");
    }
    h.from_minute = from.value_or(0);
    h.to_minute = to.value_or(0);
    take.finish();
    job_.bench.hours.push_back(h);
  }

  void station(const Element& element) {
    Take take(element, faults_);
    Station s;
    s.place = take.place();
    s.id = ResourceId(take.id("id"));
    s.name = take.text_or("name", spoken(s.id.text));
    s.card = CardId(take.text_or("card", ""));
    s.capacity = take.has("places") ? static_cast<int>(take.count("places", 1, 1, 1000)) : 0;
    s.together = take.yes("together", false);
    s.board_length = take.amount<Millimetres>("board-length");
    s.board_width = take.amount<Millimetres>("board-width");
    s.warm_up = take.amount_or<Duration>("warm-up", Duration(0));
    s.stays_warm = take.amount_or<Duration>("stays-warm", Duration(0));
    s.change_over = take.amount_or<Duration>("change-over", Duration(0));
    take.finish();
    job_.bench.stations.push_back(std::move(s));
  }

  void device(const Element& element, const PartId& inside) {
    Take take(element, faults_);
    if (!inside.empty()) {
      take.id("id");
      take.text_or("name", "");
    }
    for (const Element& e : take.children("part")) part(e, inside);
    for (const Element& e : take.children("cable")) job_.cables.push_back(read_cable(e, faults_));
    for (const Element& e : take.children("clearance")) job_.clearances.push_back(read_clearance(e, faults_));
    for (const Element& e : take.children("fit")) job_.fits.push_back(read_fit(e, faults_));
    for (const Element& e : take.children("assembly")) {
      Take a(e, faults_);
      Assembly assembly{PartId(a.id("id")), a.text_or("name", ""), inside, a.place()};
      if (assembly.name.empty()) assembly.name = assembly.id.text;
      job_.assemblies.push_back(assembly);
      device(e, assembly.id);
    }
    take.finish();
  }

  static std::vector<PartId> part_ids(const std::vector<std::string>& words) {
    std::vector<PartId> ids;
    for (const std::string& w : words) ids.emplace_back(w);
    return ids;
  }

  void moves(const Element& element, Part& p) {
    Take m(element, faults_);
    p.motion = m.word_of("how", {"turn", "slide"}, "turn");
    std::array<double, 3> checked{};
    read_direction(m, "axis", checked);
    p.motion_axis = m.text_or("axis", "z");
    const bool slides = p.motion == "slide";
    const input::Dimension d = slides ? input::Dimension::length : input::Dimension::angle;
    const input::Range range = slides ? input::Range{-10000, 10000} : input::sensible(d);
    if (const auto from = m.canonical("from", d, range)) p.motion_from = from->low;
    if (const auto to = m.canonical("to", d, range)) p.motion_to = to->low;
    if (slides && !p.motion_from && !p.motion_to && !m.has("from") && !m.has("to")) {
      m.fault("moves-range", m.place(), "it slides, and no range says how far", "write from=\"0 mm\" to=\"20 mm\", counted from where it is drawn");
    }
    // Which end is named first is no matter; what is left out is where it is drawn, or a full turn.
    const double from = p.motion_from.value_or(0), to = p.motion_to.value_or(slides ? 0 : 360);
    p.motion_from = std::min(from, to);
    p.motion_to = std::max(from, to);
    m.finish();
  }

  void part(const Element& element, const PartId& inside) {
    Take take(element, faults_);
    Part p;
    p.place = take.place();
    p.assembly = inside;
    p.id = PartId(take.id("id"));
    p.card = CardId(take.text("card"));
    p.name = take.text_or("name", "");
    p.count = static_cast<int>(take.count("count", 1, 1, 10000));
    p.clamps = part_ids(take.words("clamps"));
    p.into = PartId(take.text_or("into", ""));
    p.into_depth = take.amount<Millimetres>("into-depth");
    p.into_kind = take.word_of("into-kind", {"tapped", "insert", "boss", "nut", "wood", "through"}, "");
    p.presses = part_ids(take.words("presses"));
    p.meshes = part_ids(take.words("meshes"));
    p.serviceable = take.yes("serviceable", false);
    std::array<double, 3> checked{};
    read_direction(take, "insert-along", checked);
    p.insert_along = take.text_or("insert-along", "");
    p.jig = take.yes("jig", false);
    references(take, p);
    if (const auto b = take.child("bag")) p.bag = bag(*b);
    placement(take, p);
    for (const Element& e : take.children("place")) {
      Take one(e, faults_);
      placement(one, p);
      one.finish();
    }
    for (const Element& e : take.children("moves")) moves(e, p);
    for (const Element& e : take.children("measured")) {
      Take m(e, faults_);
      p.measured[m.text("what")] = m.text("is");
      m.finish();
    }
    take.finish();
    job_.parts.push_back(std::move(p));
  }

  /// "R1-R9 R12" or "R1, R3": each by itself.
  void references(Take& take, Part& p) {
    std::string text = take.text_or("refs", "");
    std::replace(text.begin(), text.end(), ',', ' ');
    std::istringstream words(text);
    for (std::string word; words >> word;) {
      const auto all = expand_reference(word);
      if (all.empty()) {
        take.fault("refs-bad", take.place_of("refs"), fmt::format("'{}' is no run of references", word), "write refs=\"R1-R9 R12\": the same letters on both ends, rising numbers");
      }
      p.refs.insert(p.refs.end(), all.begin(), all.end());
    }
  }

  Bag bag(const Element& element) {
    Take take(element, faults_);
    Bag b;
    b.place = take.place();
    b.opened = take.text("opened");
    b.sealed = b.opened == "no";
    if (b.sealed) b.opened.clear();
    if (!b.opened.empty() && !is_date_time(b.opened)) {
      take.fault("date-bad", take.place_of("opened"), fmt::format("'{}' is not a date and time", b.opened), "write it as in \"2026-11-20 09:00\", or opened=\"no\"");
      b.opened.clear();
    }
    if (!b.opened.empty() && !job_.start.empty() && is_date_time(job_.start) && b.opened.substr(0, 10) + b.opened.substr(11) > job_.start.substr(0, 10) + job_.start.substr(11)) {
      take.fault("bag-later", take.place_of("opened"), "the bag is opened after the lot begins", "write opened=\"no\": the placing step opens it");
      b.opened.clear();
    }
    b.in_room = take.amount<Duration>("in-room", {0, 366 * 86400.0});
    b.kept = take.word_of("kept", {"room", "cabinet-5", "cabinet-10", "resealed"}, "room");
    b.label_life = take.amount<Duration>("label-life", {60, 366 * 86400.0});
    take.finish();
    return b;
  }

  void placement(Take& take, Part& p) {
    const bool placed = take.has("at") || take.has("turn");
    Placement placement;
    read_three(take, "at", "mm", placement.at_mm);
    read_three(take, "turn", "deg", placement.turn_deg);
    if (placed) p.places.push_back(placement);
  }

  void joints(const Element& element) {
    Take take(element, faults_);
    for (const Element& e : take.children("bond")) {
      Take b(e, faults_);
      Joint j;
      j.place = b.place();
      j.id = JointId(b.id("id"));
      j.between = part_ids(b.words("between"));
      j.adhesive = CardId(b.text("adhesive"));
      j.activator = CardId(b.text_or("activator", ""));
      j.gap = b.amount<Millimetres>("gap");
      j.area = b.amount<SquareMillimetres>("area");
      j.span = b.amount<Millimetres>("span", {0.1, 10000});
      j.load = b.amount<Newtons>("load");
      if (b.has("load-factor")) j.load_factor = b.plain("load-factor", 1, {1, 100});
      j.loaded_as = b.word_of("loaded-as", {"shear", "tension", "peel"}, "shear");
      j.substrate = b.text_or("substrate", "");
      j.depth = b.amount<Millimetres>("depth");
      j.serviceable = b.yes("serviceable", false);
      for (const char* state : {"fixture", "handling", "working", "full"}) {
        if (const auto time = b.amount<Duration>(fmt::format("measured-{}", state))) j.measured[state] = *time;
      }
      if (j.between.size() < 2) b.fault("bond-between", b.place_of("between"), "a bond is between two parts at least", "write between=\"one-part other-part\"; copies of one part that are glued to each other: name it twice");
      b.finish();
      job_.joints.push_back(std::move(j));
    }
    take.finish();
  }

  void steps(const Element& element) {
    Take take(element, faults_);
    for (const Element& e : take.children("step")) step(e);
    take.finish();
  }

  void step(const Element& element) {
    Take take(element, faults_);
    Step s;
    s.place = take.place();
    s.id = StepId(take.id("id"));
    s.process = CardId(take.text("process"));
    s.title = take.text("title");
    s.on = PartId(take.text_or("on", ""));
    s.touches = part_ids(take.words("touches"));
    s.tests = part_ids(take.words("tests"));
    s.hides = part_ids(take.words("hides"));
    for (const std::string& w : take.words("bonds")) s.bonds.emplace_back(w);
    s.reaches = take.amount<Celsius>("reaches");
    s.side = take.word_of("side", {"top", "bottom"}, "");
    timing(take, s);
    marks(take, s);
    for (const Element& e : take.children("installs")) installs(e, s);
    for (const Element& e : take.children("uses")) uses(e, s);
    for (const Element& e : take.children("needs")) needs(e, s);
    for (const Element& e : take.children("gives")) state_or_face(e, s.gives, s.face_gives);
    for (const Element& e : take.children("takes")) state(e, s.takes);
    for (const Element& e : take.children("holds")) holds(e, s);
    for (const Element& e : take.children("tool")) s.tools.push_back(read_tool(e, faults_));
    for (const Element& e : take.children("do")) s.actions.push_back(e.text());
    for (const Element& e : take.children("check")) check(e, s);
    for (const Element& e : take.children("after")) after(e, s);
    take.finish();
    job_.steps.push_back(std::move(s));
  }

  void timing(Take& take, Step& s) {
    const input::Range week{0, 7 * 86400.0};
    s.station = ResourceId(take.text_or("station", ""));
    for (const std::string& w : take.words("people")) s.people.emplace_back(w);
    s.setup = take.amount<Duration>("setup", week).value_or(Duration(0));
    if (!take.has("run") && !take.has("unattended") && !take.has("setup")) {
      take.fault("time-missing", take.place(), fmt::format("step '{}' takes no time", s.id.text), "add run=\"5 min\" (hands-on, per unit), setup=\"...\" or unattended=\"...\"");
    }
    s.run = take.amount<Duration>("run", week).value_or(Duration(0));
    s.whole_lot = take.yes("whole-lot", false);
    s.run_per_unit = take.word_of("run-per", {"unit", "batch"}, s.whole_lot ? "batch" : "unit") == "unit";
    s.unattended = take.amount<Duration>("unattended", {0, 366 * 86400.0}).value_or(Duration(0));
    s.hands_on = take.yes("hands", true);
    s.may_pause = take.yes("may-pause", false);
    s.takes_places = static_cast<int>(take.count("places", 1, 1, 1000));
    s.material_family = take.text_or("family", "");
    batch(take, s);
  }

  void batch(Take& take, Step& s) {
    const std::string text = take.text_or("batch", "");
    if (text.empty()) return;
    const auto dots = text.find("..");
    int low = 0, high = 0;
    try {
      low = std::stoi(text.substr(0, dots));
      high = dots == std::string::npos ? low : std::stoi(text.substr(dots + 2));
    } catch (const std::exception&) {
      low = 0;
    }
    if (low < 1 || high < low || high > 1000) {
      take.fault("batch-bad", take.place_of("batch"), fmt::format("'{}' is not a size of sub-batches", text), "write batch=\"3\" or batch=\"1..6\"");
      return;
    }
    s.batch_min = low;
    s.batch_max = high;
  }

  void marks(Take& take, Step& s) {
    s.irreversible = take.yes("irreversible", false);
    s.orientation = take.text_or("orientation", "");
    s.orientation_critical = take.yes("orientation-critical", !s.orientation.empty());
    s.hold = take.yes("hold", false);
    if (take.has("first-piece")) s.first_piece = take.yes("first-piece", false);
    if (take.has("safe-to-stop")) s.safe_to_stop = take.yes("safe-to-stop", true);
    s.stop_note = take.text_or("stop-note", "");
    s.reminder = take.text_or("reminder", "");
    s.picture_from = take.text_or("look-from", "");
  }

  void installs(const Element& element, Step& s) {
    Take take(element, faults_);
    s.installs.push_back({PartId(take.text("part")), static_cast<int>(take.count("count", 0, 1, 10000)), take.place()});
    take.finish();
  }

  static bool is_bare_number(const std::string& text) { return !text.empty() && text.find_first_not_of("0123456789.") == std::string::npos; }

  static bool is_amount_of(const std::string& text, input::Dimension dimension) { return input::read_amount(text, dimension, input::sensible(dimension)).has_value(); }

  /// Of "4 pcs" and "4 x 60 mm" how many, and what one of them is where that is said.
  struct Pieces {
    std::string count, each;
  };
  static std::optional<Pieces> pieces_of(const std::string& text) {
    const auto end = text.find_first_not_of("0123456789");
    if (end == 0 || end == std::string::npos) return std::nullopt;
    std::string rest = text.substr(std::min(text.find_first_not_of(' ', end), text.size()));
    if (input::means_pieces(rest)) return Pieces{text.substr(0, end), ""};
    for (const std::string_view times : {"x", "X", "*", "×"}) {
      if (!rest.starts_with(times)) continue;
      rest.erase(0, times.size());
      rest.erase(0, std::min(rest.find_first_not_of(' '), rest.size()));
      return Pieces{text.substr(0, end), rest};
    }
    return std::nullopt;
  }

  /// The attribute for an amount: of what dimension it is, or weighed.
  static std::string attribute_for(const std::string& text) { return is_amount_of(text, input::Dimension::volume) ? "volume" : is_amount_of(text, input::Dimension::length) ? "length" : "amount"; }

  std::optional<Grams> weight(Take& take) {
    const std::string amount = take.text_or("amount", "");
    if (const std::string fits = attribute_for(amount); fits != "amount") {
      take.fault("unit-kind", take.place_of("amount"), fmt::format("amount: '{}' is a {}, and an amount is weighed", amount, fits), fmt::format("write {}=\"{}\"", fits, amount));
    } else if (const auto pieces = pieces_of(amount)) {
      const std::string one = pieces->each.empty() ? "" : fmt::format(" {}=\"{}\"", attribute_for(pieces->each), pieces->each);
      take.fault("unit-kind", take.place_of("amount"), fmt::format("amount: '{}' counts pieces, and an amount is what one of them weighs", amount), fmt::format("write count=\"{}\"{}", pieces->count, one));
    } else if (is_bare_number(amount)) {
      take.fault("unit-missing", take.place_of("amount"), fmt::format("amount: '{}' has no unit", amount),
                 fmt::format("write a unit behind the number: g, mg, kg; pieces are count=\"{}\", and without either a part such as a box is one a unit", amount));
    } else {
      return take.amount<Grams>("amount");
    }
    return std::nullopt;
  }

  void uses(const Element& element, Step& s) {
    Take take(element, faults_);
    MaterialUse use;
    use.place = take.place();
    use.card = CardId(take.text("material"));
    const int pieces = static_cast<int>(take.count("count", 1, 1, 10000));
    if (take.has("count")) use.pieces = pieces;
    if (const auto each = weight(take)) use.mass = *each * pieces;
    if (const auto each = take.amount<CubicMillimetres>("volume")) use.volume = *each * pieces;
    if (const auto each = take.amount<Millimetres>("length", {0.1, 100000})) use.length = *each * pieces;
    use.at_once = take.amount<Grams>("mixed-at-once");
    if (take.has("length") && (take.has("amount") || take.has("volume"))) {
      take.fault("amount-twice", take.place_of("length"), "what is cut to length is not weighed or poured as well", "keep the one that it is bought by");
    }
    take.finish();
    s.materials.push_back(std::move(use));
  }

  void needs(const Element& element, Step& s) {
    Take take(element, faults_);
    if (take.has("joint")) {
      JointNeed need;
      need.place = take.place();
      need.joint = JointId(take.text("joint"));
      need.cure = cure_of(take.word_of("cure", {"fixture", "handling", "working", "full"}, "handling")).value_or(Cure::handling);
      take.finish();
      s.joint_needs.push_back(need);
      return;
    }
    state_or_face(element, s.needs, s.face_needs);
  }

  void state_or_face(const Element& element, std::vector<StateOf>& states, std::vector<FaceState>& faces) {
    Take take(element, faults_);
    if (!take.has("face")) {
      state(element, states);
      return;
    }
    FaceState f;
    f.place = take.place();
    const std::string face = take.text("face");
    const auto dot = face.find('.');
    f.part = PartId(face.substr(0, dot));
    f.face = dot == std::string::npos ? "" : face.substr(dot + 1);
    f.state = take.word_of("is", {"bare", "masked", "oiled", "waxed", "abraded", "degreased", "primed", "dry", "clean", "sealed"}, "bare");
    f.within = take.amount<Duration>("within");
    take.finish();
    faces.push_back(f);
  }

  void state(const Element& element, std::vector<StateOf>& states) {
    Take take(element, faults_);
    states.push_back({StateId(take.id("state")), PartId(take.text_or("of", "")), take.place()});
    take.finish();
  }

  void holds(const Element& element, Step& s) {
    Take take(element, faults_);
    Holds h;
    h.place = take.place();
    h.fixture = ResourceId(take.text("fixture"));
    h.count = static_cast<int>(take.count("count", 1, 1, 1000));
    h.until_step = StepId(take.text_or("until-step", ""));
    h.until_joint = JointId(take.text_or("until-joint", ""));
    h.until_cure = cure_of(take.word_of("cure", {"fixture", "handling", "working", "full"}, "handling")).value_or(Cure::handling);
    h.for_time = take.amount<Duration>("for");
    take.finish();
    s.holds.push_back(std::move(h));
  }

  void check(const Element& element, Step& s) {
    Take take(element, faults_);
    CheckLine c;
    c.place = take.place();
    c.id = take.text_or("id", fmt::format("c{}", s.checks.size() + 1));
    c.what = take.element().text();
    if (c.what.empty()) take.fault("check-empty", take.place(), "the check says not what to see", "write <check>what must be seen</check>");
    if (take.has("limit")) {
      const std::string text = take.text("limit");
      if (const auto measure = input::read_measure(text)) {
        c.limit = measure->amount;
        c.unit = measure->unit;
      } else {
        take.fault("limit-bad", take.place_of("limit"), fmt::format("'{}' is no limit: {}", text, measure.error().text), measure.error().mend);
      }
      c.value = true;
    }
    c.weighs = take.yes("weighs", false);
    if (c.weighs && c.unit.empty()) c.unit = "g";
    c.value = take.yes("record", c.value || c.weighs);
    take.finish();
    s.checks.push_back(std::move(c));
  }

  void after(const Element& element, Step& s) {
    Take take(element, faults_);
    After a;
    a.place = take.place();
    a.step = StepId(take.text("step"));
    a.because = take.text_or("because", "");
    a.at_least = take.amount<Duration>("at-least", {0, 366 * 86400.0}).value_or(Duration(0));
    a.at_most = take.amount<Duration>("at-most", {0, 366 * 86400.0});
    a.if_late = take.text_or("if-late", "");
    a.whole_lot = take.yes("whole-lot", false);
    a.from_start = take.word_of("from", {"start", "end"}, "end") == "start";
    if (a.at_most && *a.at_most < a.at_least) {
      take.fault("lag-backward", take.place(), "'at-most' is shorter than 'at-least'", "swap them, or drop one");
    }
    take.finish();
    s.after.push_back(std::move(a));
  }

  void waive(const Element& element) {
    Take take(element, faults_);
    Waive w;
    w.place = take.place();
    w.rule = RuleId(take.text("rule"));
    for (const std::string& word : take.words("steps")) w.steps.emplace_back(word);
    w.parts = part_ids(take.words("parts"));
    w.because = take.text("because");
    take.finish();
    job_.waivers.push_back(std::move(w));
  }

  Job& job_;
  Diagnostics& faults_;
  std::vector<std::string> open_files_;
  std::vector<std::shared_ptr<const XmlFile>> keep_;
  Place start_place_;
  bool lot_seen_ = false;
  bool bench_seen_ = false;
};

Result<Job> read_parsed(const Result<std::shared_ptr<const XmlFile>>& file, const std::string& path,
                        const catalogue::Catalogue& catalogue) {
  if (!file) return fail(file.error());
  Job job;
  job.file = path;
  Diagnostics faults;
  Reader reader(job, faults);
  reader.root(**file);
  if ((*file)->root().name() == "job") {
    reader.required((*file)->root().place());
    check_references(job, catalogue, faults);
  }
  if (!faults.empty()) return fail(std::move(faults));
  return job;
}

}  // namespace

Result<Job> read_job(const std::string& path, const catalogue::Catalogue& catalogue) {
  return read_parsed(XmlFile::read(path), path, catalogue);
}

Result<Job> parse_job(std::string text, const std::string& path, const catalogue::Catalogue& catalogue) {
  return read_parsed(XmlFile::parse(std::move(text), path), path, catalogue);
}

}  // namespace handlot::job
