nestcup_test(report LABELS quick LIBRARIES nestcup_report)
# A machine without any font must still get its charts.
add_test(NAME report_without_fonts COMMAND test_report "[chart]")
set_tests_properties(report_without_fonts PROPERTIES LABELS quick
  ENVIRONMENT "FONTCONFIG_FILE=/dev/null")
