# Templates are files; the program carries a copy of each as text, so that it needs no folder beside it.
#   cmake -DNAMES="a;b" -DFILES="path/a;path/b" -DOUT=out.cpp -P embed.cmake
cmake_policy(VERSION 3.25)
set(body "")
list(LENGTH FILES count)
math(EXPR last "${count} - 1")
foreach(i RANGE ${last})
  list(GET FILES ${i} path)
  get_filename_component(name "${path}" NAME)
  file(READ "${path}" hex HEX)
  # Compilers dislike endless literals: a line each 32 bytes.
  string(REGEX REPLACE "(................................................................)" "\\1\"\n\"" lines "${hex}")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" lines "\"${lines}\"")
  file(SIZE "${path}" size)
  string(APPEND body "  if (name == \"${name}\") return std::string_view(\n${lines}, ${size});\n")
endforeach()
file(WRITE "${OUT}.new" "#include \"sheets/templates.h\"\n\nnamespace handlot::sheets {\n\nstd::string_view built_in(std::string_view name) {\n${body}  return {};\n}\n\n}  // namespace handlot::sheets\n")
file(COPY_FILE "${OUT}.new" "${OUT}" ONLY_IF_DIFFERENT)
