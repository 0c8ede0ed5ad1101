nestcup_test(report LABELS quick LIBRARIES nestcup_report)
set_target_properties(test_report PROPERTIES UNITY_BUILD OFF)
set(leaks "LSAN_OPTIONS=suppressions=${CMAKE_CURRENT_SOURCE_DIR}/report/leaks.supp")
set_tests_properties(report PROPERTIES ENVIRONMENT "${leaks}")
# A machine without any font must still get its charts.
add_test(NAME report_without_fonts COMMAND test_report "[chart]")
set_tests_properties(report_without_fonts PROPERTIES LABELS quick
  ENVIRONMENT "FONTCONFIG_FILE=/dev/null;${leaks}")

# Every number of a report must follow from those above it.
add_test(NAME report/chain COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/report/chain/chain_test.py $<TARGET_FILE:nestcup>)
set_tests_properties(report/chain PROPERTIES LABELS quick)
