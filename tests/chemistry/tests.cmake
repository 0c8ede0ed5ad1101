nestcup_test(chemistry LABELS quick LIBRARIES nestcup_working)
# g++ 12 sees uninitialised members in Boost's big numbers that are not, where much is inlined.

# A sheet worked out a second time with a general library for uncertainties, and by Monte Carlo.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
add_test(NAME chemistry/propagation COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/chemistry/propagation_test.py $<TARGET_FILE:nestcup>)
set_tests_properties(chemistry/propagation PROPERTIES LABELS full)
