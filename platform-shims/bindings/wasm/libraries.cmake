# The libraries of the core for WebAssembly, from Debian's sources (see `sources`), under the names that find_package gives
# them elsewhere. Included in place of find_package when the compiler is emscripten's.
#
# Exceptions: with neither flag a throw inside a try ends the program, so every object gets the same one.
add_compile_options(-fwasm-exceptions)
add_link_options(-fwasm-exceptions)

set(WRACKLINE_WASM_SOURCES ${CMAKE_BINARY_DIR}/sources CACHE PATH "Where platform-shims/bindings/wasm/sources has brought them")
if(NOT EXISTS ${WRACKLINE_WASM_SOURCES}/sqlite3/sqlite3.c)
  message(FATAL_ERROR "There are no sources in ${WRACKLINE_WASM_SOURCES}: run platform-shims/bindings/wasm/sources with it first")
endif()
set(from ${WRACKLINE_WASM_SOURCES})

# SQLite twice: with a file system of emscripten's for programs in node, and with none, for a page, whose files are
# platform-shims/bindings/wasm/opfs_vfs.cc.
foreach(name sqlite_node sqlite_page)
  add_library(${name} STATIC ${from}/sqlite3/sqlite3.c)
  target_include_directories(${name} SYSTEM PUBLIC ${from}/sqlite3)
  target_compile_definitions(${name} PRIVATE SQLITE_THREADSAFE=0 SQLITE_OMIT_LOAD_EXTENSION SQLITE_DQS=0 SQLITE_TEMP_STORE=3
    SQLITE_DEFAULT_MEMSTATUS=0 SQLITE_OMIT_DEPRECATED SQLITE_OMIT_SHARED_CACHE SQLITE_LIKE_DOESNT_MATCH_BLOBS)
  target_compile_options(${name} PRIVATE -w)
endforeach()
target_compile_definitions(sqlite_page PRIVATE SQLITE_OS_OTHER=1)
# The core needs its header only; the program chooses between the two.
add_library(SQLite::SQLite3 INTERFACE IMPORTED)
target_include_directories(SQLite::SQLite3 SYSTEM INTERFACE ${from}/sqlite3)

# Protocol Buffers, lite runtime: the files its own build lists. Generated code and runtime must be of one release, so
# that a protoc of another one fails here and not in a record.
file(STRINGS ${from}/protobuf/cmake/libprotobuf-lite.cmake lines REGEX "\\.cc$")
set(files)
foreach(line ${lines})
  string(STRIP "${line}" line)
  string(REPLACE "\${protobuf_SOURCE_DIR}" "${from}/protobuf" line "${line}")
  list(APPEND files ${line})
endforeach()
add_library(protobuf_lite STATIC ${files})
target_include_directories(protobuf_lite SYSTEM PUBLIC ${from}/protobuf/src)
target_compile_definitions(protobuf_lite PRIVATE HAVE_PTHREAD=1)
target_compile_options(protobuf_lite PRIVATE -w)
add_library(protobuf::libprotobuf-lite ALIAS protobuf_lite)
find_program(WRACKLINE_PROTOC protoc REQUIRED PATHS /usr/bin NO_CMAKE_FIND_ROOT_PATH)
add_executable(protobuf::protoc IMPORTED)
set_target_properties(protobuf::protoc PROPERTIES IMPORTED_LOCATION ${WRACKLINE_PROTOC})

file(GLOB files ${from}/zstd/lib/common/*.c ${from}/zstd/lib/compress/*.c ${from}/zstd/lib/decompress/*.c)
add_library(zstd STATIC ${files})
target_include_directories(zstd SYSTEM PUBLIC ${from}/zstd/lib)
target_compile_definitions(zstd PRIVATE ZSTD_DISABLE_ASM=1 ZSTD_LEGACY_SUPPORT=0)
target_compile_options(zstd PRIVATE -w)
set(ZSTD_LIBRARY zstd)

# libsodium in place of OpenSSL, which would be larger than everything else together: SHA-256, Ed25519, scrypt. Its
# version header says nothing but the version, which its configure script would fill in.
set(VERSION 1.0.18)
set(SODIUM_LIBRARY_VERSION_MAJOR 10)
set(SODIUM_LIBRARY_VERSION_MINOR 3)
set(sodium ${from}/sodium/src/libsodium)
configure_file(${sodium}/include/sodium/version.h.in ${CMAKE_BINARY_DIR}/sodium/sodium/version.h @ONLY)
file(GLOB_RECURSE files ${sodium}/crypto_sign/ed25519/*.c ${sodium}/crypto_core/ed25519/*.c ${sodium}/crypto_hash/*.c
  ${sodium}/crypto_verify/*.c ${sodium}/crypto_auth/hmacsha256/*.c ${sodium}/crypto_pwhash/scryptsalsa208sha256/*.c
  ${sodium}/sodium/utils.c ${sodium}/sodium/core.c)
list(FILTER files EXCLUDE REGEX "/sse/|obsolete|crypto_pwhash_scryptsalsa208sha256\\.c$")
add_library(sodium STATIC ${files})
target_include_directories(sodium SYSTEM PUBLIC ${sodium}/include ${CMAKE_BINARY_DIR}/sodium
  PRIVATE ${sodium}/include/sodium ${CMAKE_BINARY_DIR}/sodium/sodium)
target_compile_definitions(sodium PRIVATE CONFIGURED=1 NATIVE_LITTLE_ENDIAN=1 HAVE_TI_MODE=1 SODIUM_STATIC=1)
target_compile_options(sodium PRIVATE -w)
