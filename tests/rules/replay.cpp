#include "rules/replay.h"

#include <algorithm>
#include <map>
#include <optional>

#include "joints/cure.h"
#include "joints/instant_glue.h"

namespace handlot::test {
namespace {

using catalogue::Card;
using Parts = std::set<PartId>;

template <class C, class V>
bool in(const C& all, const V& one) {
  return std::find(all.begin(), all.end(), one) != all.end();
}

/// The world at the bench while one unit is built.
class Bench {
 public:
  Bench(const job::Job& job, const catalogue::Catalogue& cards) : job_(job), cards_(cards) {
    for (const job::Step& s : job.steps) {
      for (const job::Installs& i : s.installs) brought_.insert(i.part);
      if (s.process.text == "unmask") unmasked_somewhere_ = true;
    }
    begin_states();
  }

  void work(const Done& done) {
    done_ = &done;
    const job::Step& s = *done.step;
    look_at_states(s);
    look_at_stated_faces(s);
    look_at_bare_faces(s);
    look_at_joints(s);
    look_at_heat(s);
    // Now it is done.
    for (const auto& t : s.takes) states_.erase(key(t));
    for (const auto& g : s.gives) states_.insert(key(g));
    soil(s);
    give_faces(s);
    for (const auto& i : s.installs) in_place_.insert(i.part);
    for (const JointId& j : s.bonds) glued_[j] = done.end;
  }

  std::set<Wrong> wrongs;

 private:
  const job::Job& job_;
  const catalogue::Catalogue& cards_;
  const Done* done_ = nullptr;
  std::set<PartId> brought_, in_place_;
  std::set<std::string> states_;
  std::map<JointId, Duration> glued_;
  bool unmasked_somewhere_ = false;

  // Each part's skin: what lies on it, and whether tape keeps it off.
  struct Skin {
    std::map<std::string, bool> dirt;  ///< id of the step that left it -> it is a film that only sanding takes off
    std::set<std::string> over_tape;   ///< left on the tape
    std::set<std::string> masked_before;  ///< dirt kept off by tape that was taken off again: harmless
    bool tape = false;
  };
  std::map<PartId, Skin> skin_;
  struct Face {
    bool good;
    std::optional<Duration> since;
  };

  const Card& card(const CardId& id) const { return *cards_.find(id); }
  const Card& process(const job::Step& s) const { return card(s.process); }
  void complain(const std::string& kind, const StepId& step) { wrongs.insert({kind, step}); }
  static std::string key(const job::StateOf& s) { return s.state.text + "/" + s.of.text; }

  // --- who is where -------------------------------------------------------------------------------------------------
  Parts inside(const PartId& id) const {
    Parts all;
    if (id.empty()) return all;
    if (id.text == "unit") {
      for (const job::Part& p : job_.parts)
        if (!p.jig) all.insert(p.id);
      return all;
    }
    for (const PartId& p : job_.within(id)) all.insert(p);
    return all;
  }
  Parts hands_on(const job::Step& s) const {
    Parts all = inside(s.on);
    const auto add = [&](const PartId& id) {
      const Parts more = inside(id);
      all.insert(more.begin(), more.end());
    };
    for (const PartId& t : s.touches) add(t);
    for (const auto& i : s.installs) add(i.part);
    for (const JointId& j : s.bonds)
      for (const PartId& m : job_.joint(j)->between) add(m);
    return all;
  }
  bool present(const PartId& id) const { return !brought_.contains(id) || in_place_.contains(id); }
  std::vector<PartId> out_to_unit(const PartId& id) const {
    std::vector<PartId> chain{id};
    for (const PartId& a : job_.around(id)) chain.push_back(a);
    return chain;
  }
  /// Together in one body now: all that lies between them and the first subassembly that holds both is put in.
  /// One of the first chain was put right on to one of the second: joined by that, whatever lies around the two.
  bool put_on(const std::vector<PartId>& mine, const std::vector<PartId>& theirs) const {
    for (const PartId& id : mine) {
      if (in(theirs, id)) break;
      for (const job::Step& s : job_.steps) {
        const bool installs = std::any_of(s.installs.begin(), s.installs.end(), [&](const auto& i) { return i.part == id; });
        const bool bonds = !brought_.contains(id) && s.on != id && std::any_of(s.bonds.begin(), s.bonds.end(), [&](const JointId& j) { return in(job_.joint(j)->between, id); });
        if (!installs && !bonds) continue;
        const bool done = installs ? in_place_.contains(id) : std::all_of(s.bonds.begin(), s.bonds.end(), [&](const JointId& j) { return glued_.contains(j); });
        if (!done) return false;
        if (in(theirs, s.on) && !in(mine, s.on)) return true;
        break;  // the first that brings it in
      }
    }
    return false;
  }
  bool together(const PartId& a, const PartId& b) const {
    const auto mine = out_to_unit(a), theirs = out_to_unit(b);
    if (put_on(mine, theirs) || put_on(theirs, mine)) return true;
    for (const PartId& id : mine) {
      if (in(theirs, id)) break;
      if (!present(id)) return false;
    }
    for (const PartId& id : theirs) {
      if (in(mine, id)) break;
      if (!present(id)) return false;
    }
    return true;
  }
  bool overlap(const PartId& a, const PartId& b) const {
    if (a.empty() || b.empty()) return false;
    return a == b || a.text == "unit" || b.text == "unit" || in(out_to_unit(a), b) || in(out_to_unit(b), a);
  }

  // --- states -------------------------------------------------------------------------------------------------------
  void begin_states() {
    std::set<std::string> given, taken;
    for (const job::Step& s : job_.steps) {
      for (const auto& g : s.gives) given.insert(key(g));
      for (const auto& t : s.takes) taken.insert(key(t));
    }
    for (const std::string& t : taken)
      if (!given.contains(t)) states_.insert(t);
  }
  void look_at_states(const job::Step& s) {
    for (const auto& need : s.needs)
      if (!states_.contains(key(need))) complain("state", s.id);
  }

  // --- faces that the job states ------------------------------------------------------------------------------------
  std::map<std::string, std::map<std::string, Face>> faces_;  ///< need -> history; see face_now
  static bool one_face(const job::FaceState& a, const job::FaceState& b) {
    return a.part == b.part && (a.face == b.face || a.face.empty() || b.face.empty());
  }
  /// What the step does to the face that is needed so: 1 makes it so, -1 spoils it, 0 nothing.
  int effect(const job::Step& s, const job::FaceState& need) const {
    for (const auto& f : s.face_gives)
      if (one_face(f, need)) return f.state == need.state ? 1 : -1;
    if (s.on != need.part) return 0;
    const std::string gives = process(s).word_or("surface-gives"), leaves = process(s).word_or("contaminates");
    if (gives == need.state) return 1;
    const bool wants_clean = need.state == "bare" || need.state == "clean" || need.state == "dry";
    if (wants_clean && in(std::vector<std::string>{"abraded", "degreased", "dry", "clean", "bare"}, gives)) return 0;
    const bool leaves_film = in(std::vector<std::string>{"oil", "wax", "lacquer", "silicone"}, leaves);
    return !gives.empty() || leaves_film ? -1 : 0;
  }
  std::vector<Done> past_;
  void look_at_stated_faces(const job::Step& s) {
    for (const auto& need : s.face_needs) {
      const bool clean = need.state == "bare" || need.state == "clean" || need.state == "dry";
      bool good = clean && !need.within;
      std::optional<Duration> since;
      for (const Done& d : past_) {
        const int e = effect(*d.step, need);
        if (e > 0) good = true, since = d.end;
        if (e < 0) good = false;
      }
      if (good && need.within && since && done_->start - *since > *need.within) good = false;
      if (!good) complain("surface", s.id);
    }
  }
  void give_faces(const job::Step&) { past_.push_back(*done_); }

  // --- bare faces ---------------------------------------------------------------------------------------------------
  static bool greasy(const std::string& what) { return what == "oil" || what == "wax" || what == "lacquer" || what == "silicone"; }
  bool states_masked(const job::Step& s, const PartId& p, const std::vector<std::string>& words) const {
    return std::any_of(s.face_gives.begin(), s.face_gives.end(), [&](const auto& f) { return f.part == p && in(words, f.state); });
  }
  bool at(const job::Step& s, const PartId& p) const { return overlap(s.on, p) || in(s.touches, p); }

  void soil(const job::Step& s) {
    const std::string what = process(s).word_or("contaminates"), how = s.process.text;
    for (const job::Part& part : job_.parts) {
      Skin& skin = skin_[part.id];
      const bool sanded = ((how == "sand" || how == "abrade") && at(s, part.id)) || states_masked(s, part.id, {"abraded", "bare"});
      const bool wiped = (how == "degrease" || how == "clean-flux" || how == "wash") && at(s, part.id);
      if (sanded) skin.dirt.clear();
      if (wiped) std::erase_if(skin.dirt, [](const auto& d) { return !d.second; });
      if ((how == "mask" && at(s, part.id)) || states_masked(s, part.id, {"masked"})) skin.tape = true;
      if (how == "unmask" && at(s, part.id)) skin.tape = false, skin.over_tape.clear();
    }
    if (!greasy(what)) return;
    Parts wet = inside(s.on);
    for (const PartId& t : s.touches) {
      const Parts more = inside(t);
      wet.insert(more.begin(), more.end());
    }
    bool film = process(s).word_or("class") == "finish" && how != "lubricate" && how != "polish";
    for (const auto& u : s.materials) film = film || card(u.card).word_or("family") == "silicone";
    for (const PartId& p : wet) {
      if (skin_[p].tape) skin_[p].over_tape.insert(s.id.text);
      else skin_[p].dirt[s.id.text] = film;
    }
  }

  /// "Leave the underside bare", said of the coat or of an earlier one by the same process.
  bool leaves_underside(const job::Step& coat) const {
    return std::any_of(job_.steps.begin(), job_.steps.end(), [&](const job::Step& s) {
      const bool says = std::any_of(s.actions.begin(), s.actions.end(), [](const std::string& a) { return a.find("Leave") == 0 && a.find("underside bare") != std::string::npos; });
      return says && &s <= &coat && s.process == coat.process && s.on == coat.on;
    });
  }

  void look_at_bare_faces(const job::Step& s) {
    Parts faces;
    for (const JointId& j : s.bonds)
      for (const PartId& m : job_.joint(j)->between) {
        const Parts more = inside(m);
        faces.insert(more.begin(), more.end());
      }
    const std::string needs = process(s).word_or("surface-needed");
    const bool wets = (needs == "bare" || needs == "degreased") && process(s).word_or("class") != "finish" && s.process.text != "activate";
    if (faces.empty() && wets) faces = hands_on(s);
    const auto spoils = [&](const std::string& by) {
      const job::Step& coat = *job_.step(StepId(by));
      return &coat != &s && !(s.process.text == "pot" && coat.process.text == "coat-board") && !(&coat < &s && leaves_underside(coat) && s.title.find(" under ") != std::string::npos);
    };
    for (const PartId& p : faces) {
      const Skin& skin = skin_[p];
      const bool dirty = std::any_of(skin.dirt.begin(), skin.dirt.end(), [&](const auto& d) { return spoils(d.first); });
      bool taken_off_somewhere = false;
      for (const job::Step& other : job_.steps) taken_off_somewhere = taken_off_somewhere || (other.process.text == "unmask" && at(other, p));
      const bool under_dirty_tape = skin.tape && std::any_of(skin.over_tape.begin(), skin.over_tape.end(), spoils) && taken_off_somewhere;
      if (dirty || under_dirty_tape) complain("surface", s.id);
    }
  }

  // --- cures --------------------------------------------------------------------------------------------------------
  std::vector<const catalogue::Figure*> rows(const job::Joint& j, std::string_view state, bool with_temperature) const {
    std::vector<std::string> names;
    if (!j.substrate.empty()) names.push_back(j.substrate);
    else
      for (const PartId& m : j.between)
        if (const job::Part* p = job_.part(m)) {
          const Card* material = cards_.find(CardId(card(p->card).word_or("material")));
          if (material != nullptr) names.push_back(material->word_or("substrate", material->id.text));
        }
    names.push_back("");
    std::vector<const catalogue::Figure*> found;
    for (const catalogue::Figure& f : card(j.adhesive).figures)
      if (f.name == state && in(names, f.on) && (!with_temperature || f.at_temperature)) found.push_back(&f);
    return found;
  }

  std::optional<Duration> cure_time(const job::Joint& j, job::Cure wanted) const {
    for (int c = static_cast<int>(wanted); c <= static_cast<int>(job::Cure::full); ++c) {
      const std::string name(word(static_cast<job::Cure>(c)));
      if (const auto own = j.measured.find(name); own != j.measured.end()) return own->second;
      const auto figures = rows(j, name, false);
      if (figures.empty()) continue;
      // One temperature a row in the demos' adhesives but for those with a table of their own.
      std::map<std::string, std::vector<joints::CureAt>> by_row;
      double slowest = 0;
      for (const auto* f : figures) {
        if (f->at_temperature) by_row[f->on].push_back({*f->at_temperature, Duration(static_cast<std::int64_t>(f->high + 0.999))});
        if (by_row[f->on].size() <= 1) slowest = std::max(slowest, f->high);
      }
      Duration wait(static_cast<std::int64_t>(slowest + 0.999));
      std::vector<joints::CureAt> worst;
      for (auto& [row, points] : by_row) {
        std::sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.temperature < b.temperature; });
        if (!points.empty() && (worst.empty() || points.front().time > worst.front().time)) worst = points;
      }
      if (job_.bench.temperature && !worst.empty()) {
        joints::AdhesiveFigures a;
        a.chemistry = joints::chemistry_named(card(j.adhesive).word_or("chemistry", "other")).value_or(joints::Chemistry::other);
        a.cures.push_back({*joints::cure_state_named(name), worst, {}});
        for (const auto& f : card(j.adhesive).figures) {
          if (f.name == "least-temperature") a.coldest = Celsius(f.low);
          if (f.name == "most-temperature") a.hottest = Celsius(f.high);
        }
        const auto law = joints::cure_wait(a, a.cures.front().state, *job_.bench.temperature);
        const bool slowest_has_one = std::any_of(worst.begin(), worst.end(), [&](const auto& p) { return p.time >= wait; });
        if (law) wait = slowest_has_one ? law->wait : std::max(wait, law->wait);
      }
      if (card(j.adhesive).word_or("chemistry") == "cyanoacrylate" && j.gap && name == "fixture") {
        if (const auto gap = joints::gap_time(*j.gap, !j.activator.empty())) wait = std::max(wait, Duration(static_cast<std::int64_t>(gap->value)));
      }
      if (card(j.adhesive).word_or("chemistry") == "silicone" && j.depth && c >= static_cast<int>(job::Cure::working)) {
        double a_day = 2;
        for (const auto& f : card(j.adhesive).figures)
          if (f.name == "depth-per-day") a_day = f.low;
        const double days = std::max(1.0, j.depth->value / a_day);
        wait = std::max(wait, Duration(static_cast<std::int64_t>(86400 * days * days)));
      }
      return wait.seconds < 60 ? wait : Duration((wait.seconds + 59) / 60 * 60);
    }
    return std::nullopt;
  }

  /// Comes with a lid that the job file lists after the step, and that is not on yet.
  bool off_the_unit(const job::Step& s, const PartId& part) const {
    if (in(s.touches, part) || in(s.tests, part)) return false;
    for (const PartId& id : out_to_unit(part)) {
      const job::Step* by = job_.installer(id);
      if (by == nullptr) continue;
      if (&s < by && process(*by).yes("closes")) return !in_place_.contains(id);
      if (by < &s && by->on != id && off_the_unit(s, by->on)) return true;
    }
    return false;
  }

  /// What hands, fluids and force of the step ask of the joint.
  job::Cure asks(const job::Step& s, const job::Joint& j) const {
    for (const auto& need : s.joint_needs)
      if (need.joint == j.id) return need.cure;
    const bool off = std::all_of(j.between.begin(), j.between.end(), [&](const PartId& m) { return off_the_unit(s, m); });
    if (s.on.text == "unit" && off) return job::Cure::none;
    const Parts reached = hands_on(s);
    Parts named{s.on};
    named.insert(s.touches.begin(), s.touches.end());
    for (const auto& i : s.installs) named.insert(i.part);
    for (const JointId& b : s.bonds) named.insert(job_.joint(b)->between.begin(), job_.joint(b)->between.end());
    std::size_t sides = 0, by_name = 0;
    for (const PartId& m : j.between) {
      const Parts of_side = inside(m);
      sides += std::any_of(of_side.begin(), of_side.end(), [&](const PartId& p) { return reached.contains(p); }) ? 1U : 0U;
      by_name += named.contains(m) ? 1U : 0U;
    }
    if (sides == 0) return job::Cure::none;
    const job::Cure most = job::cure_of(process(s).word_or("cure-needed", "handling")).value_or(job::Cure::handling);
    const std::string kind = process(s).word_or("class");
    const bool creeps = kind == "finish" || kind == "clean";
    const bool shaken = (kind == "pack" || kind == "test") && sides == j.between.size();
    const bool loaded = by_name == j.between.size();
    return creeps || shaken || loaded ? most : std::min(most, job::Cure::handling);
  }

  void look_at_joints(const job::Step& s) {
    for (const job::Joint& j : job_.joints) {
      if (in(s.bonds, j.id)) continue;
      const job::Cure wanted = asks(s, j);
      if (wanted == job::Cure::none) continue;
      const bool said = std::any_of(s.joint_needs.begin(), s.joint_needs.end(), [&](const auto& n) { return n.joint == j.id; });
      const auto at = glued_.find(j.id);
      if (at == glued_.end()) {
        if (said) complain("cure", s.id);
        continue;
      }
      const auto time = cure_time(j, wanted);
      if (time && done_->start - at->second < *time) complain("cure", s.id);
    }
  }

  // --- heat ---------------------------------------------------------------------------------------------------------
  std::optional<double> hot(const job::Step& s, std::string& reach) const {
    reach = process(s).word_or("heats", "none");
    if (s.reaches) {
      if (reach == "none") reach = "touched";
      return s.reaches->value;
    }
    if (reach == "none") return std::nullopt;
    if (s.process.text == "reflow")
      for (const auto& u : s.materials)
        for (const auto& f : card(u.card).figures)
          if (f.name == "peak") return f.high;
    for (const auto& f : process(s).figures)
      if (f.name == "temperature") return f.high;
    return std::nullopt;
  }
  std::optional<double> bears(const PartId& p, bool reflow) const {
    const Card& c = card(job_.part(p)->card);
    std::optional<double> own, in_reflow;
    for (const auto& f : c.figures) {
      if (f.name == "heat-limit" && !own) own = f.low;
      if (f.name == "reflow-limit" && !in_reflow) in_reflow = f.low;
    }
    if (reflow && in_reflow) return in_reflow;
    if (own) return own;
    const Card* material = cards_.find(CardId(c.word_or("material")));
    if (material == nullptr) return std::nullopt;
    for (const auto& f : material->figures)
      if (f.name == "heat-limit") return f.low;
    return std::nullopt;
  }
  void look_at_heat(const job::Step& s) {
    std::string reach;
    const auto degrees = hot(s, reach);
    if (!degrees || s.on.empty()) return;
    const Parts reached = hands_on(s);
    for (const job::Part& p : job_.parts) {
      const bool around = reach == "whole" || (reach == "near" && overlap(p.assembly, s.on));
      if (p.jig || (!reached.contains(p.id) && !around)) continue;
      const auto limit = bears(p.id, s.process.text == "reflow");
      if (limit && *degrees > *limit && together(p.id, s.on)) complain("heat", s.id);
    }
  }
};

}  // namespace

std::set<Wrong> replay(const job::Job& job, const catalogue::Catalogue& cards, const std::vector<Done>& build) {
  Bench bench(job, cards);
  for (const Done& d : build) bench.work(d);
  return bench.wrongs;
}

}  // namespace handlot::test
