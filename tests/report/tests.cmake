nestcup_test(report LABELS quick LIBRARIES nestcup_report)
# A machine without any font must still get its charts.
set(no_fonts ${CMAKE_CURRENT_BINARY_DIR}/no_fonts)
file(MAKE_DIRECTORY ${no_fonts}/fonts)
file(CONFIGURE OUTPUT ${no_fonts}/fonts.conf CONTENT "<?xml version=\"1.0\"?>
<!DOCTYPE fontconfig SYSTEM \"fonts.dtd\">
<fontconfig><dir>@no_fonts@/fonts</dir><cachedir>@no_fonts@/cache</cachedir></fontconfig>
" @ONLY)
if(NOT NESTCUP_SANITIZE)
  add_test(NAME report_without_fonts COMMAND test_report "[chart]")
  set_tests_properties(report_without_fonts PROPERTIES LABELS quick
    ENVIRONMENT "FONTCONFIG_FILE=${no_fonts}/fonts.conf;NESTCUP_NO_FONTS=1")
endif()
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
add_test(NAME report_svg COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/report/svg_test.py $<TARGET_FILE:test_report>)
set_tests_properties(report_svg PROPERTIES LABELS quick)

# Every number of a report must follow from those above it.
add_test(NAME report/chain COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/report/chain/chain_test.py $<TARGET_FILE:nestcup>)
set_tests_properties(report/chain PROPERTIES LABELS quick)
# A store's runs in tables.
add_test(NAME report/runs COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/report/runs_test.py $<TARGET_FILE:nestcup> $<TARGET_FILE:write_store>)
set_tests_properties(report/runs PROPERTIES LABELS quick)
