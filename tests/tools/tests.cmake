nestcup_test(tools LABELS quick LIBRARIES nestcup_commands)
nestcup_test(tools/spoilt_store LABELS full LIBRARIES nestcup_commands simulated_store TIMEOUT 600)
if(NESTCUP_SANITIZE)
  set_tests_properties(tools/spoilt_store PROPERTIES ENVIRONMENT "NESTCUP_TEST_EVERY=15")
endif()
# Each forecast rehearses its trials, recomputing works runs out anew: a second or two, a minute
# with sanitizers, which see the same arithmetic in tests/analysis and tests/record.
if(NOT NESTCUP_SANITIZE)
  nestcup_test(tools/forecast LABELS full LIBRARIES nestcup_commands TIMEOUT 600)
  nestcup_test(tools/recompute LABELS quick LIBRARIES nestcup_commands simulated_store)
endif()

find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
set(tools_surroundings "NESTCUP=$<TARGET_FILE:nestcup>" "NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>"
  "NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios")
# A bench on a fast clock needs the machine for itself; sanitizers make it too slow for the demo,
# and take a minute for what record/replay_export shows them as well.
set(tools_themes replay trials token demo)
if(NESTCUP_SANITIZE)
  set(tools_themes trials token)
endif()
foreach(theme ${tools_themes})
  add_test(NAME tools/${theme}
    COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_SOURCE_DIR}/tools/${theme}_test.py)
  set_tests_properties(tools/${theme} PROPERTIES LABELS full TIMEOUT 600
    ENVIRONMENT "${tools_surroundings}")
  if(theme STREQUAL demo)
    set_tests_properties(tools/demo PROPERTIES RUN_SERIAL ON)
  endif()
endforeach()

# A fault at every seventh step; tools/campaign has the form with every one.
add_test(NAME tools/backup
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_SOURCE_DIR}/tools/backup_test.py)
set(backup_surroundings ${tools_surroundings} ${fault_surroundings}
  "NESTCUP_WRITE_STORE=$<TARGET_FILE:write_store>")
set_tests_properties(tools/backup PROPERTIES LABELS full TIMEOUT 600
  ENVIRONMENT "${backup_surroundings}")

# Real ports, and the daemon that reads from a captured one.
add_test(NAME tools/ports
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_SOURCE_DIR}/tools/ports_test.py)
set_tests_properties(tools/ports PROPERTIES LABELS full TIMEOUT 600
  ENVIRONMENT "${tools_surroundings};NESTCUPD=$<TARGET_FILE:nestcupd>")
