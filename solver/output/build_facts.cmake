# Writes build_facts.hpp; called at build time by CMakeLists.txt.
find_program(GIT git)
set(commit "unknown")
if(GIT)
  execute_process(COMMAND ${GIT} -C ${SOURCE} rev-parse --short=12 HEAD
    OUTPUT_VARIABLE head OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET RESULT_VARIABLE failed)
  if(NOT failed)
    set(commit "${head}")
    execute_process(COMMAND ${GIT} --no-optional-locks -C ${SOURCE} status --porcelain --untracked-files=no
      OUTPUT_VARIABLE changes OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
    if(changes)
      string(APPEND commit " with local changes")
    endif()
  endif()
endif()
# Of the rooms that compute: two programs with the same digest give the same figures, whatever else differs.
set(sources "")
foreach(room units records section conduction surroundings steel treatment answers sweep)
  file(GLOB_RECURSE of_room RELATIVE ${SOURCE}/solver ${SOURCE}/solver/${room}/*.cpp ${SOURCE}/solver/${room}/*.hpp)
  list(APPEND sources ${of_room})
endforeach()
list(SORT sources)
set(digests "")
foreach(name ${sources})
  file(SHA256 ${SOURCE}/solver/${name} digest)
  string(APPEND digests "${name} ${digest}\n")
endforeach()
string(SHA256 solver_digest "${digests}")
set(text "// Written by build_facts.cmake.
#pragma once

namespace tq::output {
inline constexpr const char* build_version = \"${VERSION}\";
inline constexpr const char* build_commit = \"${commit}\";
inline constexpr const char* build_compiler = \"${COMPILER}\";
inline constexpr const char* build_flags = \"${FLAGS}\";
inline constexpr const char* build_type = \"${TYPE}\";
inline constexpr const char* build_solver_digest = \"${solver_digest}\";
} // namespace tq::output
")
set(before "")
if(EXISTS ${TARGET})
  file(READ ${TARGET} before)
endif()
if(NOT before STREQUAL text)
  file(WRITE ${TARGET} "${text}")
endif()
