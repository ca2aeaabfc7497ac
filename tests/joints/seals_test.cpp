#include "joints/seals.h"

#include <catch2/catch.hpp>

using namespace handlot;
using namespace handlot::joints;
using namespace handlot::literals;

// As ORINGRATE prints it: (cross-section - gland depth) / cross-section.
TEST_CASE("a cord of 2 mm in 1.5 mm of room is squeezed by a quarter", "[joints]") {
  CHECK(squeeze(2_mm, 1.5_mm) == Approx(0.25));
  CHECK(squeeze(2_mm, 2.1_mm) < 0);
}

// TRUTH   ORINGRATE: 20 to 28 % for faces, 15 to 22 % static, 10 to 15 % sliding, under 10 % may leak. Read 2026-11-30.
TEST_CASE("what a maker prints lies in the usual window", "[joints][truth]") {
  const auto usual = [](SealKind kind, double least, double most) {
    const SqueezeWindow w = squeeze_window(kind);
    return w.usual_least <= least && most <= w.usual_most;
  };
  CHECK(usual(SealKind::face, 0.20, 0.28));
  CHECK(usual(SealKind::radial, 0.15, 0.22));
  CHECK(usual(SealKind::moving, 0.10, 0.15));
  CHECK(squeeze_window(SealKind::face).least == 0.10);
}

TEST_CASE("a narrower or a shallower groove is fuller", "[joints][property]") {
  CHECK(groove_fill(2_mm, 1.6_mm, 2.4_mm) == Approx(0.818).margin(0.001));
  CHECK(groove_fill(2_mm, 1.6_mm, 2_mm) > groove_fill(2_mm, 1.6_mm, 2.4_mm));
  CHECK(groove_fill(2_mm, 1.5_mm, 2.4_mm) > groove_fill(2_mm, 1.6_mm, 2.4_mm));
  CHECK(stretch(20_mm, 21_mm) == Approx(0.05));
  CHECK(stretch(20_mm, 19_mm) < 0);
}
