#include "plan/plan.h"

namespace handlot::plan {

std::string_view word(ReasonKind kind) {
  switch (kind) {
    case ReasonKind::stated: return "stated";
    case ReasonKind::part: return "part";
    case ReasonKind::process: return "process";
    case ReasonKind::listing: return "listing";
    case ReasonKind::blocked: return "blocked";
    case ReasonKind::access: return "access";
    case ReasonKind::fastener: return "fastener";
    case ReasonKind::motion: return "motion";
    case ReasonKind::heat: return "heat";
    case ReasonKind::cure: return "cure";
    case ReasonKind::surface: return "surface";
    case ReasonKind::moisture: return "moisture";
    case ReasonKind::paste: return "paste";
    case ReasonKind::state: return "state";
    case ReasonKind::test: return "test";
    case ReasonKind::safety: return "safety";
    case ReasonKind::chemistry: return "chemistry";
    case ReasonKind::clock: return "clock";
  }
  return "";
}

std::string_view word(Severity severity) {
  switch (severity) {
    case Severity::stop: return "stop";
    case Severity::warn: return "warn";
    case Severity::note: return "note";
    case Severity::undecided: return "undecided";
  }
  return "";
}

std::string_view word(CautionClass c) {
  switch (c) {
    case CautionClass::danger: return "DANGER";
    case CautionClass::warning: return "WARNING";
    case CautionClass::caution: return "CAUTION";
    case CautionClass::notice: return "NOTICE";
  }
  return "";
}

std::string_view word(Schedule::Status status) {
  switch (status) {
    case Schedule::Status::optimal: return "optimal";
    case Schedule::Status::feasible: return "feasible";
    case Schedule::Status::infeasible: return "infeasible";
    case Schedule::Status::stopped: return "stopped";
  }
  return "";
}

}  // namespace handlot::plan
