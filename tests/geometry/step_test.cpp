// STEP files: public ones that nobody here wrote, our own written and read back, and files that are wrong.
#include "geometry/step.h"

#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include "geometry/checks.h"
#include "geometry/test_devices.h"
#include "shapes/order.h"

using namespace handlot;
using namespace handlot::shapes;
using geometry::StepModel;

namespace {

const std::string kFolder = std::string(HANDLOT_TOP) + "/../shared/step/";

geometry::StepLimits limits() {
  geometry::StepLimits l;
  l.program = std::string(HANDLOT_BUILD) + "/handlot-step";
  return l;
}

/// Empty when the public files are not there; says so.
std::optional<StepModel> public_model(const std::string& name) {
  if (!std::filesystem::exists(kFolder + name)) {
    WARN("skipped: " << name << " is not in ../shared/step");
    return std::nullopt;
  }
  auto model = geometry::read_step(kFolder + name, limits());
  if (!model) {
    for (const Diagnostic& d : model.error()) FAIL_CHECK(format(d));
    return std::nullopt;
  }
  return std::move(*model);
}

double volume(const StepModel& m, std::size_t solid) {
  return m.shapes[m.solids[solid].shape].amounts().volume.value;
}

std::string code_of(const std::string& path) {
  const auto model = geometry::read_step(path, limits());
  return model ? "read" : model.error().front().code;
}

std::string slurp(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

struct Scratch {
  std::filesystem::path folder = std::filesystem::temp_directory_path() / "handlot-step-test";
  Scratch() {
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
  }
  ~Scratch() { std::filesystem::remove_all(folder); }
  std::string file(const std::string& name, const std::string& text) const {
    const std::string path = (folder / name).string();
    std::ofstream(path, std::ios::binary) << text;
    return path;
  }
};

/// A small sound file of our own to damage.
std::string sound_file(const Scratch& scratch) {
  const auto solid = geometry::make_solid(cut({box(20, 10, 5), cylinder(4, 5)}));
  const std::string path = (scratch.folder / "sound.step").string();
  REQUIRE(geometry::write_step(path, "block", {{"block", *solid, {}, std::array<double, 3>{0.2, 0.4, 0.6}}},
                               limits()));
  return path;
}

}  // namespace

// TRUTH   volumes that the sending systems wrote into the files as validation properties, as listed in
//         ../shared/geometry.md, section 4; 1e-5 is what the issue asks for. nist_ftc_07 is left out: the
//         file's own figure, ours and a fine mesh differ by 1.3e-4, 0 and 1e-4, so the file is taken to be
//         off.
TEST_CASE("volumes agree with those the sending systems state", "[geometry][truth][slow]") {
  const struct {
    const char* file;
    double stated;
  } cases[] = {{"nist_ctc_01_asme1_ap203.stp", 14642797.5},
               {"nist_ctc_03_asme1_ap242-e2.stp", 332122.908},
               {"nist_ctc_05_asme1_rd.stp", 774.691 * 16387.064}};
  for (const auto& c : cases) {
    const auto model = public_model(c.file);
    if (!model) continue;
    REQUIRE(model->solids.size() == 1);
    CHECK(volume(*model, 0) == Approx(c.stated).epsilon(1e-5));
  }
  if (const auto model = public_model("dm1-id-214.stp")) {
    const double stated[] = {96858.385, 3436.116, 3436.116, 3436.116, 664.3808, 664.3808, 664.3808};
    for (std::size_t i = 0; i < 7; ++i) CHECK(volume(*model, i) == Approx(stated[i]).epsilon(1e-5));
  }
}

TEST_CASE("one cube in three units is one cube", "[geometry][truth]") {
  for (const char* file : {"cube-mm.step", "cube-m.step", "cube-in.step"}) {
    const auto model = public_model(file);
    if (!model) continue;
    CHECK(volume(*model, 0) == Approx(1e9).epsilon(1e-9));
    for (const Diagnostic& d : model->warnings) CHECK(d.code != "step-unit-doubtful");
  }
}

TEST_CASE("a file that declares inches and is written in mm is asked about", "[geometry][errors]") {
  const auto model = public_model("dm1-pe-214.stp");
  if (!model) return;
  REQUIRE(model->warnings.size() == 1);
  CHECK(model->warnings[0].code == "step-unit-doubtful");
  CHECK(model->warnings[0].text ==
        "the file says inch, which makes it 3598 mm large; read as mm it would be 142 mm");
  // The answer: its numbers are mm. The bracket then has the volume of the other senders' (dm1-id states
  // 96858.385).
  geometry::StepLimits mm = limits();
  mm.numbers_are_mm = true;
  const auto right = geometry::read_step(kFolder + "dm1-pe-214.stp", mm);
  REQUIRE(right);
  CHECK(right->warnings.empty());
  CHECK(volume(*right, 0) == Approx(96858.385).epsilon(1e-5));
}

TEST_CASE("a file of triangles only is refused in words", "[geometry][errors]") {
  const std::string path = kFolder + "nist_ftc_08_asme1_ap242-e1-tg.stp";
  if (!std::filesystem::exists(path)) {
    WARN("skipped: " << path << " is not there");
    return;
  }
  CHECK(code_of(path) == "step-tessellated");
}

TEST_CASE("public assemblies are read with all solids and taken apart, or it is said why not",
          "[geometry][slow]") {
  const struct {
    const char* file;
    std::size_t solids;
  } cases[] = {{"dm1-id-214.stp", 7}, {"dm1-oc-214.stp", 7}, {"dm1-pe-214.stp", 7}, {"microServo.step", 4}};
  for (const auto& c : cases) {
    const auto model = public_model(c.file);
    if (!model) continue;
    INFO(c.file);
    REQUIRE(model->solids.size() == c.solids);
    Assembly assembly;
    std::vector<geometry::Solid> solids;
    for (std::size_t i = 0; i < model->solids.size(); ++i) {
      const auto& s = model->solids[i];
      CHECK_FALSE(s.name.empty());
      solids.push_back(model->shapes[s.shape]);
      assembly.parts.push_back(
          geometry::part(PartId(s.name + "-" + std::to_string(i)), s.name, solids.back(), s.at));
    }
    const Scene scene(assembly);
    const auto found = geometry::interference(scene, solids);
    const Blocking table = blocking(scene, candidate_directions(scene));
    const InsertionOrder order = find_order(scene, table, found.meetings);
    // Either every part has its step, or the stuck ones are named with what is in their way.
    for (const Stuck& s : order.stuck) CHECK_FALSE(s.obstacles.empty());
    if (std::string(c.file).rfind("dm1", 0) == 0) CHECK(order.stuck.empty());
    std::size_t placed = 0;
    for (const OrderStep& s : order.steps)
      if (s.group == -1) placed += s.parts.size();
    CHECK(placed == c.solids);
  }
}

TEST_CASE("a device written as STEP comes back with names, places, colours and volumes", "[geometry]") {
  const Scratch scratch;
  const testing::Device device = testing::make_device(testing::drawer_plan());
  std::vector<geometry::StepPart> parts;
  for (std::size_t i = 0; i < device.solids.size(); ++i)
    parts.push_back({device.assembly.parts[i].id.text, device.solids[i], device.assembly.parts[i].at,
                     std::array<double, 3>{0.1, 0.5, 0.9}});
  const std::string path = (scratch.folder / "drawer.step").string();
  REQUIRE(geometry::write_step(path, "drawer", parts, limits()));
  const std::string bytes = slurp(path);
  REQUIRE(geometry::write_step(path, "drawer", parts, limits()));
  CHECK((slurp(path) == bytes));
  const auto model = geometry::read_step(path, limits());
  REQUIRE(model);
  CHECK(model->warnings.empty());
  CHECK(model->unit == "mm");
  REQUIRE(model->solids.size() == parts.size());
  std::vector<geometry::WantedSolid> wanted;
  for (const auto& p : parts) wanted.push_back({p.name, {}, p.at.point(p.solid.amounts().centre)});
  const auto matched = geometry::match(*model, wanted);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    REQUIRE(matched[i].solid);
    const auto& solid = model->solids[*matched[i].solid];
    const auto& shape = model->shapes[solid.shape];
    CHECK(shape.amounts().volume.value == Approx(parts[i].solid.amounts().volume.value).epsilon(1e-9));
    CHECK(length(solid.at.point(shape.amounts().centre) - wanted[i].centre.value()) < 1e-6);
    REQUIRE(solid.colour);
    CHECK((*solid.colour)[2] == Approx(0.9).margin(0.01));
  }
}

TEST_CASE("solids without a name that fits are found by volume or place, and it is said", "[geometry]") {
  const auto a = geometry::make_solid(box(10, 10, 10)), b = geometry::make_solid(box(10, 10, 12));
  StepModel model;
  model.shapes = {*a, *b};
  model.solids = {{"Body001", "", "", placed_at({0, 0, 0}), {}, 0, {}},
                  {"Body002", "", "", placed_at({50, 0, 0}), {}, 1, {}},
                  {"Body003", "", "", placed_at({90, 0, 0}), {}, 1, {}}};
  const auto found = geometry::match(model, {{"lid", CubicMillimetres(1200), Vec3{90, 0, 6}},
                                             {"BODY 001", {}, {}},
                                             {"foot", CubicMillimetres(7), {}}});
  CHECK(found[0].solid == 2U);
  CHECK(found[0].text ==
        "'lid' was taken to be 'Body003' of the file, which has its volume; 2 solids of the file fit 'lid'; "
        "the nearest was taken");
  CHECK(found[1].solid == 0U);
  CHECK(found[1].text.empty());
  CHECK_FALSE(found[2].solid);
  CHECK(found[2].text == "no solid of the file is 'foot'");
}

TEST_CASE("files that are wrong are answered in words, never with a crash or a hang", "[geometry][errors]") {
  const Scratch scratch;
  const std::string sound = sound_file(scratch), text = slurp(sound);
  CHECK(code_of(sound) == "read");
  CHECK(code_of((scratch.folder / "missing.step").string()) == "step-unreadable");
  CHECK(code_of(scratch.folder.string()) == "step-unreadable");
  CHECK(code_of(scratch.file("empty.step", "")) == "step-empty");
  CHECK(code_of(scratch.file("noise.step", "solid cube\nfacet normal 0 0 1\n")) == "step-unreadable");
  CHECK(code_of(scratch.file("head.step", text.substr(0, text.find("DATA;")))) == "step-unreadable");
  for (double part : {0.1, 0.5, 0.9})
    CHECK(code_of(scratch.file("cut.step", text.substr(0, static_cast<std::size_t>(
                                                              static_cast<double>(text.size()) * part)))) ==
          "step-unreadable");
  std::string outside = text;
  outside.insert(outside.find("DATA;") + 5, "\n#9990=DOCUMENT_FILE('../../etc/passwd','',$,#9991,'',$);\n");
  CHECK(code_of(scratch.file("outside.step", outside)) == "step-outside");
  geometry::StepLimits none = limits();
  none.program = "/nowhere/handlot-step";
  CHECK(geometry::read_step(sound, none).error().front().code == "step-no-program");
  geometry::StepLimits few = limits();
  few.faces = 3;
  CHECK(geometry::read_step(sound, few).error().front().code == "step-too-large");
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)  // the reader has no limit of memory there
  geometry::StepLimits tight = limits();
  tight.memory_mb = 40;
  CHECK_FALSE(geometry::read_step(sound, tight).has_value());
#endif
}

TEST_CASE("a shell that is open is refused in words", "[geometry][errors]") {
  const Scratch scratch;
  std::string text = slurp(sound_file(scratch));
  // The solid becomes a surface model: no volume is claimed any more.
  const auto swap = [&](const std::string& from, const std::string& to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
      text.replace(at, from.size(), to);
  };
  swap("MANIFOLD_SOLID_BREP('',", "SHELL_BASED_SURFACE_MODEL('',(");
  const std::size_t model = text.find("SHELL_BASED_SURFACE_MODEL");
  REQUIRE(model != std::string::npos);
  text.insert(text.find(");", model), ")");
  swap("CLOSED_SHELL", "OPEN_SHELL");
  swap("ADVANCED_BREP_SHAPE_REPRESENTATION", "MANIFOLD_SURFACE_SHAPE_REPRESENTATION");
  CHECK(code_of(scratch.file("open.step", text)) == "step-open");
}

TEST_CASE("numbers that are none end at the limit, with words", "[geometry][errors][slow]") {
  const Scratch scratch;
  std::string text = slurp(sound_file(scratch));
  for (std::size_t at = text.find("CARTESIAN_POINT('',("); at != std::string::npos;
       at = text.find("CARTESIAN_POINT('',(", at + 10)) {
    const std::size_t open = text.find('(', at + 17) + 1;
    text.replace(open, text.find(')', open) - open, "NAN,NAN,NAN");
  }
  geometry::StepLimits l = limits();
  l.seconds = 2;
  const auto model = geometry::read_step(scratch.file("nan.step", text), l);
  CHECK_FALSE(model.has_value());
}

TEST_CASE("files with single letters changed never take the caller down", "[geometry][errors][slow]") {
  const Scratch scratch;
  const std::string text = slurp(sound_file(scratch));
  std::mt19937 random(7);
  geometry::StepLimits l = limits();
  l.seconds = 3;
  int refused = 0;
  for (int i = 0; i < 60; ++i) {
    std::string bad = text;
    for (int k = 0; k < 1 + i % 5; ++k)
      bad[text.find("DATA;") + random() % (text.size() - text.find("DATA;"))] =
          static_cast<char>('!' + random() % 90);
    const auto model = geometry::read_step(scratch.file("bad.step", bad), l);
    if (model) continue;
    ++refused;
    CHECK_FALSE(model.error().front().text.empty());
    CHECK_FALSE(model.error().front().mend.empty());
  }
  CHECK(refused > 10);
}
