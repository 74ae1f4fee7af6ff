# Builds the page and writes a source that holds its files, compressed. Run while building:
#   cmake -DWEB=web -DOUT=build/x -DNPM=/usr/bin/npm -P page.cmake
# What is fetched is what web/package-lock.json says, and only when that has changed.
cmake_minimum_required(VERSION 3.25)
set(installed ${WEB}/node_modules/.installed-lock.json)
file(READ ${WEB}/package-lock.json wanted)
set(there "")
if(EXISTS ${installed})
  file(READ ${installed} there)
endif()
if(NOT there STREQUAL wanted)
  execute_process(COMMAND ${CMAKE_COMMAND} -E env PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1
                          ${NPM} ci --no-audit --no-fund --silent
                  WORKING_DIRECTORY ${WEB} COMMAND_ERROR_IS_FATAL ANY)
  file(WRITE ${installed} "${wanted}")
endif()
execute_process(COMMAND ${NPM} run build --silent -- --outDir ${OUT}/page --emptyOutDir
                        --logLevel warn
                WORKING_DIRECTORY ${WEB} COMMAND_ERROR_IS_FATAL ANY)

file(GLOB_RECURSE paths RELATIVE ${OUT}/page ${OUT}/page/*)
list(SORT paths)
if(NOT "index.html" IN_LIST paths)
  message(FATAL_ERROR "the page has no index.html")
endif()
file(REMOVE_RECURSE ${OUT}/gzip)
file(MAKE_DIRECTORY ${OUT}/gzip)
set(number 0)
set(blobs "")
set(rows "")
foreach(path ${paths})
  set(gzip ${OUT}/gzip/${number}.gz)
  execute_process(COMMAND gzip -9 -n -c ${OUT}/page/${path}
                  OUTPUT_FILE ${gzip} COMMAND_ERROR_IS_FATAL ANY)
  file(SHA256 ${OUT}/page/${path} tag)
  string(SUBSTRING ${tag} 0 16 tag)
  string(APPEND blobs "asm(\".section .rodata\\n\"\n"
                      "    \"page_${number}: .incbin \\\"${gzip}\\\"\\n\"\n"
                      "    \"page_${number}_end: .previous\\n\");\n"
                      "extern const char page_${number}[], page_${number}_end[];\n")
  string(APPEND rows "      {\"/${path}\", Between(page_${number}, page_${number}_end), \"${tag}\"},\n")
  math(EXPR number "${number} + 1")
endforeach()
string(CONCAT source "// Made by page.cmake.\n#include <array>\n\n#include \"server/assets.h\"\n\n"
  "extern \"C\" {\n${blobs}}\n\nnamespace steerbench::server {\nnamespace {\n\n"
  "std::string_view Between(const char* from, const char* to) {\n"
  "  return {from, static_cast<std::size_t>(to - from)};\n}\n\n}  // namespace\n\n"
  "std::span<const Asset> Assets() {\n"
  "  static const std::array<Asset, ${number}> kAssets{{\n${rows}  }};\n"
  "  return kAssets;\n}\n\n}  // namespace steerbench::server\n")
file(WRITE ${OUT}/page.cc "${source}")
