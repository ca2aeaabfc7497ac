// kept_findings.h: findings as bytes for the cache of shapes, and back.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "plan/reason.h"

namespace handlot::rules {

std::string to_bytes(const std::vector<plan::Finding>& findings);

/// Empty for anything that to_bytes did not write.
std::optional<std::vector<plan::Finding>> findings_from_bytes(const std::string& bytes);

}  // namespace handlot::rules
