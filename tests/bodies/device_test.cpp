#include "bodies/device.h"

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include "bodies/solid_text.h"
#include "bodies/step_size.h"
#include "shapes/fasteners.h"
#include "shapes/round_pair.h"
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

TEST_CASE("parts of a bond that nowhere meet have a gap as wide as they stand apart", "[bodies]") {
  const std::string bond = "<bond id='b' between='a c' adhesive='t-glue'/>", step = "<step id='glue' process='glue' title='Glue' on='a' run='1 min' bonds='b'/>";
  const auto measured = [&](const std::string& at) {
    auto job = test::small_job(fmt::format("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='c' card='s-lid' at='{} mm'/>", at), bond, step);
    bodies::measure_bonds(device_of(job), job);
    return job.joints[0];
  };
  const auto near = measured("0 0 10.7");
  REQUIRE(near.gap);
  CHECK(near.gap->value == Approx(0.7).margin(1e-6));
  CHECK(near.area->value == Approx(100).epsilon(0.002));
  const auto far = measured("0 0 40");
  REQUIRE(far.gap);
  CHECK(far.gap->value == Approx(30).margin(1e-6));
  CHECK_FALSE(far.area);
  CHECK_FALSE(measured("25 0 10").gap);  // edge on edge
}

TEST_CASE("a body of another unit than its card is known by its three sides", "[bodies]") {
  catalogue::Card card;
  const auto side = [&](const char* name, double mm) {
    catalogue::Figure f;
    f.name = name;
    f.dimension = input::Dimension::length;
    f.low = f.high = mm;
    card.figures.push_back(f);
  };
  side("length", 60);
  side("width", 40);
  CHECK_FALSE(bodies::size_agrees(card, {60, 40, 10}).has_value());
  side("height", 10);
  CHECK(bodies::size_agrees(card, {60, 40, 10}) == true);
  CHECK(bodies::size_agrees(card, {10, 60, 40}) == true);           // however it is turned
  CHECK(bodies::size_agrees(card, {120, 20, 10}) == true);          // another revision, but no other unit
  CHECK(bodies::size_agrees(card, {5, 40, 10}) == true);            // a tail that is not drawn
  CHECK(bodies::size_agrees(card, {60 / 25.4, 40 / 25.4, 10 / 25.4}) == false);
  CHECK(bodies::size_agrees(card, {600, 400, 100}) == false);
  CHECK(bodies::size_agrees(card, {60000, 40000, 10000}) == false);
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

TEST_CASE("what was read off the shapes is said so, and kept", "[bodies]") {
  const std::string step = "<step id='glue' process='glue' title='Glue' on='a' run='1 min' bonds='b'/>";
  const auto job = [&](const char* bond) {
    return test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='c' card='s-lid' at='0 0 10.2 mm'/>", bond, step);
  };
  auto none = job("<bond id='b' between='a c' adhesive='t-glue'/>");
  bodies::measure_bonds(device_of(none), none);
  CHECK(none.joints[0].area_from_shapes);
  CHECK(none.joints[0].gap_from_shapes);
  auto gap = job("<bond id='b' between='a c' adhesive='t-glue' gap='0.3 mm'/>");
  bodies::measure_bonds(device_of(gap), gap);
  CHECK(gap.joints[0].area_from_shapes);
  CHECK_FALSE(gap.joints[0].gap_from_shapes);
}

TEST_CASE("a solid that can't be had is left out and named, and the rest is there", "[bodies][errors]") {
  const auto look = "<step id='look' process='inspect' title='Look' on='a' run='1 min'/>";
  const auto file = test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='b' card='s-missing-step' count='2'><place at='20 0 0 mm'/><place at='40 0 0 mm'/></part>", "", look);
  const bodies::Device device = device_of(file);
  CHECK(device.part_of == std::vector<PartId>{PartId("a")});
  REQUIRE(device.left_out.size() == 1);
  CHECK(device.left_out[0].part == PartId("b"));
  CHECK(device.left_out[0].why.code == "step-unreadable");
  CHECK(device.not_modelled.empty());
  // Two cubes that do not touch are no one solid: the text is sound, the kernel refuses it.
  const auto loose = test::small_job("<part id='a' card='s-cube' at='0 0 0 mm'/><part id='b' card='s-in-pieces' at='20 0 0 mm'/>", "", look);
  const bodies::Device rest = device_of(loose);
  CHECK(rest.part_of == std::vector<PartId>{PartId("a")});
  REQUIRE(rest.left_out.size() == 1);
  CHECK(rest.left_out[0].why.code == "shape-in-pieces");
  CHECK(rest.left_out[0].why.place.line > 0);
}

TEST_CASE("the play of a shaft in a hole is that of their surfaces, wherever they lie", "[bodies][truth]") {
  const auto look = "<step id='look' process='inspect' title='Look' on='a' run='1 min'/>";
  for (const char* turn : {"0 0 0 deg", "90 0 0 deg", "33 21 0 deg"}) {
    // A pin of 2 in bushes of 2.05 and 2; turned as one.
    const auto job = test::small_job(fmt::format("<part id='a' card='s-bush-2.05' at='5 6 7 mm' turn='{0}'/><part id='b' card='s-pin-2' at='5 6 7 mm' turn='{0}'/><part id='c' card='s-cube' at='50 0 0 mm'/>", turn), "", look);
    const bodies::Device device = device_of(job);
    const auto pair = shapes::round_pair(*device.scene, 0, 1);
    REQUIRE(pair);
    CHECK(pair->hole.value == Approx(2.05).margin(1e-9));
    CHECK(pair->shaft.value == Approx(2).margin(1e-9));
    CHECK(pair->length.value == Approx(6).margin(1e-6));
    CHECK_FALSE(shapes::round_pair(*device.scene, 1, 0));
    CHECK_FALSE(shapes::round_pair(*device.scene, 0, 2));
  }
}

TEST_CASE("a countersunk screw is read from its upper rim, and its thread ends where its hole does", "[bodies]") {
  // Plate of 3 with a countersink of 6.4 over a hole of 3.4, block with M3 6 deep under it: M3 x 8, flush at z = 13.
  const auto look = "<step id='look' process='inspect' title='Look' on='a' run='1 min'/>";
  const auto job = test::small_job(
      "<part id='a' card='s-block-6' at='0 0 0 mm'/><part id='b' card='s-sunk-bar' at='0 0 10 mm'/><part id='s' card='m3x8-countersunk' clamps='b' into='a' into-kind='tapped' at='0 0 13 mm'/>", "", look);
  const bodies::Device device = device_of(job);
  const auto sits = shapes::screw_situation(*device.scene, 2, device.set_of({PartId("a"), PartId("b")}));
  REQUIRE(sits);
  CHECK(sits->sunk);
  CHECK(sits->length.value == Approx(8).margin(0.01));
  CHECK(sits->grip.value == Approx(3).margin(0.01));
  CHECK(sits->thread_depth.value == Approx(6).margin(0.01));
  CHECK(sits->engaged.value == Approx(5).margin(0.01));
  CHECK(sits->head_seated);
  CHECK(sits->unsupported.value == 0);
  REQUIRE(sits->room);
  CHECK(sits->room->value == Approx(1).margin(0.01));  // to the bottom of the hole
}
