# Benchmarks: `cmake --build DIR --target bench` prints the figures of daemon and replay,
# `... --target bench_analysis` those of the corrected rise (some minutes each); the short form is a
# test that they are produced. Read them from a Release build.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)

add_executable(bench_replay ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_replay.cpp)
target_link_libraries(bench_replay PRIVATE nestcup_record nestcup_simlib)
target_compile_definitions(bench_replay PRIVATE SCENARIOS="${PROJECT_SOURCE_DIR}/sim/scenarios")

# ns per conversion of each kind of probe; exactness is judged, time is not.
add_executable(bench_convert ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_convert.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/inverse_polynomials.cpp)
target_link_libraries(bench_convert PRIVATE nestcup_drivers)
add_test(NAME drivers/convert COMMAND bench_convert 10000)
set_tests_properties(drivers/convert PROPERTIES LABELS quick)

# ns per property of water and of solutions.
add_executable(bench_liquids ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_liquids.cpp)
target_link_libraries(bench_liquids PRIVATE nestcup_matter)

# Many ports at once: what is lost, how late, what it costs; counts are judged, time is not.
add_executable(many_ports ${CMAKE_CURRENT_SOURCE_DIR}/bench/many_ports.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/many_boards.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/port_account.cpp)
target_link_libraries(many_ports PRIVATE nestcup_daemon nestcup_simlib)
add_dependencies(daemon_tests many_ports)
if(NESTCUP_SANITIZE)
  set(many_ports_options --sanitized)
endif()
add_test(NAME ports/many COMMAND many_ports 20 ${many_ports_options})
set_tests_properties(ports/many PROPERTIES LABELS "full;daemon" TIMEOUT 300)

foreach(program bench_accuracy write_fits)
  add_executable(${program} ${CMAKE_CURRENT_SOURCE_DIR}/bench/${program}.cpp
    ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_grid.cpp
    ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_result.cpp)
  target_link_libraries(${program} PRIVATE nestcup_analysis)
endforeach()
target_link_libraries(write_fits PRIVATE nlohmann_json::nlohmann_json)

# The same where the fitted course is not the true one.
add_executable(bench_outside ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_outside.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/converters.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/firmware.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/outside_grid.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/probe_way.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_grid.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/trial_result.cpp)
target_link_libraries(bench_outside PRIVATE nestcup_analysis nestcup_simlib)
if(NOT NESTCUP_SANITIZE)  # minutes of arithmetic that other tests have run already
  foreach(grid two_step warming_lid drifting_room drifting_vessel mixture one_probe_seen
      one_probe_unseen late_stamps held_back converters alike solids skinned)
    add_test(NAME analysis/outside/${grid} COMMAND bench_outside 30 20262 ${grid})
    set_tests_properties(analysis/outside/${grid} PROPERTIES LABELS full TIMEOUT 600)
  endforeach()
endif()
add_executable(bench_alarms)
foreach(source bench_alarms nearest_mixing quiet_grid small_rises trial_grid trial_result)
  target_sources(bench_alarms PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/bench/${source}.cpp)
endforeach()
target_link_libraries(bench_alarms PRIVATE nestcup_analysis nestcup_simlib)
add_executable(bench_disturbed)
foreach(source bench_disturbed disturbed_rises small_rises trial_grid trial_result)
  target_sources(bench_disturbed PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/bench/${source}.cpp)
endforeach()
target_link_libraries(bench_disturbed PRIVATE nestcup_analysis nestcup_simlib)

# The fit beside a general-purpose library's of the same model.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME analysis/scipy COMMAND ${Python3_EXECUTABLE} -B
    ${CMAKE_CURRENT_SOURCE_DIR}/bench/scipy_test.py $<TARGET_FILE:write_fits>)
  set_tests_properties(analysis/scipy PROPERTIES LABELS full TIMEOUT 600)
endif()

add_custom_target(bench_analysis
  COMMAND bench_accuracy
  COMMAND bench_alarms
  COMMAND bench_disturbed
  COMMAND ${Python3_EXECUTABLE} -W ignore -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_scipy.py
    $<TARGET_FILE:write_fits>
  COMMAND bench_outside
  DEPENDS bench_accuracy bench_alarms bench_disturbed bench_outside write_fits
  USES_TERMINAL VERBATIM)

set(bench_programs "NESTCUPD=$<TARGET_FILE:nestcupd>" "NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>"
  "NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios")
set(run_bench ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/run_bench.py
  $<TARGET_FILE:bench_replay>)
add_custom_target(bench
  COMMAND bench_convert
  COMMAND bench_liquids
  COMMAND ${CMAKE_COMMAND} -E env ${bench_programs} ${run_bench}
  DEPENDS bench_convert bench_liquids bench_replay nestcupd nestcup-sim USES_TERMINAL VERBATIM)

# How quick the live page is, in a real browser with watchers beside it.
set(bench_page ${CMAKE_COMMAND} -E env ${bench_programs} ${Python3_EXECUTABLE} -B
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_page.py)
add_custom_target(bench_page COMMAND ${bench_page} DEPENDS nestcupd nestcup-sim USES_TERMINAL
  VERBATIM)

# Sixty-four ports with cables that are pulled: the drivers alone, and one daemon.
set(bench_ports_daemon ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_ports.py)
set(NESTCUP_PORTS_SECONDS 600 CACHE STRING "how long the target bench_ports runs each, s")
add_custom_target(bench_ports
  COMMAND many_ports ${NESTCUP_PORTS_SECONDS} ${many_ports_options}
  COMMAND ${CMAKE_COMMAND} -E env ${bench_programs} ${bench_ports_daemon} ${NESTCUP_PORTS_SECONDS}
    ${many_ports_options}
  DEPENDS many_ports nestcupd USES_TERMINAL VERBATIM)

# 256 probes at ten readings a second, beside a plain script and a pipeline of the shell.
add_executable(load_boards ${CMAKE_CURRENT_SOURCE_DIR}/bench/load_boards.cpp)
target_link_libraries(load_boards PRIVATE nestcup_settings fmt::fmt)
add_executable(only_read ${CMAKE_CURRENT_SOURCE_DIR}/bench/only_read.cpp)
target_link_libraries(only_read PRIVATE nestcup_settings)
set(bench_load ${CMAKE_COMMAND} -E env ${bench_programs} ${Python3_EXECUTABLE} -B
  ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_load.py $<TARGET_FILE:load_boards>)
add_custom_target(bench_load COMMAND ${bench_load} --limit DEPENDS load_boards only_read nestcupd
  USES_TERMINAL VERBATIM)

# Start and commands on a store of ten million readings.
add_executable(fill_store ${CMAKE_CURRENT_SOURCE_DIR}/bench/fill_store.cpp)
target_link_libraries(fill_store PRIVATE simulated_store)
set(bench_start ${CMAKE_COMMAND} -E env ${bench_programs} NESTCUP=$<TARGET_FILE:nestcup>
  ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_start.py
  $<TARGET_FILE:fill_store>)
add_custom_target(bench_start COMMAND ${bench_start} DEPENDS fill_store nestcupd nestcup nestcup-sim
  USES_TERMINAL VERBATIM)

# A guard of performance by instruction count.
add_executable(count_work ${CMAKE_CURRENT_SOURCE_DIR}/bench/count_work.cpp)
target_link_libraries(count_work PRIVATE nestcup_drivers nestcup_record nestcup_simlib
  nestcup_store)
target_compile_definitions(count_work PRIVATE SCENARIOS="${PROJECT_SOURCE_DIR}/sim/scenarios")
set(instructions ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/instructions_test.py
  $<TARGET_FILE:count_work>)
add_custom_target(put_down_instructions COMMAND ${instructions} --write DEPENDS count_work VERBATIM)

# A sanitizer's figures say nothing.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME ports/daemon COMMAND ${bench_ports_daemon} 20)
  set_tests_properties(ports/daemon PROPERTIES LABELS full TIMEOUT 300
    ENVIRONMENT "${bench_programs}")
  # Much worse than it was is a failure: some three times the usual counts.
  add_test(NAME analysis/alarms COMMAND bench_alarms 12 200 1 --at-most 10 6)
  add_test(NAME analysis/disturbed COMMAND bench_disturbed 60 1 --at-most 20)
  set_tests_properties(analysis/alarms analysis/disturbed PROPERTIES LABELS "full;bench" TIMEOUT 300
    PROCESSORS 2)
  add_test(NAME bench/instructions COMMAND ${instructions})
  set_tests_properties(bench/instructions PROPERTIES LABELS "full;bench" TIMEOUT 600
    SKIP_RETURN_CODE 77)
  add_test(NAME bench/load COMMAND ${bench_load} --short)
  set_tests_properties(bench/load PROPERTIES LABELS "full;bench" TIMEOUT 300 PROCESSORS 2)
  add_test(NAME bench/page COMMAND ${bench_page} --short)
  set_tests_properties(bench/page PROPERTIES LABELS "full;bench" TIMEOUT 300 PROCESSORS 2)
  add_test(NAME bench COMMAND ${run_bench} --short)
  set_tests_properties(bench PROPERTIES LABELS "full;bench" TIMEOUT 300
    ENVIRONMENT "${bench_programs}")
endif()

# Whole afternoons: are the intervals of enthalpies and cycles as wide as they should be?
add_executable(bench_afternoons)
foreach(source bench_afternoons afternoon trial_grid trial_result)
  target_sources(bench_afternoons PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/bench/${source}.cpp)
endforeach()
target_link_libraries(bench_afternoons PRIVATE nestcup_chemistry nestcup_simlib)
if(NOT NESTCUP_SANITIZE)
  add_test(NAME chemistry/afternoons COMMAND bench_afternoons 30)
  set_tests_properties(chemistry/afternoons PROPERTIES LABELS full TIMEOUT 600 PROCESSORS 2)
endif()
# What nestcup forecast says beside days that are lived through.
add_executable(bench_forecast)
foreach(source bench_forecast forecast_days trial_grid trial_result)
  target_sources(bench_forecast PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/bench/${source}.cpp)
endforeach()
target_link_libraries(bench_forecast PRIVATE nestcup_commands)
target_compile_definitions(bench_forecast PRIVATE NESTCUP_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
if(NOT NESTCUP_SANITIZE)  # minutes of arithmetic that other tests have run already
  add_test(NAME chemistry/forecast COMMAND bench_forecast 120)
  set_tests_properties(chemistry/forecast PROPERTIES LABELS full TIMEOUT 900 PROCESSORS 2)
endif()
# What prints figures alone is not made where they would say nothing.
if(NESTCUP_SANITIZE)
  set_target_properties(bench_accuracy bench_afternoons bench_alarms bench_disturbed
    bench_forecast bench_liquids bench_outside bench_replay count_work fill_store load_boards
    only_read write_fits
    PROPERTIES EXCLUDE_FROM_ALL ON)
endif()

# A large class of benches held side by side: time, beside reading the stores alone.
add_executable(bench_pool ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_pool.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/classroom/class_day.cpp
  ${CMAKE_CURRENT_SOURCE_DIR}/classroom/simulated_class.cpp)
target_link_libraries(bench_pool PRIVATE nestcup_commands nestcup_simlib)
add_custom_target(bench_class COMMAND bench_pool DEPENDS bench_pool USES_TERMINAL VERBATIM)
if(NESTCUP_SANITIZE)
  set_target_properties(bench_pool PROPERTIES EXCLUDE_FROM_ALL ON)
else()
  add_test(NAME bench/pool COMMAND bench_pool 12)
  set_tests_properties(bench/pool PROPERTIES LABELS full)
endif()

# Stored runs worked out anew, on one thread and on two; results are judged, time is not.
add_executable(bench_recompute ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_recompute.cpp)
target_link_libraries(bench_recompute PRIVATE simulated_store)
if(NESTCUP_SANITIZE)
  set_target_properties(bench_recompute PROPERTIES EXCLUDE_FROM_ALL ON)
else()
  add_test(NAME bench/recompute COMMAND bench_recompute 6)
  set_tests_properties(bench/recompute PROPERTIES LABELS full)
endif()

# Old readings on their way out, beside the commits that wait for each step, and a copy beside cp;
# that all is right is judged, time is not.
add_executable(bench_retention ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_retention.cpp)
target_link_libraries(bench_retention PRIVATE nestcup_store)
if(NESTCUP_SANITIZE)
  set_target_properties(bench_retention PROPERTIES EXCLUDE_FROM_ALL ON)
else()
  add_test(NAME bench/retention COMMAND bench_retention 100000)
  set_tests_properties(bench/retention PROPERTIES LABELS full)
endif()

# Finished runs on their way into a notebook folder, beside copying; that they arrive is judged,
# time is not.
add_executable(bench_sync ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_sync.cpp)
target_link_libraries(bench_sync PRIVATE nestcup_notebook simulated_store)
add_custom_target(bench_notebook COMMAND bench_sync COMMAND bench_sync --charts 200
  DEPENDS bench_sync USES_TERMINAL VERBATIM)
if(NESTCUP_SANITIZE)
  set_target_properties(bench_sync PROPERTIES EXCLUDE_FROM_ALL ON)
else()
  add_test(NAME bench/sync COMMAND bench_sync 130)
  set_tests_properties(bench/sync PROPERTIES LABELS full)
  # To WebDAV servers, beside curl and rclone.
  add_custom_target(bench_webdav COMMAND ${CMAKE_COMMAND} -E env NESTCUP=$<TARGET_FILE:nestcup>
    NESTCUP_CAMPAIGN_STORE=$<TARGET_FILE:campaign_store>
    ${Python3_EXECUTABLE} -B ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_webdav.py 200
    DEPENDS nestcup campaign_store USES_TERMINAL VERBATIM)
  # A course's database with ten thousand runs, worked on by one and by two; that all goes well is
  # judged, time is not. tools/campaign shared-bench is ten times as large.
  add_test(NAME bench/shared COMMAND Python3::Interpreter -B
    ${CMAKE_CURRENT_SOURCE_DIR}/bench/bench_shared.py $<TARGET_FILE:nestcup>
    $<TARGET_FILE:campaign_store> $<TARGET_FILE:write_store> 10000 12)
  set_tests_properties(bench/shared PROPERTIES LABELS full TIMEOUT 600)
endif()
