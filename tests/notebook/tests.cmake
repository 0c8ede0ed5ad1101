nestcup_test(notebook LABELS quick LIBRARIES nestcup_notebook simulated_store)

# Held against programs of others.
set(notebook ${CMAKE_CURRENT_LIST_DIR})
add_executable(notebook_peer ${notebook}/peer/peer_main.cpp ${notebook}/sample_crate.cpp)
target_link_libraries(notebook_peer PRIVATE nestcup_notebook)
foreach(program unzip zipinfo sha256sum diff sqlite3)
  find_program(NESTCUP_${program} ${program} REQUIRED)
endforeach()
add_test(NAME notebook/outside COMMAND Python3::Interpreter -B ${notebook}/outside_test.py
  $<TARGET_FILE:notebook_peer>)
set_tests_properties(notebook/outside PROPERTIES LABELS quick)

# Sanitizers see the same code in test_notebook; drawing so many charts takes them four minutes.
# npm brings node; what comes from npm is fetched once a build folder, by its lock file.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME notebook/pack COMMAND Python3::Interpreter -B ${notebook}/pack_outside_test.py
    $<TARGET_FILE:nestcup> $<TARGET_FILE:write_store>)
  set_tests_properties(notebook/pack PROPERTIES LABELS full)
  find_program(NESTCUP_NPM npm REQUIRED)
  find_program(NESTCUP_NODE NAMES node nodejs REQUIRED)
  add_test(NAME notebook/canonical
    COMMAND ${NESTCUP_NODE} ${notebook}/canonical_peer.js $<TARGET_FILE:notebook_peer>)
  set_tests_properties(notebook/canonical PROPERTIES LABELS quick)
  set(crates ${CMAKE_CURRENT_BINARY_DIR}/notebook)
  file(COPY ${notebook}/package.json ${notebook}/package-lock.json DESTINATION ${crates}/npm)
  add_test(NAME notebook/packages
    COMMAND ${NESTCUP_NPM} ci --no-audit --no-fund --prefix ${crates}/npm)
  set_tests_properties(notebook/packages PROPERTIES LABELS full FIXTURES_SETUP ro-crate)
  add_test(NAME notebook/sample COMMAND ${CMAKE_COMMAND} -DPEER=$<TARGET_FILE:notebook_peer>
    -DFOLDER=${crates}/sample -P ${notebook}/sample.cmake)
  set_tests_properties(notebook/sample PROPERTIES LABELS full FIXTURES_SETUP ro-crate)
  add_test(NAME notebook/crate COMMAND ${NESTCUP_NODE} ${notebook}/crate_peer.js
    ${crates}/sample/crate ${crates}/npm/node_modules "Formation enthalpy of magnesium oxide")
  set_tests_properties(notebook/crate PROPERTIES LABELS full FIXTURES_REQUIRED ro-crate)
  add_test(NAME notebook/packed COMMAND ${CMAKE_COMMAND} -DNESTCUP=$<TARGET_FILE:nestcup>
    -DWRITE_STORE=$<TARGET_FILE:write_store> -DFOLDER=${crates}/packed -P ${notebook}/packed.cmake)
  set_tests_properties(notebook/packed PROPERTIES LABELS full FIXTURES_SETUP ro-crate)
  add_test(NAME notebook/packed_crate COMMAND ${NESTCUP_NODE} ${notebook}/crate_peer.js
    ${crates}/packed/crate ${crates}/npm/node_modules "Two packed runs")
  set_tests_properties(notebook/packed_crate PROPERTIES LABELS full FIXTURES_REQUIRED ro-crate)
endif()

nestcup_fuzz(archive_reader SOURCES ${notebook}/fuzz/archive_fuzz.cpp LIBRARIES nestcup_notebook
  SEEDS ${notebook}/seeds/archive)
nestcup_fuzz(dav_listing SOURCES ${notebook}/fuzz/listing_fuzz.cpp LIBRARIES nestcup_notebook
  SEEDS ${notebook}/seeds/listing)
nestcup_fuzz(canonical_json SOURCES ${notebook}/fuzz/canonical_fuzz.cpp LIBRARIES nestcup_base
  SEEDS ${notebook}/seeds/json)

# Kept runs, checked and taken back: by the library, and by the commands.
set(carried ${notebook}/verify/carried_bench.cpp ${CMAKE_CURRENT_SOURCE_DIR}/analysis/followed.cpp)
nestcup_test(notebook/verify LABELS quick LIBRARIES nestcup_notebook nestcup_simlib
  SOURCES ${notebook}/verify/verify_test.cpp ${notebook}/verify/import_test.cpp
    ${notebook}/verify/retention_test.cpp ${carried})
nestcup_test(notebook/commands LABELS quick LIBRARIES nestcup_commands nestcup_simlib
  SOURCES ${notebook}/verify/commands_test.cpp ${carried})

# The way of a finished run (store, outbox, notebook folder) with faults at every step, kills at any
# moment, and what else can happen to it; the same on WebDAV servers of four makes, and what these
# refuse. tools/campaign has the long forms. Under a sanitizer only those that go through most of
# the code, not those that go through it again and again.
add_executable(campaign_store ${notebook}/campaign/campaign_store.cpp)
target_link_libraries(campaign_store PRIVATE nestcup_daemon simulated_store)
add_executable(dav_put ${notebook}/webdav/dav_put.cpp)
target_link_libraries(dav_put PRIVATE nestcup_notebook)
add_dependencies(campaign_store nestcup fault_shim dav_put)
set(campaign_surroundings ${fault_surroundings} "NESTCUP=$<TARGET_FILE:nestcup>"
  "NESTCUP_CAMPAIGN_STORE=$<TARGET_FILE:campaign_store>" "NESTCUP_DAV_PUT=$<TARGET_FILE:dav_put>"
  "NESTCUP_WRITE_STORE=$<TARGET_FILE:write_store>")

# campaign_test(NAME FOLDER EVERY_STEP [WORD...])
function(campaign_test name folder every_step)
  string(REGEX REPLACE ".*_" "" theme ${name})
  add_test(NAME notebook/${name}
    COMMAND Python3::Interpreter -B ${notebook}/${folder}/${theme}_test.py ${ARGN})
  set_tests_properties(notebook/${name} PROPERTIES LABELS full TIMEOUT 600
    ENVIRONMENT "${campaign_surroundings};NESTCUP_TEST_EVERY_STEP=${every_step}")
endfunction()

campaign_test(webdav_login webdav 61)
campaign_test(webdav_refusal webdav 61)
# A course's database: what happens around it, cut connections, kills, many benches at once; the
# database as a book of runs, and work on it that processes share. Each starts a server of its own.
# Each run that is worked out anew takes ten times as long under a sanitizer.
campaign_test(postgres_book postgres 1)
if(NESTCUP_SANITIZE)
  campaign_test(postgres_spoilt postgres 1 13)
  campaign_test(postgres_shared postgres 1 4 1)
  campaign_test(campaign_steps campaign 149)
  campaign_test(webdav_steps webdav 997)
  set(around_briefly a_bench_can_add_and_nothing_else preparing_twice_at_once_and_by_hand
    a_user_without_rights_is_told_what_to_ask_for a_disk_that_is_full_is_said_so
    something_else_in_a_runs_place_blocks_that_run_alone)
  list(TRANSFORM around_briefly PREPEND Around.test_)
  campaign_test(postgres_around postgres 1 ${around_briefly})
else()
  campaign_test(postgres_around postgres 1)
  campaign_test(postgres_spoilt postgres 1 2)
  campaign_test(postgres_shared postgres 1)
  campaign_test(postgres_steps postgres 1 13 60000)
  campaign_test(postgres_kill postgres 1 9)
  campaign_test(postgres_benches postgres 1 16 2)
  foreach(theme steps kill around)
    campaign_test(campaign_${theme} campaign 29)
  endforeach()
  foreach(theme arrival steps kill)
    campaign_test(webdav_${theme} webdav 61)
  endforeach()
endif()
