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
if(NOT NESTCUP_SANITIZE)
  nestcup_test(notebook/commands LABELS quick LIBRARIES nestcup_commands nestcup_simlib
    SOURCES ${notebook}/verify/commands_test.cpp ${carried})
endif()

# The way of a finished run (store, outbox, notebook folder) with faults at every step, kills at any
# moment, and what else can happen to it. tools/campaign has the long forms.
add_executable(campaign_store ${notebook}/campaign/campaign_store.cpp)
target_link_libraries(campaign_store PRIVATE nestcup_daemon simulated_store)
add_dependencies(campaign_store nestcup fault_shim)
set(campaign_surroundings ${fault_surroundings} "NESTCUP=$<TARGET_FILE:nestcup>"
  "NESTCUP_CAMPAIGN_STORE=$<TARGET_FILE:campaign_store>")
if(NESTCUP_SANITIZE)
  set_target_properties(campaign_store PROPERTIES EXCLUDE_FROM_ALL ON)
else()
  foreach(theme steps kill around)
    add_test(NAME notebook/campaign_${theme}
      COMMAND Python3::Interpreter -B ${notebook}/campaign/${theme}_test.py)
    set_tests_properties(notebook/campaign_${theme} PROPERTIES LABELS full TIMEOUT 600
      ENVIRONMENT "${campaign_surroundings};NESTCUP_TEST_EVERY_STEP=29")
  endforeach()
  # The same on WebDAV servers of four makes, and what these refuse.
  add_executable(dav_put ${notebook}/webdav/dav_put.cpp)
  target_link_libraries(dav_put PRIVATE nestcup_notebook)
  add_dependencies(campaign_store dav_put)
  list(APPEND campaign_surroundings "NESTCUP_DAV_PUT=$<TARGET_FILE:dav_put>")
  foreach(theme arrival steps kill login refusal)
    add_test(NAME notebook/webdav_${theme}
      COMMAND Python3::Interpreter -B ${notebook}/webdav/${theme}_test.py)
    set_tests_properties(notebook/webdav_${theme} PROPERTIES LABELS full TIMEOUT 600
      ENVIRONMENT "${campaign_surroundings};NESTCUP_TEST_EVERY_STEP=61")
  endforeach()
endif()

# A course's database: what happens around it, cut connections, kills, many benches at once; the
# database as a book of runs, and work on it that processes share. Each starts a server of its own.
if(NOT NESTCUP_SANITIZE)
  foreach(theme around "steps\\;13\\;60000" "kill\\;9" "benches\\;16\\;2")
    string(REPLACE "\\;" ";" words "${theme}")
    list(POP_FRONT words theme)
    add_test(NAME notebook/postgres_${theme} COMMAND Python3::Interpreter -B
      ${notebook}/postgres/${theme}_test.py ${words})
    set_tests_properties(notebook/postgres_${theme} PROPERTIES LABELS full TIMEOUT 600
      ENVIRONMENT "${campaign_surroundings}")
  endforeach()
  foreach(theme book shared)
    add_test(NAME notebook/postgres_${theme}
      COMMAND Python3::Interpreter -B ${notebook}/postgres/${theme}_test.py)
    set_tests_properties(notebook/postgres_${theme} PROPERTIES LABELS full TIMEOUT 600
      ENVIRONMENT "${campaign_surroundings};NESTCUP_WRITE_STORE=$<TARGET_FILE:write_store>")
  endforeach()
endif()
