// What is glued or soldered is bare: oil, wax, lacquer and silicone come after, off again, or never near.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>

#include "core/text.h"
#include "rules/board_work.h"
#include "rules/cell.h"
#include "rules/ground.h"
#include "rules/matter.h"
#include "rules/rules.h"
#include "rules/saying.h"
#include "rules/spared.h"
#include "rules/step_words.h"
#include "rules/surfaces.h"

namespace handlot::rules {

namespace {

constexpr std::string_view kRule = "clean-faces";
constexpr std::string_view kMaskRule = "masks-off";
using Options = std::vector<std::vector<plan::Constraint>>;

/// What the dirty step wets: the part it is on and what it touches, not what lies inside those.
std::set<PartId> soiled_by(const Facts& facts, const job::Step& dirty) {
  std::set<PartId> parts;
  for (const PartId& id : dirty.touches) {
    for (const PartId& inside : facts.job.within(id)) parts.insert(inside);
  }
  for (const PartId& inside : facts.job.within(dirty.on)) parts.insert(inside);
  return parts;
}

bool works_on(const Facts& facts, const job::Step& step, const PartId& part) {
  return same_or_within(facts, step.on, part) || has(step.touches, part);
}

bool gives_face(const job::Step& step, const PartId& part, std::initializer_list<std::string_view> states) {
  return std::any_of(step.face_gives.begin(), step.face_gives.end(), [&](const job::FaceState& f) {
    return f.part == part && std::find(states.begin(), states.end(), f.state) != states.end();
  });
}

/// A film that has dried is sanded off; a grease is wiped off.
bool takes_off(const Facts& facts, const job::Step& cleaner, const PartId& part, const job::Step& dirty) {
  if (gives_face(cleaner, part, {"abraded", "bare"})) return true;
  if (!works_on(facts, cleaner, part)) return false;
  const std::string process = cleaner.process.text;
  if (process == "sand" || process == "abrade") return true;
  const bool film = facts.process(dirty).word_or("class") == "finish" && dirty.process.text != "lubricate" && dirty.process.text != "polish";
  const bool silicone = std::any_of(dirty.materials.begin(), dirty.materials.end(), [&](const job::MaterialUse& u) { return facts.card(u.card).word_or("family") == "silicone"; });
  return !film && !silicone && (process == "degrease" || process == "clean-flux" || process == "wash");
}

bool gives_shape(const job::Step& step) { return step.process.text == "turn"; }

plan::Constraint link(const job::Step& a, const job::Step& b, std::string text) {
  return before(a, b, reason(plan::ReasonKind::surface, kRule, std::move(text), practice(), b.place));
}

/// mask - dirty - unmask - bond; a mask that nobody takes off is no way, nor one that names other things only.
void masked_ways(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part, Options& options) {
  for (const job::Step& mask : facts.job.steps) {
    const bool masks = gives_face(mask, part, {"masked"}) || (mask.process.text == "mask" && works_on(facts, mask, part) && masked_for(facts, mask, bond, part) != Spared::something);
    if (!masks || &mask == &dirty || &mask == &bond) continue;
    std::vector<plan::Constraint> way{link(mask, dirty, fmt::format("the face of {} is masked before {}", facts.name(part), say(dirty)))};
    for (const job::Step& off : facts.job.steps) {
      if (off.process.text != "unmask" || !works_on(facts, off, part)) continue;
      way.push_back(link(dirty, off, fmt::format("the mask on {} stays until {} is done", facts.name(part), say(dirty))));
      way.push_back(link(off, bond, fmt::format("{} needs {} bare, and the mask is still on", say(bond), facts.name(part))));
      break;
    }
    if (way.size() > 1) options.push_back(std::move(way));
  }
}

/// Listed behind the bond, it rubs down a coat that is listed behind the bond as well.
bool rubs_a_later_coat(const Facts& facts, const job::Step& bond, const job::Step& cleaner) {
  if (&cleaner < &bond) return false;
  return std::any_of(&bond, &cleaner, [&](const job::Step& s) { return film_process(s.process.text) && same_or_within(facts, s.on, cleaner.on); });
}

Options ways(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part, const std::string& what) {
  Options options, moved;
  for (const job::Step& cleaner : facts.job.steps) {
    if (&cleaner == &dirty || &cleaner == &bond || !takes_off(facts, cleaner, part, dirty) || rubs_a_later_coat(facts, bond, cleaner)) continue;
    // Listed before the dirt, it has a job of its own there: a rub-down between two coats. It is taken when nothing else is left.
    (&cleaner < &dirty ? moved : options).push_back({link(dirty, cleaner, fmt::format("{} takes off the {} of {}", say(cleaner), what, say(dirty))),
                       link(cleaner, bond, fmt::format("{} needs {} bare, and {} leaves {} on it", say(bond), facts.name(part), say(dirty), what))});
  }
  masked_ways(facts, dirty, bond, part, options);
  if (gives_shape(dirty)) {
    options.insert(options.end(), moved.begin(), moved.end());
    return options;  // and nothing is glued to a shape that is not there yet
  }
  std::vector<plan::Constraint> sooner{link(bond, dirty, fmt::format("{} needs {} bare, and {} leaves {} on it", say(bond), facts.name(part), say(dirty), what))};
  options.push_back(std::move(sooner));
  options.insert(options.end(), moved.begin(), moved.end());
  prefer_listed(facts, options);
  return options;
}

/// The step that takes the mask off; null: none.
const job::Step* unmasks(const Facts& facts, const job::Step& mask) {
  const std::set<PartId> masked = worked_on(facts, mask);
  for (const job::Step& off : facts.job.steps) {
    if (off.process.text != "unmask") continue;
    const std::set<PartId> bared = worked_on(facts, off);
    if (off.on.empty() || std::any_of(masked.begin(), masked.end(), [&](const PartId& p) { return bared.contains(p); })) return &off;
  }
  return nullptr;
}

/// About the face that the bond needs and another step has soiled.
plan::Finding about_face(plan::Severity severity, const job::Step& bond, const job::Step& dirty, const PartId& part, std::string message, std::string mend) {
  auto f = finding(kRule, severity, bond, std::move(message), std::move(mend), practice());
  f.steps.push_back(dirty.id);
  f.parts = {part};
  return f;
}

plan::Finding nobody_cleans(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part, const std::string& what) {
  return about_face(plan::Severity::warn, bond, dirty, part, fmt::format("{} leaves {} on {}, and no step takes it off before {}", say(dirty), what, facts.name(part), say(bond)),
                    fmt::format("add a step of process degrease on {} between the two", facts.name(part)));
}

/// The two name faces of the part, and none is the same.
bool other_faces(const job::Step& dirty, const job::Step& bond, const PartId& part) {
  std::set<std::string> soiled, bare;
  for (const job::FaceState& f : dirty.face_gives) {
    if (f.part == part) soiled.insert(f.face);
  }
  for (const job::FaceState& f : bond.face_needs) {
    if (f.part == part) bare.insert(f.face);
  }
  const bool named = !soiled.empty() && !bare.empty() && !soiled.contains("") && !bare.contains("");
  return named && std::none_of(bare.begin(), bare.end(), [&](const std::string& face) { return soiled.contains(face); });
}

/// An action of the gluing takes the film off where the glue goes: "Scuff the spots back to bare wood."
bool bares_it(const job::Step& bond) {
  return std::any_of(bond.actions.begin(), bond.actions.end(), [](const std::string& action) {
    constexpr std::array<std::string_view, 12> kFilms{"bare", "oil", "wax", "finish", "lacquer", "film", "coat", "the polish", "shellac", "varnish", "paint", "to the wood"};
    constexpr std::array<std::string_view, 5> kRubbing{"scuff", "sand ", "scrape", "abrade", "roughen"};
    const std::string line = lower(action);
    return says_one_of(kFilms, line) && says_one_of(kRubbing, line);
  });
}

/// What was spread is covered by a part that a step lays on it, listed between the two: it can't be spread later.
bool covered_since(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part) {
  return &dirty < &bond && std::any_of(&dirty + 1, &bond, [&](const job::Step& s) { return !s.installs.empty() && works_on(facts, s, part); });
}

/// Grease, thermal compound or cutting oil that goes with other work: the order stands as listed, and a step between wipes the face,
/// or the job says that it is another one.
void with_other_work(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part, const std::string& what, Yield& yield) {
  if (&bond < &dirty || std::any_of(&dirty + 1, &bond, [&](const job::Step& s) { return takes_off(facts, s, part, dirty); })) return;
  constexpr std::array<std::string_view, 4> kSpraying{"drill", "saw", "sand", "turn"};
  const bool sprays = std::find(kSpraying.begin(), kSpraying.end(), dirty.process.text) != kSpraying.end(), everywhere = sprays || what == "silicone";
  // Under the part that the same step lays on it: only silicone creeps out from there.
  if (!everywhere && !dirty.installs.empty()) return;
  yield.findings.push_back(about_face(everywhere ? plan::Severity::warn : plan::Severity::undecided, bond, dirty, part,
                                      fmt::format("{} leaves {} on {}, and {} needs it bare: the job does not say that these are two faces", say(dirty), what, facts.name(part), say(bond)),
                                      fmt::format("name them, <gives face=\"{0}.seat\" is=\"oiled\"/> in {1} and <needs face=\"{0}.rim\" is=\"bare\"/> in {2}, or {3} between the two", part.text, say(dirty), say(bond), what == "silicone" ? "abrade the face" : "degrease it")));
}

/// Sprayed with the rest, it would be spoiled: a window, a display, felt, what moves. And no film holds on silicone.
bool film_would_spoil(const Facts& facts, const job::Step& bond, const PartId& coated) {
  for (const JointId& id : bond.bonds) {
    const job::Joint& joint = *facts.job.joint(id);
    if (facts.card(joint.adhesive).word_or("chemistry") == "silicone") return true;
    for (const PartId& member : joint.between) {
      const bool bears_none = optical(facts, member) || natural_fibre(facts, member) || marked(facts, member, "no-coat") || marked(facts, member, "moving");
      if (member != coated && bears_none) return true;
    }
  }
  return false;
}

/// Felt, leather, cloth and paper glued on before it would drink the oil, or stiffen with shellac and wax.
bool oil_would_spoil(const Facts& facts, const job::Step& bond, const PartId& oiled) {
  return std::any_of(bond.bonds.begin(), bond.bonds.end(), [&](const JointId& id) {
    const std::vector<PartId>& members = facts.job.joint(id)->between;
    return has(members, oiled) && std::any_of(members.begin(), members.end(), [&](const PartId& m) { return m != oiled && natural_fibre(facts, m) && !wooden(facts, m); });
  });
}

bool finishes(const Facts& facts, const job::Step& step) { return facts.process(step).word_or("class") == "finish"; }

/// A cell is soldered on last of all, the board coated before; so is what bears no coat. Soldered before the coat, with no cleaning
/// listed after it, a joint would have its flux shut in.
bool soldered_on_a_coat(const Facts& facts, const job::Step& film, const job::Step& bond) {
  if (film.process.text != "coat-board" || bond.process.text != "hand-solder") return film.process.text == "coat-board" && connects_a_cell(facts, bond);
  const bool bears_none = std::any_of(bond.installs.begin(), bond.installs.end(), [&](const job::Installs& i) { return marked(facts, i.part, "no-coat"); });
  const auto cleans = [&](const job::Step& s) { return facts.process(s).word_or("class") == "clean" && s.process.text != "dry" && on_one_body(facts, s, bond); };
  return bears_none || connects_a_cell(facts, bond) || std::none_of(&bond + 1, facts.job.steps.data() + facts.job.steps.size(), cleans);
}

/// The face is bared by a mask that covers it, or by a step between the two.
bool bared_between(const Facts& facts, const job::Step& dirty, const job::Step& bond, const PartId& part) {
  Options masked;
  masked_ways(facts, dirty, bond, part, masked);
  return !masked.empty() || std::any_of(&dirty + 1, &bond, [&](const job::Step& s) { return takes_off(facts, s, part, dirty); });
}

bool locks(const Facts& facts, const job::Step& bond, const PartId& part) {
  return std::any_of(bond.bonds.begin(), bond.bonds.end(), [&](const JointId& id) {
    const job::Joint& joint = *facts.job.joint(id);
    return facts.card(joint.adhesive).word_or("chemistry") == "anaerobic" && has(joint.between, part);
  });
}

/// Grease that is put on before the threadlocker goes in a groove that its thread closes: the order stands as listed. False: no threadlocker
/// comes after it, or a step wipes it off.
bool greased_before_lock(const Facts& facts, const job::Step& grease, const job::Step& bond, const PartId& part, const std::string& what, Yield& yield) {
  if (grease.process.text != "lubricate" || &bond < &grease || !locks(facts, bond, part) || bared_between(facts, grease, bond, part)) return false;
  const std::vector<std::string> free = left_free(grease);
  const auto thread = [](const std::string& words) { return words.find("thread") != std::string::npos; };
  if (std::any_of(free.begin(), free.end(), thread)) return true;
  const bool greased = thread(step_words(grease));
  yield.findings.push_back(about_face(greased ? plan::Severity::warn : plan::Severity::undecided, bond, grease, part,
                                      fmt::format("{} leaves {} on {}, and {} puts threadlocker on its thread: {}", say(grease), what, facts.name(part), say(bond), greased ? "it does not harden there" : "nothing says that the grease keeps off the thread"),
                                      fmt::format("keep it off the thread and say so in a line of {}, or degrease the thread between the two", say(grease))));
  return true;
}

/// Said once, of the first coat: the second and the wiping stand or fall with it.
bool coated_before(const Facts& facts, const job::Step& coat, const PartId& part) {
  return std::any_of(facts.job.steps.data(), &coat, [&](const job::Step& s) { return finishes(facts, s) && works_on(facts, s, part); });
}

void ask_for_bare(const Facts& facts, const job::Step& coat, const job::Step& bond, const PartId& part, std::string_view but, Yield& yield) {
  const bool pads = coat.process.text == "coat-board" && bond.bonds.empty();
  const std::string_view puts = coat.process.text == "coat-board" || coat.process.text == "lacquer" ? "coats" : coat.process.text == "oil" ? "oils" : "finishes";
  yield.findings.push_back(about_face(plan::Severity::undecided, bond, coat, part, fmt::format("{} {} {}, and {} {} on it: {}nothing says that the {} bare", say(coat), puts, facts.name(part), say(bond), pads ? "solders" : "glues", but, pads ? "pads are" : "seat is"),
                                      fmt::format("mask the {0} before {1} and unmask after; or scrape the {0}, and say so in a line of {2}; or name the faces", pads ? "pads" : "seat", say(coat), say(bond))));
}

/// The builder puts the bond behind the film, or behind its drying.
bool builder_puts_after(const Facts& facts, const job::Step& film, const job::Step& bond, const PartId& part) {
  return &film < &bond && finishes(facts, film) && std::any_of(bond.after.begin(), bond.after.end(), [&](const job::After& after) {
    const job::Step* s = facts.job.step(after.step);
    return s == &film || (s != nullptr && &film < s && works_on(facts, *s, part) && (finishes(facts, *s) || s->process.text == "dry"));
  });
}

/// A window goes into a case that is painted, and not the paint over the window; felt goes on what is oiled, and so does what the builder
/// puts there: the order stands as listed, and the job says how the seat is bared. False: the two may be turned, or another step bares it.
bool film_stays_first(const Facts& facts, const job::Step& film, const job::Step& bond, const PartId& part, Yield& yield) {
  const bool oil = film.process.text == "oil" || film.process.text == "wipe-off";
  const bool soaks = oil || film.process.text == "shellac" || film.process.text == "wax";
  const bool spoilt = (film.process.text == "lacquer" && film_would_spoil(facts, bond, part)) || (soaks && oil_would_spoil(facts, bond, part));
  const bool stated = builder_puts_after(facts, film, bond, part);
  if (&bond < &film || (!soldered_on_a_coat(facts, film, bond) && !spoilt && !stated) || bared_between(facts, film, bond, part)) return false;
  if ((!soaks && !stated) || !coated_before(facts, film, part)) ask_for_bare(facts, film, bond, part, "", yield);
  return true;
}

/// Something is masked or left free, and what it is called is not what is glued or soldered on: the order stands as listed, and the job
/// says whether this face is among it.
bool something_left_free(const Facts& facts, const job::Step& coat, const job::Step& bond, const PartId& part, Yield& yield) {
  if (&bond < &coat || !finishes(facts, coat) || bared_between(facts, coat, bond, part)) return false;
  const bool said = spared_for(facts, coat, bond, part) == Spared::something;
  const auto mask = std::find_if(facts.job.steps.data(), &coat, [&](const job::Step& s) {
    const job::Step* off = s.process.text == "mask" && works_on(facts, s, part) ? unmasks(facts, s) : nullptr;
    return off != nullptr && &coat < off && masked_for(facts, s, bond, part) == Spared::something;
  });
  if (!said && mask == &coat) return false;
  if (!coated_before(facts, coat, part)) ask_for_bare(facts, coat, bond, part, fmt::format("{} names other things, and ", say(said ? coat : *mask)), yield);
  return true;
}

/// A coated board is potted coat and all: the resin holds it in the can as it lies there. On silicone no resin holds.
bool potted_coat(const Facts& facts, const job::Step& coat, const job::Step& bond) {
  if (coat.process.text != "coat-board" || bond.process.text != "pot") return false;
  return std::none_of(coat.materials.begin(), coat.materials.end(), [&](const job::MaterialUse& u) { return facts.card(u.card).word_or("family") == "silicone"; });
}

/// Listed between the two, something is put on the finished part that the bond has nothing to do with.
const job::Step* assembled_between(const Facts& facts, const job::Step& finish, const job::Step& bond, const PartId& part) {
  const std::set<PartId> bonded = bare_for(facts, bond);
  const auto puts_on = [&](const job::Step& s) {
    return s.bonds.empty() && !s.installs.empty() && works_on(facts, s, part) && std::none_of(s.installs.begin(), s.installs.end(), [&](const job::Installs& i) { return bonded.contains(i.part); });
  };
  const job::Step* found = &bond < &finish ? &bond : std::find_if(&finish + 1, &bond, puts_on);
  return found == &bond ? nullptr : found;
}

/// What was fitted to the finished part since would have to go in before the finish with the glue: the order stands as listed, and the
/// job says how the seat is bared.
bool finish_stays_first(const Facts& facts, const job::Step& finish, const job::Step& bond, const PartId& part, Yield& yield) {
  const job::Step* fitted = finishes(facts, finish) ? assembled_between(facts, finish, bond, part) : nullptr;
  if (fitted == nullptr || bond.bonds.empty() || bared_between(facts, finish, bond, part)) return false;
  if (coated_before(facts, finish, part)) return true;
  // What it hides has to be in first.
  const std::string sooner = bond.hides.empty() ? fmt::format("list {} before {}; or ", say(bond), say(finish)) : "";
  yield.findings.push_back(about_face(plan::Severity::undecided, bond, finish, part,
                                      fmt::format("{} leaves {} on {}, {} works on it after that, and {} glues on it: nothing says that the seat is bare", say(finish), left_by(facts, finish), facts.name(part), say(*fitted), say(bond)),
                                      fmt::format("{}mask the seat before {} and unmask it after; or scrape it, and say so in a line of {}; or name the faces", sooner, say(finish), say(bond))));
  return true;
}

}  // namespace

void masks_off(const Facts& facts, const KnownOrder& order, const job::Step& mask, Yield& yield) {
  if (mask.process.text != "mask") return;
  const job::Step* off = unmasks(facts, mask);
  if (off == nullptr) {
    yield.findings.push_back(finding(kMaskRule, plan::Severity::warn, mask, fmt::format("what {} masks stays masked: no step takes the mask off", say(mask)),
                                     fmt::format("add a step of process unmask on '{}'", mask.on.text), practice()));
    return;
  }
  if (!mask.face_gives.empty()) return;
  std::vector<std::string> glued;
  const std::set<PartId> masked = worked_on(facts, mask);
  for (const job::Step& s : facts.job.steps) {
    if (s.bonds.empty() || !order.before(off->id, s.id)) continue;
    const std::set<PartId> bare = bare_for(facts, s);
    if (std::any_of(bare.begin(), bare.end(), [&](const PartId& p) { return masked.contains(p); })) glued.push_back(say(s));
  }
  if (glued.size() < 2) return;
  yield.findings.push_back(finding(kMaskRule, plan::Severity::note, mask, fmt::format("{} is taken to cover every face that is glued after it: {}", say(mask), fmt::join(glued, ", ")),
                                   fmt::format("where it does not, name what it covers: <gives face=\"{}.seat\" is=\"masked\"/>", mask.on.text), stated()));
}

bool spoils_bonds(std::string_view contaminant) {
  return contaminant == "oil" || contaminant == "wax" || contaminant == "lacquer" || contaminant == "silicone";
}

std::string left_by(const Facts& facts, const job::Step& step) {
  std::string what = facts.process(step).word_or("contaminates");
  if (what == "oil" && step.process.text == "turn" && wooden(facts, step.on)) what = "dust";
  return what;
}

std::set<PartId> bare_for(const Facts& facts, const job::Step& step) {
  const std::string needed = facts.process(step).word_or("surface-needed");
  std::set<PartId> parts;
  for (const JointId& id : step.bonds) {
    for (const PartId& member : facts.job.joint(id)->between) {
      for (const PartId& inside : facts.job.within(member)) parts.insert(inside);
    }
  }
  const bool wet = needed == "bare" || needed == "degreased";
  // A second coat of a finish goes on the first: finishes do not ask for a bare face here.
  const bool finish = facts.process(step).word_or("class") == "finish";
  if (parts.empty() && wet && !finish && step.process.text != "activate") parts = worked_on(facts, step);
  return parts;
}

void clean_faces(const Facts& facts, const job::Step& dirty, const job::Step& bond, Yield& yield) {
  const bool own = spoils_bonds(left_by(facts, dirty));
  const std::string what = own ? left_by(facts, dirty) : grease_left(facts, dirty);
  if (!spoils_bonds(what)) return;
  const std::set<PartId> bare = bare_for(facts, bond);
  if (bare.empty() || bares_it(bond) || potted_coat(facts, dirty, bond)) return;
  for (const PartId& part : soiled_by(facts, dirty)) {
    if (!bare.contains(part) || other_faces(dirty, bond, part)) continue;
    if (!own || (dirty.process.text == "lubricate" && covered_since(facts, dirty, bond, part))) {
      with_other_work(facts, dirty, bond, part, what, yield);
      continue;
    }
    if (&dirty < &bond && spared_for(facts, dirty, bond, part) == Spared::this_face) continue;
    if (greased_before_lock(facts, dirty, bond, part, what, yield)) continue;
    if (film_stays_first(facts, dirty, bond, part, yield) || finish_stays_first(facts, dirty, bond, part, yield) || something_left_free(facts, dirty, bond, part, yield)) continue;
    Options options = ways(facts, dirty, bond, part, what);
    if (options.empty()) {
      yield.findings.push_back(nobody_cleans(facts, dirty, bond, part, what));
      continue;
    }
    at_least_one(yield, kRule, std::move(options), fmt::format("{} bare for {}, with {}", facts.name(part), say(bond), say(dirty)), bond.place);
  }
}

}  // namespace handlot::rules
