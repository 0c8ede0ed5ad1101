# Which commit this is, and its time in seconds since 1970: NESTCUP_COMMIT (12 digits) and
# NESTCUP_COMMIT_SECONDS, from git, or in a source archive from release.txt, which git archive
# filled in. Both are empty where nobody knows.
set(NESTCUP_COMMIT "")
set(NESTCUP_COMMIT_SECONDS "")
find_program(GIT_PROGRAM git)
if(GIT_PROGRAM AND EXISTS ${PROJECT_SOURCE_DIR}/.git)
  execute_process(COMMAND ${GIT_PROGRAM} log -1 "--format=%H %ct"
    WORKING_DIRECTORY ${PROJECT_SOURCE_DIR} OUTPUT_VARIABLE commit
    OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
else()
  file(READ ${CMAKE_CURRENT_LIST_DIR}/release.txt commit)
  string(REGEX REPLACE "commit ([^\n]*)\nseconds ([^\n]*)\n" "\\1 \\2" commit "${commit}")
endif()
if(commit MATCHES "^([0-9a-f]+) ([0-9]+)$")
  set(NESTCUP_COMMIT_SECONDS ${CMAKE_MATCH_2})
  string(SUBSTRING ${CMAKE_MATCH_1} 0 12 NESTCUP_COMMIT)
endif()
