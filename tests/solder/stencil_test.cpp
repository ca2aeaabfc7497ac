#include "solder/stencil.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>

using namespace handlot;
using namespace handlot::literals;
using namespace handlot::solder;

namespace {

constexpr double kPi = std::numbers::pi;

Opening rectangle(double x, double y, double l, double w, std::string part = "", std::string pin = "") {
  Opening o;
  o.outline = {
      {x - l / 2, y - w / 2}, {x + l / 2, y - w / 2}, {x + l / 2, y + w / 2}, {x - l / 2, y + w / 2}};
  o.area = SquareMillimetres(l * w);
  o.perimeter = Millimetres(2 * (l + w));
  o.length = Millimetres(std::max(l, w));
  o.width = Millimetres(std::min(l, w));
  o.centre = {x, y};
  o.low = {x - l / 2, y - w / 2}, o.high = {x + l / 2, y + w / 2};
  o.shape = Shape::rectangle;
  o.component = std::move(part), o.pin = std::move(pin);
  return o;
}

Layer board() {
  Layer layer;
  layer.file = "made.gbr";
  int n = 0;
  for (int i = 0; i < 5; ++i) {
    for (int j = 0; j < 4; ++j) {
      const std::string part = "R" + std::to_string(++n);
      const double x = 5 + 7.3 * i + 0.37 * j, y = 4 + 6.1 * j + 0.23 * i * i;
      layer.openings.push_back(rectangle(x - 0.45, y, 0.5, 0.6, part, "1"));
      layer.openings.push_back(rectangle(x + 0.45, y, 0.5, 0.6, part, "2"));
    }
  }
  for (int k = 0; k < 8; ++k)
    layer.openings.push_back(rectangle(20 + 0.5 * k, 30, 0.25, 1.2, "U1", std::to_string(k + 1)));
  return layer;
}

std::vector<Pad> pads(const Layer& layer) {
  std::vector<Pad> all;
  for (const Opening& o : layer.openings)
    all.push_back({o.component, o.pin, o.centre, Millimetres(o.high.x - o.low.x),
                   Millimetres(o.high.y - o.low.y), Degrees(0), true});
  return all;
}

double ar(double l, double w, double foil) {
  return area_ratio_rectangle(Millimetres(l), Millimetres(w), Millimetres(foil));
}

}  // namespace

TEST_CASE("D1-D12: area and aspect ratios by their closed forms", "[solder][truth]") {
  // solder-examples D1 to D12 of ../shared/reference: exact closed forms; D3 polarbearden.ca, printed 840 sq
  // mil; D4 makers' print claims, all under 0.66; D5 the inputs of an example at indium.com.
  CHECK(ar(0.30, 0.25, 0.10) == Approx(0.6818).margin(5e-5));
  CHECK(aspect_ratio(Millimetres(0.25), Millimetres(0.10)) == Approx(2.5));
  CHECK(ar(1.0, 0.5, 0.12) == Approx(1.3889).margin(5e-5));
  CHECK(aspect_ratio(Millimetres(0.5), Millimetres(0.12)) == Approx(4.1667).margin(5e-5));
  CHECK(168 * 5 == 840);
  CHECK(area_ratio(SquareMillimetres(1000), Millimetres(168), Millimetres(5)) == Approx(1000.0 / 840));
  CHECK(area_ratio_circle(Millimetres(0.225), Millimetres(0.1)) == Approx(0.5625).margin(1e-9));
  CHECK(area_ratio_circle(Millimetres(0.200), Millimetres(0.1)) == Approx(0.5000).margin(1e-9));
  CHECK(area_ratio_circle(Millimetres(0.180), Millimetres(0.1)) == Approx(0.4500).margin(1e-9));
  CHECK(ar(12, 12, 4) == Approx(0.75).margin(1e-9));
  CHECK(area_ratio_circle(Millimetres(0.3), Millimetres(0.12)) == Approx(0.625).margin(1e-9));
  CHECK(ar(0.3, 0.3, 0.12) == Approx(0.625).margin(1e-9));
  CHECK(area_ratio_rounded(Millimetres(0.3), Millimetres(0.3), Millimetres(0.06), Millimetres(0.12)) ==
        Approx(0.66021).margin(1e-5));
  CHECK(area_ratio_rounded(Millimetres(0.3), Millimetres(0.3), Millimetres(0.15), Millimetres(0.12)) ==
        Approx(0.625).margin(1e-9));
  CHECK(area_ratio_obround(Millimetres(1.5), Millimetres(0.3), Millimetres(0.127)) ==
        Approx(1.01458).margin(1e-5));
  CHECK(ar(1.5, 0.3, 0.127) == Approx(0.98425).margin(1e-5));
  const double foils[] = {0.10, 0.12, 0.127, 0.15};
  const double qfn[] = {1.0714, 0.8929, 0.8436, 0.7143}, chip[] = {0.8061, 0.6717, 0.6347, 0.5374},
               square[] = {0.264, 0.3168, 0.33528, 0.396};
  for (int i = 0; i < 4; ++i) {
    CHECK(ar(0.25, 1.5, foils[i]) == Approx(qfn[i]).margin(1e-4));
    CHECK(ar(0.28, 0.38, foils[i]) == Approx(chip[i]).margin(1e-4));
    CHECK(smallest_square(Millimetres(foils[i])).value == Approx(square[i]).margin(1e-6));
  }
}

TEST_CASE("the misprinted formulas fail", "[solder][truth]") {
  // indium.com/blog/formula-for-area-ratio-of-elongated-d.php prints 4d/t for square and circle; a stencil
  // maker's forum prints the walls of a rectangle as 2(L x W)T.
  const double d = 0.3, t = 0.12, l = 1.0, w = 0.5;
  CHECK_FALSE(4 * d / t == Approx(area_ratio_circle(Millimetres(d), Millimetres(t))).margin(1e-3));
  CHECK_FALSE(l * w / (2 * (l * w) * t) == Approx(ar(l, w, t)).margin(1e-3));
  // What is right is what the walls of a traced outline give.
  const Opening o = rectangle(0, 0, l, w);
  CHECK(signed_area(o.outline) / (length(o.outline) * t) == Approx(ar(l, w, t)).epsilon(1e-12));
}

TEST_CASE("E4: volume and mass of a board's paste", "[solder][truth]") {
  // solder-examples E4: 200 pads 0.5 x 0.6, 48 of 0.25 x 1.5, 9 of 0.8 x 0.8, foil 0.12, paste 4.16 g/cm3.
  Layer layer;
  for (int i = 0; i < 200; ++i) layer.openings.push_back(rectangle(i, 0, 0.5, 0.6));
  for (int i = 0; i < 48; ++i) layer.openings.push_back(rectangle(i, 5, 0.25, 1.5));
  for (int i = 0; i < 9; ++i) layer.openings.push_back(rectangle(i, 9, 0.8, 0.8));
  StencilJob job;
  job.foil = 0.12_mm;
  job.paste_density = GramsPerCubicCentimetre(4.16);
  job.transfer = 1;
  const StencilCheck full = check_stencil(layer, job).value();
  CHECK(full.volume.value == Approx(10.0512).margin(1e-4));
  CHECK(full.paste_per_board->value * 1000 == Approx(41.813).margin(0.001));
  job.transfer = 0.85;
  job.boards = 10;
  job.bead_diameter = 14_mm;
  job.squeegee = 100_mm;
  const StencilCheck part = check_stencil(layer, job).value();
  CHECK(part.paste_per_board->value * 1000 == Approx(35.541).margin(0.001));
  CHECK(part.paste_bead->value == Approx(kPi * 49 * 100 * 4.16e-3).epsilon(1e-9));
  CHECK(part.paste_lot->value == Approx(part.paste_bead->value + 0.35541).margin(1e-5));
  // D2: 1.0 x 0.5 in 0.12 is 0.060 mm3, 0.051 at 85 %.
  Layer one;
  one.openings = {rectangle(0, 0, 1.0, 0.5)};
  CHECK(check_stencil(one, job)->openings[0].volume.value == Approx(0.060).margin(1e-9));
  CHECK(check_stencil(one, job)->openings[0].printed.value == Approx(0.051).margin(1e-9));
}

TEST_CASE("a ratio that reads as its limit is not under it", "[solder]") {
  StencilJob job;
  job.foil = Millimetres(0.12);
  const auto low = [&](double side) {
    Layer layer;
    layer.openings = {rectangle(0, 0, side, side)};
    return check_stencil(layer, job)->openings[0].area_ratio_low;
  };
  CHECK_FALSE(low(0.3168));  // 0.66
  CHECK_FALSE(low(0.3167));  // 0.6598
  CHECK(low(0.3160));        // 0.658
}

TEST_CASE("doubtful openings are told with what would serve", "[solder]") {
  Layer layer;
  layer.openings = {rectangle(0, 0, 0.28, 0.38, "C7", "1"), rectangle(3, 0, 1.0, 0.5)};
  StencilJob job;
  job.foil = Millimetres(0.127);
  job.powder_type = 4;
  const StencilCheck check = check_stencil(layer, job).value();
  CHECK(check.doubtful == 1);
  CHECK(check.openings[0].text == "C7.1, rectangle 0.38 x 0.28 mm at 0, 0: area ratio 0.635 is under 0.66");
  CHECK(check.foil_that_serves->value == 0.12);
  CHECK(check.thickest->value == Approx(0.28 * 0.38 / (2 * 0.66) / 0.66).epsilon(1e-9));
  CHECK(check.powder_that_serves == 3);
  layer.openings[0] = rectangle(0, 0, 0.15, 0.4);
  const StencilCheck fine = check_stencil(layer, job).value();
  CHECK(fine.openings[0].area_ratio_low);
  CHECK(fine.openings[0].aspect_low);
  CHECK(fine.openings[0].too_few_balls);
  CHECK(fine.foil_that_serves->value == 0.08);
  CHECK(fine.powder_that_serves == 5);
  CHECK(check_stencil({}, job).error().front().code == "stencil-no-openings");
  job.powder_type = 9;
  CHECK(check_stencil(layer, job).error().front().code == "stencil-unknown-powder");
}

TEST_CASE("doubtful openings of one kind share a line, in the order of the file", "[solder]") {
  Layer layer;
  layer.openings = {rectangle(3, 0, 0.28, 0.38), rectangle(0, 0, 0.28, 0.38, "C7", "1"), rectangle(5, 0, 0.2, 0.3), rectangle(9, 0, 1.0, 0.5)};
  layer.openings[0].line = 12, layer.openings[1].line = 11, layer.openings[2].line = 13;
  StencilJob job;
  job.foil = Millimetres(0.127);
  job.powder_type = 4;
  const auto lines = doubts_in_words(layer, check_stencil(layer, job).value());
  REQUIRE(lines.size() == 2);
  CHECK(lines[0] == "2 alike are doubtful, rectangle 0.38 x 0.28 mm: area ratio 0.635 is under 0.66; at C7.1 (0, 0) (3, 0), in mm");
  CHECK(lines[1].find("doubtful at (5, 0) mm: rectangle 0.3 x 0.2 mm at 5, 0: ") == 0);
}

TEST_CASE("a thinner foil never makes an opening more doubtful", "[solder][property]") {
  const Layer layer = board();
  int last = 1 << 20;
  for (double foil = 0.30; foil > 0.05; foil -= 0.01) {
    StencilJob job;
    job.foil = Millimetres(foil);
    const int now = check_stencil(layer, job)->doubtful;
    CHECK(now <= last);
    last = now;
  }
  CHECK(planned_transfer(0.66) == Approx(0.75));
  for (double r = 0; r < 2; r += 0.01) CHECK(planned_transfer(r + 0.01) >= planned_transfer(r));
}

TEST_CASE("a layer that lies on its pads has nothing to say", "[solder]") {
  const Comparison c = compare_with_pads(board(), pads(board()));
  CHECK(c.matched == 48);
  CHECK(c.mismatches.empty());
  CHECK(c.text.empty());
}

TEST_CASE("a uniform offset is said once, and what differs beyond it singly", "[solder]") {
  Layer layer = board();
  for (Opening& o : layer.openings) o.centre.x += 0.3, o.centre.y -= 0.12;
  layer.openings[6].centre.x += 0.2;                           // R4.1 shifted
  layer.openings.erase(layer.openings.begin() + 10);           // R6.1 missing
  layer.openings.push_back(rectangle(60.3, 40 - 0.12, 1, 1));  // over nothing
  layer.openings[2].area = SquareMillimetres(0.1);             // R2.1 small
  const Comparison c = compare_with_pads(layer, pads(board()));
  CHECK(c.text == "the whole layer lies 0.3 mm in x and -0.12 mm in y from the board's pads");
  std::vector<std::string> told;
  for (const Mismatch& m : c.mismatches) told.push_back(m.text);
  CHECK(told == std::vector<std::string>{
                    "an opening at 60, 40 over no pad", "the paste of R2.1 covers 33 % of its pad",
                    "the paste of R4.1 lies 0.2 mm off its pad", "no opening over R6.1"});
  // An origin far away is an offset like any other.
  Layer far = board();
  for (Opening& o : far.openings) o.centre.x += 100, o.centre.y += 80;
  CHECK(compare_with_pads(far, pads(board())).mismatches.empty());
  CHECK(compare_with_pads(far, pads(board())).offset.x == Approx(100).margin(1e-6));
}

TEST_CASE("a mirrored layer is known, windows share one pad, test points want no paste", "[solder]") {
  Layer mirrored = board();
  for (Opening& o : mirrored.openings) o.centre.x = 50 - o.centre.x;
  const Comparison m = compare_with_pads(mirrored, pads(board()));
  CHECK(m.mirrored);
  CHECK(m.text.starts_with("the layer fits the board only when mirrored"));
  CHECK(m.mismatches.empty());
  Layer windows = board();
  std::vector<Pad> p = pads(board());
  p.push_back({"U2", "0", {45, 30}, Millimetres(3), Millimetres(3), Degrees(0), true});
  for (const double dx : {-0.8, 0.8})
    for (const double dy : {-0.8, 0.8}) windows.openings.push_back(rectangle(45 + dx, 30 + dy, 1.2, 1.2));
  CHECK(compare_with_pads(windows, p).mismatches.empty());
  p[0].pasted = false;
  const Comparison t = compare_with_pads(windows, p);
  REQUIRE(t.mismatches.size() == 1);
  CHECK(t.mismatches[0].text == "an opening over R1.1, which wants no paste");
}

TEST_CASE("a revision is told from the one before by what moved, changed, came and went", "[solder]") {
  const Layer before = board();
  CHECK(compare_revisions(before, before).mismatches.empty());
  Layer now = before;
  for (Opening& o : now.openings) o.centre.x += 1;
  now.openings[4].centre.x += 0.5;
  now.openings[8] = rectangle(before.openings[8].centre.x + 1, before.openings[8].centre.y, 0.6, 0.6);
  now.openings.erase(now.openings.begin() + 12);
  now.openings.push_back(rectangle(80, 40, 1, 1));
  const Comparison c = compare_revisions(now, before);
  CHECK(c.text == "the whole layer has moved by 1 mm in x and 0 mm in y");
  std::vector<std::string_view> kinds;
  for (const Mismatch& m : c.mismatches) kinds.push_back(word(m.kind));
  CHECK(kinds == std::vector<std::string_view>{"resized", "moved", "added", "removed"});
}

TEST_CASE("the picture hatches and lists what is doubtful, the same bytes twice", "[solder]") {
  const Layer layer = board();
  StencilJob job;
  job.foil = Millimetres(0.21);
  const StencilCheck check = check_stencil(layer, job).value();
  REQUIRE(check.doubtful == 48);
  job.foil = Millimetres(0.17);
  const StencilCheck some = check_stencil(layer, job).value();
  REQUIRE(some.doubtful == 8);
  const std::string svg = stencil_picture(layer, some, job, "Lamp board, paste top");
  CHECK(svg == stencil_picture(layer, some, job, "Lamp board, paste top"));
  CHECK(svg.find("8 doubtful") != std::string::npos);
  CHECK(svg.find("1. 8 alike, rectangle") != std::string::npos);
  CHECK(svg.find(">at U1.1 U1.2 ") != std::string::npos);
  CHECK(svg.find("U1.8</text>") != std::string::npos);
  CHECK(svg.find("2. ") == std::string::npos);
  std::ofstream(HANDLOT_BUILD "/stencil.svg") << svg;
}

TEST_CASE("what would serve is never what is there already", "[solder]") {
  Layer layer;
  StencilJob job;
  job.foil = Millimetres(0.10);
  job.powder_type = 4;
  layer.openings = {rectangle(0, 0, 0.17, 2.0)};  // ratios kept, five balls of 0.038 mm do not fit
  const StencilCheck balls = check_stencil(layer, job).value();
  REQUIRE(balls.doubtful == 1);
  CHECK(what_serves(balls) == "a paste of powder type 5 would serve");
  layer.openings = {rectangle(0, 0, 0.28, 0.28)};
  job.foil = Millimetres(0.12);
  CHECK(what_serves(check_stencil(layer, job).value()) == "a foil of 0.1 mm would serve");
  layer.openings.push_back(rectangle(3, 0, 0.17, 2.0));
  CHECK(what_serves(check_stencil(layer, job).value()) == "a foil of 0.1 mm and a paste of powder type 5 would serve");
  layer.openings = {rectangle(0, 0, 0.1, 0.1)};
  CHECK(what_serves(check_stencil(layer, job).value()).starts_with("widen these openings"));
}

TEST_CASE("a file that says it is no paste layer is told of", "[solder]") {
  Layer layer = board();
  CHECK(not_paste(layer).empty());
  layer.function = "Paste,Bot";
  CHECK(not_paste(layer).empty());
  layer.function = "Copper,L1,Top";
  REQUIRE(not_paste(layer).size() == 1);
  CHECK(not_paste(layer).front().text.find("'Copper,L1,Top'") != std::string::npos);
}

TEST_CASE("a file that says it is of the other side is told of", "[solder]") {
  Layer layer = board();
  CHECK(not_of_side(layer, "top").empty());
  layer.function = "Paste,Bot";
  CHECK(side_said(layer) == "bottom");
  CHECK(not_of_side(layer, "bottom").empty());
  CHECK(not_of_side(layer, "").empty());
  REQUIRE(not_of_side(layer, "top").size() == 1);
  CHECK(not_of_side(layer, "top").front().code == "gerber-other-side");
  layer.function = "Copper,L1,Top";
  CHECK(side_said(layer) == "top");
}

TEST_CASE("steel between openings that is thinner than the foil is told of", "[solder]") {
  Layer layer;
  for (int i = 0; i < 4; ++i) layer.openings.push_back(rectangle(0.33 * i, 0, 0.25, 1.0));
  layer.openings.push_back(rectangle(10, 0, 0.25, 1.0));
  const auto webs = thin_webs(layer, 0.12_mm);
  REQUIRE(webs.size() == 3);
  CHECK(webs.front().width.value == Approx(0.08));
  CHECK(in_words(webs, layer, 0.12_mm).find("3 webs between openings are thinner than the foil of 0.12 mm, the thinnest 0.08 mm") == 0);
  CHECK(thin_webs(layer, 0.08_mm).empty());  // as wide as the foil is thick
  CHECK(thin_webs(board(), 0.12_mm).empty());
}

TEST_CASE("webs agree with a plain count of all pairs", "[solder][twin]") {
  unsigned seed = 7;
  const auto next = [&] { return (seed = seed * 1103515245u + 12345u) / 65536u % 1000u / 1000.0; };
  Layer layer;
  while (layer.openings.size() < 120) {
    const Opening o = rectangle(next() * 8, next() * 8, 0.2 + next() * 0.4, 0.2 + next() * 0.4);
    const bool free = std::none_of(layer.openings.begin(), layer.openings.end(), [&](const Opening& p) { return o.low.x < p.high.x && p.low.x < o.high.x && o.low.y < p.high.y && p.low.y < o.high.y; });
    if (free) layer.openings.push_back(o);
  }
  std::size_t plain = 0;
  for (std::size_t i = 0; i < layer.openings.size(); ++i) {
    for (std::size_t k = i + 1; k < layer.openings.size(); ++k) {
      const Opening &a = layer.openings[i], &b = layer.openings[k];
      const double dx = std::max({0.0, a.low.x - b.high.x, b.low.x - a.high.x}), dy = std::max({0.0, a.low.y - b.high.y, b.low.y - a.high.y});
      plain += std::hypot(dx, dy) < 0.15 - 0.005 ? 1u : 0u;
    }
  }
  CHECK(plain > 5);
  CHECK(thin_webs(layer, 0.15_mm).size() == plain);
}

TEST_CASE("one opening over a whole thermal pad is told of, panes and tabs are not", "[solder]") {
  const auto package = [](double pane, int panes, int sides) {
    Layer layer;
    for (int i = 0; i < panes; ++i) {
      for (int k = 0; k < panes; ++k) layer.openings.push_back(rectangle((i - (panes - 1) / 2.0) * (pane + 0.3), (k - (panes - 1) / 2.0) * (pane + 0.3), pane, pane, "U1"));
    }
    for (int i = 0; i < 6; ++i) {
      layer.openings.push_back(rectangle(-1.25 + 0.5 * i, -2.5, 0.25, 0.75, "U1"));
      if (sides > 1) layer.openings.push_back(rectangle(-1.25 + 0.5 * i, 2.5, 0.25, 0.75, "U1"));
    }
    return layer;
  };
  const Layer whole = package(3.4, 1, 2);
  REQUIRE(whole_pads(whole).size() == 1);
  CHECK_FALSE(whole_pads(whole).front().coverage.has_value());
  CHECK(whole_pads(whole).front().text.find("3.4 x 3.4 mm") != std::string::npos);
  const std::vector<Pad> same{{"U1", "33", {0, 0}, 3.45_mm, 3.45_mm, Degrees(0)}}, larger{{"U1", "33", {0, 0}, 4.0_mm, 4.0_mm, Degrees(0)}};
  REQUIRE(whole_pads(whole, same).size() == 1);
  CHECK(*whole_pads(whole, same).front().coverage == Approx(3.4 * 3.4 / (3.45 * 3.45)));
  CHECK(whole_pads(whole, larger).empty());   // 72 % of the pad
  CHECK(whole_pads(package(1.4, 2, 2)).empty());  // a window pane
  CHECK(whole_pads(package(3.4, 1, 1)).empty());  // a tab, with leads on one side
  CHECK(whole_pads(package(1.9, 1, 2)).empty());  // small, and how much of the pad it covers is not known
  const auto pad = [](double side) { return std::vector<Pad>{{"U1", "33", {0, 0}, Millimetres(side), Millimetres(side), Degrees(0)}}; };
  CHECK(whole_pads(package(1.65, 1, 2), pad(1.7)).size() == 1);  // 94 %, and half of the part's paste
  CHECK(whole_pads(package(1.65, 1, 2), pad(1.9)).empty());      // 75 %
  CHECK(whole_pads(package(1.1, 1, 2), pad(1.1)).empty());       // too small to lift a part
  Layer many = package(1.25, 1, 2);                              // 1.6 mm2 of 7.1
  for (int i = 0; i < 18; ++i) many.openings.push_back(rectangle(-4 + 0.5 * i, 4, 0.25, 0.75, "U1"));
  CHECK(whole_pads(many, pad(1.25)).empty());
}

TEST_CASE("pads that want no paste: what the file says of them counts, else they are told of once", "[solder]") {
  Layer copper = board();
  const Layer paste = board();
  for (int k = 0; k < 8; ++k) {
    copper.openings.push_back(rectangle(10 + 2.54 * k, 45, 1.7, 1.7));
    copper.openings.back().shape = Shape::circle;
  }
  const Comparison unsaid = compare_with_pads(paste, pads_of(copper));
  const auto bare = bare_pads(unsaid, pads_of(copper));
  REQUIRE(bare.has_value());
  CHECK(bare->count == 8);
  CHECK(bare->all_round);
  CHECK(bare->text.starts_with("no opening over 8 pads: the pad at 10, 45"));
  CHECK(bare->text.ends_with("and 3 more"));
  for (std::size_t i = 48; i < copper.openings.size(); ++i) copper.openings[i].function = "ComponentPad";
  CHECK(compare_with_pads(paste, pads_of(copper)).mismatches.empty());
  // Paste in the hole is a way of soldering, too.
  Layer in_hole = board();
  in_hole.openings.push_back(copper.openings.back());
  CHECK(compare_with_pads(in_hole, pads_of(copper)).mismatches.empty());
  Layer less = board();
  less.openings.erase(less.openings.begin());
  const auto one = bare_pads(compare_with_pads(less, pads_of(copper)), pads_of(copper));
  REQUIRE(one.has_value());
  CHECK_FALSE(one->all_round);
  CHECK(one->text == "no opening over R1.1");
}
