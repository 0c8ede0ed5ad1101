set(NESTCUP_FUZZ_SECONDS 10 CACHE STRING "How long each fuzz test runs, s")

# nestcup_fuzz(NAME SOURCES file... LIBRARIES lib... SEEDS folder...): the libFuzzer program
# fuzz_NAME and a test of it with the label fuzz. Seeds are read only; what it finds stays in the
# build tree.
function(nestcup_fuzz name)
  cmake_parse_arguments(fuzz "" "" "SOURCES;LIBRARIES;SEEDS" ${ARGN})
  if(NOT NESTCUP_FUZZ)
    return()
  endif()
  set(target fuzz_${name})
  set(found ${CMAKE_CURRENT_BINARY_DIR}/fuzz/${name})
  file(MAKE_DIRECTORY ${found}/corpus)
  add_executable(${target} ${fuzz_SOURCES})
  target_link_libraries(${target} PRIVATE nestcup_settings ${fuzz_LIBRARIES})
  nestcup_fuzzed(${target})
  target_link_options(${target} PRIVATE -fsanitize=fuzzer)
  add_dependencies(fuzzers ${target})
  add_test(NAME fuzz/${name} COMMAND ${target} -max_total_time=${NESTCUP_FUZZ_SECONDS}
    -timeout=10 -rss_limit_mb=1024 -print_final_stats=1 -artifact_prefix=${found}/
    ${found}/corpus ${fuzz_SEEDS})
  math(EXPR limit_s "${NESTCUP_FUZZ_SECONDS} + 120")
  set_tests_properties(fuzz/${name} PROPERTIES LABELS fuzz TIMEOUT ${limit_s})
endfunction()

# Everything that the fuzz tests need, and nothing else (tools/test builds this).
add_custom_target(fuzzers)

set(fuzz_folder ${CMAKE_CURRENT_LIST_DIR})
# What devices really said is a seed, too: made anew from the captures whenever they change.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
foreach(protocol text senml modbus-rtu scpi)
  string(REGEX REPLACE "-.*" "" short ${protocol})
  set(captured ${CMAKE_CURRENT_BINARY_DIR}/fuzz/captured/${short})
  file(MAKE_DIRECTORY ${captured})
  file(GLOB captures CONFIGURE_DEPENDS
    ${CMAKE_CURRENT_SOURCE_DIR}/captures/${protocol}/*/traffic.capture)
  add_custom_command(OUTPUT ${captured}/stamp
    COMMAND Python3::Interpreter ${fuzz_folder}/seeds_from_captures.py ${captured} ${captures}
    COMMAND ${CMAKE_COMMAND} -E touch ${captured}/stamp
    DEPENDS ${fuzz_folder}/seeds_from_captures.py ${captures})
  add_custom_target(fuzz_seeds_${short} DEPENDS ${captured}/stamp)
  nestcup_fuzz(${short}_protocol
    SOURCES ${fuzz_folder}/protocol_fuzz.cpp ${fuzz_folder}/protocol_property.cpp
    LIBRARIES nestcup_drivers SEEDS ${fuzz_folder}/seeds/${short} ${captured})
  if(TARGET fuzz_${short}_protocol)
    target_compile_definitions(fuzz_${short}_protocol PRIVATE
      NESTCUP_FUZZED_PROTOCOL="${protocol}")
    add_dependencies(fuzz_${short}_protocol fuzz_seeds_${short})
  endif()
endforeach()
nestcup_test(fuzz/protocol_property LABELS quick LIBRARIES nestcup_drivers
  SOURCES ${fuzz_folder}/protocol_property_test.cpp ${fuzz_folder}/protocol_property.cpp)

nestcup_fuzz(trace_reader
  SOURCES ${fuzz_folder}/trace_reader_fuzz.cpp ${fuzz_folder}/trace_property.cpp
  LIBRARIES nestcup_record SEEDS ${fuzz_folder}/seeds/trace)
nestcup_test(fuzz/trace_property LABELS quick LIBRARIES nestcup_record
  SOURCES ${fuzz_folder}/trace_property_test.cpp ${fuzz_folder}/trace_property.cpp)

nestcup_fuzz(sheet_reader
  SOURCES ${fuzz_folder}/sheet_reader_fuzz.cpp ${fuzz_folder}/sheet_property.cpp
  LIBRARIES nestcup_sheet SEEDS ${fuzz_folder}/seeds/sheet)
nestcup_test(fuzz/sheet_property LABELS quick LIBRARIES nestcup_sheet
  SOURCES ${fuzz_folder}/sheet_property_test.cpp ${fuzz_folder}/sheet_property.cpp)

nestcup_fuzz(amount_edit
  SOURCES ${fuzz_folder}/amount_edit_fuzz.cpp ${fuzz_folder}/amount_edit_property.cpp
  LIBRARIES nestcup_sheet SEEDS ${fuzz_folder}/seeds/sheet)
nestcup_test(fuzz/amount_edit_property LABELS quick LIBRARIES nestcup_sheet
  SOURCES ${fuzz_folder}/amount_edit_property_test.cpp ${fuzz_folder}/amount_edit_property.cpp)

nestcup_fuzz(equation
  SOURCES ${fuzz_folder}/equation_fuzz.cpp ${fuzz_folder}/equation_property.cpp
  LIBRARIES nestcup_matter SEEDS ${fuzz_folder}/seeds/equation)
nestcup_test(fuzz/equation_property LABELS quick LIBRARIES nestcup_matter
  SOURCES ${fuzz_folder}/equation_property_test.cpp ${fuzz_folder}/equation_property.cpp)

# The daemon's HTTP and WebSocket: its own session, gate, router and watchers on a pair of sockets.
set(http_parts ${fuzz_folder}/http_property.cpp ${fuzz_folder}/http_answers.cpp
  ${PROJECT_SOURCE_DIR}/daemon/api/sign_in_api.cpp ${PROJECT_SOURCE_DIR}/daemon/live/backlog.cpp
  ${PROJECT_SOURCE_DIR}/daemon/live/stream_hub.cpp ${PROJECT_SOURCE_DIR}/daemon/live/stream_text.cpp
  ${PROJECT_SOURCE_DIR}/daemon/live/watcher.cpp)
nestcup_fuzz(http SOURCES ${fuzz_folder}/http_fuzz.cpp ${http_parts}
  LIBRARIES nestcup_control SEEDS ${fuzz_folder}/seeds/http)
nestcup_test(fuzz/http_property LABELS quick LIBRARIES nestcup_control
  SOURCES ${fuzz_folder}/http_property_test.cpp ${http_parts})
