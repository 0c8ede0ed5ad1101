# What a sanitizer makes twenty times slower says the same without it.
if(NOT NESTCUP_SANITIZE)
  set(coverage_tests ${CMAKE_CURRENT_SOURCE_DIR}/coverage/coverage_test.cpp)
  foreach(part trial_grid trial_result)
    list(APPEND coverage_tests ${CMAKE_CURRENT_SOURCE_DIR}/bench/${part}.cpp)
  endforeach()
  nestcup_test(coverage LABELS full LIBRARIES nestcup_analysis SOURCES ${coverage_tests}
    TIMEOUT 900)
endif()
