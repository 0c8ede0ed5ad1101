file(GLOB record_tests CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/record/*_test.cpp)
nestcup_test(record LABELS quick LIBRARIES nestcup_record nestcup_simlib
  SOURCES ${record_tests} ${CMAKE_CURRENT_SOURCE_DIR}/analysis/followed.cpp)
