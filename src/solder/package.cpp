#include "solder/package.h"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "core/text.h"

namespace handlot::solder {

namespace {

/// Bodies as bits: a name may stand for several of them.
enum Body : unsigned {
  chip = 1u << 0,
  so = 1u << 1,        // 1.27 mm between leads
  fine_so = 1u << 2,   // 0.65 or 0.5 mm
  sot23 = 1u << 3,
  sc70 = 1u << 4,
  sot223 = 1u << 5,
  sot89 = 1u << 6,
  sot143 = 1u << 7,
  sot523 = 1u << 8,
  sot563 = 1u << 9,
  sot723 = 1u << 10,
  sod123 = 1u << 11,
  sod323 = 1u << 12,
  sod523 = 1u << 13,
  sma = 1u << 14,
  smb = 1u << 15,
  smc = 1u << 16,
  melf = 1u << 17,
  mini_melf = 1u << 18,
  leadless = 1u << 19,
  qfp = 1u << 20,
  plcc = 1u << 21,
  dip = 1u << 22,
  bga = 1u << 23,
  to92 = 1u << 24,
  to220 = 1u << 25,
  to247 = 1u << 26,
  to252 = 1u << 27,
  to263 = 1u << 28,
  do41 = 1u << 29,
  do35 = 1u << 30,
};

struct Family {
  std::string_view name;  ///< letters and digits as they stand together once dashes are out
  unsigned bodies;
  int pins = 0;           ///< that the name itself says
};

/// Names whose number is a part of them.
constexpr std::array kNumbered{
    Family{"sot23", sot23}, Family{"tsot23", sot23}, Family{"sot25", sot23, 5}, Family{"sot26", sot23, 6}, Family{"sot457", sot23, 6}, Family{"sot753", sot23, 5}, Family{"sot346", sot23},
    Family{"sc59", sot23}, Family{"sc74", sot23}, Family{"to236", sot23}, Family{"sot323", sc70, 3}, Family{"sot353", sc70, 5}, Family{"sot363", sc70, 6}, Family{"sot343", sc70, 4}, Family{"sc70", sc70},
    Family{"sc88", sc70}, Family{"sot223", sot223}, Family{"to261", sot223}, Family{"sot89", sot89}, Family{"to243", sot89}, Family{"sot143", sot143}, Family{"sot523", sot523},
    Family{"sot416", sot523}, Family{"sc75", sot523}, Family{"sot563", sot563}, Family{"sot666", sot563}, Family{"sot723", sot723}, Family{"sod123", sod123}, Family{"sod323", sod323}, Family{"sc76", sod323},
    Family{"sod523", sod523}, Family{"sc79", sod523}, Family{"sod80", mini_melf}, Family{"ll34", mini_melf}, Family{"do213", melf | mini_melf}, Family{"do214", sma | smb | smc}, Family{"do214ac", sma}, Family{"do214aa", smb},
    Family{"do214ab", smc}, Family{"do41", do41}, Family{"do204al", do41}, Family{"do35", do35}, Family{"do204ah", do35}, Family{"to92", to92}, Family{"to220", to220}, Family{"to247", to247},
    Family{"to252", to252}, Family{"to263", to263}, Family{"d2pak", to263}};

/// Names that a count of pins may follow.
constexpr std::array kWorded{
    Family{"so", so}, Family{"soic", so}, Family{"sop", so | fine_so}, Family{"hsop", so | fine_so}, Family{"hsoic", so}, Family{"ssop", fine_so}, Family{"tssop", fine_so}, Family{"htssop", fine_so}, Family{"msop", fine_so},
    Family{"vssop", fine_so}, Family{"hvssop", fine_so}, Family{"qsop", fine_so}, Family{"usop", fine_so}, Family{"qfn", leadless}, Family{"vqfn", leadless}, Family{"wqfn", leadless}, Family{"uqfn", leadless}, Family{"tqfn", leadless},
    Family{"hvqfn", leadless}, Family{"mlf", leadless}, Family{"lfcsp", leadless}, Family{"dfn", leadless}, Family{"udfn", leadless}, Family{"tdfn", leadless}, Family{"xdfn", leadless}, Family{"son", leadless}, Family{"wson", leadless},
    Family{"vson", leadless}, Family{"uson", leadless}, Family{"xson", leadless}, Family{"lga", leadless | bga}, Family{"qfp", qfp}, Family{"lqfp", qfp}, Family{"tqfp", qfp}, Family{"htqfp", qfp}, Family{"pqfp", qfp},
    Family{"vqfp", qfp}, Family{"mqfp", qfp}, Family{"plcc", plcc}, Family{"dip", dip}, Family{"pdip", dip}, Family{"cdip", dip}, Family{"dil", dip}, Family{"bga", bga}, Family{"fbga", bga},
    Family{"tfbga", bga}, Family{"vfbga", bga}, Family{"sma", sma}, Family{"smb", smb}, Family{"smc", smc}, Family{"melf", melf | mini_melf}, Family{"minimelf", mini_melf}, Family{"dpak", to252}, Family{"ddpak", to263}};

/// A run of letters or of digits, and what stands before and after it.
struct Piece {
  std::string text;
  bool digits = false;
  char before = '\0', after = '\0';
  bool joined = false;  ///< to the one before, by nothing or a dash
};

std::vector<Piece> pieces_of(std::string_view name) {
  const auto digit = [](char c) { return c >= '0' && c <= '9'; };
  const auto word = [&](char c) { return digit(c) || (c >= 'a' && c <= 'z'); };
  std::vector<Piece> all;
  std::size_t last_end = 0;
  for (std::size_t i = 0; i < name.size();) {
    std::size_t end = i;
    while (end < name.size() && word(name[end]) && digit(name[end]) == digit(name[i])) ++end;
    if (end == i) {
      ++i;
      continue;
    }
    const std::string_view between = name.substr(last_end, i - last_end);
    all.push_back({std::string(name.substr(i, end - i)), digit(name[i]), i > 0 ? name[i - 1] : '\0', end < name.size() ? name[end] : '\0', between.empty() || between == "-"});
    i = last_end = end;
  }
  return all;
}

struct Read {
  unsigned bodies = 0;
  std::optional<int> pins;
  std::string_view size = {};  ///< of a chip, in inch
};

/// A count of pins, and no length of a body, pitch or chip's code.
std::optional<int> pins_in(const Piece& p) {
  if (!p.digits || p.text.size() > 3 || p.before == '.' || p.after == '.' || p.after == 'x' || p.after == 'p' || p.after == 'm') return std::nullopt;
  const int pins = std::stoi(p.text);
  return pins >= 2 ? std::optional(pins) : std::nullopt;
}

const Family* among(const auto& families, const std::string& name) {
  const auto found = std::find_if(families.begin(), families.end(), [&](const Family& f) { return f.name == name; });
  return found == families.end() ? nullptr : &*found;
}

/// "sot", "23" and "to", "236", "ab" with what may follow; the longest name that is known.
std::optional<Read> numbered(const std::vector<Piece>& p, std::size_t at) {
  for (std::size_t count = std::min<std::size_t>(3, p.size() - at); count >= 2; --count) {
    std::string name = p[at].text;
    bool whole = true;
    for (std::size_t k = 1; k < count; ++k) {
      whole = whole && p[at + k].joined;
      name += p[at + k].text;
    }
    const Family* family = whole ? among(kNumbered, name) : nullptr;
    if (family == nullptr) continue;
    Read read{family->bodies, family->pins > 0 ? std::optional(family->pins) : std::nullopt};
    if (!read.pins && at + count < p.size() && p[at + count].joined && p[at + count].before == '-') read.pins = pins_in(p[at + count]);
    return read;
  }
  return std::nullopt;
}

std::optional<Read> worded(const std::vector<Piece>& p, std::size_t at) {
  std::string name = p[at].text;
  std::size_t next = at + 1;
  if (name == "mini" && next < p.size() && p[next].text == "melf") name = "minimelf", ++next;
  const Family* family = among(kWorded, name);
  if (family == nullptr) return std::nullopt;
  Read read{family->bodies, std::nullopt};
  if (next < p.size() && (p[next].joined || p[next].before == ' ' || p[next].before == '_')) read.pins = pins_in(p[next]);
  std::size_t front = at;
  while (!read.pins && front > 0 && (p[front - 1].text == "pin" || p[front - 1].text == "pins" || p[front - 1].text == "lead" || p[front - 1].text == "ld")) --front;
  const bool counts = front > 0 && (front < at || p[at].joined) && (front == 1 || !p[front - 1].joined);
  if (!read.pins && counts) {
    // "8-SOIC", "16-pin TSSOP": the letter that follows the number is no unit here.
    Piece count = p[front - 1];
    count.after = '\0';
    read.pins = pins_in(count);
  }
  return read;
}

std::optional<Read> reading_of(std::string_view raw, CodeUnit unit) {
  const auto library = raw.rfind(':');
  const std::string name = lower(library == std::string_view::npos ? raw : raw.substr(library + 1));
  const auto pieces = pieces_of(name);
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (auto found = numbered(pieces, i)) return found;
    if (pieces[i].digits) continue;
    if (auto found = worded(pieces, i)) return found;
  }
  if (const auto size = chip_size_or(name, unit)) return Read{chip, std::nullopt, size->inch};
  return std::nullopt;
}

/// Bodies that lie on the pads of a chip too: a two-pin DFN on those of an 0402, a MELF on those of a 1206.
constexpr unsigned kNearChips = leadless | bga | melf | mini_melf | plcc | sod523;

}  // namespace

bool packages_differ(std::string_view a, std::string_view b, CodeUnit unit) {
  const auto one = reading_of(a, unit), other = reading_of(b, unit);
  if (!one || !other) return false;
  if ((one->bodies & other->bodies) == 0) {
    const bool with_chip = ((one->bodies | other->bodies) & chip) != 0;
    return !with_chip || ((one->bodies | other->bodies) & kNearChips) == 0;
  }
  if (one->bodies == chip) return one->size != other->size;
  if (!one->pins || !other->pins) return false;
  const int more = std::abs(*one->pins - *other->pins);
  constexpr unsigned kSmall = sot23 | sc70 | sot563;  // no tab, no exposed pad
  return more > 1 || (more == 1 && (one->bodies & kSmall) != 0);
}

}  // namespace handlot::solder
