# Run by cpack between installing and packing: what Debian has in other places or forms than
# `cmake --install` leaves it.
cmake_policy(VERSION 3.25)
include(${CMAKE_CURRENT_LIST_DIR}/changelog.cmake)
set(deb ${CMAKE_CURRENT_LIST_DIR}/deb)
set(root ${CPACK_TEMPORARY_DIRECTORY})
set(share ${root}/usr/share)
set(documents ${share}/doc/nestcup)

file(GLOB programs ${root}/usr/bin/*)
execute_process(COMMAND ${NESTCUP_STRIP} --remove-section=.comment --remove-section=.note
  ${programs} COMMAND_ERROR_IS_FATAL ANY)

# gzip -n: no name and no time inside.
function(nestcup_gzip)
  execute_process(COMMAND gzip -9n ${ARGN} COMMAND_ERROR_IS_FATAL ANY)
endfunction()

file(GLOB pages ${share}/man/man1/*.1)
nestcup_gzip(${pages})

# Debian's zsh looks into vendor-completions.
file(MAKE_DIRECTORY ${share}/zsh)
file(RENAME ${share}/zsh/site-functions ${share}/zsh/vendor-completions)

file(MAKE_DIRECTORY ${documents} ${root}/etc/nestcup)
file(COPY ${deb}/copyright DESTINATION ${documents})
nestcup_debian_changelog(${NESTCUP_SOURCE_DIR}/CHANGELOG.md ${documents}/changelog changelog)
file(WRITE ${documents}/changelog "${changelog}")
nestcup_gzip(${documents}/changelog)
file(COPY ${deb}/bench.toml DESTINATION ${share}/nestcup/examples)
file(CREATE_LINK ../../nestcup/examples ${documents}/examples SYMBOLIC)

# Whatever the umask was when the sources were unpacked.
file(GLOB_RECURSE files LIST_DIRECTORIES OFF ${root}/*)
foreach(file IN LISTS files)
  set(executable "")
  if(file MATCHES "/usr/bin/")
    set(executable OWNER_EXECUTE GROUP_EXECUTE WORLD_EXECUTE)
  endif()
  if(NOT IS_SYMLINK ${file})
    file(CHMOD ${file} FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ ${executable})
  endif()
endforeach()
file(GLOB_RECURSE folders LIST_DIRECTORIES ON ${root}/*)
foreach(folder IN LISTS folders)
  if(IS_DIRECTORY ${folder} AND NOT IS_SYMLINK ${folder})
    file(CHMOD ${folder} DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ
      GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
  endif()
endforeach()
