# CHANGELOG.md in the form of deb-changelog(5).

# nestcup_debian_changelog(FILE SCRATCH RESULT): RESULT is the text of FILE. A section "## 1.2.0
# (2026-01-31)" is that release; the one on top, "## Unreleased", is CPACK_DEBIAN_PACKAGE_VERSION at
# the time SOURCE_DATE_EPOCH of the environment. SCRATCH is a file that may be written.
function(nestcup_debian_changelog file scratch result)
  # string(TIMESTAMP) goes by SOURCE_DATE_EPOCH.
  string(TIMESTAMP date "%a, %d %b %Y %H:%M:%S +0000" UTC)
  file(READ ${file} text)
  string(FIND "${text}" "## " begin)
  string(SUBSTRING "${text}" ${begin} -1 text)
  # An entry a line, then lines as short as Debian wants them.
  string(REPLACE "\n  " " " text "${text}")
  string(REPLACE "\n- " "\n* " text "${text}")
  file(WRITE ${scratch} "${text}")
  execute_process(COMMAND fold --spaces --width=74 ${scratch} OUTPUT_VARIABLE text
    COMMAND_ERROR_IS_FATAL ANY)
  string(REGEX REPLACE " +\n" "\n" text "${text}")
  string(REGEX REPLACE "\n([^*#\n])" "\n    \\1" text "${text}")
  string(REPLACE "\n* " "\n  * " text "${text}")

  string(REGEX MATCHALL "## [^\n]+" headings "${text}")
  set(signed "")
  foreach(heading IN LISTS headings)
    set(version ${CPACK_DEBIAN_PACKAGE_VERSION})
    if(heading MATCHES "^## ([0-9][^ ]*) \\((.*)\\)$")
      set(version ${CMAKE_MATCH_1})
      set(ENV{LC_ALL} C)
      execute_process(COMMAND date --utc "--date=${CMAKE_MATCH_2}" --rfc-email
        OUTPUT_VARIABLE date OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
    endif()
    string(REPLACE "${heading}\n" "${signed}nestcup (${version}) unstable; urgency=medium\n"
      text "${text}")
    set(signed " -- ${CPACK_DEBIAN_PACKAGE_MAINTAINER}  ${date}\n\n")
  endforeach()
  string(STRIP "${text}" text)
  string(REGEX REPLACE "\n+$" "\n" signed "${signed}")
  set(${result} "${text}\n\n${signed}" PARENT_SCOPE)
endfunction()
