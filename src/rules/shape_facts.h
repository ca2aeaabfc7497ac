// shape_facts.h: what rules ask of shapes again and again: bodies that move together, tolerances, kept findings.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "rules/rule.h"
#include "shapes/motion.h"
#include "shapes/tolerance.h"

namespace handlot::rules {

/// "the shapes of the parts", measured.
Source of_shapes();

plan::Finding about_parts(std::string_view rule, plan::Severity severity, std::vector<PartId> parts, std::string message, std::string mend, Place place);

/// Findings kept by the device's shapes and `what`: finding them out costs much more than saying them again. `what`
/// holds every other fact they depend on, and a number that grows when their words change. Two jobs may share what is kept: each
/// is told at the line of the first part that a finding names.
std::vector<plan::Finding> kept_or_found(const Facts& facts, const std::string& what, const std::function<std::vector<plan::Finding>()>& find);

/// How well the sizes of a part hold: its card's own tolerance, else that of the machine that made it (the bench's own
/// figure, else the usual one). Empty: nothing is known.
std::optional<shapes::Making> making_of(const Facts& facts, const PartId& part);
/// "printed, 0.2 mm".
std::string say_making(const Facts& facts, const PartId& part);

/// Does some step put it in, or a subassembly around it? What no step puts in is there from the start.
bool put_in_by_a_step(const Facts& facts, const PartId& id);

/// What decides which parts move together, as text for keys.
std::string motions_of(const Facts& facts);

/// The body and all that is pressed, glued, set or screwed onto it and touches it: they move as one. What is also tied to
/// something that is there from the start stands.
shapes::PartSet moves_with(const Facts& facts, std::size_t body);

/// Where a point fixed to the moving part goes when the part has moved by so many degrees or mm.
/// Given    part.motion is said.
shapes::Vec3 moved(const job::Part& part, const job::Placement& at, double by, shapes::Vec3 point);

/// How near a moving part and what moves with it (`only` these bodies of it, when given) come to `others` over its range;
/// bearings and press fits left out.
/// Given    part.motion is said, `body` is one of its bodies.
shapes::Clearest over_its_range(const Facts& facts, const job::Part& part, std::size_t body, const shapes::PartSet& others, const shapes::MotionRules& rules = {},
                               const shapes::PartSet* only = nullptr);

}  // namespace handlot::rules
