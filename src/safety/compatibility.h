// compatibility.h: what a liquid does to a material, by table and by how the material is stressed; heat limits.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "core/quantity.h"
#include "core/source.h"

namespace handlot::safety {

/// Letters of the table: A no harm; B short contact on unstressed material only; C refuse.
enum class Attack { none, short_contact, refuse };

/// Row and column words: materials abs asa pla petg pmma pc ps pa pom pvc tpu silicone nitrile neoprene hdpe brass steel
/// aluminium shellac lacquer oil-finish varnish fibre; agents ipa acetone cyanoacrylate activator-ketone activator-alkane essential-oil mineral-oil
/// flux-remover.
struct Cell {
  Attack attack;
  Standing standing;   ///< read where a page was seen, else memory
};
/// Empty: the pair is not in the table. Nothing is borrowed from a neighbour.
std::optional<Cell> table_cell(std::string_view material, std::string_view agent);
std::span<const std::string_view> materials();
std::span<const std::string_view> agents();

/// How the material stands when the liquid meets it.
struct Condition {
  bool stressed = false;   ///< cut or sawn edges, clamped, pressed on, screwed down
  bool annealed = false;   ///< after cutting, and not stressed since
  Duration contact{60};    ///< wiped: a minute
};
/// Contact that is no longer short [practice].
inline constexpr Duration kShortContact = minutes(5);

enum class Verdict { fine, take_care, refuse, unknown };
struct ContactAnswer {
  Verdict verdict = Verdict::unknown;
  std::string_view why;
  Source source;
};
/// Source   COMPAT, table 4.1 as compiled: cells (read) from PERMABOND and others, the rest (memory). Stress cracking of
///          ABS, PMMA, PC and PS under liquid adhesive or solvent: PERMABOND (read). Instant glue on natural fibre heats to
///          burns or fire: SDS3M (read).
ContactAnswer contact(std::string_view material, std::string_view agent, const Condition& condition);

/// Amorphous plastics that craze under solvent and stress.
bool stress_cracks(std::string_view material);

/// The highest temperature something keeps its shape and life at.
struct HeatLimit {
  std::string_view what;   ///< material word, or "display", "cell", "hot-melt"
  Celsius limit;
  std::string_view of;     ///< "glass transition", "storage under a month"
  Source source() const { return {std::string(key), std::string(at), standing}; }
  std::string_view key, at;
  Standing standing = Standing::read;
};
std::span<const HeatLimit> heat_limits();
std::optional<HeatLimit> heat_limit(std::string_view what);

enum class HeatVerdict { fine, near, over };
/// Source   10 K under the limit is our own margin [practice].
HeatVerdict under_heat(Celsius limit, Celsius reached);

}  // namespace handlot::safety
