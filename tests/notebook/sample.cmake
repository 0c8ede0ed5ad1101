# Writes the sample crate anew: cmake -DPEER=PROGRAM -DFOLDER=FOLDER -P sample.cmake
file(REMOVE_RECURSE ${FOLDER})
file(MAKE_DIRECTORY ${FOLDER})
execute_process(COMMAND ${PEER} write ${FOLDER} COMMAND_ERROR_IS_FATAL ANY)
