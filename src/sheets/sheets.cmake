# Libraries lent to the sheets, and their templates as text inside the program.
find_path(MUSTACHE_INCLUDE kainjow/mustache.hpp REQUIRED)
add_library(handlot_mustache INTERFACE)
target_include_directories(handlot_mustache SYSTEM INTERFACE ${MUSTACHE_INCLUDE})
pkg_check_modules(CAIRO REQUIRED IMPORTED_TARGET GLOBAL cairo cairo-pdf)
pkg_check_modules(PANGO REQUIRED IMPORTED_TARGET GLOBAL pangocairo)
pkg_check_modules(RSVG REQUIRED IMPORTED_TARGET GLOBAL librsvg-2.0)
pkg_check_modules(ICAL REQUIRED IMPORTED_TARGET GLOBAL libical)
pkg_check_modules(QR REQUIRED IMPORTED_TARGET GLOBAL qrcodegencpp)
# Their -pthread would reach every user and part the tests from their precompiled header; glibc needs it no more.
foreach(library CAIRO PANGO RSVG ICAL QR)
  set_property(TARGET PkgConfig::${library} PROPERTY INTERFACE_COMPILE_OPTIONS "")
endforeach()

# The fonts of the HTML form, where the package fonts-b612 is installed; without them the reader's own are used.
set(SHEET_TEMPLATES ${CMAKE_CURRENT_SOURCE_DIR}/sheets/templates/sheet.html ${CMAKE_CURRENT_SOURCE_DIR}/sheets/templates/sheet.css)
foreach(font B612-Regular.otf B612-Bold.otf)
  find_file(SHEET_FONT_${font} ${font} PATHS /usr/share/fonts/opentype/b612 /usr/local/share/fonts NO_DEFAULT_PATH)
  if(SHEET_FONT_${font})
    list(APPEND SHEET_TEMPLATES ${SHEET_FONT_${font}})
  endif()
endforeach()
set(SHEET_TEMPLATES_CPP ${CMAKE_BINARY_DIR}/sheet_templates.cpp)
add_custom_command(OUTPUT ${SHEET_TEMPLATES_CPP}
  COMMAND ${CMAKE_COMMAND} "-DFILES=${SHEET_TEMPLATES}" -DOUT=${SHEET_TEMPLATES_CPP} -P ${CMAKE_CURRENT_SOURCE_DIR}/sheets/embed.cmake
  DEPENDS ${SHEET_TEMPLATES} ${CMAKE_CURRENT_SOURCE_DIR}/sheets/embed.cmake
  COMMENT "Sheet templates" VERBATIM)
