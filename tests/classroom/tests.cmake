# Statistics of a class beside published examples; drawn classes with mishaps.
# Hundreds of drawn classes are arithmetic that one class runs, too: not again under sanitizers.
set(classroom_cases "")
if(NESTCUP_SANITIZE)
  set(classroom_cases "~[many]")
endif()
nestcup_test(classroom LABELS quick LIBRARIES nestcup_classroom nestcup_simlib
  ARGUMENTS ${classroom_cases}
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/classroom/robust_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/drawn_class_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/reason_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/suspect_words_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/class_day.cpp)
# Whole classes at simulated benches.
if(NOT NESTCUP_SANITIZE)
  nestcup_test(classroom/simulated LABELS full LIBRARIES nestcup_commands nestcup_simlib
    SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/classroom/simulated_class_test.cpp
            ${CMAKE_CURRENT_SOURCE_DIR}/classroom/simulated_class.cpp
            ${CMAKE_CURRENT_SOURCE_DIR}/classroom/class_day.cpp)
endif()
# The same statistics by R, with its packages stats and MASS.
add_executable(write_class_figures ${CMAKE_CURRENT_SOURCE_DIR}/classroom/write_figures.cpp)
target_link_libraries(write_class_figures PRIVATE nestcup_classroom nestcup_simlib
                                                  nlohmann_json::nlohmann_json)
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
add_test(NAME classroom/r COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/classroom/r_test.py $<TARGET_FILE:write_class_figures> Rscript)
set_tests_properties(classroom/r PROPERTIES LABELS full)

# The command over stores, folders and records.
nestcup_test(classroom/pool LABELS quick LIBRARIES nestcup_commands nestcup_simlib simulated_store
  SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/classroom/pool_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/found_run_test.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/simulated_class.cpp
          ${CMAKE_CURRENT_SOURCE_DIR}/classroom/class_day.cpp)
