# Man pages and completion scripts, written by the built program itself.

# nestcup_write_documents(TARGET [SINGLE]): after the build, <binary dir>/documents/TARGET holds
# man1/*.1, bash/TARGET, zsh/_TARGET and fish/TARGET.fish. SINGLE: a program without commands.
function(nestcup_write_documents target)
  cmake_parse_arguments(documents "SINGLE" "" "" ${ARGN})
  set(folder ${PROJECT_BINARY_DIR}/documents/${target})
  set(script ${PROJECT_SOURCE_DIR}/tools/cli/write_documents.cmake)
  add_custom_command(OUTPUT ${folder}/written
    COMMAND ${CMAKE_COMMAND} -D PROGRAM=$<TARGET_FILE:${target}> -D NAME=${target}
            -D EMULATOR=${CMAKE_CROSSCOMPILING_EMULATOR}
            -D SINGLE=${documents_SINGLE} -D FOLDER=${folder} -P ${script}
    DEPENDS ${target} ${script} VERBATIM)
  add_custom_target(${target}_documents ALL DEPENDS ${folder}/written)
endfunction()

# nestcup_install_documents(TARGET [SINGLE]): the same, and puts them where man and the shells look.
function(nestcup_install_documents target)
  nestcup_write_documents(${target} ${ARGN})
  set(folder ${PROJECT_BINARY_DIR}/documents/${target})
  install(DIRECTORY ${folder}/man1/ DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
  install(FILES ${folder}/bash/${target}
          DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
  install(FILES ${folder}/zsh/_${target}
          DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
  install(FILES ${folder}/fish/${target}.fish
          DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
endfunction()
