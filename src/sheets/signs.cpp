#include "sheets/signs.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "sheets/svg_text.h"
#include "core/svg.h"

namespace handlot::sheets {

namespace {

// Symbols are drawn in `currentColor`, so that one drawing serves black on yellow and white on blue.
constexpr const char* kFlame =
    R"s(<path d="M50 14C58 28 70 36 70 54C70 68 61 76 50 76C39 76 30 68 30 55C30 46 36 41 38 32C43 36 45 40 46 45C51 36 52 26 50 14Z" fill="currentColor"/><path d="M50 70C43 70 40 64 42 58C45 61 47 60 49 52C55 57 59 62 57 66C55 69 53 70 50 70Z" fill="none" stroke="SHEET" stroke-width="3"/>)s";
constexpr const char* kExclamation =
    R"s(<path d="M50 18C56 18 58 22 57 29L53.5 59Q53 62 50 62Q47 62 46.5 59L43 29C42 22 44 18 50 18Z" fill="currentColor"/><circle cx="50" cy="74" r="6.5" fill="currentColor"/>)s";
constexpr const char* kSkull =
    R"s(<path d="M26 66 74 84M74 66 26 84" stroke="currentColor" stroke-width="7" stroke-linecap="round"/><path d="M50 16C64 16 72 25 72 37C72 46 68 50 63 53L62 64L38 64L37 53C32 50 28 46 28 37C28 25 36 16 50 16Z" fill="currentColor"/><ellipse cx="41" cy="39" rx="5.5" ry="6" fill="SHEET"/><ellipse cx="59" cy="39" rx="5.5" ry="6" fill="SHEET"/><path d="M50 45 46.5 52 53.5 52Z" fill="SHEET"/><path d="M44 57V64M50 57V64M56 57V64" stroke="SHEET" stroke-width="2"/>)s";
constexpr const char* kBomb =
    R"s(<circle cx="45" cy="62" r="15" fill="currentColor"/><path d="M54 49 59 42 66 47 61 54Z" fill="currentColor"/><path d="M63 42Q70 32 78 38" stroke="currentColor" stroke-width="3" fill="none"/><path d="M40 42 33 22M50 40 50 16M58 36 64 20M30 50 16 42M28 62 14 64M66 60 84 62M64 68 78 78" stroke="currentColor" stroke-width="4"/>)s";
constexpr const char* kOxidizing =
    R"s(<circle cx="50" cy="62" r="14" fill="none" stroke="currentColor" stroke-width="6"/><path d="M50 14C55 22 61 27 60 36C60 42 56 45 50 45C44 45 40 42 40 36C40 31 43 29 44 25C47 27 47 29 48 31C50 26 51 20 50 14Z" fill="currentColor"/><path d="M34 84H66" stroke="currentColor" stroke-width="5"/>)s";
constexpr const char* kCylinder =
    R"s(<g transform="rotate(62 50 52)"><rect x="40" y="26" width="20" height="56" rx="9" fill="currentColor"/><rect x="46" y="15" width="8" height="12" fill="currentColor"/></g>)s";
constexpr const char* kCorrosion =
    R"s(<g transform="rotate(-62 34 30)"><path d="M29 14V40Q34 46 39 40V14Z" fill="none" stroke="currentColor" stroke-width="3.5"/></g><g transform="rotate(62 66 30)"><path d="M61 14V40Q66 46 71 40V14Z" fill="none" stroke="currentColor" stroke-width="3.5"/></g><path d="M30 40V46M36 42V50M64 42V50M70 40V46" stroke="currentColor" stroke-width="3"/><path d="M18 56H28Q31 64 35 56H46V66H18Z" fill="currentColor"/><path d="M54 62Q58 54 66 56L80 58Q84 60 80 63L70 64L68 68L54 68Z" fill="currentColor"/>)s";
constexpr const char* kHealth =
    R"s(<circle cx="50" cy="28" r="10" fill="currentColor"/><path d="M30 74V56Q30 42 42 41H58Q70 42 70 56V74Z" fill="currentColor"/><path d="M50 43 53 53 62 48 57 57 67 60 57 63 62 72 53 67 50 77 47 67 38 72 43 63 33 60 43 57 38 48 47 53Z" fill="SHEET"/>)s";
constexpr const char* kEnvironment =
    R"s(<path d="M36 66V40M36 52 27 42M36 48 44 36M36 42 31 30M36 42 42 28" stroke="currentColor" stroke-width="4" stroke-linecap="round" fill="none"/><path d="M20 68H50Q60 72 72 68" stroke="currentColor" stroke-width="4" fill="none"/><path d="M50 58Q60 48 72 57L80 51V65L72 60Q60 68 50 58Z" fill="currentColor"/><circle cx="57" cy="56.5" r="1.8" fill="SHEET"/>)s";

// For the triangle, whose middle lies lower and is narrower: the same symbols, smaller.
constexpr const char* kBolt = R"s(<path d="M54 30 40 62H49L45 82 62 54H52L58 30Z" fill="currentColor"/>)s";
constexpr const char* kHot =
    R"s(<path d="M28 79H72" stroke="currentColor" stroke-width="6"/><path d="M38 72Q32 64 38 58T38 44M50 72Q44 64 50 56T50 38M62 72Q56 64 62 58T62 44" stroke="currentColor" stroke-width="4.5" fill="none" stroke-linecap="round"/>)s";
constexpr const char* kSharp =
    R"s(<path d="M30 46 62 62 58 68 30 52Z" fill="currentColor"/><path d="M58 82V70Q58 63 64 63Q70 63 70 70V82Z" fill="currentColor"/><path d="M52 74 46 80M50 68 42 70" stroke="currentColor" stroke-width="3" stroke-linecap="round"/>)s";
constexpr const char* kCrush =
    R"s(<path d="M30 42H70V52H30Z" fill="currentColor"/><path d="M30 80H70" stroke="currentColor" stroke-width="5"/><path d="M34 66Q34 60 40 60H58Q66 60 66 66Q66 72 60 73H42Q34 73 34 66Z" fill="currentColor"/><path d="M50 53V59M46 56 50 60 54 56" stroke="currentColor" stroke-width="2.5" fill="none"/>)s";
constexpr const char* kRays =
    R"s(<circle cx="50" cy="61" r="8" fill="currentColor"/><path d="M50 36V49M50 73V84M26 61H38M62 61H74M34 45 41 52M66 45 59 52M34 77 41 70M66 77 59 70" stroke="currentColor" stroke-width="4"/>)s";
constexpr const char* kLaser =
    R"s(<circle cx="40" cy="62" r="5" fill="currentColor"/><path d="M40 62H80" stroke="currentColor" stroke-width="4"/><path d="M40 44V54M40 70V80M26 62H32M28 50 34 56M52 50 46 56M28 74 34 68M52 74 46 68" stroke="currentColor" stroke-width="3"/>)s";
constexpr const char* kCold =
    R"s(<path d="M50 38V84M30 50 70 72M70 50 30 72M45 41 50 46 55 41M45 81 50 76 55 81M31 56 37 54 36 48M69 56 63 54 64 48M31 66 37 68 36 74M69 66 63 68 64 74" stroke="currentColor" stroke-width="3.5" fill="none"/>)s";
constexpr const char* kMagnet =
    R"s(<path d="M34 78V60Q34 44 50 44Q66 44 66 60V78H57V60Q57 53 50 53Q43 53 43 60V78Z" fill="currentColor"/><path d="M34 72H43M57 72H66" stroke="SHEET" stroke-width="2.5"/>)s";
constexpr const char* kBadAir =
    R"s(<circle cx="50" cy="47" r="7" fill="currentColor"/><path d="M38 80V68Q38 57 50 57Q62 57 62 68V80Z" fill="currentColor"/><path d="M24 76Q28 70 32 76M68 76Q72 70 76 76M30 64Q33 59 36 64M64 64Q67 59 70 64" stroke="currentColor" stroke-width="3" fill="none"/>)s";
constexpr const char* kBattery =
    R"s(<rect x="28" y="52" width="44" height="28" fill="none" stroke="currentColor" stroke-width="5"/><path d="M36 46H44V50H36ZM56 46H64V50H56Z" fill="currentColor"/><path d="M34 66H44M56 66H66M61 61V71" stroke="currentColor" stroke-width="4"/>)s";

// White on blue.
constexpr const char* kGoggles =
    R"s(<path d="M50 16C66 16 72 28 72 42C72 58 64 70 58 76V86H42V76C36 70 28 58 28 42C28 28 34 16 50 16Z" fill="currentColor"/><path d="M27 38H73" stroke="SHEET" stroke-width="4"/><rect x="31" y="36" width="16" height="14" rx="6" fill="SHEET"/><rect x="53" y="36" width="16" height="14" rx="6" fill="SHEET"/>)s";
constexpr const char* kRespirator =
    R"s(<path d="M50 16C66 16 72 28 72 42C72 58 64 70 58 76V86H42V76C36 70 28 58 28 42C28 28 34 16 50 16Z" fill="currentColor"/><path d="M30 44 40 54M70 44 60 54" stroke="SHEET" stroke-width="3"/><path d="M38 52H62L60 68Q50 76 40 68Z" fill="SHEET"/><circle cx="50" cy="62" r="5.5" fill="currentColor"/>)s";
constexpr const char* kMask =
    R"s(<path d="M50 16C66 16 72 28 72 42C72 58 64 70 58 76V86H42V76C36 70 28 58 28 42C28 28 34 16 50 16Z" fill="currentColor"/><path d="M28 44 38 51M72 44 62 51M31 60 38 61M69 60 62 61" stroke="SHEET" stroke-width="2.5"/><path d="M37 48Q50 44 63 48L61 66Q50 74 39 66Z" fill="SHEET"/><path d="M40 54H60M41 60H59" stroke="currentColor" stroke-width="1.8"/>)s";
constexpr const char* kGloves =
    R"s(<path d="M28 80V54L24 34Q24 29 28 30L33 46L34 22Q36 18 39 22L40 44L43 20Q46 17 48 21L46 46L50 52Q52 60 44 66V80Z" fill="currentColor"/><path d="M72 80V54L76 34Q76 29 72 30L67 46L66 22Q64 18 61 22L60 44L57 20Q54 17 52 21L54 46L52 50Q52 60 57 66V80Z" fill="currentColor"/>)s";
constexpr const char* kEars =
    R"s(<path d="M50 20C64 20 70 30 70 43C70 58 63 69 57 75V84H43V75C37 69 30 58 30 43C30 30 36 20 50 20Z" fill="currentColor"/><path d="M26 46Q26 14 50 14Q74 14 74 46" fill="none" stroke="currentColor" stroke-width="4"/><rect x="20" y="38" width="11" height="20" rx="4" fill="currentColor" stroke="SHEET" stroke-width="2"/><rect x="69" y="38" width="11" height="20" rx="4" fill="currentColor" stroke="SHEET" stroke-width="2"/>)s";
constexpr const char* kOveralls =
    R"s(<path d="M38 18H45Q50 24 55 18H62L78 32L72 46L64 41V86H53V62H47V86H36V41L28 46L22 32Z" fill="currentColor"/><path d="M50 24V56M36 54H64" stroke="SHEET" stroke-width="2.5"/>)s";
constexpr const char* kWash =
    R"s(<path d="M40 16H60V24H54V34H46V24H40Z" fill="currentColor"/><path d="M46 40V48M50 42V52M54 40V48" stroke="currentColor" stroke-width="3"/><path d="M18 66Q30 54 46 58L60 60Q66 63 60 66L52 68L74 60Q80 60 76 66L56 78Q44 84 30 76L18 80Z" fill="currentColor"/>)s";
constexpr const char* kBook =
    R"s(<path d="M50 30Q36 20 20 26V74Q36 68 50 78Q64 68 80 74V26Q64 20 50 30Z" fill="currentColor"/><path d="M50 32V76M27 38Q36 35 44 40M27 48Q36 45 44 50M27 58Q36 55 44 60M56 40Q64 35 73 38M56 50Q64 45 73 48M56 60Q64 55 73 58" stroke="SHEET" stroke-width="2.5" fill="none"/>)s";
constexpr const char* kPlug =
    R"s(<path d="M16 46H34V38H48V66H34V58H16Z" fill="currentColor"/><path d="M48 44H58M48 60H58" stroke="currentColor" stroke-width="5"/><path d="M66 36H84V68H66Z" fill="none" stroke="currentColor" stroke-width="4"/><circle cx="75" cy="45" r="2.5" fill="currentColor"/><circle cx="75" cy="59" r="2.5" fill="currentColor"/>)s";
constexpr const char* kEarth =
    R"s(<path d="M50 22V50M26 50H74M34 62H66M42 74H58" stroke="currentColor" stroke-width="6"/>)s";

// Black under a red ring.
constexpr const char* kCigarette =
    R"s(<path d="M20 54H68V64H20Z" fill="currentColor"/><path d="M71 54H75V64H71ZM78 54H82V64H78Z" fill="currentColor"/><path d="M76 48Q76 40 70 40T64 32M82 48Q84 38 78 34" stroke="currentColor" stroke-width="3" fill="none"/>)s";
constexpr const char* kMatch =
    R"s(<path d="M47 52H53V84H47Z" fill="currentColor"/><path d="M50 18C54 27 61 32 61 42C61 49 56 53 50 53C44 53 39 49 39 43C39 38 43 35 44 30C47 33 48 35 48 37C51 32 51 26 50 18Z" fill="currentColor"/>)s";
constexpr const char* kHand =
    R"s(<path d="M36 82V62L26 46Q26 41 31 44L38 52V26Q41 21 44 26V46L46 20Q49 16 52 20V46L55 23Q58 19 60 24L59 47L63 31Q66 28 68 33L66 60Q65 68 60 72V82Z" fill="currentColor"/>)s";
constexpr const char* kMeal =
    R"s(<path d="M30 20V40M25 20V38Q30 44 35 38V20M30 42V80" stroke="currentColor" stroke-width="3.5" fill="none"/><path d="M48 40H72L68 80H52Z" fill="none" stroke="currentColor" stroke-width="4"/><path d="M51 52H69L67 78H53Z" fill="currentColor"/>)s";

// White on green or red.
constexpr const char* kCross =
    R"s(<path d="M40 18H60V40H82V60H60V82H40V60H18V40H40Z" fill="currentColor"/>)s";
constexpr const char* kEyewash =
    R"s(<path d="M14 40Q50 8 86 40Q50 66 14 40Z" fill="none" stroke="currentColor" stroke-width="5"/><circle cx="50" cy="38" r="9" fill="currentColor"/><path d="M32 84Q32 70 40 60M50 84V60M68 84Q68 70 60 60" stroke="currentColor" stroke-width="4" fill="none" stroke-dasharray="5 4"/>)s";
constexpr const char* kExtinguisher =
    R"s(<path d="M42 36H62V82Q52 88 42 82Z" fill="currentColor"/><path d="M44 30H60V34H44ZM50 22H66V28H50Z" fill="currentColor"/><path d="M48 25Q28 28 28 54" stroke="currentColor" stroke-width="4" fill="none"/>)s";

struct Entry {
  std::string_view code;
  std::string_view meaning;
  const char* symbol;
};

// Source: names of symbols and numbers from memory of UN GHS annex 1 and the ISO 7010 register. Ascending by
// code.
constexpr std::array kSigns{
    Entry{"E003", "first aid", kCross},
    Entry{"E011", "eyewash station", kEyewash},
    Entry{"F001", "fire extinguisher", kExtinguisher},
    Entry{"GHS01", "exploding bomb: explosive", kBomb},
    Entry{"GHS02", "flame: flammable", kFlame},
    Entry{"GHS03", "flame over circle: oxidizing", kOxidizing},
    Entry{"GHS04", "gas cylinder: gas under pressure", kCylinder},
    Entry{"GHS05", "corrosion: burns skin and eyes, eats metal", kCorrosion},
    Entry{"GHS06", "skull and crossbones: poisonous", kSkull},
    Entry{"GHS07", "exclamation mark: harmful or irritant", kExclamation},
    Entry{"GHS08", "health hazard: lasting harm", kHealth},
    Entry{"GHS09", "environment: harms life in water", kEnvironment},
    Entry{"M001", "must be done", kExclamation},
    Entry{"M002", "read the instructions", kBook},
    Entry{"M003", "wear ear protection", kEars},
    Entry{"M004", "wear eye protection", kGoggles},
    Entry{"M005", "connect to earth", kEarth},
    Entry{"M009", "wear protective gloves", kGloves},
    Entry{"M010", "wear protective clothing", kOveralls},
    Entry{"M011", "wash your hands", kWash},
    Entry{"M016", "wear a mask", kMask},
    Entry{"M017", "wear respiratory protection", kRespirator},
    Entry{"M021", "disconnect before work", kPlug},
    Entry{"P001", "forbidden", ""},
    Entry{"P002", "no smoking", kCigarette},
    Entry{"P003", "no open flame, fire or ignition source", kMatch},
    Entry{"P010", "do not touch", kHand},
    Entry{"P022", "no eating or drinking", kMeal},
    Entry{"W001", "warning", kExclamation},
    Entry{"W002", "explosive material", kBomb},
    Entry{"W004", "laser beam", kLaser},
    Entry{"W006", "magnetic field", kMagnet},
    Entry{"W010", "low temperature, frost", kCold},
    Entry{"W012", "electricity", kBolt},
    Entry{"W016", "toxic material", kSkull},
    Entry{"W017", "hot surface", kHot},
    Entry{"W021", "flammable material", kFlame},
    Entry{"W022", "sharp element", kSharp},
    Entry{"W023", "corrosive substance", kCorrosion},
    Entry{"W024", "crushing of hands", kCrush},
    Entry{"W026", "battery charging", kBattery},
    Entry{"W027", "optical radiation", kRays},
    Entry{"W028", "oxidizing substance", kOxidizing},
    Entry{"W029", "pressurized cylinder", kCylinder},
    Entry{"W041", "bad air: suffocation", kBadAir},
};

const Entry* find(std::string_view code) {
  const auto found =
      std::find_if(kSigns.begin(), kSigns.end(), [&](const Entry& e) { return e.code == code; });
  return found == kSigns.end() ? nullptr : &*found;
}

/// Ground, colour of the symbol, colour of the ground under it, what stands over it.
struct Shape {
  std::string_view ground, ink, sheet, over, meaning;
};

Shape shape_of(std::string_view code) {
  if (code.starts_with("GHS")) {
    return {R"s(<path d="M50 4 96 50 50 96 4 50Z" fill="#fff" stroke="#d0021b" stroke-width="6"/>)s", "#000",
            "#fff", "", "hazardous substance"};
  }
  switch (code.empty() ? ' ' : code.front()) {
    case 'W':
      return {
          R"s(<path d="M50 9 95 87H5Z" fill="#ffd200" stroke="#000" stroke-width="7" stroke-linejoin="round"/>)s",
          "#000", "#ffd200", "", "warning"};
    case 'M':
      return {R"s(<circle cx="50" cy="50" r="47" fill="#00509e"/>)s", "#fff", "#00509e", "", "must be done"};
    case 'P':
      return {
          R"s(<circle cx="50" cy="50" r="43" fill="#fff"/>)s", "#000", "#fff",
          R"s(<path d="M20 20 80 80" stroke="#c1121f" stroke-width="8"/><circle cx="50" cy="50" r="43" fill="none" stroke="#c1121f" stroke-width="9"/>)s",
          "forbidden"};
    case 'E':
      return {R"s(<rect x="3" y="3" width="94" height="94" fill="#00794b"/>)s", "#fff", "#00794b", "",
              "safe condition"};
    case 'F':
      return {R"s(<rect x="3" y="3" width="94" height="94" fill="#c1121f"/>)s", "#fff", "#c1121f", "",
              "fire equipment"};
    default:
      return {R"s(<rect x="3" y="3" width="94" height="94" fill="#fff" stroke="#000" stroke-width="5"/>)s",
              "#000", "#fff", "", "sign"};
  }
}

bool fits_triangle(const char* symbol) {
  for (const char* own : {kBolt, kHot, kSharp, kCrush, kRays, kLaser, kCold, kMagnet, kBattery, kBadAir}) {
    if (symbol == own) return true;
  }
  return false;
}

std::string coloured(std::string_view symbol, const Shape& shape) {
  std::string out(symbol);
  for (const auto& [word, colour] :
       {std::pair<std::string_view, std::string_view>{"currentColor", shape.ink}, {"SHEET", shape.sheet}}) {
    for (auto at = out.find(word); at != std::string::npos; at = out.find(word, at + colour.size())) {
      out.replace(at, word.size(), colour);
    }
  }
  return out;
}

std::string placed(const Entry& entry, const Shape& shape) {
  const std::string symbol = coloured(entry.symbol, shape);
  if (entry.code.starts_with("GHS"))
    return fmt::format(R"s(<g transform="translate(14 15) scale(.72)">{}</g>)s", symbol);
  if (entry.code.front() == 'W' && !fits_triangle(entry.symbol)) {
    return fmt::format(R"s(<g transform="translate(22 30) scale(.56)">{}</g>)s", symbol);
  }
  if (entry.code.front() == 'W') return symbol;
  return fmt::format(R"s(<g transform="translate(8 8) scale(.84)">{}</g>)s", symbol);
}

}  // namespace

std::string sign_meaning(std::string_view code) {
  const Entry* entry = find(code);
  return std::string(entry ? entry->meaning : shape_of(code).meaning);
}

std::string sign_svg(std::string_view code) {
  const Shape shape = shape_of(code);
  const Entry* entry = find(code);
  const std::string symbol =
      entry
          ? placed(*entry, shape)
          : fmt::format(
                R"s(<text x="50" y="64" font-family="B612" font-size="20" font-weight="bold" text-anchor="middle" fill="{}">{}</text>)s",
                shape.ink, xml_escaped(code.substr(0, 5)));
  return fmt::format(
      R"s(<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="100" height="100">{}{}{}</svg>)s",
      shape.ground, symbol, shape.over);
}

std::vector<std::string> sign_codes() {
  std::vector<std::string> out;
  for (const auto& entry : kSigns) out.emplace_back(entry.code);
  return out;
}

}  // namespace handlot::sheets
