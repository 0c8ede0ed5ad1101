# A small program of its own shows the frame at work in a real process.
add_executable(teapot ${CMAKE_CURRENT_SOURCE_DIR}/cli/sample/main.cpp
                      ${CMAKE_CURRENT_SOURCE_DIR}/cli/sample/teapot.cpp)
target_link_libraries(teapot PRIVATE nestcup_cli)
nestcup_write_documents(teapot)

nestcup_test(cli LABELS quick LIBRARIES nestcup_cli)
target_sources(test_cli PRIVATE ${CMAKE_CURRENT_SOURCE_DIR}/cli/sample/teapot.cpp)
target_compile_definitions(test_cli PRIVATE TEAPOT_PROGRAM="$<TARGET_FILE:teapot>"
  TEAPOT_DOCUMENTS="${PROJECT_BINARY_DIR}/documents/teapot")
add_dependencies(test_cli teapot_documents)
