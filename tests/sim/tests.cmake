set(sim_tests cup electronics fault_script firmware layers modbus one_trial probe scenario
  scenario_board scpi senml simulate spoilt_frame truth)
list(TRANSFORM sim_tests PREPEND ${CMAKE_CURRENT_SOURCE_DIR}/sim/)
list(TRANSFORM sim_tests APPEND _test.cpp)
nestcup_test(sim LABELS quick LIBRARIES nestcup_simlib nlohmann_json::nlohmann_json
  SOURCES ${sim_tests})

# Runs the program itself on real pseudo-terminals.
nestcup_test(sim/program LABELS quick daemon TIMEOUT 120
  LIBRARIES nestcup_simlib nlohmann_json::nlohmann_json
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/sim/program_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/port_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/sim/sim_process.cpp)
target_compile_definitions(test_sim_program PRIVATE NESTCUP_SIM="$<TARGET_FILE:nestcup-sim>")
add_dependencies(test_sim_program nestcup-sim)
