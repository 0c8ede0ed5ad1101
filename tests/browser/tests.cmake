# Pages in a real browser. What comes from npm is fetched once a build folder, by its lock file.
if(NOT NESTCUP_SANITIZE)
  find_program(NESTCUP_NPM npm REQUIRED)
  foreach(program chromium tidy pdftotext)
    find_program(NESTCUP_${program} ${program} REQUIRED)
  endforeach()
  set(browser ${CMAKE_CURRENT_BINARY_DIR}/browser)
  file(COPY ${CMAKE_CURRENT_SOURCE_DIR}/browser/package.json
            ${CMAKE_CURRENT_SOURCE_DIR}/browser/package-lock.json DESTINATION ${browser})
  add_test(NAME browser/packages
    COMMAND ${NESTCUP_NPM} ci --no-audit --no-fund --prefix ${browser})
  set_tests_properties(browser/packages PROPERTIES LABELS full FIXTURES_SETUP axe)
  add_test(NAME browser/report COMMAND Python3::Interpreter -B
    ${CMAKE_CURRENT_SOURCE_DIR}/browser/page_test.py $<TARGET_FILE:nestcup>
    ${browser}/node_modules/axe-core/axe.min.js)
  set_tests_properties(browser/report PROPERTIES LABELS full FIXTURES_REQUIRED axe TIMEOUT 1200)
  # The live page, used as people would.
  set(live "NESTCUP=$<TARGET_FILE:nestcup>;NESTCUPD=$<TARGET_FILE:nestcupd>;\
NESTCUP_SIM=$<TARGET_FILE:nestcup-sim>;NESTCUP_SCENARIOS=${PROJECT_SOURCE_DIR}/sim/scenarios;\
NESTCUP_TEST_AXE=${browser}/node_modules/axe-core/axe.min.js;\
NESTCUP_CAMPAIGN_STORE=$<TARGET_FILE:campaign_store>;\
NESTCUP_WRITE_STORE=$<TARGET_FILE:write_store>")
  foreach(what live views hands class terms)
    add_test(NAME browser/${what} COMMAND Python3::Interpreter -B
      ${CMAKE_CURRENT_SOURCE_DIR}/browser/${what}_test.py)
    set_tests_properties(browser/${what} PROPERTIES LABELS full FIXTURES_REQUIRED axe TIMEOUT 600
      PROCESSORS 2 ENVIRONMENT "${live}")
  endforeach()
endif()
