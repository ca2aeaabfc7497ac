#include "safety/caution_words.h"

#include <array>

namespace handlot::safety {
namespace {

using plan::CautionAt;
using plan::CautionClass;
using enum Standing;

struct ActWords {
  Act act;
  CautionWords words;
};

constexpr std::array kActs{
    ActWords{Act::mains,
             {"mains", CautionClass::danger, CautionAt::head, "Mains voltage is touchable during this build.",
              "A shock kills.",
              "Wiring, earthing and its tests are for a licensed person under the local code. Stop at the hold; this sheet "
              "does not plan past it.",
              "W012 M021", "", "", "", practice}},
    ActWords{Act::lithium_cell,
             {"lithium-cell", CautionClass::warning, CautionAt::head, "Lithium cells are fitted in this build.",
              "A shorted, crushed or hot cell burns and cannot be put out.",
              "Keep them insulated and apart until fitted, never weld or repair one. Charging and carriage follow the "
              "maker's data.",
              "W021", "", "CELLSTORE", "handling", practice}},
    ActWords{Act::button_cell,
             {"button-cell", CautionClass::warning, CautionAt::head, "Button cells are used in this build.",
              "Swallowed by a child, one burns through the gullet within hours and may kill.",
              "Count them out and in, keep them closed away, and screw the holder's cover down.", "", "", "", "",
              practice}},
    ActWords{Act::cell_in_hand,
             {"cell-in-hand", CautionClass::warning, CautionAt::step, "A lithium cell is in hand.",
              "Shorted, pinched, bent or pierced, it burns and cannot be put out.",
              "Keep its leads apart and off metal; press with the flat of the hand, never with a tool or on an edge; "
              "fit no cell that is dented or swollen.",
              "W021", "", "CELLSTORE", "handling", practice}},
    ActWords{Act::coin_in_hand,
             {"coin-in-hand", CautionClass::warning, CautionAt::step, "A button cell is in hand.",
              "Swallowed by a child, one burns through the gullet within hours and may kill.",
              "Take out one at a time, hold it by its rim, and count them out and in.", "", "", "", "", practice}},
    ActWords{Act::heat_near_cell,
             {"heat-near-cell", CautionClass::warning, CautionAt::step, "A lithium cell is beside this heat.",
              "Over its limit the cell vents and burns.", "Take the cell out, or shield it and keep the heat away from it.",
              "W021 W017", "", "CELLSTORE", "storage temperature", read}},
    ActWords{Act::drying_oil,
             {"oily-rags", CautionClass::warning, CautionAt::step, "Rags with drying oil heat by themselves.",
              "In a timed test a heap stood at 96 degC after 2 h, smoked at 4.5 h and burned at 6 h.",
              "Spread each rag flat outdoors, or put it under water in a lidded metal can, before leaving the step.",
              "W021 P003", "", "RAGFIRE", "timed test", read}},
    ActWords{Act::mixing_warm,
             {"warm-mix", CautionClass::warning, CautionAt::step, "A large mix of resin heats itself in the cup.",
              "It melts the cup and burns skin.", "Mix less at once, pour it out flat, and leave a hot cup outdoors.",
              "W017", "nitrile gloves;eye protection", "PROMISE", "exotherm", read}},
    ActWords{Act::iron,
             {"iron", CautionClass::caution, CautionAt::section, "The tip and the work are hot enough to burn.",
              "Skin burns at once; wires flick solder.", "Hold parts in tweezers, park the iron in its stand, guard the eyes.",
              "W017 M004", "eye protection", "", "", practice}},
    ActWords{Act::oven,
             {"oven", CautionClass::caution, CautionAt::section, "Oven, tray and boards are hot.", "Skin burns.",
              "Wear dry heat gloves, let the tray cool, never use this oven for food again.", "W017 M009",
              "heat gloves", "", "", practice}},
    ActWords{Act::hot_air,
             {"hot-air", CautionClass::caution, CautionAt::section, "The air jet is hot enough to burn and to light vapour.",
              "Skin burns; things behind the work scorch.", "Point it at the work only, clear solvents first, park it.",
              "W017", "eye protection", "", "", practice}},
    ActWords{Act::hot_glue,
             {"hot-glue", CautionClass::caution, CautionAt::section, "Hot melt sticks to skin while it burns.",
              "Deep burns.", "Keep fingers out of the bead; cool a burn in water with the glue still on.", "W017", "",
              "", "", practice}},
    ActWords{Act::rosin_fume,
             {"solder-fume", CautionClass::caution, CautionAt::section, "Flux fume is breathed in.",
              "It may cause asthma that stays.", "Extract the fume where it rises, keep the face out of it, and air the room.",
              "", "", "HSEROSIN", "rosin fume", read}},
    ActWords{Act::leaded_solder,
             {"lead", CautionClass::caution, CautionAt::head, "Solder here contains lead.",
              "Lead eaten from fingers builds up in the body.",
              "Wash hands before food, no food at the bench, dross and wipes to hazardous waste.", "M011", "", "",
              "", practice}},
    ActWords{Act::sanding_wood,
             {"wood-dust", CautionClass::caution, CautionAt::section, "Fine wood dust is breathed in.",
              "It may cause asthma; hardwood dust is a carcinogen.", "Extract the dust or sand wet, wear a mask, do not sweep dry.",
              "M016", "dust mask", "WOODDUST", "limits and class", read}},
    ActWords{Act::sensitising_dust,
             {"sensitising-wood", CautionClass::caution, CautionAt::section, "Dust of this wood sensitises.",
              "Skin and lungs may react to it for good.", "Wear mask and long sleeves, extract the dust, wash before touching the face.",
              "M016 M009", "dust mask;long sleeves", "WIS30", "species", memory}},
    ActWords{Act::brass_dust,
             {"brass-dust", CautionClass::caution, CautionAt::section, "Dust of free-machining brass holds lead and copper.",
              "It is breathed in or eaten from fingers.", "Extract the dust or sand wet, wipe up wet, wash hands.", "M011 M016", "dust mask",
              "", "", practice}},
    ActWords{Act::fibre_dust,
             {"fibre-dust", CautionClass::caution, CautionAt::section, "Dust of circuit board, glass or carbon laminate is fine splinters.",
              "Skin itches, lungs suffer; carbon dust carries current and shorts what it falls into.",
              "Work wet or extract the dust, wear a mask, cover the arms (at a turning tool with tight sleeves), keep it away from open electronics, "
              "wash before touching the face.",
              "M016", "dust mask", "", "", practice}},
    ActWords{Act::stone_dust,
             {"stone-dust", CautionClass::caution, CautionAt::section, "Dust of stone, ceramic or glass is breathed in.",
              "Quartz in it, as in granite, slate and cast stone, scars the lungs for good.",
              "Work wet or extract the dust, wear a mask of class P3, wipe up wet.", "M016", "dust mask", "", "", practice}},
    ActWords{Act::machine,
             {"turning-tool", CautionClass::caution, CautionAt::section, "Turning tools catch gloves, sleeves and hair, and throw chips.",
              "Torn hands, hurt eyes.", "No gloves, sleeves up, work clamped, eye protection on.", "M004", "eye protection",
              "", "", practice}},
    ActWords{Act::ultraviolet,
             {"ultraviolet", CautionClass::caution, CautionAt::section, "The lamp gives off ultraviolet.",
              "Eyes and skin burn, felt only hours later.", "Shield the lamp, wear ultraviolet goggles, cover hands.", "W027",
              "ultraviolet goggles", "", "", practice}},
    ActWords{Act::cutting,
             {"cutting", CautionClass::caution, CautionAt::step, "Blades cut and cut leads fly.", "Cut fingers, hurt eyes.",
              "Cut away from the hand and catch the lead with a finger or a rag.", "W022 M004", "eye protection", "", "",
              practice}},
    ActWords{Act::glass,
             {"glass", CautionClass::caution, CautionAt::step, "Bare glass breaks sharp.", "Cut fingers.",
              "Hold it by the flat, press evenly, wear eye protection when it is pressed in.", "W022 M004",
              "eye protection", "", "", practice}},
    ActWords{Act::powered_test,
             {"first-power", CautionClass::caution, CautionAt::step, "A fault shows at first power.",
              "Parts burst or burn.", "Limit the current, stand back, keep a hand on the switch.", "M004",
              "eye protection", "", "", practice}},
    ActWords{Act::clamping_optics,
             {"pressed-optics", CautionClass::notice, CautionAt::step, "Pressure or grit marks a window or display.",
              "The unit is spoilt.", "Peel any film off last, clamp over a soft pad, and only to the stop.", "", "", "", "",
              practice}},
    ActWords{Act::bloom_near_optics,
             {"bloom", CautionClass::notice, CautionAt::step, "Vapour of instant glue settles white around the joint.",
              "Windows, displays and contacts haze.",
              "Use the least glue, keep air moving, and leave the box open until it has vented.", "", "", "PERMABOND",
              "white residue", read}},
};

// In the order of seriousness within a class; the order of print.
constexpr CautionWords kCyanoacrylate{
    "cyanoacrylate", CautionClass::caution, CautionAt::section, "Instant glue bonds skin and eyes in seconds.",
    "Lids and fingers stick; a large drop burns.", "Wear eye protection and polyethylene or nitrile gloves, never cotton; air the bench.",
    "M004 M009", "eye protection;polyethylene or nitrile gloves", "SDS454", "section 2", read};
constexpr CautionWords kEpoxy{
    "epoxy", CautionClass::caution, CautionAt::section, "Resin and hardener sensitise and may burn skin.",
    "An allergy to epoxy stays for life.", "Wear nitrile gloves, change them when wet, never wash skin with solvent.",
    "M004 M009", "nitrile gloves;eye protection", "SDSITW", "section 2", read};
constexpr CautionWords kAcrylic{
    "acrylic", CautionClass::caution, CautionAt::section, "Acrylic adhesive sensitises, and its vapour irritates.",
    "Skin allergy, sore eyes and throat.", "Wear nitrile gloves, air the bench, lid on the bottle.", "M004 M009",
    "nitrile gloves;eye protection", "", "", practice};
constexpr CautionWords kPolyurethane{
    "polyurethane", CautionClass::caution, CautionAt::section, "Uncured polyurethane holds isocyanate.",
    "It may cause asthma and skin allergy that stay.", "Wear nitrile gloves, air the bench, never heat it uncured.",
    "M004 M009", "nitrile gloves;eye protection", "CLP", "H334", memory};
constexpr CautionWords kAnaerobic{
    "anaerobic", CautionClass::caution, CautionAt::section, "Threadlocker sensitises skin.", "A rash that comes back.",
    "Wear nitrile gloves and wipe the surplus.", "M009", "nitrile gloves", "CLP", "H317", memory};
constexpr CautionWords kSilicone{
    "silicone", CautionClass::caution, CautionAt::section, "Curing silicone gives off sharp vapour.",
    "Eyes and throat smart.", "Air the bench until it has skinned over.", "", "", "HAS", "p. 401", read};
constexpr CautionWords kNeutralSilicone{
    "silicone-neutral", CautionClass::caution, CautionAt::section, "Neutral silicone gives off methanol or an oxime while it cures.",
    "Breathed for hours it makes ill; an oxime may make skin allergic.", "Air the room until it has cured, keep it off skin.", "M009",
    "nitrile gloves", "HANDBOOK", "by-products of neutral silicone", memory};
constexpr CautionWords kAsthma{
    "asthma", CautionClass::caution, CautionAt::section, "Vapour or mist of this may cause asthma.",
    "Asthma and allergy stay for life.", "Brush it on, do not spray; air the room well, wear nitrile gloves, keep out if you have asthma.",
    "M009 M004", "nitrile gloves;eye protection", "CLP", "H334", memory};
constexpr CautionWords kAsthmaSprayed{
    "asthma-sprayed", CautionClass::warning, CautionAt::step, "A mist that may cause asthma is sprayed here.",
    "Asthma and allergy stay for life, and nothing warns before them.",
    "Only with air-fed breathing protection (a filter mask does not do) and under extraction, alone in the room; else brush it on.",
    "M017 M009 M004", "air-fed breathing protection;nitrile gloves;eye protection", "CLP", "H334", memory};
constexpr CautionWords kAcetone{
    "acetone-gloves", CautionClass::caution, CautionAt::section, "Acetone goes through thin nitrile gloves in about a minute.",
    "A wet glove holds it on the skin.", "Wear butyl gloves, or take a nitrile one off at once when it is splashed.", "M009",
    "", "", "", practice};
constexpr CautionWords kFlammable{
    "flammable", CautionClass::warning, CautionAt::section, "The vapour lights at bench temperature and runs along it.",
    "Fire and burns.", "No iron, oven, flame or spark until it has cleared; small open amounts, lid on, air the room.",
    "W021 P003", "nitrile gloves;eye protection", "CB", "flash points", read};
constexpr CautionWords kEssentialOil{
    "essential-oil", CautionClass::caution, CautionAt::section, "Fragrance oil sensitises, and softens many plastics.",
    "Skin allergy; hazed or cracked parts.", "Wear nitrile gloves, wipe spills at once, keep it off plastic and finish.",
    "M009", "nitrile gloves", "SDSLIMONENE", "section 2", read};
constexpr CautionWords kOil{
    "oil", CautionClass::caution, CautionAt::section, "Finishing oil holds solvent.", "Vapour makes dizzy; swallowed, it harms lungs.",
    "Air the room, wear nitrile gloves, keep it away from heat.", "M009", "nitrile gloves", "CLP", "H304", memory};
constexpr CautionWords kPaste{
    "solder-paste", CautionClass::caution, CautionAt::section, "Solder paste sticks to fingers.",
    "Its flux sensitises skin; leaded paste is eaten from fingers and builds up in the body.",
    "Wear nitrile gloves, wipe spills at once, wash hands before food.", "M009 M011", "nitrile gloves", "CLP", "H317", memory};
constexpr CautionWords kSubstance{
    "substance", CautionClass::caution, CautionAt::section, "A labelled substance is used here.",
    "Harm as its label says.", "Work as its data sheet says.", "", "nitrile gloves;eye protection", "", "", practice};
// At a turning tool, no gloves and nothing loose: that goes before the skin.
constexpr CautionWords kSensitisingAtMachine{
    "sensitising-wood-machined", CautionClass::caution, CautionAt::section, "Dust of this wood sensitises.",
    "Skin and lungs may react to it for good.", "Wear a mask, extract at the tool, no gloves at it; wash before touching the face.", "M016",
    "dust mask", "WIS30", "species", memory};
constexpr CautionWords kFibre{
    "cyanoacrylate-fibre", CautionClass::warning, CautionAt::step,
    "Instant glue on cotton, wool, leather, felt or paper heats up by itself.", "It burns skin and may catch fire.",
    "No cotton gloves, swabs or rags near it; wipe with polyethylene; keep a drop off felt and sleeves.", "W017 W021",
    "polyethylene or nitrile gloves", "SDS3M", "reactivity", read};

}  // namespace

const CautionWords* words_of(Act act) {
  for (const ActWords& a : kActs)
    if (a.act == act) return &a.words;
  return nullptr;
}

const CautionWords& words_of_family(std::string_view family, bool flammable_vapour) {
  if (flammable_vapour) return kFlammable;
  if (family == "cyanoacrylate") return kCyanoacrylate;
  if (family == "epoxy") return kEpoxy;
  if (family == "acrylic" || family == "uv-acrylate" || family == "light-cured") return kAcrylic;
  if (family == "polyurethane" || family == "polyurethane-moist") return kPolyurethane;
  if (family == "anaerobic") return kAnaerobic;
  if (family == "silicone") return kSilicone;
  if (family == "silicone-neutral") return kNeutralSilicone;
  if (family == "essential-oil") return kEssentialOil;
  if (family == "drying-oil" || family == "oil") return kOil;
  if (family == "paste") return kPaste;
  return kSubstance;
}

const CautionWords& fibre_words() { return kFibre; }
const CautionWords& asthma_words() { return kAsthma; }
const CautionWords& asthma_sprayed_words() { return kAsthmaSprayed; }
const CautionWords& acetone_words() { return kAcetone; }
const CautionWords& sensitising_at_machine_words() { return kSensitisingAtMachine; }

}  // namespace handlot::safety
