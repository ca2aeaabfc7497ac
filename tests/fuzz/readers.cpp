// Whatever bytes come, the readers answer: a value or diagnostics, never a crash. The first byte picks the reader.
#include <cstddef>
#include <cstdint>
#include <string>

#include "catalogue/catalogue.h"
#include "input/csv.h"
#include "input/units.h"
#include "job/job.h"
#include "reflow/log.h"
#include "reflow/plot.h"
#include "reflow/verdict.h"
#include "solder/gerber.h"
#include "solder/placement_list.h"
#include "solder/placing.h"
#include "solder/stencil.h"

using namespace handlot;

namespace {

/// Read, judged by every criterion, drawn and told why.
void look_at_log(const std::string& text) {
  const auto log = reflow::read_log(text, "fuzz.csv");
  if (!log) return;
  const auto window = *reflow::practice_window("sac305");
  const auto verdict = reflow::judge(*log, reflow::criteria(window));
  (void)reflow::because(verdict, *log);
  (void)reflow::plot(*log, verdict, window);
}

void look_at_layer(const std::string& text) {
  const auto layer = solder::read_gerber(text, "fuzz.gbr", {2000, 8});
  if (!layer) return;
  const solder::StencilJob work;
  if (const auto check = solder::check_stencil(*layer, work)) (void)solder::stencil_picture(*layer, *check, work, "fuzz");
  (void)solder::compare_with_pads(*layer, solder::pads_of(*layer));
}

void look_at_places(const std::string& text) {
  const auto list = solder::read_placement_list(text, "fuzz.csv");
  if (!list || list->parts.size() > 200) return;
  std::vector<solder::Placement> parts;
  for (const auto& row : list->parts) {
    solder::Placement p;
    p.part = row.ref, p.bag = row.value, p.value = row.value, p.centre = row.centre, p.turned = row.turned, p.mark = row.mark;
    p.length = p.width = p.height = Millimetres(1);
    p.polarised = row.bottom;
    parts.push_back(std::move(p));
  }
  if (const auto plan = solder::plan_placing(parts)) (void)solder::placing_picture(parts, *plan, 0, {});
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  static const catalogue::Catalogue no_cards;
  const std::string text(reinterpret_cast<const char*>(data + 1), size - 1);
  switch (data[0] % 6) {
    case 0: (void)job::parse_job(text, "fuzz.xml", no_cards); break;
    case 1: look_at_log(text); break;
    case 2: look_at_layer(text); break;
    case 3: (void)input::read_csv(text, "fuzz.csv"); break;
    case 4: look_at_places(text); break;
    default:
      for (int d = 0; d <= static_cast<int>(input::Dimension::resistance); ++d) {
        const auto dimension = static_cast<input::Dimension>(d);
        (void)input::read_amount(text, dimension, input::sensible(dimension));
      }
  }
  return 0;
}
