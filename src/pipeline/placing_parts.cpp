#include "pipeline/placing_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "bodies/device.h"
#include "core/text.h"
#include "input/file.h"
#include "pipeline/parts_list.h"
#include "pipeline/parts_of_plan.h"
#include "pipeline/references.h"
#include "rules/board_work.h"
#include "rules/saying.h"
#include "shapes/board.h"
#include "solder/chip.h"
#include "solder/package.h"

namespace handlot::pipeline {

namespace {

using rules::Facts;
using solder::ListedPart;
using solder::PlacementList;

constexpr std::string_view kRule = "placement-list";

/// The job's part that a line of the list is: by its column, else by reference. Empty: none.
PartId part_of(const Facts& facts, const ListedPart& row) {
  if (!row.part.empty()) return facts.job.part(PartId(row.part)) != nullptr ? PartId(row.part) : PartId();
  for (const job::Part& p : facts.job.parts) {
    if (std::find(p.refs.begin(), p.refs.end(), row.ref) != p.refs.end()) return p.id;
  }
  return {};
}

/// The lines of the list that are this part, as listed.
std::vector<const ListedPart*> rows_of(const Facts& facts, const job::Part& part, const PlacementList& list) {
  std::vector<const ListedPart*> rows;
  for (const ListedPart& row : list.parts) {
    if (part_of(facts, row) == part.id) rows.push_back(&row);
  }
  return rows;
}

/// Size, height and marks from the part's card.
solder::Placement body_of(const Facts& facts, const job::Part& part) {
  const catalogue::Card& card = facts.card(part.card);
  solder::Placement p;
  p.value = p.bag = called(facts, part.id);
  p.length = Millimetres(1.6);
  p.width = Millimetres(0.8);
  const std::string package = card.word_or("package");
  if (const auto chip = solder::chip_size(package, card.word_or("package-unit") == "metric" ? solder::CodeUnit::metric : solder::CodeUnit::inch)) {
    p.length = chip->length;
    p.width = chip->width;
    p.height = chip->height;
  }
  if (const auto l = card.get<Millimetres>("length")) p.length = l->high;
  if (const auto w = card.get<Millimetres>("width")) p.width = w->high;
  if (const auto h = card.get<Millimetres>("height")) p.height = h->high;
  p.polarised = card.yes("polarised");
  p.mark = card.word_or("mark");
  const auto digits = package.find_last_not_of("0123456789");
  if (digits != std::string::npos && digits + 1 < package.size() && package[digits] == '-' && package.size() - digits <= 4) {
    const int pins = std::stoi(package.substr(digits + 1));
    if (pins >= 3 && pins <= 999 && !package.starts_with("sot") && !package.starts_with("sod")) p.pins = pins;
  }
  return p;
}

std::vector<const job::Part*> installed_by(const Facts& facts, const job::Step& step) {
  std::vector<const job::Part*> parts;
  for (const job::Installs& i : step.installs) {
    for (const PartId& id : facts.job.within(i.part)) parts.push_back(facts.job.part(id));
  }
  return parts;
}

std::vector<PlacedPart> from_list(const Facts& facts, const job::Part& part, const PlacementList& list) {
  std::vector<PlacedPart> placed;
  const auto rows = rows_of(facts, part, list);
  std::set<std::string> values;
  for (const ListedPart* row : rows) values.insert(row->value);
  for (const ListedPart* row : rows) {
    PlacedPart p{part.id, row->bottom, body_of(facts, part)};
    p.placement.part = row->ref;
    p.placement.centre = row->centre;
    p.placement.turned = row->turned;
    if (!row->value.empty()) p.placement.value = row->value;
    if (values.size() > 1) p.placement.bag += " " + row->value;
    if (!row->mark.empty()) p.placement.mark = row->mark;
    placed.push_back(std::move(p));
  }
  return placed;
}

/// Without a list: the places of the job. A part turned about x by half a round lies on the bottom.
std::vector<PlacedPart> from_job(const Facts& facts, const job::Part& part) {
  std::vector<PlacedPart> placed;
  for (std::size_t i = 0; i < part.places.size(); ++i) {
    const job::Placement& at = part.places[i];
    PlacedPart p{part.id, std::abs(std::abs(at.turn_deg[0]) - 180) < 1, body_of(facts, part)};
    p.placement.part = i < part.refs.size() ? part.refs[i] : part.places.size() > 1 ? fmt::format("{} {}", part.id.text, i + 1) : part.id.text;
    p.placement.centre = {at.at_mm[0], at.at_mm[1]};
    p.placement.turned = Degrees(at.turn_deg[2]);
    placed.push_back(std::move(p));
  }
  return placed;
}

plan::Finding found(const job::Step* step, plan::Severity severity, std::string message, std::string mend, const PlacementList& list, int line) {
  plan::Finding f;
  f.rule = RuleId(std::string(kRule));
  f.severity = severity;
  if (step != nullptr) f.steps = {step->id};
  f.message = std::move(message);
  f.mend = std::move(mend);
  f.source = {"", fmt::format("{}, line {}", list.file, line), Standing::stated};
  f.place = {list.file, line, 0};
  return f;
}

std::string refs_of(const std::vector<const ListedPart*>& rows) {
  std::vector<std::string> refs;
  for (const ListedPart* row : rows) refs.push_back(row->ref);
  return some_of(std::move(refs));
}

const char* is_or_are(std::size_t count) { return count == 1 ? "is" : "are"; }

void compare_count(const Facts& facts, const job::Part& part, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  const auto rows = rows_of(facts, part, list);
  if (static_cast<int>(rows.size()) == part.count) return;
  all.push_back(found(&step, plan::Severity::stop, fmt::format("the placement list has {} of {}, and the job places {}", rows.size(), facts.name(part.id), part.count), "compare the revisions of list and job: a part would be missing or left over", list,
                      rows.empty() ? 1 : rows.front()->line));
  all.back().parts = {part.id};
}

/// One list of the wrong side is one mistake, however many parts it places.
void compare_sides(const Facts& facts, const std::vector<const job::Part*>& parts, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  if (step.side.empty()) return;
  const bool bottom = step.side == "bottom";
  std::vector<const ListedPart*> wrong;
  std::vector<PartId> of;
  for (const job::Part* part : parts) {
    for (const ListedPart* row : rows_of(facts, *part, list)) {
      if (row->bottom == bottom) continue;
      wrong.push_back(row);
      if (of.empty() || of.back() != part->id) of.push_back(part->id);
    }
  }
  if (wrong.empty()) return;
  all.push_back(found(&step, plan::Severity::stop, fmt::format("{} {} on the {} side in the placement list, and '{}' places the {} side", refs_of(wrong), is_or_are(wrong.size()), bottom ? "top" : "bottom", step.id.text, step.side), "correct the list or the step", list,
                      wrong.front()->line));
  all.back().parts = of;
}

/// Chips by their size: other pads. Other packages by body and pins, as far as both names are known.
void compare_packages(const Facts& facts, const job::Part& part, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  const catalogue::Card& card = facts.card(part.card);
  const std::string package = card.word_or("package");
  const auto unit = card.word_or("package-unit") == "metric" ? solder::CodeUnit::metric : solder::CodeUnit::inch;
  const auto own = solder::chip_size(package, unit);
  std::map<std::string, std::vector<const ListedPart*>> sizes, bodies;
  for (const ListedPart* row : rows_of(facts, part, list)) {
    const auto theirs = solder::chip_size_or(row->package, unit);
    if (own && theirs && own->inch != theirs->inch) sizes[std::string(theirs->inch)].push_back(row);
    else if (solder::packages_differ(row->package, package, unit)) bodies[row->package].push_back(row);
  }
  const auto add = [&](plan::Severity severity, std::string message, std::string mend, int line) {
    all.push_back(found(&step, severity, std::move(message), std::move(mend), list, line));
    all.back().parts = {part.id};
  };
  for (const auto& [size, rows] : sizes) {
    add(plan::Severity::stop, fmt::format("{} {} an inch {} in the placement list, and the card of {} an inch {}", refs_of(rows), is_or_are(rows.size()), size, facts.name(part.id), own->inch), "order the size that the pads are for", rows.front()->line);
  }
  for (const auto& [name, rows] : bodies) {
    add(plan::Severity::warn, fmt::format("{} {} {} in the placement list, and the card of {} says {}", refs_of(rows), is_or_are(rows.size()), name, facts.name(part.id), package), "order the package that the pads are for, or correct the card", rows.front()->line);
  }
}

/// Parts that lie in one bag because nothing says their values.
void values_not_said(const Facts& facts, const std::vector<const job::Part*>& parts, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  std::vector<std::string> names;
  std::vector<PartId> of;
  for (const job::Part* part : parts) {
    const auto rows = rows_of(facts, *part, list);
    if (rows.size() < 2 || std::any_of(rows.begin(), rows.end(), [](const ListedPart* row) { return !row->value.empty(); })) continue;
    names.push_back(facts.name(part->id));
    of.push_back(part->id);
  }
  if (names.empty()) return;
  all.push_back(found(&step, plan::Severity::note, fmt::format("nothing says the values of {}: the pages can't part their bags by value", listed(names)), "give the placement list a column 'value', or name the parts list in the job (what=\"parts-list\")", list, 1));
  all.back().parts = of;
}

struct Sides {
  double length = 0, width = 0;  ///< mm
};

/// By its card, else by its shape.
std::optional<Sides> sides_of(const Facts& facts, const job::Part& board) {
  const catalogue::Card& card = facts.card(board.card);
  const auto length = card.get<Millimetres>("length"), width = card.get<Millimetres>("width");
  if (length && width) return Sides{length->high.value, width->high.value};
  if (facts.device == nullptr) return std::nullopt;
  const auto bodies = facts.device->bodies_of.find(board.id);
  if (bodies == facts.device->bodies_of.end()) return std::nullopt;
  const shapes::Box& box = facts.device->scene->body(bodies->second.front()).box;
  return Sides{box.high.x - box.low.x, box.high.y - box.low.y};
}

Sides spread_of(const std::vector<const ListedPart*>& rows) {
  const auto [left, right] = std::minmax_element(rows.begin(), rows.end(), [](const ListedPart* a, const ListedPart* b) { return a->centre.x < b->centre.x; });
  const auto [low, high] = std::minmax_element(rows.begin(), rows.end(), [](const ListedPart* a, const ListedPart* b) { return a->centre.y < b->centre.y; });
  return {(*right)->centre.x - (*left)->centre.x, (*high)->centre.y - (*low)->centre.y};
}

/// Whether the centres may all lie on the board, wherever its origin is and whichever way it is turned. A connector's centre may
/// hang over the edge.
bool may_hold(const Sides& board, const Sides& spread) {
  constexpr double kOver = 5;  // mm [practice]
  const auto holds = [&](double l, double w) { return spread.length <= l + 2 * kOver && spread.width <= w + 2 * kOver; };
  return holds(board.length, board.width) || holds(board.width, board.length);
}

/// Takes the row that lies farthest from the middle of all.
const ListedPart* take_farthest(std::vector<const ListedPart*>& rows) {
  const auto middle = [&](auto of) {
    std::vector<double> all;
    for (const ListedPart* row : rows) all.push_back(of(row));
    std::nth_element(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2), all.end());
    return all[all.size() / 2];
  };
  const double x = middle([](const ListedPart* row) { return row->centre.x; }), y = middle([](const ListedPart* row) { return row->centre.y; });
  const auto far = [&](const ListedPart* row) { return std::hypot(row->centre.x - x, row->centre.y - y); };
  const auto at = std::max_element(rows.begin(), rows.end(), [&](const ListedPart* a, const ListedPart* b) { return far(a) < far(b); });
  const ListedPart* row = *at;
  rows.erase(at);
  return row;
}

/// Centres that spread wider than the board: all of them in another unit, or a few lines with a wrong number.
void compare_spread(const Facts& facts, const std::vector<const job::Part*>& parts, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  const job::Part* board = rules::board_of(facts, step.on);
  const auto sides = board != nullptr ? sides_of(facts, *board) : std::nullopt;
  std::vector<const ListedPart*> rows;
  for (const job::Part* part : parts) {
    const auto some = rows_of(facts, *part, list);
    rows.insert(rows.end(), some.begin(), some.end());
  }
  if (!sides || rows.empty()) return;
  const Sides spread = spread_of(rows);
  const int line = rows.front()->line;
  if (may_hold(*sides, spread)) return;
  const std::string size = fmt::format("{} is {} x {} mm", facts.name(board->id), number(sides->length, 1), number(sides->width, 1));
  const std::size_t few = std::min<std::size_t>(rows.size() / 5, 5);
  std::vector<const ListedPart*> strays;
  while (strays.size() < few && !may_hold(*sides, spread_of(rows))) strays.push_back(take_farthest(rows));
  if (may_hold(*sides, spread_of(rows))) {
    std::sort(strays.begin(), strays.end(), [](const ListedPart* a, const ListedPart* b) { return a->line < b->line; });
    all.push_back(found(&step, plan::Severity::warn, fmt::format("{} of the placement list {} off the board: the other parts lie together, and {}", refs_of(strays), strays.size() == 1 ? "lies" : "lie", size), "look the line up in the layout", list, strays.front()->line));
    return;
  }
  all.push_back(found(&step, plan::Severity::warn, fmt::format("the places of the list spread over {} x {} mm, and {}", number(spread.length, 1), number(spread.width, 1), size), "check the unit of x and y in the list, that both sides are written as seen from the top, and the size in the card of the board", list, line));
}

/// The pieces of one part: where the list has them and where the job has them, measured from the board.
struct Seen {
  const job::Part* part = nullptr;
  std::vector<const ListedPart*> listed;
  std::array<std::vector<solder::Point>, 2> placed;  ///< taken as pieces of the top, of the bottom
};

std::optional<Seen> seen_both(const Facts& facts, const job::Part& part, const PlacementList& list, const job::Placement& board) {
  Seen seen{&part, rows_of(facts, part, list), {}};
  if (seen.listed.size() != part.places.size() || seen.listed.empty()) return std::nullopt;
  for (const job::Placement& at : part.places) {
    // A top part turned over in the device sits on a board that is built in upside down.
    const auto half = [&](std::size_t axis) { return std::abs(std::abs(at.turn_deg[axis]) - 180) < 1; };
    for (const bool bottom : {false, true}) {
      solder::Point p{at.at_mm[0] - board.at_mm[0], at.at_mm[1] - board.at_mm[1]};
      if ((half(0) || half(1)) != bottom) (half(1) ? p.x : p.y) *= -1;
      seen.placed[bottom ? 1 : 0].push_back(p);
    }
  }
  return seen;
}

/// Whether every listed piece lies on a placed one once the list is mirrored (sign -1) and moved back by `shift`.
bool all_met(const Seen& seen, double sign, solder::Point shift) {
  constexpr double kNear = 0.5;  // mm
  return std::all_of(seen.listed.begin(), seen.listed.end(), [&](const ListedPart* row) {
    const auto& placed = seen.placed[row->bottom ? 1 : 0];
    return std::any_of(placed.begin(), placed.end(), [&](solder::Point p) { return std::hypot(sign * row->centre.x - shift.x - p.x, row->centre.y - shift.y - p.y) <= kNear; });
  });
}

/// How far the list as a whole lies from the job: the difference of the middles of all pieces.
solder::Point common_shift(const std::vector<Seen>& all) {
  solder::Point sum;
  double n = 0;
  for (const Seen& seen : all) {
    for (const ListedPart* row : seen.listed) sum.x += row->centre.x, sum.y += row->centre.y;
    for (const solder::Point p : seen.placed[seen.listed.front()->bottom ? 1 : 0]) sum.x -= p.x, sum.y -= p.y;
    n += static_cast<double>(seen.listed.size());
  }
  return {sum.x / n, sum.y / n};
}

/// Lists of boards that the job models too: the same places, a mirror image, or all of it shifted.
void compare_places(const Facts& facts, const std::vector<const job::Part*>& parts, const job::Step& step, const PlacementList& list, std::vector<plan::Finding>& all) {
  const job::Part* board = rules::board_of(facts, step.on);
  if (board == nullptr || board->places.size() != 1) return;
  for (const double turn : board->places[0].turn_deg) {
    if (std::abs(turn) > 1e-9) return;
  }
  std::vector<Seen> known;
  for (const job::Part* part : parts) {
    if (auto seen = seen_both(facts, *part, list, board->places[0])) known.push_back(std::move(*seen));
  }
  const auto everywhere = [&](double sign, solder::Point shift) { return std::all_of(known.begin(), known.end(), [&](const Seen& s) { return all_met(s, sign, shift); }); };
  if (everywhere(1, {})) return;
  const auto say = [&](plan::Severity severity, std::string message, std::string mend) { all.push_back(found(&step, severity, std::move(message), std::move(mend), list, list.parts.front().line)); };
  if (everywhere(-1, {})) return say(plan::Severity::stop, "the placement list is the mirror image of the places in the job", "write x as seen from the top, whichever side the part is on");
  const solder::Point shift = common_shift(known);
  if (known.size() > 1 && everywhere(1, shift)) {
    return say(plan::Severity::warn, fmt::format("the whole placement list lies {} mm in x and {} mm in y from where the job has the parts", number(shift.x, 2), number(shift.y, 2)), "measure both from the board's origin: move the origin of the export, or the board in the job");
  }
  std::vector<std::string> off;
  for (const Seen& s : known) {
    if (!all_met(s, 1, {})) off.push_back(facts.name(s.part->id));
  }
  say(plan::Severity::warn, fmt::format("the placement list puts {} more than 0.5 mm from where the job has them", listed(off)), "compare the revisions of list and job");
}

struct OneSpot {
  const ListedPart* a = nullptr;
  const ListedPart* b = nullptr;
  bool alike = false;  ///< of one package: of two, one may lie over the other, as a shield does
};

std::vector<OneSpot> on_one_spot(const PlacementList& list) {
  constexpr double kSame = 0.05;  // mm: nearer than any two parts can lie
  std::vector<OneSpot> found;
  for (std::size_t i = 0; i < list.parts.size(); ++i) {
    const ListedPart& a = list.parts[i];
    for (std::size_t k = i + 1; k < list.parts.size() && !solder::is_no_part(a); ++k) {
      const ListedPart& b = list.parts[k];
      if (a.bottom != b.bottom || std::hypot(a.centre.x - b.centre.x, a.centre.y - b.centre.y) > kSame || solder::is_no_part(b)) continue;
      found.push_back({&a, &b, lower(a.package) == lower(b.package)});
    }
  }
  return found;
}

/// Two parts of one kind on one spot: a line was copied, and its x and y stayed. Many pairs are one mistake in all numbers.
void two_on_one_spot(const PlacementList& list, std::vector<plan::Finding>& all) {
  constexpr std::size_t kEach = 3;  // told one by one
  const auto pairs = on_one_spot(list);
  const bool alike = std::any_of(pairs.begin(), pairs.end(), [](const OneSpot& p) { return p.alike; });
  if (pairs.size() > kEach) {
    const auto& [a, b, same] = pairs.front();
    all.push_back(found(nullptr, alike ? plan::Severity::warn : plan::Severity::note, fmt::format("{} (line {}) and {} (line {}) of the placement list have the same place, and so have {} more pairs of its parts", a->ref, a->line, b->ref, b->line, pairs.size() - 1),
                        "check the unit and the decimal marks of x and y, then the lines that were copied", list, b->line));
    return;
  }
  for (const auto& [a, b, same] : pairs) {
    const std::string text = fmt::format("{} (line {}) and {} (line {}) of the placement list have the same place, x {} and y {} mm on the {} side{}", a->ref, a->line, b->ref, b->line, number(a->centre.x, 2),
                                         number(a->centre.y, 2), a->bottom ? "bottom" : "top", same ? "" : ": right only if one lies over the other");
    all.push_back(found(nullptr, same ? plan::Severity::warn : plan::Severity::note, text, "look both up in the layout, and correct the line that was copied or mark it as not fitted", list, b->line));
  }
}

}  // namespace

Result<std::optional<PlacementList>> placement_list_of(const job::Job& job, const input::Csv* parts_list) {
  const job::ExtraFile* file = job.file_of("placement");
  if (file == nullptr) return std::optional<PlacementList>();
  const auto text = input::read_text(file->path, 16u << 20);
  if (!text) return fail(text.error());
  auto read = solder::read_placement_list(*text, file->path);
  if (!read) return fail(read.error());
  const auto values = parts_list == nullptr ? std::map<std::string, std::string>() : values_in(job, *parts_list);
  for (ListedPart& row : read->parts) {
    row.ref = as_job_writes(job, row.ref);
    if (const auto known = values.find(row.ref); row.value.empty() && known != values.end()) row.value = known->second;
  }
  return std::optional(std::move(*read));
}

namespace {

/// The same as the turns of a job file: about x, then y, then z.
job::Placement in_job_words(const shapes::Placement& at) {
  constexpr double kDegrees = 180 / std::numbers::pi;
  const auto& r = at.turn;
  const double about_y = std::asin(std::clamp(-r[6], -1.0, 1.0));
  const bool upright = std::abs(r[6]) > 1 - 1e-9;  // about x and z are one then
  const double about_x = upright ? 0 : std::atan2(r[7], r[8]);
  const double about_z = upright ? std::atan2(-r[1], r[4]) : std::atan2(r[3], r[0]);
  return {{at.shift.x, at.shift.y, at.shift.z}, {about_x * kDegrees, about_y * kDegrees, about_z * kDegrees}};
}

}  // namespace

void place_from_list(job::Job& job, const catalogue::Catalogue& cards, const PlacementList& list) {
  const shapes::Cache none;
  const Facts facts{job, cards, nullptr, none};
  std::map<PartId, std::vector<job::Placement>> found;
  for (const job::Step& step : job.steps) {
    if (step.process.text != "place") continue;
    const job::Part* board = rules::board_of(facts, step.on);
    if (board == nullptr || board->places.size() != 1) continue;
    const auto height = facts.card(board->card).get<Millimetres>("height");
    if (!height) continue;
    const shapes::Placement board_at = bodies::placed(board->places.front());
    for (const job::Part* part : installed_by(facts, step)) {
      if (!part->places.empty()) continue;
      for (const ListedPart* row : rows_of(facts, *part, list)) {
        const auto here = shapes::on_board({row->centre.x, row->centre.y}, row->turned, row->bottom, height->high);
        found[part->id].push_back(in_job_words(shapes::then(here, board_at)));
      }
    }
  }
  for (job::Part& part : job.parts) {
    if (auto places = found.find(part.id); places != found.end()) part.places = std::move(places->second);
  }
}

std::vector<PlacedPart> placed_parts(const Facts& facts, const job::Step& step, const PlacementList* list) {
  std::vector<PlacedPart> placed;
  for (const job::Part* part : installed_by(facts, step)) {
    auto some = list != nullptr ? from_list(facts, *part, *list) : from_job(facts, *part);
    placed.insert(placed.end(), std::make_move_iterator(some.begin()), std::make_move_iterator(some.end()));
  }
  return placed;
}

std::vector<plan::Finding> list_against_job(const Facts& facts, const PlacementList& list) {
  std::vector<plan::Finding> all;
  std::set<PartId> met;
  for (const job::Step& step : facts.job.steps) {
    if (step.process.text != "place") continue;
    const auto parts = installed_by(facts, step);
    for (const job::Part* part : parts) {
      met.insert(part->id);
      compare_count(facts, *part, step, list, all);
      compare_packages(facts, *part, step, list, all);
    }
    compare_sides(facts, parts, step, list, all);
    compare_spread(facts, parts, step, list, all);
    compare_places(facts, parts, step, list, all);
    values_not_said(facts, parts, step, list, all);
  }
  two_on_one_spot(list, all);
  std::vector<std::string> strangers, no_parts;
  int line = 1;
  for (const ListedPart& row : list.parts) {
    const PartId id = part_of(facts, row);
    // What is soldered by hand may stand in the list too.
    if (!id.empty() && (met.contains(id) || facts.job.installer(id) != nullptr)) continue;
    if (id.empty() && solder::is_no_part(row)) {
      no_parts.push_back(row.ref);
      continue;
    }
    if (strangers.empty()) line = row.line;
    strangers.push_back(row.ref);
  }
  if (!strangers.empty()) {
    all.push_back(found(nullptr, plan::Severity::warn, fmt::format("{} of the placement list {} no part of the job", listed(strangers), strangers.size() == 1 ? "is" : "are"), "write refs=\"...\" into the parts, or mark the lines as not fitted", list, line));
  }
  if (!no_parts.empty()) all.push_back(found(nullptr, plan::Severity::note, fmt::format("{} of the placement list {} taken as fiducials, test points or holes: nothing is placed there", listed(no_parts), no_parts.size() == 1 ? "is" : "are"), "", list, 1));
  for (const std::string& note : list.notes) all.push_back(found(nullptr, plan::Severity::note, note, "", list, 1));
  return all;
}

}  // namespace handlot::pipeline
