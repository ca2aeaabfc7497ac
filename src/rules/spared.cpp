#include "rules/spared.h"

#include <algorithm>
#include <array>
#include <cctype>

#include "core/text.h"
#include "rules/matter.h"
#include "rules/part_words.h"
#include "rules/saying.h"
#include "rules/step_words.h"

namespace handlot::rules {

namespace {

using Phrases = std::vector<std::string>;

Phrases split(std::string text, std::span<const std::string_view> at) {
  Phrases found;
  while (!text.empty()) {
    std::size_t cut = std::string::npos, length = 0;
    for (const std::string_view mark : at) {
      if (const std::size_t where = text.find(mark); where < cut) cut = where, length = mark.size();
    }
    found.push_back(text.substr(0, cut));
    text = cut == std::string::npos ? "" : text.substr(cut + length);
  }
  return found;
}

/// Behind the first of the words that stands in the text; empty: none does.
std::string behind(std::string_view text, std::span<const std::string_view> words) {
  for (const std::string_view word : words) {
    if (const std::size_t at = text.find(word); at != std::string_view::npos) return std::string(text.substr(at + word.size()));
  }
  return {};
}

/// "Tape the window seat", not "take the tape off".
bool tapes(std::string_view clause) {
  constexpr std::array<std::string_view, 5> kTaping{"tape", "taped", "mask", "masked", "masking"};
  constexpr std::array<std::string_view, 6> kOff{"take", "peel", "pull", "remove", "dry", "unmask"};
  return (says_one_word(kTaping, clause) && !says_one_word(kOff, clause)) || clause.starts_with("cap ") || clause.starts_with("plug ");
}

constexpr std::array<std::string_view, 9> kFree{"free", "bare", "dry", "clean", "clear", "uncoated", "open", "out", "alone"};

/// "Leave the seat dry", not "leave it to dry" or "leave it open for 10 min".
std::string left(std::string_view clause) {
  constexpr std::array<std::string_view, 1> kLeave{"leave "}, kFor{" for "};
  constexpr std::array<std::string_view, 6> kResting{"to dry", "to harden", "to cure", "to soak", "overnight", " for a"};
  const std::string rest = behind(clause, kLeave), time = behind(rest, kFor);
  const bool rests = says_one_of(kResting, rest) || (!time.empty() && std::isdigit(static_cast<unsigned char>(time.front())) != 0);
  return says_one_word(kFree, rest) && !rests ? rest : "";
}

std::string kept(std::string_view clause) {
  constexpr std::array<std::string_view, 1> kKeep{"keep "};
  constexpr std::array<std::string_view, 5> kOff{" off ", " out of ", " away from ", " clear of ", " from "};
  const std::string rest = behind(clause, kKeep), off = behind(rest, kOff);
  return !off.empty() ? off : says_one_word(kFree, rest) ? rest : "";
}

/// What one clause leaves free; empty: nothing.
std::string spared_in(const std::string& clause) {
  constexpr std::array<std::string_view, 16> kRound{"around ", "round the ", "round its ", "except ", "but not ", "not on ", "not the ", "not in ", "clear of ", "spare the ", "nothing on ", "no oil on ", "no lacquer on ", "no paint on ", "no coat on ", "above the glue"};
  constexpr std::array<std::string_view, 10> kStays{" stay free", " stays free", " stay bare", " stays bare", " stay dry", " stays dry", " left free", " left bare", " remain free", " remains free"};
  if (tapes(clause)) return clause;
  for (const std::string& rest : {left(clause), kept(clause)}) {
    if (!rest.empty()) return rest;
  }
  for (const std::string_view stays : kStays) {
    if (const std::size_t at = clause.find(stays); at != std::string::npos) return clause.substr(0, at);
  }
  // "Above the glue zone" names what it spares.
  return clause.find("above the glue") != std::string::npos ? "glue" : behind(clause, kRound);
}

constexpr std::array<std::string_view, 3> kClauseEnds{";", ". ", ": "};
constexpr std::array<std::string_view, 4> kPhraseEnds{" and ", ", ", " or ", " with "};

/// The parts that `later` puts on the body.
std::vector<PartId> joined_to(const Facts& facts, const job::Step& later, const PartId& body) {
  std::vector<PartId> found;
  const auto add = [&](const PartId& id) {
    if (!same_or_within(facts, id, body) && !has(found, id)) found.push_back(id);
  };
  for (const job::Installs& i : later.installs) add(i.part);
  for (const JointId& id : later.bonds) {
    const std::vector<PartId>& members = facts.job.joint(id)->between;
    if (std::any_of(members.begin(), members.end(), [&](const PartId& m) { return same_or_within(facts, m, body); })) std::for_each(members.begin(), members.end(), add);
  }
  return found;
}

bool names_another(const Facts& facts, const std::string& phrase, const std::vector<PartId>& wanted, const PartId& body) {
  if (names_part(facts, phrase, body)) return false;
  return std::any_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) { return !p.jig && !has(wanted, p.id) && names_part(facts, phrase, p.id); });
}

enum class Place { none, this_face, another };

/// Both speak of a bore, a pocket: the plug goes where the glue goes.
bool one_place(std::string_view phrase, const job::Step& later) {
  constexpr std::array<std::string_view, 14> kPlaces{"bore", "hole", "pocket", "groove", "slot", "recess", "socket", "mortise", "ledge", "lip", "shoulder", "boss", "flange", "rib"};
  const std::string words = step_words(later);
  return std::any_of(kPlaces.begin(), kPlaces.end(), [&](std::string_view place) { return says_noun(place, phrase) && says_noun(place, words); });
}

/// The face by what it is called where no part is named: a seat, pads; an underside, where the later step works there.
Place face_named(const std::string& phrase, const job::Step& later) {
  constexpr std::array<std::string_view, 12> kFaces{"seat", "glue", "bond", "joint", "pad", "rim", "rebate", "contact", "lowest", "lower end", "spigot", "tenon"};
  constexpr std::array<std::string_view, 2> kBelow{"underside", "bottom"};
  constexpr std::array<std::string_view, 7> kUnder{"under", "bottom", "below", "beneath", "foot", "feet", "felt"};
  if (says_one_of(kBelow, phrase)) return says_one_of(kUnder, step_words(later)) ? Place::this_face : Place::another;
  return says_one_of(kFaces, phrase) || one_place(phrase, later) ? Place::this_face : Place::none;
}

/// What the phrases name of what `later` puts on the body: all of it, some or other things, nothing.
Spared spared_by(const Facts& facts, const Phrases& phrases, const job::Step& later, const PartId& body) {
  const std::vector<PartId> wanted = joined_to(facts, later, body);
  std::set<PartId> named;
  bool face = false, another = false;
  for (const std::string& phrase : phrases) {
    const std::size_t before = named.size();
    for (const PartId& id : wanted) {
      if (names_part(facts, phrase, id)) named.insert(id);
    }
    if (named.size() > before) continue;
    const Place place = names_another(facts, phrase, wanted, body) ? Place::another : face_named(phrase, later);
    face = face || place == Place::this_face;
    another = another || place == Place::another;
  }
  if (face || (!wanted.empty() && named.size() == wanted.size())) return Spared::this_face;
  return another || !named.empty() ? Spared::something : Spared::nothing;
}

/// What the step says that it masks, one phrase for each thing.
Phrases masked_things(const Facts& facts, const job::Step& mask) {
  Phrases found;
  for (const std::string& line : step_lines(mask)) {
    const Phrases more = split(line, kPhraseEnds);
    found.insert(found.end(), more.begin(), more.end());
  }
  for (const job::FaceState& f : mask.face_gives) {
    if (const job::Part* p = facts.job.part(f.part); p != nullptr && f.state == "masked") found.push_back(lower(called(*p)));
  }
  return found;
}

}  // namespace

Phrases left_free(const job::Step& coat) {
  Phrases found;
  for (const std::string& line : step_lines(coat)) {
    for (const std::string& clause : split(line, kClauseEnds)) {
      const Phrases things = split(spared_in(clause), kPhraseEnds);
      found.insert(found.end(), things.begin(), things.end());
    }
  }
  return found;
}

bool spares(const Facts& facts, const job::Step& coat, const PartId& part) {
  const Phrases free = left_free(coat);
  return std::any_of(free.begin(), free.end(), [&](const std::string& phrase) { return names_part(facts, phrase, part); });
}

Spared spared_for(const Facts& facts, const job::Step& coat, const job::Step& later, const PartId& body) {
  Phrases free = left_free(coat);
  for (const job::Step& s : facts.job.steps) {
    if (&s == &coat) break;
    const bool first = s.process == coat.process || (coat.process.text == "wipe-off" && s.process.text == "oil");
    if (!first || s.on != coat.on) continue;
    const Phrases more = left_free(s);
    free.insert(free.end(), more.begin(), more.end());
  }
  return spared_by(facts, free, later, body);
}

Spared masked_for(const Facts& facts, const job::Step& mask, const job::Step& later, const PartId& body) {
  const bool its_face = std::any_of(mask.face_gives.begin(), mask.face_gives.end(), [&](const job::FaceState& f) { return f.part == body && f.state == "masked"; });
  return its_face ? Spared::this_face : spared_by(facts, masked_things(facts, mask), later, body);
}

bool mask_covers(const Facts& facts, const job::Step& mask, const PartId& part) {
  if (mask.on == part || has(mask.touches, part)) return true;
  Phrases things = masked_things(facts, mask);
  const auto named = [&](const PartId& id) { return std::any_of(things.begin(), things.end(), [&](const std::string& thing) { return names_part(facts, thing, id); }); };
  if (named(part)) return true;
  // "The sockets on the board" speaks of no other board.
  std::erase_if(things, [&](const std::string& thing) { return names_part(facts, thing, mask.on); });
  return std::none_of(facts.job.parts.begin(), facts.job.parts.end(), [&](const job::Part& p) { return !p.jig && named(p.id); });
}

}  // namespace handlot::rules
