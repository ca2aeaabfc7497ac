// rules.h: every rule, one function each, one file each. How to add one: DEVELOPERS.md.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

// What the job file says itself.
void stated_order(const Facts&, const job::Step&, Yield&);

// What comes from parts and processes.
void assembly_whole(const Facts&, const job::Step&, Yield&);
void process_result(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);
void packed_last(const Facts&, const job::Step& work, const job::Step& pack, Yield&);
void screws_last(const Facts&, const job::Part&, Yield&);
void screwed_across(const Facts&, const job::Part&, Yield&);
void states_held(const Facts&, const job::Step&, Yield&);
void cure_first(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);
void heat_known(const Facts&, const job::Step&, Yield&);
void clamped_while_curing(const Facts&, const job::Step&, Yield&);
void heat_limit(const Facts&, const job::Step&, Yield&);
void films_and_bonds_in_heat(const Facts&, const KnownOrder&, const job::Step& hot, Yield&);
void hot_tools(const Facts&, const KnownOrder&, const job::Step&, Yield&);
void in_before_hidden(const Facts&, const job::Step&, Yield&);
void tested_when_in(const Facts&, const job::Step& test, Yield&);
void tested_before_hidden(const Facts&, const job::Step&, Yield&);

// Soldering.
void paste_clock(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);
void paste_card(const Facts&, const job::Step& print, Yield&);
void paste_melted(const Facts&, const job::Step& print, Yield&);
void paste_as_melted(const Facts&, const job::Step& oven, Yield&);
void placed_in_paste(const Facts&, const KnownOrder&, const job::Step& place, Yield&);
void wet_paste(const Facts&, const job::Step& print, const job::Step& work, Yield&);
void one_side_at_a_time(const Facts&, const job::Step& oven, const job::Step& print, Yield&);
void chip_size(const Facts&, const job::Part&, Yield&);
void moisture(const Facts&, const job::Part&, Yield&);
void second_side(const Facts&, const job::Step& first, const job::Step& second, Yield&);
void iron(const Facts&, const job::Step&, Yield&);
void peak_limit(const Facts&, const job::Step&, Yield&);
void alloys_apart(const Facts&, const job::Step& first, const job::Step& second, Yield&);
void lead_in_bismuth(const Facts&, const job::Step&, Yield&);
void solder_stays_solid(const Facts&, const KnownOrder&, const job::Step& hot, Yield&);
void flux_residue(const Facts&, const job::Step&, Yield&);
void flux_shut_in(const Facts&, const job::Step& solder, const job::Step& later, Yield&);
void dry_before_power(const Facts&, const job::Step& wash, const job::Step& later, Yield&);

// What comes from shapes; silent for a device that is not modelled.
void goes_in(const Facts&, const job::Step&, Yield&);
void tool_reach(const Facts&, const job::Step&, Yield&);
void tool_room(const Facts&, const job::Step&, Yield&);
void no_overlap(const Facts&, Yield&);
void keeps_clear(const Facts&, const job::Part&, Yield&);
void comes_out_again(const Facts&, const job::Part&, Yield&);
void not_modelled(const Facts&, Yield&);

// Cables: as measured, and as they run through the shapes.
void cable_slack(const Facts&, Yield&);
void cable_way(const Facts&, Yield&);

// Gaps and fits that the job asks for.
void clearance(const Facts&, Yield&);
void fit(const Facts&, Yield&);
void press_holds(const Facts&, const job::Part&, Yield&);
void seal_squeeze(const Facts&, const job::Part& ring, Yield&);

// Bonds: what the joint, its adhesive and its room decide.
void cure_room(const Facts&, const job::Joint&, Yield&);
void bond_gap(const Facts&, const job::Joint&, Yield&);
void bond_amount(const Facts&, const job::Step&, Yield&);
void bond_strength(const Facts&, const job::Joint&, Yield&);
void bond_surface(const Facts&, const job::Joint&, Yield&);
void material_named(const Facts&, const job::Step&, Yield&);
void light_cure(const Facts&, const job::Joint&, Yield&);
void bond_adhesive(const Facts&, const job::Step&, Yield&);
void metal_readied(const Facts&, const job::Joint&, Yield&);
void earth_bare(const Facts&, const job::Step& bolt, Yield&);
void wood_movement(const Facts&, const job::Joint&, Yield&);
void thermal_growth(const Facts&, const KnownOrder&, const job::Step& glue, Yield&);
void pot_life(const Facts&, const job::Step&, Yield&);
void open_time(const Facts&, const job::Step&, Yield&);
void finish_room(const Facts&, const job::Step&, Yield&);
void chips_inside(const Facts&, const KnownOrder&, const job::Step&, Yield&);
void latest_ends(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);

// Screws.
void screw_stack(const Facts&, const job::Part&, Yield&);
void thread_fits(const Facts&, const job::Part&, Yield&);
void screw_hole(const Facts&, const job::Part&, Yield&);
void screw_seat(const Facts&, const job::Part&, Yield&);
void screw_agrees(const Facts&, const job::Part&, Yield&);
void screw_torque(const Facts&, const job::Step&, Yield&);
void screw_order(const Facts&, const job::Step&, Yield&);
void tighten_again(const Facts&, const job::Step&, Yield&);
void thread_lock(const Facts&, const job::Step&, Yield&);
void look_alikes(const Facts&, Yield&);

// Surfaces and finishes.
void stays_clean(const Facts&, const job::Step& ready, const job::Step& glue, Yield&);
void masks_off(const Facts&, const KnownOrder&, const job::Step& mask, Yield&);
void finish_stays(const Facts&, const KnownOrder&, const job::Step& sand, Yield&);
void clean_faces(const Facts&, const job::Step& dirty, const job::Step& bond, Yield&);
void face_states(const Facts&, const job::Step&, Yield&);
void carried(const Facts&, const KnownOrder&, const job::Step& dirty, Yield&);
void finish_dry(const Facts&, const job::Step& coat, const job::Step& later, Yield&);
void finish_hard(const Facts&, const KnownOrder&, const job::Step& coat, Yield&);
void coat_ground(const Facts&, const KnownOrder&, const job::Step& coat, Yield&);
void sticks_by_itself(const Facts&, const KnownOrder&, const job::Step& stick, Yield&);
void supplied_finish(const Facts&, const job::Joint&, Yield&);

// Chemistry and safety.
void compatibility(const Facts&, const KnownOrder&, const job::Step&, Yield&);
void glue_on_fibre(const Facts&, const job::Step&, Yield&);
void bloom_vent(const Facts&, const job::Step& glue, const job::Step& closing, Yield&);
void bloom_inside(const Facts&, const job::Step&, Yield&);
void bloom_on(const Facts&, const job::Step&, Yield&);
void room_air(const Facts&, const job::Step&, Yield&);
void bears_no_bath(const Facts&, const job::Step& bath, Yield&);
void ultrasound(const Facts&, const KnownOrder&, const job::Step& bath, Yield&);
void cleaned_after(const Facts&, const KnownOrder&, const job::Step& solder, Yield&);
void cell_last(const Facts&, const KnownOrder&, const job::Step& work, Yield&);
void coat_contacts(const Facts&, const KnownOrder&, const job::Step& coat, Yield&);
void closed_late(const Facts&, const KnownOrder&, const job::Step& fill, Yield&);
void licensed_hold(const Facts&, const KnownOrder&, const job::Step&, Yield&);
void mains_off(const Facts&, const KnownOrder&, const job::Step& work, Yield&);
void kept_apart(const Facts&, const job::Step& a, const job::Step& b, Yield&);
void wiped_off(const Facts&, const job::Step&, Yield&);
void oily_rags(const Facts&, const job::Step&, Yield&);
void cautions(const Facts&, Yield&);

// Tests, first pieces, words.
void tested_after_change(const Facts&, const KnownOrder&, const job::Step& hiding, Yield&);
void first_piece(const Facts&, const job::Step&, Yield&);
void gland_tight(const Facts&, const KnownOrder&, const job::Step& threading, Yield&);
void gland_tested(const Facts&, const job::Step& test, Yield&);
void sleeves_shrunk(const Facts&, const job::Part& sleeve, Yield&);
void tinned_ends(const Facts&, const KnownOrder&, const job::Step& tin, Yield&);
void adjusted_late(const Facts&, const KnownOrder&, const job::Step&, Yield&);
void earth_measured(const Facts&, const job::Part& lead, Yield&);
void hot_air_cell(const Facts&, const KnownOrder&, const job::Step& blow, Yield&);
void looked_first(const Facts&, const KnownOrder&, const job::Step& power, Yield&);
void unmasked_first(const Facts&, const job::Step& unmask, Yield&);
void tape_off(const Facts&, const job::Step& coat, Yield&);
void which_way(const Facts&, const job::Step&, Yield&);
void sleeves_on(const Facts&, const KnownOrder&, const job::Step& shrink, Yield&);
void instructions(const Facts&, const job::Step&, Yield&);
void names_apart(const Facts&, Yield&);

// Where nothing decides.
void listing(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);

}  // namespace handlot::rules
