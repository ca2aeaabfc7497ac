#include "safety/caution.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <map>
#include <utility>

#include "safety/caution_words.h"

namespace handlot::safety {
namespace {

std::vector<std::string> split(std::string_view text, char mark) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const auto end = text.find(mark);
    if (end != 0) parts.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return parts;
}

plan::Caution spelt(const CautionWords& w) {
  plan::Caution c;
  c.level = w.level;
  c.at = w.at;
  c.id = w.id;
  c.hazard = w.hazard;
  c.consequence = w.consequence;
  c.avoid = w.avoid;
  c.signs = split(w.signs, ' ');
  c.protect = split(w.protect, ';');
  c.source = {std::string(w.key), std::string(w.key_at), w.standing};
  return c;
}

template <class T>
void add_each(std::vector<T>& into, const std::vector<T>& more) {
  for (const T& one : more)
    if (std::find(into.begin(), into.end(), one) == into.end()) into.push_back(one);
}

class Collector {
 public:
  void add(plan::Caution caution, const StepId& step) {
    const auto at = index_.find(caution.id);
    if (at == index_.end()) {
      index_.emplace(caution.id, all_.size());
      if (caution.at != plan::CautionAt::head) caution.steps.push_back(step);
      all_.push_back(std::move(caution));
      return;
    }
    plan::Caution& known = all_[at->second];
    if (known.at != plan::CautionAt::head && known.steps.back() != step) known.steps.push_back(step);
    add_each(known.ghs, caution.ghs);
    add_each(known.h_codes, caution.h_codes);
    add_each(known.materials, caution.materials);
    add_each(known.protect, caution.protect);
  }

  std::vector<plan::Caution> taken() {
    for (plan::Caution& c : all_) {
      std::sort(c.ghs.begin(), c.ghs.end());
      std::sort(c.h_codes.begin(), c.h_codes.end());
    }
    std::stable_sort(all_.begin(), all_.end(), [](const plan::Caution& a, const plan::Caution& b) {
      return std::pair(a.level, a.at) < std::pair(b.level, b.at);
    });
    return std::move(all_);
  }

 private:
  std::vector<plan::Caution> all_;
  std::map<std::string, std::size_t> index_;
};

bool has(const StepFacts& step, std::string_view family) {
  return std::any_of(step.substances.begin(), step.substances.end(),
                     [&](const Substance& s) { return s.family == family; });
}

bool carries(const Substance& s, std::string_view code) {
  return std::find(s.label.h_codes.begin(), s.label.h_codes.end(), code) != s.label.h_codes.end();
}

/// What the general words about a flammable or labelled substance leave out: that it makes allergic, skin or lungs, or goes
/// through the gloves.
std::vector<plan::Caution> besides_fire(const Substance& s, bool sprayed) {
  std::vector<plan::Caution> more;
  const CautionWords& own = words_of_family(s.family, false);
  const auto add = [&](const CautionWords& words, std::string_view code) {
    more.push_back(spelt(words));
    more.back().h_codes = {std::string(code)};
    more.back().materials.push_back(s.card);
  };
  if (s.flammable_vapour && carries(s, "H317") && own.id != words_of_family("", false).id) add(own, "H317");
  if (s.family == "acetone") add(acetone_words(), "EUH066");
  if (carries(s, "H334") && sprayed) add(asthma_sprayed_words(), "H334");
  else if (carries(s, "H334") && own.id != words_of_family("polyurethane", false).id) add(asthma_words(), "H334");
  return more;
}

std::string small(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

bool says(const std::string& text, const std::string& words) { return small(text).find(small(words)) != std::string::npos; }

/// What the other cautions of the step do not say already of what its process asks for.
std::vector<std::string> unsaid(const std::vector<std::string>& asked, const std::vector<plan::Caution>& here, bool to_wear) {
  std::vector<std::string> left;
  for (const std::string& item : asked) {
    const bool airing = item.starts_with("air the");  // bench or room
    const bool said = std::any_of(here.begin(), here.end(), [&](const plan::Caution& c) {
      if (!to_wear) return says(c.avoid, airing ? "air the" : item);
      return std::any_of(c.protect.begin(), c.protect.end(), [&](const std::string& p) { return says(p, item); });
    });
    if (!said) left.push_back(item);
  }
  return left;
}

std::vector<std::string> unsaid_signs(const StepFacts& step, const std::vector<plan::Caution>& here) {
  std::vector<std::string> left;
  for (const std::string& sign : step.signs) {
    const bool said = std::any_of(here.begin(), here.end(), [&](const plan::Caution& c) { return std::find(c.signs.begin(), c.signs.end(), sign) != c.signs.end(); });
    if (!said) left.push_back(sign);
  }
  return left;
}

/// "No gloves. Air the room."
std::string as_sentences(const std::vector<std::string>& orders) {
  std::string text;
  for (std::string order : orders) {
    order.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(order.front())));
    text += (text.empty() ? "" : " ") + order + ".";
  }
  return text;
}

/// What a process does to whoever stands at it, where signs and gear do not say it. Common practice, no source.
struct ProcessWords {
  std::string_view process, hazard, consequence, avoid;
};
constexpr std::array kProcessWords{
    ProcessWords{"saw", "A saw cuts fingers, and a driven blade throws the work back.", "Cut fingers; a blow from the work.",
                 "Clamp or guide the work, keep fingers out of the line of the blade, push the last of it with a stick, stand beside the line of "
                 "the cut, reach in only when the blade stands."},
    ProcessWords{"print-frame", "Nozzle and bed of the printer are hot, and its axes pinch.", "Burnt or pinched fingers.",
                 "Keep hands out while it prints, and let nozzle and bed cool before the part is taken off."},
};

const ProcessWords* own_words(const std::string& process) {
  const auto found = std::find_if(kProcessWords.begin(), kProcessWords.end(), [&](const ProcessWords& w) { return w.process == process; });
  return found == kProcessWords.end() ? nullptr : &*found;
}

/// The words of the process card: nothing where the other cautions say it all. A sign of what to wear goes with its words.
std::optional<plan::Caution> of_process(const StepFacts& step, const std::vector<plan::Caution>& here) {
  plan::Caution c;
  c.protect = unsaid(step.wear, here, true);
  const std::vector<std::string> heed = unsaid(step.heed, here, false);
  c.signs = unsaid_signs(step, here);
  const bool words = !c.protect.empty() || !heed.empty();
  const bool warns = std::any_of(c.signs.begin(), c.signs.end(), [](const std::string& s) { return s.starts_with('W') || s.starts_with('P'); });
  const ProcessWords* own = own_words(step.process);
  if (own == nullptr && !words && !warns) return std::nullopt;
  c.level = plan::CautionClass::caution;
  c.at = plan::CautionAt::section;
  c.id = "process-" + step.process;
  c.hazard = "The work '" + step.process_name + "' has hazards of its own.";
  c.consequence = "Hurt hands, eyes, ears or lungs.";
  c.avoid = heed.empty() ? std::string(c.protect.empty() ? "Heed the signs." : "Wear what is named here.") : as_sentences(heed);
  if (own != nullptr) {
    c.hazard = own->hazard;
    c.consequence = own->consequence;
    c.avoid = std::string(own->avoid) + (heed.empty() ? "" : " " + as_sentences(heed));
  }
  c.source = {"", "", Standing::practice};
  return c;
}

bool opens_vapour(const StepFacts& s) {
  return std::any_of(s.substances.begin(), s.substances.end(), [](const Substance& x) { return x.flammable_vapour; });
}

bool ignites(const StepFacts& s) {
  return s.acts.contains(Act::iron) || s.acts.contains(Act::oven) || s.acts.contains(Act::hot_air) ||
         s.acts.contains(Act::hot_glue);
}

/// Until what was hot no longer lights a vapour: iron, hot air and glue gun, and the heater of a warm cupboard; the oven
/// longer, with its door open. Common practice, no source.
Duration cools(const StepFacts& s) {
  constexpr Celsius kWarmCupboard{100};
  const bool hot_through = s.acts.contains(Act::oven) && !(s.reaches && *s.reaches <= kWarmCupboard);
  return hot_through ? minutes(10) : minutes(3);
}

bool feeds_fire(const StepFacts& s) { return opens_vapour(s) || s.acts.contains(Act::drying_oil); }

}  // namespace

std::string_view word(Act act) {
  const CautionWords* w = words_of(act);
  return w ? w->id : std::string_view{};
}

std::optional<plan::Caution> caution_of(Act act) {
  const CautionWords* w = words_of(act);
  if (!w) return std::nullopt;
  return spelt(*w);
}

plan::Caution caution_of(const Substance& substance) {
  plan::Caution c = spelt(words_of_family(substance.family, substance.flammable_vapour));
  c.ghs = substance.label.ghs;
  c.h_codes = substance.label.h_codes;
  c.materials.push_back(substance.card);
  // Each substance that only has the general words keeps its own place.
  if (c.id == "substance") {
    c.id += "-" + substance.card.text;
    c.hazard = substance.name + " carries a hazard label.";
    c.source = substance.source;
  }
  return c;
}

namespace {

std::vector<plan::Caution> of_step(const StepFacts& step) {
  std::vector<plan::Caution> here;
  for (const Act act : step.acts) {
    // The sharper word about the same dust or the same cell is enough.
    if (act == Act::sanding_wood && step.acts.contains(Act::sensitising_dust)) continue;
    if (act == Act::sensitising_dust && step.acts.contains(Act::machine)) {
      here.push_back(spelt(sensitising_at_machine_words()));
      continue;
    }
    if (const auto c = caution_of(act)) here.push_back(*c);
  }
  for (const Substance& s : step.substances) {
    const bool harmless = s.label.h_codes.empty() && !s.flammable_vapour && !s.gives_off;
    if (!harmless) here.push_back(caution_of(s));
    for (plan::Caution& more : besides_fire(s, step.sprayed)) here.push_back(std::move(more));
  }
  if (step.fibre_touched && has(step, "cyanoacrylate")) here.push_back(spelt(fibre_words()));
  return here;
}

}  // namespace

std::vector<plan::Caution> cautions(std::span<const StepFacts> steps) {
  Collector collector;
  for (const StepFacts& step : steps) {
    std::vector<plan::Caution> here = of_step(step);
    if (auto own = of_process(step, here)) here.push_back(std::move(*own));
    for (plan::Caution& c : here) collector.add(std::move(c), step.step);
  }
  return collector.taken();
}

Apart apart(const StepFacts& a, const StepFacts& b, Duration clears_a, Duration clears_b) {
  Apart answer;
  const bool a_burns = feeds_fire(a) && ignites(b), b_burns = feeds_fire(b) && ignites(a);
  if (!a_burns && !b_burns) return answer;
  const auto clear = [](const StepFacts& s, Duration d) {
    if (!opens_vapour(s)) return Duration(0);
    return d > Duration(0) ? d : kAiringUnknown;
  };
  answer.apart = true;
  if (a_burns) answer.clear_after_a = clear(a, clears_a);
  if (b_burns) answer.clear_after_b = clear(b, clears_b);
  if (a_burns && opens_vapour(a)) answer.cools_b = cools(b);
  if (b_burns && opens_vapour(b)) answer.cools_a = cools(a);
  const bool vapour = (a_burns && opens_vapour(a)) || (b_burns && opens_vapour(b));
  answer.why = vapour ? "vapour that lights and a hot tool are never open together"
                      : "oily rags and a hot tool are never out together";
  answer.source = vapour ? Source{"CB", "flash points", Standing::read} : Source{"RAGFIRE", "timed test", Standing::read};
  return answer;
}

std::span<const Deferral> deferrals() {
  static constexpr std::array<Deferral, 6> all{{
      {"mains", "mains wiring, earthing and insulation tests: local code and a licensed person"},
      {"lithium", "welding, charging, carriage and damaged cells: the cell maker's data and the carriage rules"},
      {"storage", "how much solvent may be kept, and where: the local fire code"},
      {"exposure", "exposure limits printed here are references; the law of the place counts"},
      {"first-aid", "first aid: the substance's data sheet"},
      {"waste", "waste of solvent, resin, lead and cells: the local collection"},
  }};
  return all;
}

std::vector<Deferral> deferrals_for(std::span<const StepFacts> steps) {
  const auto any = [&](auto holds) { return std::any_of(steps.begin(), steps.end(), holds); };
  const auto acts = [&](Act act) { return any([&](const StepFacts& s) { return s.acts.contains(act); }); };
  const bool substances = any([](const StepFacts& s) { return std::any_of(s.substances.begin(), s.substances.end(), [](const Substance& x) { return !x.label.h_codes.empty() || x.flammable_vapour; }); });
  const bool vapour = any([](const StepFacts& s) { return std::any_of(s.substances.begin(), s.substances.end(), [](const Substance& x) { return x.flammable_vapour; }); });
  const bool cells = acts(Act::lithium_cell) || acts(Act::button_cell);
  const auto applies = [&](std::string_view id) {
    if (id == "mains") return acts(Act::mains);
    if (id == "lithium") return acts(Act::lithium_cell);
    if (id == "storage") return vapour;
    if (id == "exposure") return substances || acts(Act::sanding_wood) || acts(Act::sensitising_dust) || acts(Act::fibre_dust) || acts(Act::stone_dust) || acts(Act::rosin_fume);
    if (id == "first-aid") return substances;
    return substances || cells || acts(Act::leaded_solder);
  };
  std::vector<Deferral> out;
  for (const Deferral& d : deferrals()) {
    if (applies(d.id)) out.push_back(d);
  }
  return out;
}

}  // namespace handlot::safety
