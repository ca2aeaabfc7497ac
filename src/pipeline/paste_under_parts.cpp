#include "pipeline/paste_under_parts.h"

#include <algorithm>
#include <set>

#include "input/file.h"
#include "pipeline/placing_parts.h"
#include "solder/places_on_paste.h"
#include "solder/stencil.h"

namespace handlot::pipeline {

namespace {

std::vector<solder::Placement> set_on(const rules::Facts& facts, const solder::PlacementList& list, bool bottom) {
  std::vector<solder::Placement> parts;
  std::set<std::string> seen;
  for (const job::Step& step : facts.job.steps) {
    if (step.process.text != "place") continue;
    for (const PlacedPart& p : placed_parts(facts, step, &list)) {
      if (p.bottom == bottom && seen.insert(p.placement.part).second) parts.push_back(p.placement);
    }
  }
  return parts;
}

std::optional<solder::Layer> paste_layer(const job::ExtraFile& file) {
  const auto text = input::read_text(file.path, 64u << 20);
  if (!text) return std::nullopt;
  auto layer = solder::read_gerber(*text, file.path);
  if (!layer || !solder::not_paste(*layer).empty() || !solder::not_of_side(*layer, file.side).empty()) return std::nullopt;
  return std::move(*layer);
}

plan::Finding finding_of(const solder::PlacesFault& fault, const solder::PlacementList& list, const std::string& stencil, bool bottom) {
  // Of the bottom, the layer may be the one that is mirrored; and what nothing explains is asked.
  const bool open = fault.kind == solder::PlacesFault::Kind::apart || (bottom && fault.kind == solder::PlacesFault::Kind::mirrored);
  const auto row = std::find_if(list.parts.begin(), list.parts.end(), [&](const solder::ListedPart& p) { return !fault.parts.empty() && p.ref == fault.parts.front(); });
  plan::Finding f;
  f.rule = RuleId("placement-list");
  f.severity = open ? plan::Severity::undecided : plan::Severity::warn;
  f.message = fault.text;
  f.mend = fault.mend;
  f.source = {"", stencil, Standing::stated};
  f.place = {list.file, row == list.parts.end() ? 0 : row->line, 0};
  return f;
}

}  // namespace

void hold_against_paste(const rules::Facts& facts, const solder::PlacementList& list, std::vector<plan::Finding>& findings) {
  const bool any_top = !set_on(facts, list, false).empty(), any_bottom = !set_on(facts, list, true).empty();
  for (const job::ExtraFile& file : facts.job.files) {
    if (file.what != "stencil") continue;
    const auto layer = paste_layer(file);
    if (!layer) continue;
    const std::string side(file.side.empty() ? solder::side_said(*layer) : std::string_view(file.side));
    if (side.empty() && any_top && any_bottom) continue;
    const bool bottom = side.empty() ? any_bottom : side == "bottom";
    for (const auto& fault : solder::places_on_paste(set_on(facts, list, bottom), *layer)) findings.push_back(finding_of(fault, list, file.path, bottom));
  }
}

}  // namespace handlot::pipeline
