# Real peers on real pseudo-terminals: servers made with libmodbus and with pymodbus.
pkg_check_modules(libmodbus REQUIRED IMPORTED_TARGET libmodbus)
add_executable(modbus_server ${CMAKE_CURRENT_LIST_DIR}/modbus_server.cpp)
target_link_libraries(modbus_server PRIVATE nestcup_settings PkgConfig::libmodbus)

add_test(NAME peers
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/peers_test.py)
set_tests_properties(peers PROPERTIES LABELS full TIMEOUT 300
  ENVIRONMENT "NESTCUPD=$<TARGET_FILE:nestcupd>;MODBUS_SERVER=$<TARGET_FILE:modbus_server>")
