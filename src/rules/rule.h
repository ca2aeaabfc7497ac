// rule.h: what a rule may look at, what it may say, and how it is asked.
#pragma once

#include <set>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "bodies/device.h"
#include "catalogue/catalogue.h"
#include "job/job.h"
#include "plan/constraint.h"
#include "plan/reason.h"
#include "plan/step.h"

namespace handlot::rules {

/// Everything a rule may look at. Rules read no files, no clock and no graph.
struct Facts {
  const job::Job& job;
  const catalogue::Catalogue& cards;
  const bodies::Device* device = nullptr;  ///< null or empty: no shapes are known
  shapes::Cache shape_cache{};             ///< for what shapes cost much to find out

  const catalogue::Card& card(const CardId& id) const;        ///< Given: the job was read, so the card is there
  const catalogue::Card& process(const job::Step& step) const { return card(step.process); }
  const catalogue::Card& card_of(const PartId& part) const;   ///< of a subassembly nothing is known: an empty card
  /// "display 'oled'": how a part or subassembly is called in a sentence.
  std::string name(const PartId& id) const;
};

/// What a rule says.
struct Yield {
  std::vector<plan::Constraint> links;
  std::vector<plan::Choice> choices;
  std::vector<plan::NeverTogether> apart;
  std::vector<plan::Finding> findings;
  std::vector<plan::Caution> cautions;
  /// Fixtures held on after a step (a clamp until the glue holds).
  struct Held {
    StepId step;
    plan::Use use;
  };
  std::vector<Held> held;
  /// Lines for the sheet that nothing has to decide on: an order of tightening, fresh gloves.
  struct Told {
    StepId step;
    plan::Hint hint;
  };
  std::vector<Told> hints;
  std::vector<std::string> deferrals;  ///< what is left to licensed practice and local codes
  /// No sub-batch of the step is larger than this (paste dries on the stencil).
  struct AtMost {
    StepId step;
    int units = 1;
  };
  std::vector<AtMost> at_most;
};

/// Which step comes before which in every allowed order.
class KnownOrder {
 public:
  virtual ~KnownOrder() = default;
  virtual bool before(const StepId& a, const StepId& b) const = 0;
  /// One allowed order: predecessors first.
  virtual std::span<const StepId> sequence() const = 0;
};

// How a rule is asked. The pipeline loops; a rule never loops over the whole job by itself.
using PerStep = void (*)(const Facts&, const job::Step&, Yield&);
using PerPair = void (*)(const Facts&, const job::Step& earlier, const job::Step& later, Yield&);  ///< every ordered pair
using PerPart = void (*)(const Facts&, const job::Part&, Yield&);
using PerJoint = void (*)(const Facts&, const job::Joint&, Yield&);
using PerJob = void (*)(const Facts&, Yield&);
/// Asked when the order is known: proves what must hold in every allowed order.
using Proof = void (*)(const Facts&, const KnownOrder&, const job::Step&, Yield&);

struct Rule {
  RuleId id;
  std::string_view title;   ///< as a heading of docs/reference/rules.md
  std::string_view says;    ///< one sentence: what it demands or finds
  std::string_view source;  ///< where the demand comes from
  std::variant<PerStep, PerPair, PerPart, PerJoint, PerJob, Proof> ask;
};

/// All rules, in the order in which their choices are settled: facts first, the listing last.
std::span<const Rule> all_rules();

/// Settled last: where nothing decides, the order of the job file is kept.
inline constexpr std::string_view kListingRule = "listing";

}  // namespace handlot::rules
