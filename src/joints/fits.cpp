#include "joints/fits.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/text.h"

namespace handlot::joints {
namespace {

constexpr Cite kIso{"ISO286", "limit deviations"};
// over, up to, H7 H8 H9 H11, h6 h7, g6, p6
constexpr std::array<Iso286Band, 6> kBands{{
    {0, 3, 10, 14, 25, 60, -6, -10, -8, -2, 6, 12, kIso},
    {3, 6, 12, 18, 30, 75, -8, -12, -12, -4, 12, 20, kIso},
    {6, 10, 15, 22, 36, 90, -9, -15, -14, -5, 15, 24, kIso},
    {10, 18, 18, 27, 43, 110, -11, -18, -17, -6, 18, 29, kIso},
    {18, 30, 21, 33, 52, 130, -13, -21, -20, -7, 22, 35, kIso},
    {30, 50, 25, 39, 62, 160, -16, -25, -25, -9, 26, 42, kIso},
}};

constexpr Cite kAccu{"INSERTS", "holes"}, kChart{"INSERTS", "printed pockets"};
constexpr Insert insert(std::string_view thread, double hole, double printed, double outer, double boss, Cite cite) {
  return {thread, Millimetres(hole), Millimetres(printed), Millimetres(outer), Millimetres(boss), cite};
}
constexpr std::array kInserts{
    insert("M2", 3.2, 3.43, 3.2, 6.4, kChart), insert("M2.5", 3.6, 3.84, 3.6, 7.2, kChart),
    insert("M3", 4.0, 4.24, 4.4, 8.8, kAccu),  insert("M4", 5.6, 5.83, 6.1, 12.2, kAccu),
    insert("M5", 6.4, 6.63, 7.1, 14.2, kAccu), insert("M6", 8.0, 8.23, 8.5, 17.0, kAccu),
};

}  // namespace

std::span<const Iso286Band> iso286_bands() { return kBands; }

std::optional<Iso286Band> iso286_band(Millimetres nominal) {
  for (const Iso286Band& b : kBands)
    if (nominal.value > b.over && nominal.value <= b.upto) return b;
  return std::nullopt;
}

Result<Limits> iso286(Millimetres nominal, std::string_view c) {
  const auto unknown = [&] {
    return fail(error("fit-unknown", {},
                      fmt::format("no limits are held for {} at {} mm", c, number(nominal.value, 3)),
                      "use H7 H8 H9 H11 h6 h7 g6 or p6 up to 50 mm, or state the limits"));
  };
  const auto band = iso286_band(nominal);
  if (!band) return unknown();
  if (c == "H7") return Limits{0, band->H7};
  if (c == "H8") return Limits{0, band->H8};
  if (c == "H9") return Limits{0, band->H9};
  if (c == "H11") return Limits{0, band->H11};
  if (c == "h6") return Limits{band->h6, 0};
  if (c == "h7") return Limits{band->h7, 0};
  if (c == "g6") return Limits{band->g6_low, band->g6_high};
  if (c == "p6") return Limits{band->p6_low, band->p6_high};
  return unknown();
}

Result<Limits> fit_clearance(Millimetres nominal, std::string_view hole, std::string_view shaft) {
  const auto h = iso286(nominal, hole);
  if (!h) return tl::unexpected(h.error());
  const auto s = iso286(nominal, shaft);
  if (!s) return tl::unexpected(s.error());
  return Limits{h->low - s->high, h->high - s->low};
}

ClearanceRange printed_clearance(PrintedFit fit) {
  switch (fit) {
    case PrintedFit::press: return {Millimetres(0.05), Millimetres(0.15)};
    case PrintedFit::slide: return {Millimetres(0.2), Millimetres(0.3)};
    case PrintedFit::loose: return {Millimetres(0.3), Millimetres(0.5)};
  }
  return {};
}

ClearanceRange printed_result(Millimetres hole, Millimetres peg, const PrinterRecord& printer) {
  const Millimetres middle = (hole + printer.hole_bias - peg - printer.outer_bias) / 2;
  return {middle - printer.spread, middle + printer.spread};
}

std::span<const Insert> inserts() { return kInserts; }

Millimetres insert_pocket(Millimetres length, const MetricSize& size) {
  return std::max(length + Millimetres(0.5), length + Millimetres(2 * size.pitch));
}

Boss boss_for(const MetricSize& size, std::string_view material) {
  const bool pc = material == "pc";
  const double d = size.diameter;
  return {Millimetres((pc ? 2.0 : 2.3) * d), Millimetres((pc ? 2.7 : 2.9) * d), Millimetres(2.0 * d),
          Millimetres(2.5 * d)};
}

}  // namespace handlot::joints
