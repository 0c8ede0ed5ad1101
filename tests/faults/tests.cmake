# The shim that makes steps fail; tests/CMakeLists.txt has ${fault_surroundings} for those who use
# it. Pedantic it cannot be: it casts what dlsym returns.
enable_language(C)
add_library(fault_shim MODULE faults/shim/names.c faults/shim/paths.c faults/shim/settings.c
  faults/shim/step.c faults/shim/writes.c)
target_compile_options(fault_shim PRIVATE -std=gnu11 -Wall -Wextra -Werror)
target_link_libraries(fault_shim PRIVATE ${CMAKE_DL_LIBS})
# Each file keeps short names to itself.
set_target_properties(fault_shim PROPERTIES UNITY_BUILD OFF)
add_dependencies(daemon_tests fault_shim)

add_executable(fault_steps faults/steps.cpp)
target_link_libraries(fault_steps PRIVATE nestcup_settings Threads::Threads)
add_dependencies(fault_steps fault_shim)

find_package(Python3 3.9 REQUIRED COMPONENTS Interpreter)
foreach(theme shim campaign outside)
  add_test(NAME faults/${theme}
    COMMAND Python3::Interpreter -B ${CMAKE_CURRENT_SOURCE_DIR}/faults/${theme}_test.py)
  set_tests_properties(faults/${theme} PROPERTIES LABELS quick TIMEOUT 300
    ENVIRONMENT "${fault_surroundings};NESTCUP_TEST_FAULT_STEPS=$<TARGET_FILE:fault_steps>")
endforeach()
