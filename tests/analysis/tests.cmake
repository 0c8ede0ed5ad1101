set(reference_table ${CMAKE_CURRENT_SOURCE_DIR}/reference/reference_table.cpp)
set(trial_grid ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_grid.cpp)
file(GLOB analysis_tests CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/analysis/*.cpp)
nestcup_test(analysis LABELS quick LIBRARIES nestcup_analysis nestcup_simlib
  SOURCES ${analysis_tests} ${reference_table} ${trial_grid})
