add_test(NAME package/udev_rules
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/udev_rules_test.py)
set_tests_properties(package/udev_rules PROPERTIES LABELS quick)
# What systemd says of the unit; tools/campaign service boots a system with it.
add_test(NAME package/service_unit
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/service_unit_test.py)
set_tests_properties(package/service_unit PROPERTIES LABELS quick
  ENVIRONMENT "NESTCUPD=$<TARGET_FILE:nestcupd>")


# The Debian package out of this build.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME package/deb COMMAND Python3::Interpreter -B
    ${CMAKE_CURRENT_LIST_DIR}/package_test.py ${PROJECT_BINARY_DIR})
  set_tests_properties(package/deb PROPERTIES LABELS full TIMEOUT 300)
endif()
