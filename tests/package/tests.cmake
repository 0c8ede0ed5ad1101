add_test(NAME package/udev_rules
  COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_LIST_DIR}/udev_rules_test.py)
set_tests_properties(package/udev_rules PROPERTIES LABELS quick)
