#include "solder/gerber.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "core/diagnostic.h"

using namespace handlot;
using namespace handlot::solder;

namespace {

constexpr double kPi = std::numbers::pi;
const std::string kHead = "%FSLAX36Y36*%\n%MOMM*%\n";

Layer good(const std::string& text) {
  auto layer = read_gerber(text, "paste.gbr");
  if (!layer) FAIL(format(layer.error().front()));
  return *layer;
}

std::string code(const std::string& text) {
  const auto layer = read_gerber(text, "bad.gbr");
  return layer ? "read" : layer.error().front().code;
}

std::string flash(double x, double y) {
  return fmt::format("X{}Y{}D03*\n", std::lround(x * 1e6), std::lround(y * 1e6));
}
std::string to(double x, double y, int d) {
  return fmt::format("X{}Y{}D0{}*\n", std::lround(x * 1e6), std::lround(y * 1e6), d);
}

double area(const Layer& l) {
  double sum = 0;
  for (const Opening& o : l.openings) sum += o.area.value;
  return sum;
}
double around(const Layer& l) {
  double sum = 0;
  for (const Opening& o : l.openings) sum += o.perimeter.value;
  return sum;
}

}  // namespace

TEST_CASE("flashes of the standard apertures have their closed-form area and perimeter", "[solder][truth]") {
  struct Row {
    const char* aperture;
    double area, around, width, length;
    Shape shape;
  };
  const Row rows[] = {
      {"C,0.3", kPi * 0.09 / 4, kPi * 0.3, 0.3, 0.3, Shape::circle},
      {"R,1.0X0.5", 0.5, 3.0, 0.5, 1.0, Shape::rectangle},
      {"O,1.5X0.3", 1.2 * 0.3 + kPi * 0.09 / 4, 2.4 + kPi * 0.3, 0.3, 1.5, Shape::obround},
      {"P,1.0X6", 6 * 0.25 * std::sin(kPi / 3) / 2, 3.0, std::sqrt(3) / 2, std::sqrt(3) / 2, Shape::polygon}};
  for (const Row& r : rows) {
    const Layer l = good(kHead + "%ADD10" + r.aperture + "*%\nD10*\n" + flash(3, 4) + "M02*\n");
    REQUIRE(l.openings.size() == 1);
    const Opening& o = l.openings[0];
    CAPTURE(r.aperture);
    CHECK(o.area.value == Approx(r.area).epsilon(1e-12));
    CHECK(o.perimeter.value == Approx(r.around).epsilon(1e-12));
    CHECK(o.width.value == Approx(r.width).epsilon(1e-9));
    CHECK(o.length.value == Approx(r.length).epsilon(1e-9));
    CHECK(o.shape == r.shape);
    CHECK(o.centre.x == Approx(3).margin(1e-6));
    CHECK(o.centre.y == Approx(4).margin(1e-6));
    CHECK(o.aperture == "D10");
    // The drawn ring says the same within its chords.
    CHECK(signed_area(o.outline) == Approx(r.area).epsilon(2e-4));
    CHECK(length(o.outline) == Approx(r.around).epsilon(2e-3));
  }
}

TEST_CASE("macros, regions, draws and arcs have their closed-form areas", "[solder][truth]") {
  // A rounded rectangle as a macro: two rectangles and four circles.
  const std::string rounded =
      "%AMRR*\n0 corner radius $3*\n$4=$1-2x$3*\n$5=$2-2x$3*\n21,1,$1,$5,0,0,0*\n21,1,$4,$2,0,0,0*\n"
      "1,1,2x$3,$4/2,$5/2*\n1,1,2x$3,-$4/2,$5/2*\n1,1,2x$3,$4/2,-$5/2*\n1,1,2x$3,0-$4/2,(0-$5)/"
      "2*%\n%ADD10RR,0.3X0.3X0.06*%\nD10*\n";
  const Layer macro = good(kHead + rounded + flash(0, 0) + "M02*\n");
  REQUIRE(macro.openings.size() == 1);
  CHECK(macro.openings[0].area.value == Approx(0.09 - (4 - kPi) * 0.0036).epsilon(2e-3));
  CHECK(macro.openings[0].perimeter.value == Approx(1.2 - (8 - 2 * kPi) * 0.06).epsilon(2e-3));
  CHECK(macro.openings[0].width.value == Approx(0.3).margin(0.002));
  // A region with a half circle at one end.
  const Layer region =
      good(kHead + "G36*\nG01*\n" + to(0, 0, 2) + to(2, 0, 1) +
           "G75*\nG03X2000000Y1000000I0J500000D01*\nG01*\n" + to(0, 1, 1) + to(0, 0, 1) + "G37*\nM02*\n");
  CHECK(area(region) == Approx(2 + kPi / 8).epsilon(1e-3));
  CHECK(around(region) == Approx(5 + kPi / 2).epsilon(1e-3));
  // A line drawn with a round tool is an obround.
  const Layer line = good(kHead + "%ADD10C,0.4*%\nD10*\nG01*\n" + to(0, 0, 2) + to(3, 4, 1) + "M02*\n");
  CHECK(area(line) == Approx(5 * 0.4 + kPi * 0.16 / 4).epsilon(1e-3));
  CHECK(line.openings[0].shape == Shape::obround);
  CHECK(line.openings[0].width.value == Approx(0.4).epsilon(5e-3));
  // A quarter ring, in both quadrant modes.
  const double ring = kPi / 4 * (1.1 * 1.1 - 0.9 * 0.9) + kPi * 0.04 / 4;
  CHECK(area(good(kHead + "%ADD10C,0.2*%\nD10*\nG75*\nG01*\n" + to(1, 0, 2) +
                  "G03X0Y1000000I-1000000J0D01*\nM02*\n")) == Approx(ring).epsilon(2e-3));
  CHECK(area(good(kHead + "%ADD10C,0.2*%\nD10*\nG74*\nG01*\n" + to(1, 0, 2) +
                  "G03X0Y1000000I1000000J0D01*\nM02*\n")) == Approx(ring).epsilon(2e-3));
  // A full circle: a ring with a hole.
  const Layer full =
      good(kHead + "%ADD10C,0.2*%\nD10*\nG75*\n" + to(1, 0, 2) + "G02X1000000Y0I-1000000J0D01*\nM02*\n");
  REQUIRE(full.openings.size() == 1);
  REQUIRE(full.openings[0].holes.size() == 1);
  CHECK(area(full) == Approx(kPi * (1.21 - 0.81)).epsilon(1e-3));
  CHECK(full.openings[0].width.value == Approx(0.2).margin(0.003));
}

TEST_CASE("all macro primitives have their closed-form areas", "[solder][truth]") {
  struct Row {
    const char* statement;
    double area;
  };
  const Row rows[] = {{"1,1,0.5,1,1", kPi * 0.0625},
                      {"20,1,0.2,0,0,3,4,0", 1.0},
                      {"2,1,0.2,0,0,3,4,45", 1.0},
                      {"21,1,0.6,0.4,1,1,30", 0.24},
                      {"22,1,0.6,0.4,1,1,30", 0.24},
                      {"4,1,3,0,0,1,0,0,1,0,0,77", 0.5},
                      {"5,1,6,0,0,1,15", 6 * 0.25 * std::sin(kPi / 3) / 2},
                      {"7,0,0,1,0.6,0.0,0", kPi * (0.25 - 0.09)}};
  for (const Row& r : rows) {
    CAPTURE(r.statement);
    CHECK(area(good(kHead + "%AMX*\n" + r.statement + "*%\n%ADD10X*%\nD10*\n" + flash(0, 0) + "M02*\n")) ==
          Approx(r.area).epsilon(2e-3));
  }
  // Exposure off cuts within the macro only.
  const std::string cut = kHead + "%AMX*\n21,1,1,1,0,0,0*\n1,0,0.5,0,0*%\n%ADD10X*%\n%ADD11R,3X3*%\n";
  CHECK(area(good(cut + "D10*\n" + flash(0, 0) + "M02*\n")) == Approx(1 - kPi * 0.0625).epsilon(1e-3));
  CHECK(area(good(cut + "D11*\n" + flash(0, 0) + "D10*\n" + flash(0, 0) + "M02*\n")) ==
        Approx(9).epsilon(1e-9));
  // Crosshair: two bars, two rings.
  const double moire =
      area(good(kHead + "%AMX*\n6,0,0,2,0.1,0.2,2,0.05,2.4,0*%\n%ADD10X*%\nD10*\n" + flash(0, 0) + "M02*\n"));
  CHECK(moire > kPi * (1 - 0.81) + kPi * (0.49 - 0.36));
  CHECK(moire < kPi * (1 - 0.81) + kPi * (0.49 - 0.36) + 2 * 0.05 * 2.4);
}

TEST_CASE("polarity, step and repeat, blocks, mirror, turn and scale", "[solder]") {
  const std::string pads = "%ADD10R,1X0.5*%\n%ADD11C,0.2*%\n";
  CHECK(area(good(kHead + pads + "D10*\n" + flash(0, 0) + "%LPC*%\nD11*\n" + flash(0, 0) +
                  "%LPD*%\nM02*\n")) == Approx(0.5 - kPi * 0.01).epsilon(1e-3));
  // Dark again over clear fills it.
  CHECK(area(good(kHead + pads + "D10*\n" + flash(0, 0) + "%LPC*%\n" + flash(0, 0) + "%LPD*%\nD11*\n" +
                  flash(0, 0) + "M02*\n")) == Approx(kPi * 0.01).epsilon(1e-3));
  const Layer sr =
      good(kHead + pads + "D10*\n%SRX3Y2I2.0J1.0*%\n" + flash(0, 0) + "%SR*%\n" + flash(20, 20) + "M02*\n");
  CHECK(sr.openings.size() == 7);
  CHECK(sr.objects == 7);
  CHECK(sr.openings[5].centre.x == Approx(4).margin(1e-6));
  CHECK(area(sr) == Approx(3.5).epsilon(1e-12));
  const Layer block = good(kHead + pads + "%ABD20*%\nD10*\n" + flash(0, 0) + "D11*\n" + flash(2, 0) +
                           "%AB*%\nD20*\n" + flash(10, 0) + "%LR90*%\n" + flash(20, 0) + "%LMX*%\n%LR0*%\n" +
                           flash(30, 0) + "%LMN*%\n%LS2*%\n" + flash(50, 0) + "M02*\n");
  REQUIRE(block.openings.size() == 8);
  CHECK(area(block) == Approx((0.5 + kPi * 0.01) * (3 + 4)).epsilon(1e-9));
  bool up = false, left = false, wide = false;
  for (const Opening& o : block.openings) {
    up = up || (std::abs(o.centre.x - 20) < 1e-6 && std::abs(o.centre.y - 2) < 1e-6);
    left = left || (std::abs(o.centre.x - 28) < 1e-6 && std::abs(o.centre.y) < 1e-6);
    wide = wide || (std::abs(o.centre.x - 54) < 1e-6 && std::abs(o.width.value - 0.4) < 1e-9);
  }
  CHECK(up);
  CHECK(left);
  CHECK(wide);
}

TEST_CASE("units, zeros left out, attributes and old words", "[solder]") {
  const Layer inch = good("%FSLAX24Y24*%\n%MOIN*%\n%ADD10C,0.01*%\nD10*\nX10000Y-5000D03*\nM02*\n");
  CHECK(inch.openings[0].centre.x == Approx(25.4).margin(1e-6));
  CHECK(inch.openings[0].centre.y == Approx(-12.7).margin(1e-6));
  CHECK(inch.openings[0].width.value == Approx(0.254).epsilon(1e-9));
  const Layer trailing = good("%FSTAX24Y24*%\n%MOIN*%\n%ADD10C,0.01*%\nD10*\nX01Y-005D03*\nM02*\n");
  CHECK(trailing.openings[0].centre.x == Approx(25.4).margin(1e-6));
  CHECK(trailing.openings[0].centre.y == Approx(-12.7).margin(1e-6));
  const Layer x2 = good(kHead + "%TF.FileFunction,Paste,Top*%\n%ADD10C,0.3*%\nD10*\n%TO.P,R1,1*%\n" +
                        flash(0, 0) + "%TO.P,R1,2*%\n" + flash(1, 0) + "%TD*%\n" + flash(2, 0) + "M02*\n");
  CHECK(x2.function == "Paste,Top");
  CHECK(x2.openings[1].component == "R1");
  CHECK(x2.openings[1].pin == "2");
  CHECK(x2.openings[2].component.empty());
  const Layer x1 = good(kHead + "G04 #@! TF.FileFunction,Paste,Bot*\n%ADD10C,0.3*%\nG54D10*\n" + flash(0, 0) +
                        "X1000000*\nM02*\n");
  CHECK(x1.function == "Paste,Bot");
  CHECK(x1.openings.size() == 2);
  CHECK(x1.warnings.size() == 1);
}

TEST_CASE("old files are read as they were meant", "[solder]") {
  const std::string pad = "%ADD10R,0.4X0.2*%\n";
  CHECK(good(kHead + "%SRX1Y1I0J0*%\n" + pad + "D10*\n" + flash(0, 0) + "M02*\n").openings.size() == 1);
  const std::string repeat = pad + "D10*\n%SRX3Y2I2.0J2.0*%\n" + flash(0, 0);
  CHECK(good(kHead + repeat + "%SRX1Y1I0J0*%\n" + flash(0, 9) + "M02*\n").openings.size() == 7);
  CHECK(good(kHead + repeat + "M02*\n").openings.size() == 6);
  CHECK_FALSE(read_gerber(kHead + repeat, "cut.gbr").has_value());
  CHECK(good(kHead + pad + "G54D10*\nG00X0Y0D02*\nG01X0Y0D03*\nM02*\n").openings.size() == 1);
  // An aperture defined anew is another one from there on.
  const Layer anew = good(kHead + pad + "D10*\n" + flash(0, 0) + "%ADD10R,0.8X0.2*%\n" + flash(2, 0) + "M02*\n");
  CHECK(anew.openings[0].length.value == Approx(0.4));
  CHECK(anew.openings[1].length.value == Approx(0.8));
  // Within one quarter an arc that ends where it begins has no length; with G75 it goes all the way round.
  const std::string arc = "%ADD10C,0.2*%\nD10*\nX1000000Y0D02*\n";
  const std::string round = "G03X1000000Y0I1000000J0D01*\nM02*\n";
  CHECK(area(good(kHead + arc + "G74*\n" + round)) == Approx(kPi * 0.01).epsilon(1e-3));
  CHECK(area(good(kHead + arc + "G75*\n" + round)) == Approx(2 * kPi * 0.2).epsilon(1e-2));
}

TEST_CASE("a negative image is refused, a mask that says so by custom is not", "[solder][errors]") {
  const std::string body = "%ADD10C,0.3*%\nD10*\n" + flash(0, 0) + "M02*\n";
  for (const std::string words : {"%TF.FilePolarity,Negative*%\n", "%TF.FileFunction,Paste,Top*%\n%TF.FilePolarity,Negative*%\n"}) {
    const auto refused = read_gerber(kHead + words + body, "negative.gbr");
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().front().code == "gerber-negative-image");
  }
  CHECK(good(kHead + "%TF.FileFunction,Soldermask,Top*%\n%TF.FilePolarity,Negative*%\n" + body).openings.size() == 1);
  CHECK(good(kHead + "%TF.FilePolarity,Positive*%\n" + body).openings.size() == 1);
}

TEST_CASE("touching objects make one opening", "[solder]") {
  const Layer l =
      good(kHead + "%ADD10R,1X1*%\nD10*\n" + flash(0, 0) + flash(0.5, 0) + flash(5, 0) + "M02*\n");
  REQUIRE(l.openings.size() == 2);
  CHECK(l.openings[0].area.value == Approx(1.5).epsilon(1e-6));
  CHECK(l.openings[0].shape == Shape::rectangle);
  CHECK(l.openings[0].width.value == Approx(1).epsilon(1e-6));
}

TEST_CASE("a layer of 600 apertures agrees with a raster count", "[solder][twin]") {
  // Independent of polygons: every shape is asked, cell by cell, whether it covers the cell's middle.
  std::string text =
      kHead + "%ADD10C,0.5*%\n%ADD11R,0.8X0.4*%\n%ADD12O,1.0X0.35*%\n%ADD13P,0.7X6*%\n%ADD14C,0.15*%\n";
  struct Put {
    int kind;
    double x, y;
  };
  std::vector<Put> puts;
  unsigned seed = 42;
  const auto draw = [&] {
    seed = seed * 1664525u + 1013904223u;
    return static_cast<double>(seed >> 8) / 16777216.0;
  };
  for (int i = 0; i < 640; ++i)
    puts.push_back(
        {i < 600 ? i % 4 : 4, std::round(draw() * 30000) / 1000, std::round(draw() * 24000) / 1000});
  for (int kind = 0; kind < 5; ++kind) {
    if (kind == 4) text += "%LPC*%\n";
    text += fmt::format("D{}*\n", 10 + kind);
    for (const Put& p : puts)
      if (p.kind == kind) text += flash(p.x, p.y);
  }
  const Layer layer = good(text + "M02*\n");
  CHECK(layer.objects == 640);
  const auto covers = [](int kind, double dx, double dy) {
    dx = std::abs(dx), dy = std::abs(dy);
    switch (kind) {
      case 0:
        return dx * dx + dy * dy <= 0.0625;
      case 1:
        return dx <= 0.4 && dy <= 0.2;
      case 2:
        return dx <= 0.325 ? dy <= 0.175 : (dx - 0.325) * (dx - 0.325) + dy * dy <= 0.175 * 0.175;
      case 3:
        return dy <= 0.35 * std::sqrt(3) / 2 && std::sqrt(3) * dx + dy <= 0.35 * std::sqrt(3);
      default:
        return dx * dx + dy * dy <= 0.075 * 0.075;
    }
  };
  const double cell = 0.01;
  const int nx = 3200, ny = 2600;  // from -1 mm
  std::vector<char> dark(static_cast<std::size_t>(nx) * ny, 0);
  for (const Put& p : puts) {
    const int i0 = static_cast<int>((p.x + 1 - 0.6) / cell), j0 = static_cast<int>((p.y + 1 - 0.6) / cell);
    for (int j = std::max(0, j0); j < std::min(ny, j0 + 121); ++j) {
      for (int i = std::max(0, i0); i < std::min(nx, i0 + 121); ++i) {
        if (covers(p.kind, (i + 0.5) * cell - 1 - p.x, (j + 0.5) * cell - 1 - p.y))
          dark[static_cast<std::size_t>(j) * nx + static_cast<std::size_t>(i)] = p.kind == 4 ? 0 : 1;
      }
    }
  }
  double counted = 0;
  for (const char c : dark) counted += c;
  counted *= cell * cell;
  // Middle-of-cell counting errs by about cell x sqrt(perimeter x cell): well under perimeter x cell.
  CHECK(std::abs(area(layer) - counted) < 0.05 * around(layer) * cell);
  // Perimeter by Cauchy-Crofton: how often lines of four directions change colour. For one straight edge the
  // sum is off by -5.2 % (along an axis or diagonal) to +2.7 % (between them); nothing averages that away for
  // rectangles.
  const auto at = [&](int i, int j) {
    return dark[static_cast<std::size_t>(j) * nx + static_cast<std::size_t>(i)];
  };
  double straight = 0, diagonal = 0;
  for (int j = 1; j < ny; ++j) {
    for (int i = 1; i < nx; ++i) {
      straight += (at(i, j) != at(i - 1, j) ? 1 : 0) + (at(i, j) != at(i, j - 1) ? 1 : 0);
      diagonal += (at(i, j) != at(i - 1, j - 1) ? 1 : 0) + (at(i - 1, j) != at(i, j - 1) ? 1 : 0);
    }
  }
  const double raster = kPi / 8 * cell * (straight + diagonal / std::sqrt(2.0));
  CHECK(raster > 0.945 * around(layer));
  CHECK(raster < 1.03 * around(layer));
  WARN("raster: area " << area(layer) << " against " << counted << " mm2, perimeter " << around(layer)
                       << " against " << raster << " mm");
}

TEST_CASE("wrong files are answered with line and mend", "[solder][errors]") {
  CHECK(code("") == "gerber-empty");
  CHECK(code("hello") == "gerber-not-gerber");
  CHECK(code("%MOMM*%\n%ADD10C,0.3*%\nD10*\nX0Y0D03*\nM02*\n") == "gerber-no-format");
  CHECK(code("%FSLAX36Y36*%\n%ADD10C,0.3*%\nD10*\nX0Y0D03*\nM02*\n") == "gerber-no-units");
  const auto no_unit = read_gerber("%FSLAX36Y36*%\n%ADD10C,0.3*%\n%ADD11R,1X1*%\nD10*\nX0Y0D03*\nD11*\nX1000000Y0D03*\nM02*\n", "a.gbr");
  REQUIRE_FALSE(no_unit.has_value());
  CHECK(no_unit.error().size() == 1);  // told once, and not of each aperture and flash
  CHECK(code(kHead + "D10*\nX0Y0D03*\nM02*\n") == "gerber-unknown-aperture");
  CHECK(code(kHead + "%ADD10C,abc*%\nM02*\n") == "gerber-bad-number");
  CHECK(code(kHead + "%ADD10R,1*%\nM02*\n") == "gerber-bad-aperture");
  CHECK(code(kHead + "%ADD10NOPE,1*%\nM02*\n") == "gerber-bad-aperture");
  CHECK(code(kHead + "%AMX*\n1,1,$1x(2,0,0*%\n%ADD10X,1*%\nM02*\n") == "gerber-macro-expression");
  CHECK(code(kHead + "%AMX*\n9,1,2*%\n%ADD10X,1*%\nM02*\n") == "gerber-bad-macro");
  CHECK(code(kHead + "G36*\nX0Y0D02*\nX1000000D01*\nY1000000D01*\nG37*\nM02*\n") == "gerber-open-region");
  CHECK(code(kHead + "%ADD10C,0.3*%\nD10*\nG75*\nX0Y0D02*\nG02X1000000Y0I300000J0D01*\nM02*\n") ==
        "gerber-bad-arc");
  CHECK(code(kHead + "%IPNEG*%\nM02*\n") == "gerber-negative-image");
  CHECK(code(kHead + "Q12*\nM02*\n") == "gerber-unknown-command");
  CHECK(code(kHead + "%ADD10C,0.3*%\nD10*\n%SRX1000Y1000I1J1*%\nX0Y0D03*\n%SR*%\nM02*\n") ==
        "gerber-too-many");
  CHECK(code(kHead + "%ADD10C,0.3*%\nD10*\nX0Y0D03") == "gerber-unclosed");
  const auto bad = read_gerber(kHead + "%ADD10C,0.3*%\nD10*\nX0Y0D03*\nD11*\nX0Y0D03*\nZ9*\nM02*\n",
                               "jobs/lamp/paste.gbr");
  REQUIRE(bad.error().size() == 2);
  CHECK(format(bad.error()[0]) ==
        "jobs/lamp/paste.gbr:7: error: aperture D11 is used and never defined [gerber-unknown-aperture]\n  "
        "mend: export the layer again\n");
  CHECK(bad.error()[1].place.line == 8);
}

TEST_CASE("spoilt files never crash the reader", "[solder][errors]") {
  const std::string whole =
      kHead +
      "%AMRR*\n21,1,$1,$2,0,0,0*\n1,1,2x$3,$1/2,$2/2*%\n%ADD10RR,0.3X0.3X0.06*%\n%ADD11C,0.2*%\nD10*\n" +
      flash(0, 0) + "%SRX3Y2I2.0J1.0*%\nD11*\n" + flash(1, 1) + "%SR*%\nG36*\n" + to(0, 0, 2) + to(2, 0, 1) +
      to(2, 2, 1) + to(0, 0, 1) + "G37*\nG75*\n" + to(1, 0, 2) + "G03X0Y1000000I-1000000J0D01*\nM02*\n";
  REQUIRE(code(whole) == "read");
  unsigned seed = 9;
  const auto draw = [&](std::size_t n) {
    seed = seed * 1664525u + 1013904223u;
    return static_cast<std::size_t>(seed >> 8) % n;
  };
  int answered = 0;
  for (int i = 0; i < 500; ++i) {
    std::string text = whole;
    for (std::size_t n = 1 + draw(4); n > 0; --n) {
      const std::size_t at = draw(text.size());
      if (i % 3 == 0) text[at] = static_cast<char>(1 + draw(126));
      if (i % 3 == 1) text.erase(at, draw(30));
      if (i % 3 == 2) text.insert(at, text.substr(draw(text.size()), draw(60)));
      if (text.empty()) text = "*";
    }
    const auto layer = read_gerber(text, "spoilt.gbr");
    if (!layer) {
      REQUIRE_FALSE(layer.error().empty());
      for (const Diagnostic& d : layer.error()) CHECK_FALSE(d.mend.empty());
    }
    ++answered;
  }
  CHECK(answered == 500);
}

TEST_CASE("equal macro flashes have equal widths, turned and scaled ones too", "[solder][twin]") {
  const std::string home = "%AMH*\n4,1,5,0,0,1,0,1.4,0.5,1,1,0,1,0,0,$1*%\n%ADD10H,0*%\nD10*\n";
  const Layer l = good(kHead + home + flash(0, 0) + "%LR30*%\n" + flash(5, 0) + "%LR0*%\n%LS2*%\n" + flash(10, 0) +
                       "%LS1*%\n" + flash(20, 0) + "M02*\n");
  REQUIRE(l.openings.size() == 4);
  for (const Opening& o : l.openings) {
    const double scale = o.centre.x > 9 && o.centre.x < 15 ? 2 : 1;
    CHECK(o.width.value == Approx(1.0 * scale).margin(0.06));  // a little over the square that it holds
    CHECK(o.area.value == Approx(1.2 * scale * scale).epsilon(1e-4));
  }
}

TEST_CASE("of a copper layer the flashes are the pads, tracks and pours are left out", "[solder]") {
  const std::string head = "%FSLAX46Y46*%\n%MOMM*%\n", pads = "%ADD10R,0.8X0.9*%\n%ADD11C,0.2*%\nD10*\nX0Y0D03*\nX3000000Y0D03*\nX3000000Y2000000D03*\n";
  const std::string track = "D11*\nX0Y0D02*\nX3000000Y0D01*\nX3000000Y2000000D01*\n", lone = "X9000000Y0D02*\nX9000000Y3000000D01*\n", end = "M02*\n";
  const std::string pour = "G36*\nX-1000000Y-1000000D02*\nX4000000Y-1000000D01*\nX4000000Y1000000D01*\nX-1000000Y1000000D01*\nX-1000000Y-1000000D01*\nG37*\n";
  const auto centres = [](const std::string& text) {
    const auto layer = read_pads(text, "pads.gbr");
    REQUIRE(layer);
    std::vector<std::pair<double, double>> all;
    for (const Opening& o : layer->openings) {
      if (o.function != "Conductor") all.emplace_back(std::round(o.centre.x * 10) / 10, std::round(o.centre.y * 10) / 10);
    }
    return all;
  };
  const std::vector<std::pair<double, double>> three{{0, 0}, {3, 0}, {3, 2}};
  CHECK(centres(head + pads + end) == three);
  CHECK(centres(head + pads + track + lone + end) == three);
  CHECK(centres(head + pads + pour + end) == three);
  CHECK(centres("%TF.FileFunction,Copper,L1,Top*%\n" + head + pads + track + pour + lone + end) == three);
  CHECK(read_gerber(head + pads + track + end, "all.gbr")->openings.size() == 1);
  // What is drawn on a layer that joins no pads, or that says it is no copper, is taken as it stands.
  CHECK(centres(head + pads + lone + end).size() == 4);
  CHECK(centres("%TF.FileFunction,Soldermask,Top*%\n" + head + pads + track + end).size() == 1);
  // A pad of a shape of its own is drawn for a pin.
  CHECK(centres("%TF.FileFunction,Copper,L1,Top*%\n" + head + pads + "%TO.P,U1,1*%\nG36*\nX20000000Y0D02*\nX22000000Y0D01*\nX22000000Y2000000D01*\nX20000000Y2000000D01*\nX20000000Y0D01*\nG37*\n%TD*%\n" + end).size() == 4);
}
