// J-STD-020 package classification. We do not hold the standard.
// Sources: lead-free cells, revisions C and D: dtsheet.com/doc/1654354, scribd.com/document/722384869;
// profile rows, revision C: dtsheet.com/doc/1654354; D.1: dtsheet.com/doc/1311855,
// scribd.com/document/528027671; tin-lead revision C: dtsheet.com/doc/1654354 (all read 2026-11-25). From
// memory: tin-lead cells of D.1 and E, revision E's rows being those of D.1.
#include <cassert>

#include "reflow/window.h"

namespace handlot::reflow {

namespace {

struct Row {
  Process process;
  bool from_d1;                       ///< row holds from D.1 on (otherwise for C)
  double up_to_mm;                    ///< thickness below this
  double small_c, middle_c, large_c;  ///< < 350, 350 to 2000, > 2000 mm3
  Standing standing;
};

constexpr double kThicker = 1e9;

// "2.5" is exclusive in every row: a body of exactly 2.5 mm takes the lower class. Reprints say > 2.5 and
// >= 2.5.
constexpr Row kRows[] = {
    {Process::lead_free, false, 1.6, 260, 260, 260, Standing::read},
    {Process::lead_free, false, 2.5, 260, 250, 245, Standing::read},
    {Process::lead_free, false, kThicker, 250, 245, 245, Standing::read},
    {Process::lead_free, true, 1.6, 260, 260, 260, Standing::read},
    {Process::lead_free, true, 2.5, 260, 250, 245, Standing::read},
    {Process::lead_free, true, kThicker, 250, 245, 245, Standing::read},
    {Process::tin_lead, false, 2.5, 240, 225, 225, Standing::read},
    {Process::tin_lead, false, kThicker, 225, 225, 225, Standing::read},
    {Process::tin_lead, true, 2.5, 235, 220, 220, Standing::memory},
    {Process::tin_lead, true, kThicker, 220, 220, 220, Standing::memory},
};

const Row& row_of(Body body, Process process, bool from_d1) {
  for (const Row& row : kRows) {
    if (row.process == process && row.from_d1 == from_d1 && body.thickness.value < row.up_to_mm) return row;
  }
  assert(false);
  return kRows[0];
}

double cell(const Row& row, CubicMillimetres volume) {
  if (volume.value < 350) return row.small_c;
  return volume.value <= 2000 ? row.middle_c : row.large_c;
}

std::string revision_name(Revision revision) {
  switch (revision) {
    case Revision::c:
      return "revision C";
    case Revision::d1:
      return "revision D.1";
    case Revision::e:
      return "revision E";
  }
  return "";
}

}  // namespace

Classification classify(Body body, Process process, Revision revision) {
  assert(body.thickness.value > 0 && body.volume.value > 0);
  const bool from_d1 = revision != Revision::c;
  const bool lead_free = process == Process::lead_free;
  const Row& row = row_of(body, process, from_d1);
  const Source rows{"JSTD020", revision_name(revision) + ", classification profile",
                    revision == Revision::e ? Standing::memory : Standing::read};
  Classification c;
  c.tc = Celsius(cell(row, body.volume));
  c.tc_source = {"JSTD020", revision_name(revision) + ", package classification temperature", row.standing};
  c.liquidus = Celsius(lead_free ? 217 : 183);
  c.soak_from = Celsius(lead_free ? 150 : 100);
  c.soak_to = Celsius(lead_free ? 200 : 150);
  c.soak = {60, lead_free && !from_d1 ? 180 : 120, rows};
  c.above = {60, 150, rows};
  c.time_to_peak = {std::nullopt, lead_free ? 480 : 360, rows};
  // C: 20-40 s (lead-free), 10-30 s (tin-lead) of the actual peak; the upper end is the ceiling.
  c.within_5k = Seconds(from_d1 ? (lead_free ? 30 : 20) : (lead_free ? 40 : 30));
  c.rise_max = KelvinPerSecond(3);
  c.fall_max = KelvinPerSecond(6);
  c.source = rows;
  return c;
}

PartLimit limit_of(std::string part, const Classification& classification) {
  PartLimit limit;
  limit.part = std::move(part);
  limit.peak = classification.tc;
  limit.near_tc = classification.within_5k;
  limit.source = classification.tc_source;
  return limit;
}

}  // namespace handlot::reflow
