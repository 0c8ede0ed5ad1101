set(sim_tests capture capture_property cup electronics fault_script firmware layers modbus one_trial
  probe same_trial scenario scenario_board scenario_page scpi senml simulate spoilt_frame truth)
list(TRANSFORM sim_tests PREPEND ${CMAKE_CURRENT_SOURCE_DIR}/sim/)
list(TRANSFORM sim_tests APPEND _test.cpp)
nestcup_test(sim LABELS quick LIBRARIES nestcup_simlib nestcup_drivers nlohmann_json::nlohmann_json
  SOURCES ${sim_tests} ${CMAKE_CURRENT_SOURCE_DIR}/sim/capture_property.cpp)
nestcup_fuzz(capture
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/sim/capture_fuzz.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/capture_property.cpp
  LIBRARIES nestcup_simlib SEEDS ${CMAKE_CURRENT_SOURCE_DIR}/sim/seeds/capture)

# Runs the program itself on real pseudo-terminals.
nestcup_test(sim/program LABELS quick daemon TIMEOUT 120
  LIBRARIES nestcup_simlib nlohmann_json::nlohmann_json
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/sim/program_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/port_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/protocol_port_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/pty_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/sim_process.cpp)
target_compile_definitions(test_sim_program PRIVATE NESTCUP_SIM="$<TARGET_FILE:nestcup-sim>")
add_dependencies(test_sim_program nestcup-sim)
