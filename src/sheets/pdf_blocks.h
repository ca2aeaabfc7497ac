// pdf_blocks.h: blocks of the sheet as items of a flow; private to the PDF form.
#pragma once

#include "sheets/pdf_type.h"
#include "sheets/sheet.h"

namespace handlot::sheets::pdf {

/// Adds the block's items. `width` is that of the type area, `most_height` that of an empty page.
void add(Flow& flow, Typesetter& type, const Block& block, double width, double most_height);

void add_table(Flow& flow, Typesetter& type, const Table& table, double width);
Item step_item(Typesetter& type, const StepBox& step, double width, double most_height);
Item caution_item(Typesetter& type, const CautionBox& caution, double width);
Item wait_item(Typesetter& type, const WaitBox& wait, double width);
Item boxes_item(Typesetter& type, const Boxes& boxes, double width);
Item picture_item(Typesetter& type, const std::string& svg, double width, double most_height);
Item tick_item(Typesetter& type, const std::vector<Run>& runs, double width);

inline constexpr double kTick = 17;  ///< 6 mm: a pencil hits it

}  // namespace handlot::sheets::pdf
