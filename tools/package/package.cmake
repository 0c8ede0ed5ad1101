# `cpack` makes the Debian package. See "The package" in DEVELOPERS.md.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME nestcup)
set(CPACK_PACKAGE_VENDOR "nestcup developers")
set(CPACK_PACKAGE_CHECKSUM SHA256)
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ
  GROUP_EXECUTE WORLD_READ WORLD_EXECUTE)
# The same bytes each time: one thread, and times as below.
set(CPACK_THREADS 1)

set(deb ${CMAKE_CURRENT_LIST_DIR}/deb)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${deb}/description)
file(READ ${deb}/description description)
string(FIND "${description}" "\n" summary_end)
string(SUBSTRING "${description}" 0 ${summary_end} CPACK_PACKAGE_DESCRIPTION_SUMMARY)
math(EXPR summary_end "${summary_end} + 1")
string(SUBSTRING "${description}" ${summary_end} -1 CPACK_DEBIAN_PACKAGE_DESCRIPTION)
string(STRIP "${CPACK_DEBIAN_PACKAGE_DESCRIPTION}" CPACK_DEBIAN_PACKAGE_DESCRIPTION)

set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_MAINTAINER "nestcup developers <nestcup@example.org>")
set(CPACK_DEBIAN_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
if(NESTCUP_DEBIAN_ARCHITECTURE)
  set(CPACK_DEBIAN_PACKAGE_ARCHITECTURE ${NESTCUP_DEBIAN_ARCHITECTURE})
endif()
# Libraries by dpkg-shlibdeps; the rest is what postinst calls.
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "systemd | systemd-standalone-sysusers | systemd-sysusers")
# Charts draw with whatever fonts there are, and with boxes where there are none.
set(CPACK_DEBIAN_PACKAGE_RECOMMENDS "fonts-dejavu-core, udev")
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA ${deb}/postinst ${deb}/prerm ${deb}/postrm)

set(CPACK_PRE_BUILD_SCRIPTS ${CMAKE_CURRENT_LIST_DIR}/stage.cmake)
configure_file(${CMAKE_CURRENT_LIST_DIR}/settings.cmake.in
  ${PROJECT_BINARY_DIR}/package_settings.cmake @ONLY)
set(CPACK_PROJECT_CONFIG_FILE ${PROJECT_BINARY_DIR}/package_settings.cmake)
include(CPack)
