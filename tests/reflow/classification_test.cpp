// TRUTH   solder-examples F1 to F11 of ../shared/reference: lookups in J-STD-020 tables as reprinted at
//         dtsheet.com/doc/1654354 and scribd.com/document/722384869 (lead-free cells read; tin-lead cells of
//         D.1 from memory, so these only pin what we ship).
#include <catch2/catch.hpp>

#include "reflow/window.h"

using namespace handlot;
using namespace handlot::reflow;

namespace {
double tc(double a, double b, double thick, Process process, Revision revision = Revision::d1) {
  return classify({Millimetres(thick), CubicMillimetres(a * b * thick)}, process, revision).tc.value;
}
}  // namespace

TEST_CASE("F: classification temperature from thickness and volume", "[reflow][truth]") {
  struct Row {
    double a, b, thick, lead_free, tin_lead;
  };
  const Row rows[] = {{5, 5, 0.9, 260, 235},   {10, 10, 1.4, 260, 235}, {16, 16, 1.6, 250, 220},
                      {23, 23, 2.0, 250, 220}, {35, 35, 2.3, 245, 220}, {4.9, 3.9, 1.5, 260, 235},
                      {12, 12, 8, 245, 220},   {24, 24, 3.6, 245, 220}, {13, 13, 2.5, 245, 220},
                      {5, 5, 3.0, 250, 220}};
  for (const Row& r : rows) {
    CAPTURE(r.a, r.thick);
    CHECK(tc(r.a, r.b, r.thick, Process::lead_free) == r.lead_free);
    CHECK(tc(r.a, r.b, r.thick, Process::tin_lead) == r.tin_lead);
  }
  CHECK(tc(5, 5, 0.9, Process::tin_lead, Revision::c) == 240);
  CHECK(tc(16, 16, 1.6, Process::tin_lead, Revision::c) == 225);
}

TEST_CASE("the revision of the standard is a field that changes the soak", "[reflow][truth]") {
  const Body body{Millimetres(1.0), CubicMillimetres(25)};
  CHECK(classify(body, Process::lead_free, Revision::c).soak.high == 180);
  CHECK(classify(body, Process::lead_free, Revision::d1).soak.high == 120);
  CHECK(classify(body, Process::lead_free).within_5k.value == 30);
  CHECK(classify(body, Process::tin_lead).within_5k.value == 20);
}

TEST_CASE("a thicker or larger body never bears more heat", "[reflow][property]") {
  for (Process process : {Process::lead_free, Process::tin_lead}) {
    for (Revision revision : {Revision::c, Revision::d1, Revision::e}) {
      for (double t = 0.5; t < 4; t += 0.1) {
        for (double v = 50; v < 3000; v += 50) {
          const auto tc_at = [&](double thick, double vol) {
            return classify({Millimetres(thick), CubicMillimetres(vol)}, process, revision).tc.value;
          };
          if (tc_at(t + 0.1, v) > tc_at(t, v) || tc_at(t, v + 50) > tc_at(t, v))
            FAIL("not monotone at " << t << " " << v);
        }
      }
    }
  }
  SUCCEED();
}
