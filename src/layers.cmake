# The list itself. Lowest first; see src/CMakeLists.txt for what the words mean.

find_path(EXPECTED_INCLUDE tl/expected.hpp REQUIRED)

handlot_layer(core LENT FMT=fmt::fmt)
find_package(tinyxml2 REQUIRED)
handlot_layer(input USES core LENT TINYXML2=tinyxml2::tinyxml2)
handlot_layer(plan USES core)
handlot_layer(catalogue USES core input)

find_package(date REQUIRED)
handlot_layer(calendar USES core LENT DATE=date::date-tz)
find_library(POLYCLIPPING polyclipping REQUIRED)
handlot_layer(solder USES core input LENT CLIPPER=${POLYCLIPPING})
find_library(NLOPT nlopt REQUIRED)
find_package(Eigen3 REQUIRED)
handlot_layer(reflow USES core LENT EIGEN=Eigen3::Eigen NLOPT=${NLOPT})
handlot_layer(job USES core input catalogue calendar)
find_package(Boost 1.74 REQUIRED)
handlot_layer(graph USES core plan LENT BOOST=Boost::boost)
handlot_layer(engine USES core)
handlot_layer(schedule USES core plan engine)
handlot_layer(joints USES core)

# Shapes: everything that works on triangles, without the solid kernel.
handlot_layer(shapes USES core LENT BOOST=Boost::boost)

# The solid kernel, lent to nobody else. Its targets name no include folder.
find_package(OpenCASCADE CONFIG REQUIRED)
add_library(handlot_occt INTERFACE)
target_include_directories(handlot_occt SYSTEM INTERFACE ${OpenCASCADE_INCLUDE_DIR})
target_link_libraries(handlot_occt INTERFACE TKPrim TKBO TKMesh TKTopAlgo TKBRep TKGeomBase TKG3d TKG2d TKMath TKernel)
target_link_options(handlot_occt INTERFACE -Wl,--as-needed)
handlot_layer(geometry USES core shapes LENT OCCT=handlot_occt)
target_precompile_headers(handlot_geometry PRIVATE geometry/kernel_headers.h)

# STEP files are read and written by a program of their own: a hostile model can only take that one down, and the main
# program starts without the libraries that only STEP needs.
file(GLOB step_reader_sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/step_reader/*.cpp)
add_executable(handlot-step ${step_reader_sources})
target_link_libraries(handlot-step PRIVATE handlot_geometry handlot_warnings
  TKXDESTEP TKXCAF TKLCAF TKCAF TKCDF TKSTEP TKSTEPBase TKSTEPAttr TKXSBase TKShHealing)

handlot_layer(safety USES core plan)
handlot_layer(bodies USES core input catalogue job shapes geometry)
handlot_layer(rules USES core input catalogue calendar job plan solder joints safety shapes geometry bodies)

find_package(SQLite3 REQUIRED)
find_package(nlohmann_json REQUIRED)
handlot_layer(record USES core plan calendar LENT SQLITE=SQLite::SQLite3 JSON=nlohmann_json::nlohmann_json)

include(sheets/sheets.cmake)
handlot_layer(sheets USES core plan calendar
  LENT JSON=nlohmann_json::nlohmann_json MUSTACHE=handlot_mustache CAIRO=PkgConfig::CAIRO PANGO=PkgConfig::PANGO
       RSVG=PkgConfig::RSVG ICAL=PkgConfig::ICAL QR=PkgConfig::QR)
target_sources(handlot_sheets PRIVATE ${SHEET_TEMPLATES_CPP})
handlot_layer(kit USES core input plan calendar)

include(bench/bench.cmake)
find_package(OpenSSL REQUIRED)
handlot_layer(pipeline USES core input catalogue job plan solder reflow joints shapes geometry bodies kit rules graph calendar schedule LENT OPENSSL=OpenSSL::Crypto)
target_compile_definitions(handlot_pipeline PRIVATE HANDLOT_CARD_FOLDER="${CMAKE_SOURCE_DIR}/parts")

find_package(CLI11 REQUIRED)
handlot_layer(cli USES core input catalogue job plan solder reflow shapes geometry bodies kit rules graph pipeline sheets record bench LENT CLI11=CLI11::CLI11 JSON=nlohmann_json::nlohmann_json)
target_compile_definitions(handlot_cli PRIVATE HANDLOT_VERSION="${PROJECT_VERSION}")
add_executable(handlot main.cpp)
target_link_libraries(handlot PRIVATE handlot::cli handlot_warnings)

# The search asks its asserts millions of times a second: users' builds go without them. Every test build keeps
# them.
foreach(searching handlot_engine handlot_schedule)
  target_compile_definitions(${searching} PRIVATE $<$<CONFIG:Release>:NDEBUG>)
endforeach()
