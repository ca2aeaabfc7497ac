// An O-ring is squeezed enough to seal and not too much, and its groove holds it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "core/text.h"
#include "input/units.h"
#include "joints/seals.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/shape_facts.h"
#include "rules/step_words.h"
#include "shapes/ring_room.h"
#include "shapes/tolerance.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "seal-squeeze";
constexpr double kEven = 1e-6;
using joints::SealKind;

/// A ring as it is before it goes in.
struct Ring {
  Millimetres cord;
  std::optional<Millimetres> inner;
  Millimetres off;  ///< of the cord, plus and minus, where its card says so
};

/// Where it lies.
struct Groove {
  SealKind kind = SealKind::face;
  Millimetres depth;
  std::optional<Millimetres> width, over;
  Millimetres off;  ///< of the depth, plus and minus
  PartId in;
  Source source;
  Place place;
};

/// By its card, or by its name; and not one that is named for something else that rings of rubber do.
bool o_ring(const Facts& facts, const PartId& part) {
  if (facts.card_of(part).get<Millimetres>("cord-diameter")) return true;
  constexpr std::array<std::string_view, 4> kNames{"o-ring", "o ring", "oring", "0-ring"};
  constexpr std::array<std::string_view, 10> kOther{"belt", "bumper", "damper", "foot", "feet", "spacer", "grip", "tyre", "tire", "buffer"};
  const std::string names = both_names(facts, part);
  return gives(facts, part) && says_one_of(kNames, names) && !says_one_of(kOther, names);
}

bool digit(char c) { return c >= '0' && c <= '9'; }

/// The numbers of "20 x 2" or "24x20x2" in a name; empty: it has no such sizes, or not in millimetres.
std::vector<double> sizes_in(std::string name) {
  for (std::size_t at; (at = name.find("\u00d7")) != std::string::npos;) name.replace(at, 2, "x");
  std::vector<double> sizes;
  const char *at = name.data(), *end = at + name.size();
  while (at != end) {
    const bool alone = digit(*at) && (at == name.data() || at[-1] == ' ' || at[-1] == 'x');
    double value = 0;
    const auto read = alone ? std::from_chars(at, end, value) : std::from_chars_result{at, std::errc::invalid_argument};
    if (read.ec != std::errc()) {
      ++at;
      continue;
    }
    std::string_view rest(read.ptr, static_cast<std::size_t>(end - read.ptr));
    while (rest.starts_with(" ") || rest.starts_with("mm")) rest.remove_prefix(rest.front() == ' ' ? 1 : 2);
    const bool goes_on = rest.size() > 1 && rest[0] == 'x' && (digit(rest[1]) || (rest[1] == ' ' && rest.size() > 2 && digit(rest[2])));
    if (goes_on || !sizes.empty()) sizes.push_back(value);
    if (!goes_on && !sizes.empty()) return rest.starts_with("/") || rest.starts_with("in") || rest.starts_with("\"") ? std::vector<double>() : sizes;
    at = read.ptr;
  }
  return {};
}

/// Its section is drawn as high as it is wide: free, not as it lies when it is squeezed.
std::optional<Millimetres> drawn_free(const shapes::RingRoom& room) {
  const double wide = (room.outer - room.inner).value / 2;
  if (std::abs(wide - room.height.value) > 0.02 * wide) return std::nullopt;
  return room.height;
}

bool moves(const Facts& facts, const PartId& id) {
  const job::Part* part = facts.job.part(id);
  return part != nullptr && (!part->motion.empty() || marked(facts, id, "moving"));
}

Millimetres off_of(const Facts& facts, const PartId& part) {
  const auto making = making_of(facts, part);
  return making ? making->tolerance : Millimetres(0);
}

/// What the job says that was measured of the ring; a range is what it spreads over.
std::optional<shapes::Link> measured(const job::Part& ring, const std::string& what) {
  const auto own = ring.measured.find(what);
  if (own == ring.measured.end()) return std::nullopt;
  const auto amount = input::read_amount(own->second, input::Dimension::length, {0.01, 1000});
  if (!amount) return std::nullopt;
  const Millimetres half((amount->high - amount->low) / 2);
  return shapes::Link{what, Millimetres((amount->low + amount->high) / 2), half, half, 1, {}, {}};
}

std::optional<Millimetres> size_measured(const job::Part& ring, const std::string& what) {
  const auto size = measured(ring, what);
  return size ? std::optional(size->nominal) : std::nullopt;
}

/// As measured, else by the figures of its card, by the sizes in its name, or as it is drawn. None: nothing says how thick it is.
std::optional<Ring> ring_of(const Facts& facts, const job::Part& part, const shapes::RingRoom* room) {
  const catalogue::Card& card = facts.card(part.card);
  const auto cord = card.get<Millimetres>("cord-diameter"), inner = card.get<Millimetres>("inner-diameter"), off = card.get<Millimetres>("tolerance");
  Ring ring{Millimetres(0), std::nullopt, off ? off->high : Millimetres(0)};
  if (inner) ring.inner = inner->low;
  if (const auto own = measured(part, "cord")) {
    ring.cord = own->nominal;
    ring.off = own->plus;
    return ring;
  }
  if (cord) {
    ring.cord = Millimetres((cord->low + cord->high).value / 2);
    ring.off = std::max(ring.off, Millimetres((cord->high - cord->low).value / 2));
    return ring;
  }
  std::vector<double> sizes = sizes_in(both_names(facts, part.id));
  std::sort(sizes.begin(), sizes.end());
  if (sizes.size() >= 2 && sizes.front() > 0 && sizes.front() <= 12) {
    ring.cord = Millimetres(sizes.front());
    if (!ring.inner) ring.inner = Millimetres(sizes[1]);
    return ring;
  }
  const auto drawn = room == nullptr ? std::nullopt : drawn_free(*room);
  if (!drawn) return std::nullopt;
  ring.cord = *drawn;
  return ring;
}

/// As the job file says. A ring that is stretched over a floor lies round something.
std::optional<Groove> groove_said(const Facts& facts, const job::Part& ring) {
  const auto depth = measured(ring, "groove-depth");
  if (!depth) return std::nullopt;
  const job::Step* in = facts.job.installer(ring.id);
  Groove g;
  g.over = size_measured(ring, "groove-floor");
  if (g.over) g.kind = moves(facts, ring.id) || (in != nullptr && moves(facts, in->on)) ? SealKind::moving : SealKind::radial;
  g.depth = depth->nominal;
  g.off = depth->plus;
  g.width = size_measured(ring, "groove-width");
  g.source = stated();
  g.place = ring.place;
  return g;
}

/// A seal lies between two parts: its depth is the room between faces of two, its width that between the walls of a groove.
std::optional<Groove> groove_drawn(const Facts& facts, const job::Part& ring, const shapes::RingRoom& room) {
  const auto part = [&](const shapes::RingRoom::Side& s) { return facts.device->part_of[s.part]; };
  const auto apart = [&](const auto& a, const auto& b) { return a && b && part(*a) != part(*b); };
  const auto room_of = [](const auto& a, const auto& b) { return a && b ? std::optional(a->away + b->away) : std::nullopt; };
  const auto axial = room_of(room.below, room.above), across = room_of(room.within, room.around);
  const bool faces = apart(room.below, room.above), round = apart(room.within, room.around);
  if (!faces && !round) return std::nullopt;
  Groove g;
  g.source = of_shapes();
  g.place = ring.place;
  // In a corner it may seal both ways: the narrower one is what squeezes it.
  if (faces && (!round || *axial <= *across)) {
    g.depth = *axial;
    g.width = across;
    const bool cut_above = room.around ? part(*room.around) == part(*room.above) : room.above->away > room.below->away;
    g.in = part(cut_above ? *room.above : *room.below);
    g.off = off_of(facts, g.in);
    return g;
  }
  const PartId within = part(*room.within), around = part(*room.around);
  g.kind = moves(facts, within) || moves(facts, around) ? SealKind::moving : SealKind::radial;
  g.depth = *across;
  g.width = axial;
  g.over = room.floor;
  g.in = room.below && part(*room.below) == around ? around : within;
  // Of two diameters, half of each counts.
  g.off = Millimetres(std::hypot(off_of(facts, within).value, off_of(facts, around).value) / 2);
  return g;
}

std::string percent(double share) { return number(100 * share, 0); }

plan::Finding about(const Facts& facts, const job::Part& ring, const Groove& g, plan::Severity severity, std::string message, std::string mend, Source source) {
  std::vector<PartId> parts{ring.id};
  if (!g.in.empty()) parts.push_back(g.in);
  plan::Finding f = about_parts(kRule, severity, std::move(parts), std::move(message), std::move(mend), g.place);
  if (const job::Step* step = facts.job.installer(ring.id)) f.steps = {step->id};
  f.source = std::move(source);
  return f;
}

std::string room_words(const Facts& facts, const job::Part& part, const Ring& ring, const Groove& g) {
  const std::string where = g.in.empty() ? "" : fmt::format(" at {}", facts.name(g.in));
  return fmt::format("{} has a cord of {} mm, and {} mm of room{}{}", facts.name(part.id), number(ring.cord.value, 2), number(g.depth.value, 2), where, g.off.value > 0 ? fmt::format(", plus or minus {}", number(g.off.value, 2)) : "");
}

/// Says how far it is squeezed, where that is unusual. True: it is far off.
bool judge_squeeze(const Facts& facts, const job::Part& part, const Ring& ring, const Groove& g, Yield& yield) {
  const joints::SqueezeWindow w = joints::squeeze_window(g.kind);
  const shapes::Chain play = shapes::chain({{"cord", ring.cord, ring.off, ring.off, 1, {}, {}}, {"depth", g.depth, g.off, g.off, -1, {}, {}}});
  const double share = joints::squeeze(ring.cord, g.depth), least = play.rss_low / ring.cord, most = play.rss_high / ring.cord;
  const bool loose = share < w.least - kEven, tight = share > w.most + kEven;
  const std::string kind = g.kind == SealKind::face ? "between faces" : g.kind == SealKind::radial ? "round a shaft or in a bore" : "round what moves";
  const std::string usual = fmt::format("{} to {} % are usual {}", percent(w.usual_least), percent(w.usual_most), kind);
  const std::string said = room_words(facts, part, ring, g);
  const auto depth = [&](double at) { return number(ring.cord.value * (1 - at), 2); };
  const std::string mend = fmt::format("leave it {} to {} mm, or take another cord", depth(w.usual_most), depth(w.usual_least));
  const Source source = loose && g.kind != SealKind::moving ? Source{"ORINGRATE", "under 10 % it risks to leak", Standing::read} : w.source;
  if (loose || tight) {
    const std::string what = share <= kEven ? "nothing squeezes it, and it seals nothing" : loose ? fmt::format("it is squeezed by {} %, and may leak", percent(share)) : fmt::format("it is squeezed by {} %, and is overloaded or keeps the joint open", percent(share));
    yield.findings.push_back(about(facts, part, g, plan::Severity::warn, fmt::format("{}: {} ({})", said, what, usual), mend, source));
    return true;
  }
  if (least < w.least - kEven || most > w.most + kEven) {
    yield.findings.push_back(about(facts, part, g, plan::Severity::note, fmt::format("{}: it is squeezed by {} to {} % as its sizes come out ({})", said, percent(least), percent(most), usual),
                                   "measure cord and groove of the first piece, or hold the depth closer", w.source));
  } else if (share < w.usual_least - kEven || share > w.usual_most + kEven) {
    yield.findings.push_back(about(facts, part, g, plan::Severity::note, fmt::format("{}: it is squeezed by {} % ({})", said, percent(share), usual), mend, w.source));
  }
  return false;
}

void judge_fill(const Facts& facts, const job::Part& part, const Ring& ring, const Groove& g, Yield& yield) {
  if (!g.width || g.width->value <= 0 || g.depth.value <= 0) return;
  const double share = joints::groove_fill(ring.cord, g.depth, *g.width);
  if (share <= joints::kFullGroove + kEven) return;
  const double wide = joints::groove_fill(ring.cord, g.depth, Millimetres(1)) / 0.8;
  const bool tight = share > joints::kTightGroove + kEven;
  yield.findings.push_back(about(facts, part, g, tight ? plan::Severity::warn : plan::Severity::note,
                                 fmt::format("{} of {} mm fills {} % of its groove, {} by {} mm: rubber gives way and is not compressed, {}", facts.name(part.id), number(ring.cord.value, 2), percent(share), number(g.depth.value, 2), number(g.width->value, 2),
                                             tight ? "so the joint stays open" : "and little room is left for it to swell"),
                                 fmt::format("make the groove {} mm wide", number(wide, 1)), {"ORINGRATE", "groove fill below 85 %", Standing::read}));
}

void judge_stretch(const Facts& facts, const job::Part& part, const Ring& ring, const Groove& g, Yield& yield) {
  if (!g.over || g.over->value <= 0 || !ring.inner || ring.inner->value <= 0) return;
  const double share = joints::stretch(*ring.inner, *g.over);
  if (share <= joints::kMostStretch + kEven) return;
  yield.findings.push_back(about(facts, part, g, plan::Severity::note,
                                 fmt::format("{} of {} mm inside lies over {} mm: it is stretched by {} %, and up to {} % are usual", facts.name(part.id), number(ring.inner->value, 2), number(g.over->value, 2), percent(share), percent(joints::kMostStretch)),
                                 "take a ring that is larger inside", {"", "seal handbooks", Standing::memory}));
}

void judge(const Facts& facts, const job::Part& part, const Ring& ring, const Groove& g, Yield& yield) {
  // Farther off than half its cord, it is not what the ring seals.
  if (g.source.standing == Standing::measured && g.depth.value > 1.5 * ring.cord.value) return;
  if (judge_squeeze(facts, part, ring, g, yield)) return;
  judge_fill(facts, part, ring, g, yield);
  judge_stretch(facts, part, ring, g, yield);
}

std::vector<shapes::RingRoom> rooms_of(const Facts& facts, const job::Part& part) {
  std::vector<shapes::RingRoom> rooms;
  if (facts.device == nullptr || facts.device->empty()) return rooms;
  const auto bodies = facts.device->bodies_of.find(part.id);
  if (bodies == facts.device->bodies_of.end()) return rooms;
  for (const std::size_t body : bodies->second) {
    constexpr Millimetres kReach(15);  // more than the thickest cord
    if (const auto room = shapes::ring_room(*facts.device->scene, body, kReach)) rooms.push_back(*room);
  }
  return rooms;
}

}  // namespace

void seal_squeeze(const Facts& facts, const job::Part& part, Yield& yield) {
  const auto said = groove_said(facts, part);
  if (facts.card(part.card).kind != catalogue::CardKind::part || (!said && !o_ring(facts, part.id))) return;
  const std::vector<shapes::RingRoom> rooms = rooms_of(facts, part);
  const auto ring = ring_of(facts, part, rooms.empty() ? nullptr : &rooms.front());
  if (ring && said) return judge(facts, part, *ring, *said, yield);
  if (said) {
    yield.findings.push_back(about(facts, part, *said, plan::Severity::undecided, fmt::format("nothing says how thick {} is, so its squeeze was not checked", facts.name(part.id)), "write a figure 'cord-diameter' on its card", stated()));
  }
  if (!ring || said) return;
  for (const shapes::RingRoom& room : rooms) {
    const auto groove = groove_drawn(facts, part, room);
    const std::size_t before = yield.findings.size();
    if (groove) judge(facts, part, *ring, *groove, yield);
    if (yield.findings.size() > before) return;  // its copies are told with it
  }
}

}  // namespace handlot::rules
