# Campaigns on the whole daemon: their short forms. tools/campaign has the long ones.
enable_language(C)
add_library(clock_steps MODULE ${CMAKE_CURRENT_LIST_DIR}/shim/clock_steps.c)
target_compile_options(clock_steps PRIVATE -std=gnu11 -Wall -Wextra -Werror)
add_executable(log_prefix ${CMAKE_CURRENT_LIST_DIR}/log_prefix.cpp)
target_link_libraries(log_prefix PRIVATE nestcup_store nlohmann_json::nlohmann_json)
add_custom_target(campaigns DEPENDS daemon_tests clock_steps log_prefix)

find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
# Sanitizers make a fast bench late, and want more memory, files and mappings than is limited here.
# The campaigns `disk`, `wal`, `clock` and `together` want a machine that has nothing else to do;
# tools/campaign alone runs them.
if(NOT NESTCUP_SANITIZE)
  foreach(theme chaos memory descriptors)
    add_test(NAME campaigns/${theme}
      COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/${theme}_test.py)
    set_tests_properties(campaigns/${theme} PROPERTIES LABELS "full;campaign" TIMEOUT 600
      PROCESSORS 2 ENVIRONMENT "NESTCUP=$<TARGET_FILE:nestcup>;NESTCUPD=$<TARGET_FILE:nestcupd>;\
NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>;NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios;\
NESTCUP_LOG_PREFIX=$<TARGET_FILE:log_prefix>;NESTCUP_TEST_CLOCK_SHIM=$<TARGET_FILE:clock_steps>;\
${fault_surroundings}")
  endforeach()
endif()
