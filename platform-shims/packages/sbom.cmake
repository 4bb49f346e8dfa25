# Run by cpack between gathering the files of the packages and packing them: puts a list of what is in it beside each
# package's documents (sbom.sh, which says what is listed). The directories of the build that a package's objects come from:
set(parts_of_tools core/ proto/ platform-shims/hosts/ platform-shims/apps/cli/ platform-shims/apps/evidence/)
set(parts_of_server core/ proto/ platform-shims/hosts/ sync-server/)
set(parts_of_library core/ proto/ platform-shims/bindings/c/)
set(parts_of_dev proto/)
set(parts_of_jvm platform-shims/bindings/jvm/)

foreach(component IN LISTS CPACK_COMPONENTS_ALL)
  string(TOUPPER ${component} upper)
  set(package ${CPACK_DEBIAN_${upper}_PACKAGE_NAME})
  set(staging ${CPACK_TEMPORARY_DIRECTORY}/${component})
  execute_process(
    COMMAND ${CMAKE_COMMAND} -E env LC_ALL=C BUILD=${CPACK_WRACKLINE_BUILD} NINJA=${CPACK_WRACKLINE_NINJA} COMPILER=${CPACK_WRACKLINE_COMPILER}
            ${CMAKE_CURRENT_LIST_DIR}/sbom.sh ${package} ${CPACK_PACKAGE_VERSION} ${staging} ${parts_of_${component}}
    OUTPUT_FILE ${staging}/usr/share/doc/${package}/sbom.spdx.json
    RESULT_VARIABLE failed)
  if(failed)
    message(FATAL_ERROR "Listing what is in ${package}: see above; no package was made")
  endif()
endforeach()
