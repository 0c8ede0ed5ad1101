file(GLOB matter_tests CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/matter/*_test.cpp)
nestcup_test(matter LABELS quick LIBRARIES nestcup_matter
  SOURCES ${matter_tests} ${CMAKE_CURRENT_SOURCE_DIR}/matter/dissolving.cpp)

# Water and ice beside a general library's.
find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
add_executable(write_water ${CMAKE_CURRENT_SOURCE_DIR}/matter/write_water.cpp)
target_link_libraries(write_water PRIVATE nestcup_matter)
add_test(NAME matter/iapws COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/matter/iapws_test.py $<TARGET_FILE:write_water>)
set_tests_properties(matter/iapws PROPERTIES LABELS quick)

# Atomic weights against an independent table.
add_executable(list_elements ${CMAKE_CURRENT_SOURCE_DIR}/matter/list_elements.cpp)
target_link_libraries(list_elements PRIVATE nestcup_matter)
add_test(NAME matter/weights COMMAND Python3::Interpreter -B
  ${CMAKE_CURRENT_SOURCE_DIR}/matter/weights_test.py $<TARGET_FILE:list_elements>)
set_tests_properties(matter/weights PROPERTIES LABELS quick)
