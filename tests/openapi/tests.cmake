# The description of the interface, held to OpenAPI's own rules by a validator from npm, which is
# fetched once a build folder, by its lock file.
if(NOT NESTCUP_SANITIZE)
  find_program(NESTCUP_NPM npm REQUIRED)
  find_program(NESTCUP_NODE NAMES node nodejs REQUIRED)
  set(openapi ${CMAKE_CURRENT_BINARY_DIR}/openapi)
  foreach(file tests/openapi/package.json tests/openapi/package-lock.json tests/openapi/check.mjs
          daemon/api/openapi.json core/record/run_record.schema.json)
    get_filename_component(name ${file} NAME)
    configure_file(${PROJECT_SOURCE_DIR}/${file} ${openapi}/${name} COPYONLY)
  endforeach()
  add_test(NAME openapi/packages
    COMMAND ${NESTCUP_NPM} ci --no-audit --no-fund --prefix ${openapi})
  set_tests_properties(openapi/packages PROPERTIES LABELS full FIXTURES_SETUP openapi_core)
  add_test(NAME openapi/valid COMMAND Python3::Interpreter -B
    ${CMAKE_CURRENT_SOURCE_DIR}/openapi/valid_test.py ${NESTCUP_NODE} ${openapi})
  set_tests_properties(openapi/valid PROPERTIES LABELS full FIXTURES_REQUIRED openapi_core
    TIMEOUT 120)
endif()
