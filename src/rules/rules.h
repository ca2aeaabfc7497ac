// rules.h: every rule, one function each, one file each. How to add one: DEVELOPERS.md.
#pragma once

#include "rules/rule.h"

namespace handlot::rules {

// What the job file says itself.
void stated_order(const Facts&, const job::Step&, Yield&);

// What comes from parts and processes.
void assembly_whole(const Facts&, const job::Step&, Yield&);
void process_result(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);
void screws_last(const Facts&, const job::Part&, Yield&);
void states_held(const Facts&, const job::Step&, Yield&);
void cure_first(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);
void clamped_while_curing(const Facts&, const job::Step&, Yield&);
void heat_limit(const Facts&, const job::Step&, Yield&);
void tested_before_hidden(const Facts&, const job::Step&, Yield&);
void paste_clock(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);

// What comes from shapes; silent for a device that is not modelled.
void goes_in(const Facts&, const job::Step&, Yield&);
void tool_reach(const Facts&, const job::Step&, Yield&);
void no_overlap(const Facts&, Yield&);
void keeps_clear(const Facts&, const job::Part&, Yield&);
void comes_out_again(const Facts&, const job::Part&, Yield&);
void not_modelled(const Facts&, Yield&);

// Where nothing decides.
void listing(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);

}  // namespace handlot::rules
