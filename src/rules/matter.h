// matter.h: what parts and fluids are made of, in the words of the published tables.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "joints/adhesive.h"
#include "rules/rule.h"

namespace handlot::rules {

/// The card of the material a part is made of; null for a subassembly or a part without one.
const catalogue::Card* material_of(const Facts& facts, const PartId& part);
/// Made of a card of family wood.
bool wooden(const Facts& facts, const PartId& part);
bool natural_fibre(const Facts& facts, const PartId& part);
/// Lens, window or display.
bool optical(const Facts& facts, const PartId& part);
/// Wire or cable: thin, and long enough to stick out of the body that it lies in.
bool is_wire(const Facts& facts, const PartId& part);
/// Of rubber, or its card says that it is flexible: it gives way when it is fitted.
bool gives(const Facts& facts, const PartId& part);
bool marked(const Facts& facts, const PartId& part, std::string_view word);

/// Row of the compatibility table for a material, of the finish on it, and column for a fluid; empty: not in the table.
std::string compatibility_row(const Facts& facts, const PartId& part);
std::string finish_row(const Facts& facts, const PartId& part);
std::string compatibility_column(const catalogue::Card& fluid);

/// Spread on both faces, closed when touch-dry: an adhesive of no named chemistry whose open time has a least and a most.
bool contact_glue(const catalogue::Card& adhesive);

/// Every fluid that a step opens: its materials and the adhesives and activators of its bonds, each card once.
std::vector<const catalogue::Card*> fluids_of(const Facts& facts, const job::Step& step);
/// The drying oil on the rags that the step leaves: what it puts on, or what it wipes off of the coat before it; one that is so by brand, if none is for sure. Null: none.
const catalogue::Card* oil_on_rags(const Facts& facts, const job::Step& step);
/// What the job says of the amount of that fluid in one unit.
std::optional<Grams> mass_used(const Facts& facts, const job::Step& step, const catalogue::Card& fluid);

/// The figures of an adhesive's card, for a bond between these rows of the tables (worst of them, for times).
joints::AdhesiveFigures adhesive_figures(const catalogue::Card& card, const std::vector<std::string>& rows);
/// Rows of the fixture and strength tables for a bond: as stated, else its parts' materials.
std::vector<std::string> bond_rows(const Facts& facts, const job::Joint& joint);

/// Whether the bond's film does not give. The card says; without a word the chemistry does.
bool rigid(const catalogue::Card& adhesive);

/// The step that glues the bond; null when none does.
const job::Step* gluing_step(const Facts& facts, const job::Joint& joint);

bool has(const std::vector<PartId>& ids, const PartId& id);

/// Puts voltage on what it works on: a test, a run, a program loaded.
bool gets_power(const job::Step& step);

/// Puts the ways first that go least against the listing of the job file; equal ones keep their order.
void prefer_listed(const Facts& facts, std::vector<std::vector<plan::Constraint>>& options);

}  // namespace handlot::rules
