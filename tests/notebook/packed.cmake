# Packs a simulated store anew:
# cmake -DNESTCUP=PROGRAM -DWRITE_STORE=PROGRAM -DFOLDER=FOLDER -P packed.cmake
file(REMOVE_RECURSE ${FOLDER})
file(MAKE_DIRECTORY ${FOLDER})
execute_process(COMMAND ${WRITE_STORE} ${FOLDER}/bench.db 2 COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND ${NESTCUP} pack --store ${FOLDER}/bench.db --out ${FOLDER}/crate
  --name "Two packed runs" --author "Josiah Carberry=0000-0002-1825-0097"
  --licence https://creativecommons.org/licenses/by/4.0/ COMMAND_ERROR_IS_FATAL ANY)
