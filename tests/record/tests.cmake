nestcup_test(record LABELS quick LIBRARIES nestcup_record nestcup_simlib
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/record/trace_file_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/record/export_facts_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/record/calibration_json_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/record/results_input_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/record/mixture_rise_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/record/trials_test.cpp)
set(replay_cases "")
if(NESTCUP_SANITIZE)
  set(replay_cases "~[many]")
endif()
nestcup_test(record/replay_export LABELS quick LIBRARIES nestcup_record nestcup_simlib
  ARGUMENTS ${replay_cases}
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/record/replay_export_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/analysis/followed.cpp)

# Records against the JSON Schema that is installed with the programs.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
add_executable(make_records ${CMAKE_CURRENT_SOURCE_DIR}/record/make_records.cpp)
target_link_libraries(make_records PRIVATE nestcup_record nestcup_simlib)
add_test(NAME record/schema COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/record/schema_test.py
  ${PROJECT_SOURCE_DIR}/core/record/run_record.schema.json $<TARGET_FILE:make_records>)
set_tests_properties(record/schema PROPERTIES LABELS quick)

# Whole days: readings, runs, and the sheets worked out from them.
if(NOT NESTCUP_SANITIZE)
  nestcup_test(record/days LABELS quick LIBRARIES nestcup_record nestcup_simlib
    SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/record/days_test.cpp
            ${CMAKE_CURRENT_SOURCE_DIR}/analysis/followed.cpp)
endif()

# Stores of simulated runs.
add_library(simulated_store STATIC ${CMAKE_CURRENT_SOURCE_DIR}/record/simulated_store.cpp)
target_link_libraries(simulated_store PUBLIC nestcup_record nestcup_simlib)
target_compile_definitions(simulated_store PRIVATE
  SIMULATED_STORE_SCENARIOS="${PROJECT_SOURCE_DIR}/sim/scenarios")
nestcup_test(record/recompute LABELS quick LIBRARIES simulated_store
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/record/recompute_test.cpp)
add_executable(write_store ${CMAKE_CURRENT_SOURCE_DIR}/record/write_store.cpp)
target_link_libraries(write_store PRIVATE simulated_store)
