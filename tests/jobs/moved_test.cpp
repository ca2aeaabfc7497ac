// Steps of the demos moved one at a time: where shapes forbid it the move is caught, elsewhere nothing is said.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <random>
#include <regex>
#include <sstream>

#include "graph/order.h"
#include "pipeline/make_plan.h"
#include "shapes/order.h"
#include "support/folder.h"

using namespace handlot;
namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
  std::ifstream stream(path);
  std::stringstream text;
  text << stream.rdbuf();
  return text.str();
}

class Demo {
 public:
  explicit Demo(const std::string& name) : folder_(own_.path / name) {
    fs::copy(fs::path(HANDLOT_TOP) / "jobs" / name, folder_, fs::copy_options::recursive);
    text_ = text_of(folder_ / "job.xml");
  }

  /// Planned as it is, or with `later` put after `earlier` by the builder's own word.
  pipeline::Outcome planned(const StepId& earlier = {}, const StepId& later = {}) const {
    std::string text = text_;
    if (!earlier.empty()) {
      const std::regex head("(<step id=\"" + later.text + "\"[^>]*[^/])>");
      text = std::regex_replace(text, head, "$1><after step=\"" + earlier.text + "\" because=\"moved by the test\"/>");
    }
    std::ofstream(folder_ / "job.xml") << text;
    pipeline::Request request;
    request.job_file = (folder_ / "job.xml").string();
    request.card_folders = pipeline::card_folders(request.job_file, {});
    request.want_schedule = request.want_pictures = false;
    request.geometry_cache = (folder_ / "cache").string();
    auto outcome = pipeline::make_plan(request);
    if (!outcome) FAIL(format(outcome.error().front()));
    return std::move(*outcome);
  }

 private:
  Folder own_;
  fs::path folder_;
  std::string text_;
};

bool from_shapes(const plan::Constraint& c) { return c.reason.kind == plan::ReasonKind::blocked || c.reason.kind == plan::ReasonKind::access; }

/// Asked of the shapes alone: what `c.from` puts in still goes in when what `c.to` puts in is there, some other way than
/// the one that was preferred.
bool another_way(const pipeline::Outcome& outcome, const plan::Constraint& c) {
  const auto bodies = [&](const StepId& id) {
    std::vector<PartId> parts;
    for (const job::Installs& i : outcome.job.step(id)->installs) {
      for (const PartId& inside : outcome.job.within(i.part)) parts.push_back(inside);
    }
    return outcome.device.set_of(parts);
  };
  return shapes::can_go_in(*outcome.device.scene, *outcome.device.blocking, bodies(c.from.step), bodies(c.to.step), true).possible;
}

}  // namespace

TEST_CASE("a step moved to where shapes forbid it is caught, an allowed move is not", "[jobs][slow]") {
  std::mt19937 random(11);
  int forbidden = 0, allowed = 0;
  for (const char* name : {"tide-dial", "soil-probe", "crystal-receiver"}) {
    const Demo demo(name);
    const pipeline::Outcome as_is = demo.planned();
    REQUIRE(as_is.ordered);
    const auto& links = as_is.plan.work.constraints;
    std::vector<StepId> steps;
    for (const plan::Step& s : as_is.plan.work.steps) steps.push_back(s.id);
    const graph::Closure closure(steps, links);
    for (const plan::Constraint& c : links) {
      if (!from_shapes(c)) continue;
      INFO(name << ": " << c.to.step.text << " put before " << c.from.step.text);
      const pipeline::Outcome moved = demo.planned(c.to.step, c.from.step);
      if (!moved.stops()) CHECK(another_way(as_is, c));
      forbidden += moved.stops() ? 1 : 0;
    }
    for (int tries = 0; tries < 12; ++tries) {
      const StepId a = steps[random() % steps.size()], b = steps[random() % steps.size()];
      if (a == b || closure.before(a, b) || closure.before(b, a)) continue;
      INFO(name << ": " << b.text << " put after " << a.text);
      CHECK_FALSE(demo.planned(a, b).stops());
      ++allowed;
    }
  }
  CHECK(forbidden > 30);
  CHECK(allowed > 5);
}
