// solid_text.h: the <solid> of a card turned into a tree of shapes, or into everything that is wrong with it.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "catalogue/catalogue.h"
#include "core/diagnostic.h"
#include "shapes/solid_tree.h"

namespace handlot::bodies {

/// The shape inside <solid>. Several shapes side by side are fused.
///
///   <box size="10 5 2 mm"/>  <cylinder diameter="6 mm" height="4 mm"/>  <cone lower= upper= height=/>  <sphere diameter=/>
///   <extrusion height="3 mm" outline="0 0, 10 0, 10 5 mm"><opening outline="..."/></extrusion>
///   <plate size="40 30 mm" thickness="2 mm" corner="3 mm"><hole at="5 5 mm" diameter="3.2 mm" countersink="6 mm"/></plate>
///   <disc diameter="40 mm" thickness="2 mm"><hole .../></disc>
///   <thread nominal="3 mm" pitch="0.5 mm" length="8 mm" inner="yes"/>
///   <cut> first less the rest </cut>  <fuse>...</fuse>  <common>...</common>
///   each with at="0 0 2 mm" turn="0 90 0 deg"
///
/// Errors   solid-empty, solid-unknown (with the nearest word), solid-number, and those of shapes::faults; all at once.
Result<shapes::SolidTree> read_solid(const catalogue::ShapeText& solid);

/// The body of a card: its <solid>; else a screw by thread, length and head (seat of the head at z = 0, shank downwards);
/// else a ring by cord and inner diameter; else a block of its length, width and height, or of its chip size, standing on z = 0. Empty: the card says nothing of
/// its shape.
Result<std::optional<shapes::SolidTree>> body_of(const catalogue::Card& card);

/// Three numbers and "mm" or "deg", as in at="0 0 2 mm"; empty if it is not that.
std::optional<shapes::Vec3> three(const std::string& text, const std::string& unit);

}  // namespace handlot::bodies
