find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)

set(daemon_cases "")
if(NESTCUP_SANITIZE)
  set(daemon_cases "~[many]")
endif()
file(GLOB daemon_sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/daemon/*.cpp)
nestcup_test(daemon LABELS quick daemon TIMEOUT 300
  LIBRARIES nestcup_daemon simulated_store nestcup_simlib ARGUMENTS ${daemon_cases}
  SOURCES ${daemon_sources} ${CMAKE_CURRENT_SOURCE_DIR}/analysis/followed.cpp)
nestcup_test(daemon/full LABELS full daemon TIMEOUT 300 LIBRARIES nestcup_daemon)

# The programs themselves, on real pseudo-terminals. Sanitizers make them slow: the bench's clock
# then runs slower, and an end may take longer than the second that is promised.
if(NESTCUP_SANITIZE)
  set(daemon_pace NESTCUP_TEST_SPEED=15 NESTCUP_TEST_END_S=10 NESTCUP_TEST_GROWTH_MIB=32)
else()
  set(daemon_pace NESTCUP_TEST_SPEED=20)
endif()
# Modem lines for pseudo-terminals, which have none; for switch_test alone.
enable_language(C)
add_library(modem_lines MODULE ${CMAKE_CURRENT_SOURCE_DIR}/daemon/shim/modem_lines.c)
target_compile_options(modem_lines PRIVATE -std=c11 -Wall -Wextra -Werror)
add_dependencies(daemon_tests modem_lines)
set(daemon_surroundings "NESTCUP_TEST_MODEM_SHIM=$<TARGET_FILE:modem_lines>"
  "NESTCUP=$<TARGET_FILE:nestcup>" "NESTCUPD=$<TARGET_FILE:nestcupd>"
  "NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>"
  "NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios" ${daemon_pace})
set(daemon_themes care whole_run unplug kill ends requests assign calibrate switch flood notebook
  stream sheet results metrics description watch other_probes service_manager)
# What protocols do is one thread's arithmetic: a fast bench says more of it than a sanitizer. So it
# is with hostile callers, for whom the bench must not be late; what they send is fuzzed, too.
if(NOT NESTCUP_SANITIZE)
  list(APPEND daemon_themes protocols hostile hostile_crowd hostile_hour proxy)
endif()
# These take minutes of waiting and run under ThreadSanitizer; the others go the same ways with
# AddressSanitizer.
if(NESTCUP_SANITIZE MATCHES "address")
  list(REMOVE_ITEM daemon_themes assign calibrate care description flood kill metrics requests
    results service_manager switch unplug)
endif()
set(proxy_words ${PROJECT_SOURCE_DIR}/daemon/PAGE.md)
foreach(theme ${daemon_themes})
  add_test(NAME daemon/${theme}
    COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_SOURCE_DIR}/daemon/${theme}_test.py
    ${${theme}_words})
  # Two processors: beside other tests a fast bench would be starved and get wrong stamps.
  set_tests_properties(daemon/${theme} PROPERTIES LABELS "full;daemon" TIMEOUT 900 PROCESSORS 2
    ENVIRONMENT "${daemon_surroundings};${fault_surroundings}")
endforeach()

# Short forms of two campaigns; tools/campaign has the long ones.
if(NOT NESTCUP_SANITIZE)
  foreach(form "kills;kill_campaign.py;12;3;20261128" "soak;soak_campaign.py;0.8;200;20261128")
    list(GET form 0 name)
    list(SUBLIST form 1 -1 words)
    add_test(NAME campaigns/${name} WORKING_DIRECTORY ${CMAKE_CURRENT_SOURCE_DIR}/daemon
      COMMAND Python3::Interpreter -B ${words})
    set_tests_properties(campaigns/${name} PROPERTIES LABELS "full;campaign" TIMEOUT 600
      PROCESSORS 2 ENVIRONMENT "${daemon_surroundings}")
  endforeach()
endif()

# It waits more than it works, and no result hangs on its pace.
if(TEST daemon/service_manager)
  set_tests_properties(daemon/service_manager PROPERTIES PROCESSORS 1)
endif()
