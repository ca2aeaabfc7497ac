// Whatever bytes come, the readers answer: a value or diagnostics, never a crash. The first byte picks the reader.
#include <cstddef>
#include <cstdint>
#include <string>

#include "catalogue/catalogue.h"
#include "input/csv.h"
#include "input/units.h"
#include "job/job.h"
#include "reflow/log.h"
#include "solder/gerber.h"

using namespace handlot;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size < 2) return 0;
  static const catalogue::Catalogue no_cards;
  const std::string text(reinterpret_cast<const char*>(data + 1), size - 1);
  switch (data[0] % 5) {
    case 0: (void)job::parse_job(text, "fuzz.xml", no_cards); break;
    case 1: (void)reflow::read_log(text, "fuzz.csv"); break;
    case 2: (void)solder::read_gerber(text, "fuzz.gbr", {2000, 8}); break;
    case 3: (void)input::read_csv(text, "fuzz.csv"); break;
    default:
      for (int d = 0; d <= static_cast<int>(input::Dimension::resistance); ++d) {
        const auto dimension = static_cast<input::Dimension>(d);
        (void)input::read_amount(text, dimension, input::sensible(dimension));
      }
  }
  return 0;
}
