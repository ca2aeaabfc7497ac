#include "job/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "calendar/zone.h"
#include "core/text.h"
#include "job/station_use.h"

namespace handlot::job {

namespace {

using catalogue::CardKind;

/// Names of one kind, with what to say when one is not known.
class Names {
 public:
  explicit Names(std::string what) : what_(std::move(what)) {}

  void add(const std::string& id, const Place& place, Diagnostics& faults) {
    if (id.empty()) return;
    const auto [at, fresh] = known_.emplace(id, place);
    if (fresh) return;
    Diagnostic d = error("id-twice", place, fmt::format("a second {} '{}'", what_, id), "give one of them another id");
    d.notes.push_back({at->second, "the first stands here"});
    faults.push_back(std::move(d));
  }

  void want(const std::string& id, const Place& place, const std::string& who, Diagnostics& faults) const {
    if (id.empty() || known_.contains(id)) return;
    std::vector<std::string> words;
    for (const auto& [name, at] : known_) words.push_back(name);
    const auto near = closest(id, words);
    faults.push_back(error(what_ + "-unknown", place, fmt::format("{} names {} '{}', which the job has not", who, what_, id),
                           near            ? fmt::format("write '{}'", *near)
                           : words.empty() ? fmt::format("add the {}", what_)
                                           : fmt::format("add it, or name one of: {}", some(words))));
  }

  /// A word that is always known and can't be given to anything.
  void allow(const std::string& id) { known_.emplace(id, Place{}); }

 private:
  static std::string some(std::vector<std::string> words) {
    constexpr std::size_t kMost = 12;
    if (words.size() <= kMost) return listed(words);
    words.resize(kMost);
    return listed(words) + "...";
  }
  std::string what_;
  std::map<std::string, Place> known_;
};

class Checker {
 public:
  Checker(const Job& job, const catalogue::Catalogue& cards, Diagnostics& faults) : job_(job), cards_(cards), faults_(faults) {}

  void run() {
    collect();
    if (!job_.bench.zone.empty()) {
      if (const auto zone = calendar::Zone::find(job_.bench.zone, job_.bench.place); !zone) faults_.insert(faults_.end(), zone.error().begin(), zone.error().end());
    }
    for (const Part& part : job_.parts) check_part(part);
    for (const Joint& joint : job_.joints) check_joint(joint);
    for (const Cable& cable : job_.cables) {
      parts_.want(cable.part.text, cable.place, "the cable", faults_);
      if (job_.assembly(cable.part) != nullptr) {
        faults_.push_back(error("cable-part", cable.place, fmt::format("'{}' is a subassembly, and a cable is one part", cable.part.text), "name the part that is the cable"));
      }
    }
    for (const Cable& cable : job_.cables) check_way(cable);
    for (const Clearance& c : job_.clearances) check_clearance(c);
    for (const Fit& f : job_.fits) {
      parts_.want(f.hole.text, f.place, "the fit", faults_);
      parts_.want(f.shaft.text, f.place, "the fit", faults_);
    }
    check_hours();
    for (const Station& s : job_.bench.stations) card(s.card, s.place, {CardKind::station});
    for (const Fixture& f : job_.bench.fixtures) card(f.card, f.place, {CardKind::tool, CardKind::station});
    for (const Step& step : job_.steps) check_step(step);
    for (const Waive& waive : job_.waivers) check_waive(waive);
    check_install_counts();
    check_amounts();
  }

 private:
  void collect() {
    parts_.allow("unit");  // the whole device
    for (const Assembly& a : job_.assemblies) parts_.add(a.id.text, a.place, faults_);
    for (const Part& p : job_.parts) parts_.add(p.id.text, p.place, faults_);
    for (const Joint& j : job_.joints) joints_.add(j.id.text, j.place, faults_);
    for (const Step& s : job_.steps) steps_.add(s.id.text, s.place, faults_);
    for (const Person& p : job_.bench.people) {
      people_.add(p.id.text, job_.bench.place, faults_);
      resources_.add(p.id.text, job_.bench.place, faults_);
    }
    for (const Station& s : job_.bench.stations) {
      stations_.add(s.id.text, s.place, faults_);
      resources_.add(s.id.text, s.place, faults_);
    }
    for (const Fixture& f : job_.bench.fixtures) {
      fixtures_.add(f.id.text, f.place, faults_);
      resources_.add(f.id.text, f.place, faults_);
    }
  }

  /// Everybody is there at some time: by their own hours, else by those of the shop.
  void check_hours() {
    const auto& hours = job_.bench.hours;
    for (const Hours& h : hours) people_.want(h.person.text, h.place, "the line of hours", faults_);
    if (hours.empty() || std::any_of(hours.begin(), hours.end(), [](const Hours& h) { return h.person.empty(); })) return;
    for (const Person& p : job_.bench.people) {
      if (std::any_of(hours.begin(), hours.end(), [&](const Hours& h) { return h.person == p.id; })) continue;
      faults_.push_back(error("person-no-hours", job_.bench.place, fmt::format("no <hours> say when '{}' is there", p.id.text), fmt::format("add <hours> without person=, for everybody who has none of their own, or with person=\"{}\"", p.id.text)));
    }
  }

  void card(const CardId& id, const Place& place, std::initializer_list<CardKind> kinds) {
    if (id.empty()) return;
    const auto found = cards_.look_up(id, place);
    if (!found) {
      faults_.insert(faults_.end(), found.error().begin(), found.error().end());
      return;
    }
    if (std::find(kinds.begin(), kinds.end(), (*found)->kind) != kinds.end()) return;
    std::vector<std::string> wanted;
    for (CardKind kind : kinds) wanted.emplace_back(word(kind));
    Diagnostic d = error("card-kind", place, fmt::format("card '{}' is of the kind {}, where {} is wanted", id.text, word((*found)->kind), fmt::join(wanted, " or ")),
                         "name another card");
    d.notes.push_back({(*found)->place, "the card stands here"});
    faults_.push_back(std::move(d));
  }

  void check_part(const Part& part) {
    const std::string who = fmt::format("part '{}'", part.id.text);
    card(part.card, part.place, {CardKind::part, CardKind::screw});
    for (const PartId& id : part.clamps) parts_.want(id.text, part.place, who, faults_);
    for (const PartId& id : part.presses) parts_.want(id.text, part.place, who, faults_);
    for (const PartId& id : part.meshes) parts_.want(id.text, part.place, who, faults_);
    parts_.want(part.into.text, part.place, who, faults_);
    check_refs(part);
    if (!part.places.empty() && static_cast<int>(part.places.size()) != part.count) {
      faults_.push_back(error("place-count", part.place, fmt::format("{} has {} places for {} pieces", who, part.places.size(), part.count),
                              "write one place for each piece, or none"));
    }
  }

  void check_refs(const Part& part) {
    if (!part.refs.empty() && static_cast<int>(part.refs.size()) != part.count) {
      faults_.push_back(error("refs-count", part.place, fmt::format("part '{}' has {} references for {} pieces", part.id.text, part.refs.size(), part.count),
                              "write one reference for each piece, or none"));
    }
    for (const std::string& ref : part.refs) refs_.add(ref, part.place, faults_);
  }

  void check_way(const Cable& cable) {
    for (const Cable::Point& p : cable.way) parts_.want(p.of.text, cable.place, "the cable's way", faults_);
    for (const Cable::Opened& o : cable.opened) {
      parts_.want(o.part.text, o.place, "the cable", faults_);
      steps_.want(o.step.text, o.place, "the cable", faults_);
    }
  }

  void check_clearance(const Clearance& clearance) {
    parts_.want(clearance.a.text, clearance.place, "the clearance", faults_);
    parts_.want(clearance.b.text, clearance.place, "the clearance", faults_);
    for (const Clearance::Through& t : clearance.through) parts_.want(t.part.text, t.place, "the clearance", faults_);
  }

  void check_joint(const Joint& joint) {
    const std::string who = fmt::format("bond '{}'", joint.id.text);
    for (const PartId& id : joint.between) parts_.want(id.text, joint.place, who, faults_);
    card(joint.adhesive, joint.place, {CardKind::adhesive});
    card(joint.activator, joint.place, {CardKind::activator});
    const auto bonded = std::count_if(job_.steps.begin(), job_.steps.end(), [&](const Step& s) {
      return std::find(s.bonds.begin(), s.bonds.end(), joint.id) != s.bonds.end();
    });
    if (bonded == 0) {
      faults_.push_back(error("bond-unmade", joint.place, fmt::format("no step makes {}", who), fmt::format("write bonds=\"{}\" in the step that glues it", joint.id.text)));
    } else if (bonded > 1) {
      faults_.push_back(error("bond-twice", joint.place, fmt::format("{} steps make {}", bonded, who), "name it in one step only"));
    }
  }

  void check_step(const Step& step) {
    const std::string who = fmt::format("step '{}'", step.id.text);
    card(step.process, step.place, {CardKind::process});
    check_on(step, who);
    for (const PartId& id : step.touches) parts_.want(id.text, step.place, who, faults_);
    for (const PartId& id : step.tests) parts_.want(id.text, step.place, who, faults_);
    for (const PartId& id : step.hides) parts_.want(id.text, step.place, who, faults_);
    for (const JointId& id : step.bonds) joints_.want(id.text, step.place, who, faults_);
    for (const Installs& i : step.installs) parts_.want(i.part.text, i.place, who, faults_);
    for (const MaterialUse& use : step.materials) {
      card(use.card, use.place, {CardKind::paste, CardKind::solder, CardKind::adhesive, CardKind::activator, CardKind::oil, CardKind::solvent, CardKind::coating, CardKind::flux, CardKind::material, CardKind::part});
    }
    for (const JointNeed& need : step.joint_needs) joints_.want(need.joint.text, need.place, who, faults_);
    for (const auto* states : {&step.needs, &step.gives, &step.takes}) {
      for (const StateOf& s : *states) parts_.want(s.of.text, s.place, who, faults_);
    }
    for (const auto* faces : {&step.face_needs, &step.face_gives}) {
      for (const FaceState& f : *faces) parts_.want(f.part.text, f.place, who, faults_);
    }
    for (const Holds& h : step.holds) check_hold(h, who);
    for (const ToolUse& t : step.tools) card(t.card, t.place, {CardKind::tool});
    for (const After& a : step.after) {
      steps_.want(a.step.text, a.place, who, faults_);
      if (a.step == step.id) faults_.push_back(error("after-itself", a.place, fmt::format("{} comes after itself", who), "take this <after> out"));
    }
    stations_.want(step.station.text, step.place, who, faults_);
    for (const ResourceId& id : step.people) people_.want(id.text, step.place, who, faults_);
    check_sizes(step, who);
  }

  /// One thing lies in hand; several parts, by their ids, are one and what else is reached.
  void check_on(const Step& step, const std::string& who) {
    const std::string& on = step.on.text;
    const std::size_t blank = on.find(' ');
    if (blank == std::string::npos) return parts_.want(on, step.place, who, faults_);
    faults_.push_back(error("part-unknown", step.place, fmt::format("{} is on '{}', and a step is on one part or assembly", who, on),
                            fmt::format("write on=\"{}\" touches=\"{}\", or the assembly that they are in", on.substr(0, blank), on.substr(blank + 1))));
  }

  void check_hold(const Holds& h, const std::string& who) {
    fixtures_.want(h.fixture.text, h.place, who, faults_);
    steps_.want(h.until_step.text, h.place, who, faults_);
    joints_.want(h.until_joint.text, h.place, who, faults_);
    const int ways = (h.until_step.empty() ? 0 : 1) + (h.until_joint.empty() ? 0 : 1) + (h.for_time ? 1 : 0);
    if (ways > 1) faults_.push_back(error("hold-twice", h.place, "the fixture is held until more than one thing", "keep one of until-step, until-joint and for"));
    if (const Fixture* f = job_.fixture(h.fixture); f != nullptr && h.count > f->count) {
      faults_.push_back(error("fixture-short", h.place, fmt::format("one unit needs {} of '{}', and there {} {}", h.count, f->name, f->count == 1 ? "is" : "are", f->count), "make more of them, or hold fewer"));
    }
  }

  void check_sizes(const Step& step, const std::string& who) {
    if (step.batch_min > job_.units) {
      faults_.push_back(error("batch-over-lot", step.place, fmt::format("{} wants sub-batches of {} in a lot of {}", who, step.batch_min, job_.units), "make the sub-batch smaller"));
    }
    if (const Station* s = job_.station(step.station); s != nullptr && step.takes_places > places_of(*s)) {
      faults_.push_back(error("station-short", step.place, fmt::format("one unit needs {} places of '{}', which has {}", step.takes_places, s->name, places_of(*s)), "give the station more places"));
      return;
    }
    check_whole_lot(step, who);
  }

  /// A whole lot goes in at once or not at all.
  void check_whole_lot(const Step& step, const std::string& who) {
    const Station* s = job_.station(step.station);
    if (!step.whole_lot || !takes_its_station(step) || s == nullptr || !places_for_each_unit(step, *s, cards_)) return;
    const int needed = step.takes_places * job_.units;
    if (needed <= places_of(*s)) return;
    faults_.push_back(error("station-lot", step.place, fmt::format("{} does the whole lot at once: {} places of '{}', which has {}", who, needed, s->name, places_of(*s)),
                            "drop whole-lot, so that it goes in sub-batches, give the station as many places as small pieces find on its trays, or leave the station out where no unit lies in it"));
  }

  void check_waive(const Waive& waive) {
    for (const StepId& id : waive.steps) steps_.want(id.text, waive.place, "the waiver", faults_);
    for (const PartId& id : waive.parts) parts_.want(id.text, waive.place, "the waiver", faults_);
    if (!waive.because.empty() && waive.because.size() < 10) {
      faults_.push_back(error("waiver-reason", waive.place, "the reason of the waiver is too short to be one", "write why the rule does not matter here: it is printed on the sheet"));
    }
  }

  /// The kit adds up what all steps take of a card. Weights and volumes of a fluid it has always taken together.
  void check_amounts() {
    std::map<CardId, const MaterialUse*> first;
    for (const Step& step : job_.steps) {
      for (const MaterialUse& use : step.materials) {
        if (use.measured_by().empty()) continue;
        const MaterialUse& other = *first.emplace(use.card, &use).first->second;
        const auto poured = [](const MaterialUse& u) { return u.mass || u.volume; };
        if (use.measured_by() == other.measured_by() || (poured(use) && poured(other))) continue;
        Diagnostic d = error("amount-mixed", use.place, fmt::format("'{}' goes by {} here and by {} elsewhere: the kit can't add that up", use.card.text, use.measured_by(), other.measured_by()),
                             "write both in the way that it is bought by: amount, volume, length or, for pieces, count alone");
        d.notes.push_back({other.place, "the other stands here"});
        faults_.push_back(std::move(d));
      }
    }
  }

  void check_install_counts() {
    std::map<PartId, int> times;
    for (const Step& step : job_.steps) {
      for (const Installs& i : step.installs) {
        const Part* part = job_.part(i.part);
        times[i.part] += i.count > 0 ? i.count : part != nullptr ? part->count : 1;
      }
    }
    for (const Part& part : job_.parts) {
      const int put = times[part.id];
      if (put > part.count) {
        faults_.push_back(error("install-many", part.place, fmt::format("the steps put in {} of '{}', and a unit has {}", put, part.id.text, part.count), "correct the counts of the steps or of the part"));
      } else if (put > 0 && put < part.count) {
        faults_.push_back(error("install-few", part.place, fmt::format("the steps put in {} of {} '{}'", put, part.count, part.id.text), "add the step that puts the rest in, or correct the count"));
      }
    }
    for (const Assembly& a : job_.assemblies) {
      if (times[a.id] > 1) faults_.push_back(error("install-many", a.place, fmt::format("subassembly '{}' is put in {} times", a.id.text, times[a.id]), "put it in once"));
    }
  }

  const Job& job_;
  const catalogue::Catalogue& cards_;
  Diagnostics& faults_;
  Names parts_{"part"}, joints_{"bond"}, steps_{"step"}, people_{"person"}, stations_{"station"}, fixtures_{"fixture"}, refs_{"reference"}, resources_{"person, station or fixture"};
};

}  // namespace

void check_references(const Job& job, const catalogue::Catalogue& catalogue, Diagnostics& faults) {
  Checker(job, catalogue, faults).run();
}

}  // namespace handlot::job
