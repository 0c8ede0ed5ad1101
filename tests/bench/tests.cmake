# Benchmarks: `cmake --build DIR --target bench` prints every figure (some minutes); the short form
# is a test that they are produced. Read them from a Release build.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)

add_executable(bench_replay ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_replay.cpp)
target_link_libraries(bench_replay PRIVATE nestcup_record nestcup_simlib)
target_compile_definitions(bench_replay PRIVATE SCENARIOS="${PROJECT_SOURCE_DIR}/sim/scenarios")

set(bench_programs "NESTCUPD=$<TARGET_FILE:nestcupd>" "NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>"
  "NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios")
set(run_bench ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/run_bench.py
  $<TARGET_FILE:bench_replay>)
add_custom_target(bench
  COMMAND ${CMAKE_COMMAND} -E env ${bench_programs} ${run_bench}
  DEPENDS bench_replay nestcupd nestcup-sim USES_TERMINAL VERBATIM)

# A sanitizer's figures say nothing.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME bench COMMAND ${run_bench} --short)
  set_tests_properties(bench PROPERTIES LABELS "full;bench" TIMEOUT 300
    ENVIRONMENT "${bench_programs}")
endif()
