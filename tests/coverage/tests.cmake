# What a sanitizer makes twenty times slower says the same without it.
if(NOT NESTCUP_SANITIZE)
  set(coverage_tests ${CMAKE_CURRENT_SOURCE_DIR}/coverage/coverage_test.cpp)
  foreach(part trial_grid trial_result)
    list(APPEND coverage_tests ${CMAKE_CURRENT_SOURCE_DIR}/bench/${part}.cpp)
  endforeach()
  find_package(Threads REQUIRED)
  nestcup_test(coverage ARITHMETIC LABELS full TIMEOUT 900
    LIBRARIES nestcup_analysis Threads::Threads SOURCES ${coverage_tests})
  set_tests_properties(coverage PROPERTIES PROCESSORS 2)
endif()
