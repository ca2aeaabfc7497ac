# The list itself. Lowest first; see src/CMakeLists.txt for what the words mean.

find_path(EXPECTED_INCLUDE tl/expected.hpp REQUIRED)

handlot_layer(core LENT FMT=fmt::fmt)
handlot_layer(plan USES core)
