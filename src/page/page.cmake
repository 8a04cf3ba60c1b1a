# SPDX-License-Identifier: Apache-2.0
# The offline page, leanside.html: the engine as WebAssembly, the front end, both in one file; and that file in the
# program, for the command `page`.
include(ExternalProject)
find_program(NODE node REQUIRED)
find_program(NPM npm REQUIRED)
set(page_dir ${CMAKE_CURRENT_BINARY_DIR}/page)
file(MAKE_DIRECTORY ${page_dir})

set(letters ${page_dir}/include/page/engine/letters.inc)
file(MAKE_DIRECTORY ${page_dir}/include/page/engine)

# The engine has another compiler, so it is a project of its own. Its letters come from utf8proc, here.
add_executable(leanside_letters src/page/engine/write_letters.cpp src/base/text/utf8.cpp)
target_include_directories(leanside_letters PRIVATE src)
target_include_directories(leanside_letters SYSTEM PRIVATE ${UTF8PROC_INCLUDE_DIR})
target_link_libraries(leanside_letters PRIVATE leanside_options ${UTF8PROC_LIBRARY})
add_custom_command(OUTPUT ${letters} COMMAND leanside_letters > ${letters}
                   DEPENDS leanside_letters VERBATIM)
add_custom_target(leanside_letters_table DEPENDS ${letters})
set(engine ${page_dir}/engine/engine.wasm)
ExternalProject_Add(leanside_engine
  SOURCE_DIR ${CMAKE_CURRENT_SOURCE_DIR}/src/page/engine
  BINARY_DIR ${page_dir}/engine
  CMAKE_ARGS -DLETTERS=${letters} -DLEANSIDE_VERSION=${PROJECT_VERSION} -DCMAKE_BUILD_TYPE=
             -DCMAKE_CXX_COMPILER_LAUNCHER=${CMAKE_CXX_COMPILER_LAUNCHER}
  BUILD_ALWAYS ON
  INSTALL_COMMAND ""
  BUILD_BYPRODUCTS ${engine}
  DEPENDS leanside_letters_table)

# The front end is bundled in a copy, so that the tree stays as it is.
file(GLOB_RECURSE front_end CONFIGURE_DEPENDS src/page/*.ts src/page/*.tsx src/page/*.css src/page/*.json)
list(FILTER front_end EXCLUDE REGEX "/node_modules/")
set(bundle ${page_dir}/front)
add_custom_command(OUTPUT ${bundle}/node_modules/.package-lock.json
  COMMAND ${CMAKE_COMMAND} -E make_directory ${bundle}
  COMMAND ${CMAKE_COMMAND} -E copy src/page/package.json src/page/package-lock.json src/page/.npmrc ${bundle}
  COMMAND ${CMAKE_COMMAND} -E chdir ${bundle} ${NPM} ci --ignore-scripts --no-audit --no-fund
  DEPENDS src/page/package.json src/page/package-lock.json
  WORKING_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR} VERBATIM)
set(copies)
foreach(folder engine model style text view)
  list(APPEND copies COMMAND ${CMAKE_COMMAND} -E copy_directory src/page/${folder} ${bundle}/${folder})
endforeach()
add_custom_command(OUTPUT ${bundle}/parts/page.js ${bundle}/parts/worker.js
  ${copies}
  COMMAND ${CMAKE_COMMAND} -E copy src/page/main.tsx src/page/tsconfig.json src/page/vite.config.ts
          ${bundle}
  COMMAND ${CMAKE_COMMAND} -E chdir ${bundle} ${NPM} run --silent build
  DEPENDS ${front_end} ${bundle}/node_modules/.package-lock.json
  WORKING_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR} VERBATIM)
set(page_file ${CMAKE_CURRENT_BINARY_DIR}/leanside.html)
add_custom_command(OUTPUT ${page_file}
  COMMAND ${NODE} src/page/assemble.mjs ${bundle}/parts ${engine} ${page_file}
  DEPENDS ${bundle}/parts/page.js ${bundle}/parts/worker.js ${engine} leanside_engine src/page/assemble.mjs
          src/page/page.html docs/third-party-notices.txt
  WORKING_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR} VERBATIM)
add_custom_target(leanside_page DEPENDS ${page_file})

set_property(SOURCE src/cli/io/page_file.cpp APPEND PROPERTY OBJECT_DEPENDS ${page_file})
set_property(SOURCE src/cli/io/page_file.cpp APPEND PROPERTY COMPILE_DEFINITIONS LEANSIDE_PAGE_FILE="${page_file}")
add_dependencies(leanside_cli leanside_page)
