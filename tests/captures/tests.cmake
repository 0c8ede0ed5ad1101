nestcup_test(captures LABELS quick LIBRARIES nestcup_drivers nestcup_simlib
  SOURCES ${CMAKE_CURRENT_LIST_DIR}/captures_test.cpp ${CMAKE_CURRENT_LIST_DIR}/decoded.cpp)

# The explicit step: takes what the drivers make of the captures now as what they should make.
add_executable(capture_approver EXCLUDE_FROM_ALL
  ${CMAKE_CURRENT_LIST_DIR}/approve.cpp ${CMAKE_CURRENT_LIST_DIR}/decoded.cpp)
target_link_libraries(capture_approver PRIVATE nestcup_drivers nestcup_simlib)
file(GLOB capture_folders CONFIGURE_DEPENDS ${CMAKE_CURRENT_LIST_DIR}/*/*/bench.toml)
list(TRANSFORM capture_folders REPLACE "/bench.toml$" "")
add_custom_target(approve_captures COMMAND capture_approver ${capture_folders} USES_TERMINAL)
