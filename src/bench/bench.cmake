# The bench page: what is lent to it, and its files put into the program.
find_package(PkgConfig REQUIRED)
find_package(OpenSSL REQUIRED COMPONENTS Crypto)
find_package(Threads REQUIRED)
pkg_check_modules(HTTPLIB REQUIRED IMPORTED_TARGET cpp-httplib)
pkg_check_modules(QRCODEGEN REQUIRED IMPORTED_TARGET qrcodegencpp)
file(GLOB page_files CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/bench/page/*)
add_custom_command(OUTPUT ${CMAKE_CURRENT_BINARY_DIR}/bench/built_in.cpp
  COMMAND ${CMAKE_COMMAND} -DFROM=${CMAKE_CURRENT_SOURCE_DIR}/bench/page -DTO=${CMAKE_CURRENT_BINARY_DIR}/bench/built_in.cpp
          -P ${CMAKE_CURRENT_SOURCE_DIR}/bench/page.cmake
  DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/bench/page.cmake ${page_files}
  COMMENT "Putting the bench page into the program" VERBATIM)
handlot_layer(bench USES core plan calendar record sheets
  LENT HTTPLIB=PkgConfig::HTTPLIB JSON=nlohmann_json::nlohmann_json OPENSSL=OpenSSL::Crypto QR=PkgConfig::QRCODEGEN
       THREADS=Threads::Threads)
target_sources(handlot_bench PRIVATE ${CMAKE_CURRENT_BINARY_DIR}/bench/built_in.cpp)
