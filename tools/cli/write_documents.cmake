# Run with cmake -P by nestcup_write_documents: PROGRAM, EMULATOR (runs it, where it is built for
# another processor), NAME, SINGLE, FOLDER.

# ask(FILE WORD...): the program's standard output becomes FILE.
function(ask file)
  get_filename_component(parent ${file} DIRECTORY)
  file(MAKE_DIRECTORY ${parent})
  execute_process(COMMAND ${EMULATOR} ${PROGRAM} ${ARGN} OUTPUT_FILE ${file}
                  COMMAND_ERROR_IS_FATAL ANY)
endfunction()

file(REMOVE_RECURSE ${FOLDER})
set(dash "")
if(SINGLE)
  set(dash "--")
endif()
ask(${FOLDER}/man1/${NAME}.1 ${dash}man)
if(NOT SINGLE)
  execute_process(COMMAND ${EMULATOR} ${PROGRAM} man --list OUTPUT_VARIABLE pages
                  COMMAND_ERROR_IS_FATAL ANY)
  string(REGEX MATCHALL "[^\n]+" pages "${pages}")
  list(REMOVE_ITEM pages ${NAME})
  foreach(page ${pages})
    string(REGEX REPLACE "^${NAME}-" "" command ${page})
    ask(${FOLDER}/man1/${page}.1 man ${command})
  endforeach()
endif()
ask(${FOLDER}/bash/${NAME} ${dash}completion bash)
ask(${FOLDER}/zsh/_${NAME} ${dash}completion zsh)
ask(${FOLDER}/fish/${NAME}.fish ${dash}completion fish)
file(TOUCH ${FOLDER}/written)
