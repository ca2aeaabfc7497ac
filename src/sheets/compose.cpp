#include "sheets/compose.h"

#include <fmt/format.h>

#include "core/text.h"
#include "sheets/sections.h"
#include "sheets/view.h"

namespace handlot::sheets {

namespace {

std::string strip_of(const plan::Head& head) {
  std::string out;
  if (!head.revision.empty()) out += "rev " + head.revision + " · ";
  out += "lot of " + counted(head.lot, "unit", "units");
  if (!head.hash.empty()) out += " · plan " + head.hash;
  return out;
}

std::string foot_of(const View& view) {
  const plan::Head& head = view.plan().head;
  std::string out = "handlot";
  if (!head.program_version.empty()) out += " " + head.program_version;
  out += " · planned from " + view.clock().full(view.plan().schedule.start);
  if (!head.builder.empty()) out += " · " + head.builder;
  return out;
}

void add(Sheet& sheet, Section section) {
  if (!section.blocks.empty()) sheet.sections.push_back(std::move(section));
}

}  // namespace

Sheet compose(const plan::Plan& plan, const SheetOptions& options) {
  const View view(plan);
  Sheet sheet;
  sheet.title = plan.head.name.empty() ? "Build sheet" : plan.head.name;
  sheet.strip = strip_of(plan.head);
  sheet.foot = foot_of(view);
  sheet.author = plan.head.builder;
  sheet.made = plan.schedule.start;
  add(sheet, front(view));
  add(sheet, hazards(view));
  add(sheet, findings(view));
  // A few findings leave the page free for the kit; a page of their own would be read by nobody.
  const bool few = !plan.findings.empty() && plan.findings.size() <= 4;
  Section parts = kit(view);
  parts.new_page = !few;
  add(sheet, std::move(parts));
  add(sheet, sequence(view));
  add(sheet, wait_board(view));
  add(sheet, steps(view, options));
  for (Section& page : plan_pages(view)) add(sheet, std::move(page));
  add(sheet, records(view));
  add(sheet, close_out(view));
  add(sheet, sources(view));
  return sheet;
}

}  // namespace handlot::sheets
