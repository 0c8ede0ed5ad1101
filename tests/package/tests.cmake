add_test(NAME package/udev_rules
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/udev_rules_test.py)
set_tests_properties(package/udev_rules PROPERTIES LABELS quick)

# The Debian package out of this build.
if(NOT NESTCUP_SANITIZE)
  add_test(NAME package/deb COMMAND Python3::Interpreter -B
    ${CMAKE_CURRENT_LIST_DIR}/package_test.py ${PROJECT_BINARY_DIR})
  set_tests_properties(package/deb PROPERTIES LABELS full TIMEOUT 300)
endif()
