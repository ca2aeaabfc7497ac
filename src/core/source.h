// source.h: where a figure about the world comes from.
#pragma once

#include <string>
#include <string_view>

namespace handlot {

/// How well a figure stands.
enum class Standing {
  read,      ///< read at the place named
  memory,    ///< from memory of the document named; not read again
  practice,  ///< common practice, no source
  measured,  ///< measured by the builder
  stated     ///< stated in the job file by the builder
};

/// One place in one document. `key` stands in docs/reference/sources.md; empty for practice and stated.
struct Source {
  std::string key;
  std::string at;  ///< page, table, clause or row
  Standing standing = Standing::stated;

  auto operator<=>(const Source&) const = default;
};

std::string_view word(Standing standing);

/// "WH table 13-5 (read)", "common practice, no source", "stated in the job". Never empty.
std::string describe(const Source& source);

}  // namespace handlot
