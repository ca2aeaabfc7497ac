#include "bench/photos.h"

#include <catch2/catch.hpp>

#include "support/folder.h"
#include "bench/unit_sheet.h"
#include "record/sample.h"
#include "sheets/pdf.h"

using namespace handlot;
using bench::picture_size;

namespace {

/// One black pixel, written out by hand after ISO/IEC 15948.
const unsigned char kPng[] = {0x89, 'P',  'N',  'G',  '\r', '\n', 0x1a, '\n', 0,    0,    0,    13,   'I',  'H',
                              'D',  'R',  0,    0,    0,    1,    0,    0,    0,    1,    8,    0,    0,    0,
                              0,    0x3a, 0x7e, 0x9b, 0x55, 0,    0,    0,    10,   'I',  'D',  'A',  'T',  0x78,
                              0x9c, 0x63, 0x60, 0,    0,    0,    2,    0,    1,    0x48, 0xaf, 0xa4, 0x71, 0,
                              0,    0,    0,    'I',  'E',  'N',  'D',  0xae, 0x42, 0x60, 0x82};
const std::string png(reinterpret_cast<const char*>(kPng), sizeof kPng);

std::string jpeg_head(int frame_marker) {
  std::string out("\xff\xd8\xff\xe0\x00\x04xx\xff\xff", 10);
  out += static_cast<char>(frame_marker);
  return out + std::string("\x00\x11\x08\x01\x02\x03\x04\x03", 8) + std::string(12, '\0');  // 258 high, 772 wide
}

}  // namespace

TEST_CASE("the size of a picture is read from its head", "[bench]") {
  REQUIRE(picture_size(png));
  CHECK(picture_size(png)->width == 1);
  for (const int marker : {0xC0, 0xC2}) {
    const auto size = picture_size(jpeg_head(marker));
    REQUIRE(size);
    CHECK(std::pair(size->width, size->height) == std::pair(772, 258));
  }
}

TEST_CASE("no head, half a head, no size: no picture", "[bench][errors]") {
  for (std::size_t n = 0; n < 24; ++n) CHECK_FALSE(picture_size(png.substr(0, n)));
  std::string zero = png;
  zero[19] = 0;
  CHECK_FALSE(picture_size(zero));
  CHECK_FALSE(picture_size(jpeg_head(0xC4)));  // a table, not a frame
  for (std::size_t n = 0; n < 19; ++n) CHECK_FALSE(picture_size(jpeg_head(0xC0).substr(0, n)));
  CHECK_FALSE(picture_size(std::string("\xff\xd8\xff\xe0\x00\x00", 6) + std::string(40, '\0')));
  CHECK(bench::photo_svg({"x", "image/webp", "RIFF....WEBPVP8 "}).empty());
}

TEST_CASE("the build record of a unit holds its photos", "[bench]") {
  const auto plan = sample::plan();
  record::Event line;
  line.seq = 1;
  line.id = "photo-0001";
  line.kind = record::Kind::photo;
  line.unit = 2;
  line.step = StepId("solder");
  line.item = "abcdef0123456789";
  const std::vector<record::Event> lines{line};
  const auto state = record::derive(plan, lines);
  const auto zone = calendar::Zone::find("UTC");
  REQUIRE(zone);
  const bench::Desk desk{{plan, state, lines, record::now_moment({"boot", 0, 0, 0})}, *zone, true, "/unit/2", {}};
  CHECK(bench::photo_names(desk, 2) == std::vector<std::string>{"abcdef0123456789"});
  CHECK(bench::photo_names(desk, 1).empty());
  const auto without = sheets::to_pdf(bench::unit_sheet(desk, 2, {}));
  const auto with = sheets::to_pdf(bench::unit_sheet(desk, 2, {{line.item, {line.item, "image/png", png}}}));
  CHECK(without.find("/Subtype /Image") == std::string::npos);
  CHECK(with.find("/Subtype /Image") != std::string::npos);
}
