#include "bodies/device.h"

#include <catch2/catch.hpp>

#include "bodies/solid_text.h"
#include "support/small_job.h"

using namespace handlot;

namespace {

bodies::Device device_of(const job::Job& job) {
  auto device = bodies::make_device(job, test::test_cards(), {}, shapes::Cache());
  if (!device) FAIL(format(device.error().front()));
  return std::move(*device);
}

}  // namespace

TEST_CASE("area and gap of a bond are read off the shapes where the job gives none", "[bodies]") {
  // Two cubes of 10 face to face: 100 mm2; a lid 0.2 mm above a cube: 100 mm2 at 0.2 mm. Closed forms.
  const std::string step = "<step id='glue' process='glue' title='Glue' on='a' run='1 min' bonds='b'/>";
  auto touching = test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='c' card='s-cube' at='0 0 10 mm'/>", "<bond id='b' between='a c' adhesive='t-glue'/>", step);
  bodies::measure_bonds(device_of(touching), touching);
  REQUIRE(touching.joints[0].area);
  CHECK(touching.joints[0].area->value == Approx(100).epsilon(0.002));
  CHECK(touching.joints[0].gap->value == Approx(0).margin(1e-6));
  auto apart = test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='c' card='s-lid' at='0 0 10.2 mm'/>", "<bond id='b' between='a c' adhesive='t-glue'/>", step);
  bodies::measure_bonds(device_of(apart), apart);
  REQUIRE(apart.joints[0].gap);
  CHECK(apart.joints[0].area->value == Approx(100).epsilon(0.002));
  CHECK(apart.joints[0].gap->value == Approx(0.2).margin(1e-6));
  auto stated = test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='c' card='s-cube' at='0 0 10 mm'/>", "<bond id='b' between='a c' adhesive='t-glue' gap='0.3 mm'/>", step);
  bodies::measure_bonds(device_of(stated), stated);
  CHECK(stated.joints[0].gap->value == 0.3);
}

TEST_CASE("a solid that is none is answered with its place", "[bodies][errors]") {
  const auto code = [](catalogue::ShapeText shape) {
    catalogue::ShapeText solid{"solid", {}, {std::move(shape)}, {"c.xml", 3, 1}};
    const auto read = bodies::read_solid(solid);
    return read ? std::string("read") : read.error().front().code;
  };
  CHECK(code({"box", {{"size", "10 5 2 mm"}}, {}, {}}) == "read");
  CHECK(code({"box", {{"size", "10 5 mm"}}, {}, {}}) == "solid-number");
  CHECK(code({"box", {{"size", "10 5 2"}}, {}, {}}) == "solid-number");
  CHECK(code({"boks", {{"size", "10 5 2 mm"}}, {}, {}}) == "solid-unknown");
  CHECK(code({"cylinder", {{"diameter", "3 mm"}}, {}, {}}) == "attribute-missing");
  CHECK(code({"cylinder", {{"diameter", "3 mm"}, {"height", "2 mm"}, {"depth", "2 mm"}}, {}, {}}) == "attribute-unknown");
  CHECK(code({"cylinder", {{"diameter", "0 mm"}, {"height", "2 mm"}}, {}, {}}) == "shape-size");
}

TEST_CASE("a screw's body follows its card: head above its seat, shank below", "[bodies]") {
  // TRUTH  ISO 4762 M3: head 5.5 mm wide, 3 mm high, as in the fastener table (read).
  const auto screw = [](const std::string& id) { return bodies::body_of(*test::test_cards().find(CardId(id))); };
  for (const char* id : {"m3x8-pan", "m2x5-pan", "m3x8-countersunk"}) {
    const auto body = screw(id);
    REQUIRE(body);
    REQUIRE(*body);
    const auto solid = geometry::make_solid(**body);
    REQUIRE(solid);
    const auto box = shapes::box_of(*solid->mesh());
    CHECK(box.low.z == Approx(id[1] == '2' ? -5 : -8).margin(0.01));
    CHECK(box.high.z == Approx(std::string(id).find("countersunk") != std::string::npos ? 0 : id[1] == '2' ? 1.6 : 2.4).margin(0.01));
  }
}
