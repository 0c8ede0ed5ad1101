set(reference_table ${CMAKE_CURRENT_SOURCE_DIR}/reference/reference_table.cpp)
set(drawn_trials ${CMAKE_CURRENT_SOURCE_DIR}/bench/converters.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/firmware.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_grid.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_result.cpp)
file(GLOB analysis_tests CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/analysis/*.cpp)
# The search on 27 published sets of 2 to 9 parameters: more than a minute to compile with
# sanitizers, which find nothing there that the fits of the courses do not pass through.
if(NESTCUP_SANITIZE)
  list(FILTER analysis_tests EXCLUDE REGEX "/nist_nonlinear_test\\.cpp$")
endif()
nestcup_test(analysis LABELS quick LIBRARIES nestcup_analysis nestcup_simlib
  # Of templates that tests and library share, the linker keeps one copy: it had better be a fast
  # one.
  SOURCES ${analysis_tests} ${reference_table} ${drawn_trials} ARGUMENTS "~[many]" ARITHMETIC)
# Whole populations of runs take as long as all the rest: the two go side by side.
# A sanitizer makes them twenty times slower and finds nothing that the others do not pass through.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME analysis/many COMMAND test_analysis "[many]")
  set_tests_properties(analysis/many PROPERTIES LABELS quick PROCESSORS 2)
endif()
