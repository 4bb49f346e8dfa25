# How packages are built: cmake -C platform-shims/packages/release.cmake -S . -B build-package -G Ninja
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
set(CMAKE_INSTALL_PREFIX /usr CACHE PATH "")
set(WRACKLINE_TESTS OFF CACHE BOOL "")
set(WRACKLINE_PACKAGES ON CACHE BOOL "")
# Where the sources and the build lie is nobody's business, and must not make two builds differ. The later map goes first.
get_filename_component(source ${CMAKE_CURRENT_LIST_DIR}/../.. ABSOLUTE)
set(CMAKE_CXX_FLAGS_RELEASE
  "-O2 -DNDEBUG -fstack-protector-strong -D_FORTIFY_SOURCE=2 -ffile-prefix-map=${source}=. -ffile-prefix-map=${CMAKE_BINARY_DIR}=build"
  CACHE STRING "")
set(CMAKE_EXE_LINKER_FLAGS -Wl,-z,relro,-z,now CACHE STRING "")
set(CMAKE_SHARED_LINKER_FLAGS -Wl,-z,relro,-z,now CACHE STRING "")
# Otherwise the path of the build is written over at the end of it, and its length stays.
set(CMAKE_BUILD_WITH_INSTALL_RPATH ON CACHE BOOL "")
