// The figures and words that cards may have. One line here, and the reader, `handlot cards`, the XSD test and the
// reference page know a new one.
#include <array>

#include "catalogue/catalogue.h"

namespace handlot::catalogue {

namespace {
using D = input::Dimension;

constexpr std::array kPartFigures{
    FigureName{"heat-limit", D::temperature, "highest temperature it survives in an oven or beside an iron"},
    FigureName{"reflow-limit", D::temperature, "highest body temperature in reflow, where the maker states one"},
    FigureName{"reflow-passes", D::count, "how many reflow passes the maker allows"},
    FigureName{"length", D::length, "outer size"}, FigureName{"width", D::length, "outer size"},
    FigureName{"height", D::length, "outer size, body thickness of a component"},
    FigureName{"mass", D::mass, "of one"}, FigureName{"price", D::price, "of one"},
    FigureName{"area", D::area, "face that is bonded or coated"},
    FigureName{"tolerance", D::length, "of its printed, milled or cut sizes, plus and minus"},
    FigureName{"attrition", D::percent, "spare to pull for each lot"},
    FigureName{"attrition-least", D::count, "spare to pull at the least"},
    FigureName{"outer-diameter", D::length, "of a cable"},
    FigureName{"bend-radius", D::length, "smallest, inside"},
    FigureName{"pad-area", D::area, "all its pads together, what holds it while its solder is molten"},
    FigureName{"iron-limit", D::temperature, "hottest tip the maker allows by hand"},
    FigureName{"iron-time", D::time, "longest contact of the iron with one of its legs"},
    FigureName{"grain-width", D::length, "width across the grain, for wood"},
    FigureName{"cord-diameter", D::length, "of an O-ring, free"},
    FigureName{"inner-diameter", D::length, "of an O-ring, free"},
};
constexpr std::array kPartWords{
    WordName{"material", "", "card of the material it is made of"},
    WordName{"moisture-level", "1 2 2a 3 4 5 5a 6", "moisture sensitivity level of J-STD-020"},
    WordName{"package", "", "chip size or package: 0603, qfn-32"},
    WordName{"package-unit", "inch metric", "which code the chip size is in"},
    WordName{"polarised", "yes no", "can be fitted the wrong way round"},
    WordName{"mark", "", "what shows which way round it goes: pin 1 dot, cathode bar"},
    WordName{"optical", "yes no", "lens, window, display: bloom and squeeze-out spoil it"},
    WordName{"clear", "yes no", "lets light through, for glue that hardens by it; replaces the word of its material"},
    WordName{"annealed", "yes no", "relaxed after cutting or moulding: short contact with alcohol does not crack it"},
    WordName{"display", "yes no", "a display"}, WordName{"cell", "yes no", "a lithium cell or a pack of them"},
    WordName{"mains", "yes no", "carries mains voltage"}, WordName{"moving", "yes no", "turns or slides in use"},
    WordName{"no-wash", "yes bath no", "bears no washing: an open sensor, relay, sounder; bath: bears a brush round it, and no bath"}, WordName{"no-coat", "yes no", "bears no coat"},
    WordName{"no-ultrasound", "yes no", "bears no ultrasound in a bath; a quartz or a small sensor that does not say is asked about"},
    WordName{"socket", "yes no", "something is plugged into it from outside: no resin may run in"},
    WordName{"board", "yes no", "a circuit board"}, WordName{"natural-fibre", "yes no", "felt, cork, leather, paper, cotton"},
    WordName{"step-file", "", "STEP file beside the card"}, WordName{"step-solid", "", "name of the solid in it"},
    WordName{"thread", "", "threads it has for screws: M3, or M12 M2.5"}, WordName{"fragile", "yes no", "glass, thin print"},
    WordName{"finish", "", "surface as supplied: bare, shellac, oil, wax, lacquer"},
    WordName{"self-adhesive", "yes no", "sticks by itself to what it is put on; without the word, its name says so"},
    WordName{"flexible", "yes no", "gives way when it is fitted: a belt, an O-ring, a band; what is of rubber does, unless it says no"},
    WordName{"grain", "", "quarter-sawn or flat-sawn, for wood"},
    WordName{"leaded", "yes no", "contains lead"},
    WordName{"made", "printed milled turned laser-cut sawn bought", "how it was made: the bench says how well that machine holds a size"},
};
constexpr std::array kScrewFigures{
    FigureName{"length", D::length, "under the head, or overall for a countersunk head"},
    FigureName{"torque", D::torque, "tightening torque"},
    FigureName{"heat-limit", D::temperature, "highest temperature, for plastic screws"},
    FigureName{"attrition", D::percent, "spare to pull for each lot"},
    FigureName{"attrition-least", D::count, "spare to pull at the least"},
    FigureName{"price", D::price, "of one"},
    FigureName{"thread-diameter", D::length, "nominal"}, FigureName{"pitch", D::length, ""},
    FigureName{"head-diameter", D::length, "largest"}, FigureName{"head-height", D::length, "largest"},
};
constexpr std::array kScrewWords{
    WordName{"thread", "", "M1.6 to M6"},
    WordName{"head", "pan cheese button countersunk socket set thread-forming hex", "form of the head"},
    WordName{"drive", "", "T8, PH1, hex 2"}, WordName{"material", "", "card of its material"},
    WordName{"strength", "", "property class: 4.8, 8.8, A2-70"},
};
constexpr std::array kMaterialFigures{
    FigureName{"heat-limit", D::temperature, "highest temperature it keeps its shape at, unloaded"},
    FigureName{"density", D::density, ""}, FigureName{"expansion", D::expansion, "linear"},
    FigureName{"anneal", D::temperature, "annealing temperature"},
    FigureName{"movement-radial", D::ratio, "dimensional change coefficient CR, 6 to 14 % moisture"},
    FigureName{"movement-tangential", D::ratio, "dimensional change coefficient CT, 6 to 14 % moisture"},
    FigureName{"shrinkage-radial", D::percent, "green to ovendry"},
    FigureName{"shrinkage-tangential", D::percent, "green to ovendry"},
    FigureName{"modulus", D::stress, "Young's modulus"},
};
constexpr std::array kMaterialWords{
    WordName{"family", "plastic metal wood fibre glass laminate rubber ceramic", "what it is"},
    WordName{"substrate", "", "row of the compatibility and fixture tables: abs, steel, oak"},
    WordName{"natural-fibre", "yes no", "felt, cotton, wool, leather, paper"},
    WordName{"stress-cracks", "yes no", "amorphous plastic that crazes under solvent and stress"},
    WordName{"sensitising-dust", "yes no", "its dust sensitises skin or lungs"},
    WordName{"hardwood", "yes no", "for the dust limit"},
    WordName{"clear", "yes no", "lets light through, for glue that hardens by it; metal, wood, fibre, laminate and ceramic do not, glass does"},
};
constexpr std::array kPasteFigures{
    FigureName{"solidus", D::temperature, ""}, FigureName{"liquidus", D::temperature, ""},
    FigureName{"density", D::density, "of the paste"}, FigureName{"alloy-density", D::density, ""},
    FigureName{"metal", D::percent, "metal by mass"},
    FigureName{"ramp", D::ramp, "rise before the peak, wherever it is steepest"},
    FigureName{"preheat-ramp", D::ramp, "rise up to preheat-to, where the sheet asks it of that stretch alone"},
    FigureName{"preheat-to", D::temperature, "liquidus, if it is left out"}, FigureName{"soak-from", D::temperature, ""},
    FigureName{"soak-to", D::temperature, ""}, FigureName{"soak", D::time, "time between the two soak temperatures"},
    FigureName{"above-liquidus", D::time, ""}, FigureName{"peak", D::temperature, ""},
    FigureName{"near-peak", D::time, "within 5 K of the peak"}, FigureName{"cooling", D::ramp, "fall after the peak"},
    FigureName{"time-to-peak", D::time, "from 25 degC"},
    FigureName{"warm-up", D::duration, "out of the fridge before it is opened"},
    FigureName{"stencil-life", D::duration, "on the stencil"},
    FigureName{"abandon", D::duration, "stencil left unwiped"},
    FigureName{"print-to-place", D::duration, "tack: printed until parts no longer stick"},
    FigureName{"print-to-reflow", D::duration, "printed until the oven"},
    FigureName{"open-life", D::duration, "after opening, in the shop"},
    FigureName{"shelf-life", D::duration, "stored as said"},
    FigureName{"bead", D::length, "diameter of the bead before the blade"},
    FigureName{"room-temperature", D::temperature, "printing room"},
    FigureName{"room-humidity", D::humidity, "printing room"},
};
constexpr std::array kPasteWords{
    WordName{"alloy", "", "Sn96.5Ag3Cu0.5"}, WordName{"powder", "3 4 5 6 7", "powder type"},
    WordName{"lead", "yes no", "contains lead"}, WordName{"flux", "no-clean water-soluble rosin", "flux family"},
    WordName{"straight-ramp", "yes no", "its sheet takes a straight ramp to the peak as well as a soak: a short soak is not judged"},
};
constexpr std::array kAdhesiveFigures{
    FigureName{"fixture", D::duration, "can't be pushed out of place"},
    FigureName{"handling", D::duration, "may be moved and unclamped, no load"},
    FigureName{"working", D::duration, "about 60 % of full strength"},
    FigureName{"full", D::duration, "full strength"},
    FigureName{"chemical", D::duration, "before oil, solvent or fragrance may touch it"},
    FigureName{"pot-life", D::duration, "mixed, in the cup"}, FigureName{"open-time", D::duration, "applied, before the joint is closed; of contact glue \"10..20 min\": no sooner and no later"},
    FigureName{"trim-from", D::duration, "squeeze-out may be cut from"}, FigureName{"trim-until", D::duration, "squeeze-out may be cut until"},
    FigureName{"vent", D::duration, "open before a box with optics is closed"},
    FigureName{"gap", D::length, "widest gap filled; a range where it goes by grade"}, FigureName{"best-gap", D::length, "gap for full strength"},
    FigureName{"depth", D::length, "deepest section that cures"},
    FigureName{"least-temperature", D::temperature, "below it the cure stalls"},
    FigureName{"humidity", D::humidity, "window for the stated times"},
    FigureName{"strength", D::stress, "lap shear, fully cured"},
    FigureName{"modulus", D::stress, ""}, FigureName{"heat-limit", D::temperature, "service"},
    FigureName{"density", D::density, ""}, FigureName{"drop", D::mass, "one drop"},
    FigureName{"viscosity", D::viscosity, ""}, FigureName{"flash-point", D::temperature, ""},
    FigureName{"exposure-limit", D::vapour, "8 h mean"}, FigureName{"exposure-limit-short", D::vapour, "15 min"},
    FigureName{"molar-mass", D::molar_mass, ""}, FigureName{"lower-limit", D::percent, "lower flammable limit of its solvent, by volume"},
    FigureName{"volatile", D::percent, "share that evaporates while it dries"},
    FigureName{"clamp-pressure", D::stress, ""}, FigureName{"shelf-life", D::duration, ""},
    FigureName{"most-temperature", D::temperature, "warmest room that the times hold for"},
    FigureName{"film", D::length, "usual thickness in the joint"},
    FigureName{"depth-per-day", D::length, "depth that has cured after 24 h, one-part"},
    FigureName{"expansion", D::expansion, "linear, cured"},
};
constexpr std::array kAdhesiveWords{
    WordName{"chemistry",
             "cyanoacrylate epoxy polyurethane polyurethane-moist acrylic silicone wood-glue anaerobic hot-melt light-cured "
             "solvent-cement other",
             "family; cure laws are never borrowed from another"},
    WordName{"bloom", "yes no", "its vapour settles white on nearby faces"},
    WordName{"by-product", "", "acetic acid, methanol"},
    WordName{"two-part", "yes no", "mixed before use"}, WordName{"mix", "", "proportion: 1:1 by volume"},
    WordName{"rigid", "yes no", "does not give when the parts move"},
};
constexpr std::array kSolderFigures{
    FigureName{"solidus", D::temperature, ""}, FigureName{"liquidus", D::temperature, ""},
    FigureName{"density", D::density, "of the alloy"}, FigureName{"diameter", D::length, "of the wire"},
    FigureName{"tip-temperature", D::temperature, "of the iron"},
    FigureName{"dwell", D::time, "of the iron on one joint"},
};
constexpr std::array kSolderWords{
    WordName{"alloy", "", "Sn96.5Ag3Cu0.5"}, WordName{"lead", "yes no", "contains lead"},
    WordName{"flux", "no-clean water-soluble rosin", "family of the flux in its core"},
};
constexpr std::array kFluidFigures{
    FigureName{"flash-point", D::temperature, ""}, FigureName{"lower-limit", D::percent, "lower flammable limit, by volume"},
    FigureName{"upper-limit", D::percent, "upper flammable limit, by volume"},
    FigureName{"molar-mass", D::molar_mass, ""}, FigureName{"density", D::density, ""},
    FigureName{"vapour-pressure", D::pressure, "at 20 degC"},
    FigureName{"exposure-limit", D::vapour, "8 h mean"}, FigureName{"exposure-limit-short", D::vapour, "15 min"},
    FigureName{"evaporation", D::ratio, "against butyl acetate"},
    FigureName{"dry", D::duration, "touch dry or evaporated from a wiped face"},
    FigureName{"recoat", D::duration, "next coat of its kind"}, FigureName{"full", D::duration, "fully cured"},
    FigureName{"hard", D::duration, "a film bears a clamp, a nut or wrapping; film or oil takes another finish"},
    FigureName{"soak", D::duration, "left on before the surplus is wiped off"},
    FigureName{"on-part-life", D::duration, "how long an activator works once applied"},
    FigureName{"coverage", D::ratio, "m2 a litre"}, FigureName{"volatile", D::percent, "share that evaporates"},
    FigureName{"least-temperature", D::temperature, ""}, FigureName{"humidity", D::humidity, ""},
    FigureName{"heat-limit", D::temperature, "of the dry film"}, FigureName{"viscosity", D::viscosity, ""},
    FigureName{"temperature", D::temperature, "of the room for applying it"},
};
constexpr std::array kFluidWords{
    WordName{"family", "", "row of the compatibility table: ipa, acetone, mineral-oil, drying-oil, essential-oil..."},
    WordName{"self-heating-rags", "yes maybe no", "rags with it catch fire by themselves; maybe: by brand"},
    WordName{"flammable", "yes no", "gives off flammable vapour at bench temperature"},
    WordName{"contaminates", "yes no", "keeps glue and solder from wetting a face"},
    WordName{"removes", "", "what it cleans off: flux, grease, oil"},
    WordName{"for", "", "chemistry that an activator serves"},
};
constexpr std::array kStationFigures{
    FigureName{"temperature", D::temperature, "highest it reaches"}, FigureName{"power", D::power, ""},
    FigureName{"tray-length", D::length, ""}, FigureName{"tray-width", D::length, ""},
    FigureName{"spacing", D::length, "between boards on the tray"},
    FigureName{"warm-up", D::duration, "once a session"}, FigureName{"stays-warm", D::duration, ""},
    FigureName{"overshoot", D::difference, "of the controller"}, FigureName{"ramp", D::ramp, "highest it can do"},
};
constexpr std::array kStationWords{
    WordName{"hot", "yes no", "a hot tool or oven: source of ignition"},
    WordName{"never-food", "yes no", "not to be used for food again"},
    WordName{"extracts", "yes no", "has fume extraction"},
    WordName{"lays-out", "yes no", "a table, shelf or rack: where the job does not say its places, as many units lie there as are laid there"},
};
constexpr std::array kToolFigures{
    FigureName{"shank-diameter", D::length, ""}, FigureName{"shank-length", D::length, "free length above the work"},
    FigureName{"handle-diameter", D::length, ""}, FigureName{"handle-length", D::length, ""},
    FigureName{"temperature", D::temperature, "of the tip"}, FigureName{"reach", D::length, "of an L-key: its long arm"},
    FigureName{"tip-diameter", D::length, "thinner end before the shank"}, FigureName{"tip-length", D::length, "of that end"},
    FigureName{"width", D::length, "of a flat tool, instead of the shank's diameter"},
    FigureName{"thickness", D::length, "of a flat tool"},
    FigureName{"lean", D::angle, "how far it may lean and still work"},
    FigureName{"torque", D::torque, "range that can be set"},
};
constexpr std::array kToolWords{
    WordName{"drive", "", "T8, PH1, hex 2"},
    WordName{"form", "driver iron tweezers nozzle clamp hex-key other", "shape used for the reach check"},
    WordName{"hot", "yes no", "source of ignition"},
    WordName{"carries", "yes no", "keeps oil, wax or silicone that it touched and takes it to the next work: brush, tweezers"},
    WordName{"leaded", "yes no", "its tip has seen lead"},
};
constexpr std::array kProcessFigures{
    FigureName{"temperature", D::temperature, "that the parts reach, where the job does not say"},
    FigureName{"vapour-clears", D::duration, "airing before a hot tool may be used"},
};
constexpr std::array kProcessWords{
    WordName{"verb", "", "as printed: glue, reflow"},
    WordName{"cure-needed", "none fixture handling working full", "state of the joints it touches"},
    WordName{"heats", "none touched near whole", "what gets hot: the joint touched, what is near, all that is built in"},
    WordName{"hot-tool", "yes no", "source of ignition"},
    WordName{"open-vapour", "yes no", "open flammable liquid"},
    WordName{"closes", "yes no", "hides what is inside"},
    WordName{"irreversible", "yes no", "can't be undone"},
    WordName{"contaminates", "", "none, oil, wax, flux, dust, silicone"},
    WordName{"surface-needed", "", "state that the joint faces must be in: bare, dry, abraded"},
    WordName{"surface-gives", "", "state that the faces are in afterwards"},
    WordName{"stop-after", "yes no clock", "the work may be left for days after it; clock: unless a latest end that it starts comes within the day"},
    WordName{"stop-note", "", "why not"},
    WordName{"class", "build finish test program pack prepare clean check", "for headings"},
    WordName{"orientation-critical", "yes no", "can be done the wrong way round"},
    WordName{"signs", "", "ISO 7010 numbers"}, WordName{"protect", "", "what to wear, by commas; behind a semicolon, what to heed"},
};

}  // namespace

std::span<const FigureName> figures_of(CardKind kind) {
  switch (kind) {
    case CardKind::part: return kPartFigures;
    case CardKind::screw: return kScrewFigures;
    case CardKind::material: return kMaterialFigures;
    case CardKind::paste: return kPasteFigures;
    case CardKind::solder: return kSolderFigures;
    case CardKind::adhesive: return kAdhesiveFigures;
    case CardKind::activator:
    case CardKind::oil:
    case CardKind::solvent:
    case CardKind::coating:
    case CardKind::flux: return kFluidFigures;
    case CardKind::station: return kStationFigures;
    case CardKind::tool: return kToolFigures;
    case CardKind::process: return kProcessFigures;
  }
  return {};
}

std::span<const WordName> words_of(CardKind kind) {
  switch (kind) {
    case CardKind::part: return kPartWords;
    case CardKind::screw: return kScrewWords;
    case CardKind::material: return kMaterialWords;
    case CardKind::paste: return kPasteWords;
    case CardKind::solder: return kSolderWords;
    case CardKind::adhesive: return kAdhesiveWords;
    case CardKind::activator:
    case CardKind::oil:
    case CardKind::solvent:
    case CardKind::coating:
    case CardKind::flux: return kFluidWords;
    case CardKind::station: return kStationWords;
    case CardKind::tool: return kToolWords;
    case CardKind::process: return kProcessWords;
  }
  return {};
}

}  // namespace handlot::catalogue
