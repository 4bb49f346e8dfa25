#!/usr/bin/env bash
# Programs of other projects, in C, C++ and Java, against an installed Wrackline: they build with what is installed alone, and a script of
# calls is answered through each shim, the command line and WebAssembly byte for byte as by the core.
#
#   tests/shims/run.sh BUILD_DIR WASM_BUILD_DIR     the second is made, or brought up to date, where there is emscripten
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "${1:?usage: tests/shims/run.sh BUILD_DIR WASM_BUILD_DIR}" && pwd)
wasm=${2:?usage: tests/shims/run.sh BUILD_DIR WASM_BUILD_DIR}
here=$root/tests/shims
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
prefix=$work/prefix
export LD_LIBRARY_PATH="" PKG_CONFIG_PATH=""
unset WRACKLINE_DIR WRACKLINE_PERSON WRACKLINE_CLOCK_OFFSET_S

says() {  # name, command...: one test
  local name=$1
  shift
  if "$@" >"$work/out" 2>&1; then echo "ok $name"; else
    head -n 30 "$work/out"
    echo "not ok $name: see above"
    return 1
  fi
}

says "it installs" cmake --install "$build" --prefix "$prefix" || exit 1
lib=$(dirname "$(find "$prefix" -name 'libwrackline.so' | head -n 1)")
export LD_LIBRARY_PATH=$lib PKG_CONFIG_PATH=$lib/pkgconfig
"$build/tests/shims/wrackline_shim_script" "$work/script" || { echo "not ok the script is written"; exit 1; }

symbols() { nm -D --defined-only "$lib/libwrackline.so" | awk '$2 ~ /[TBDRVW]/ { sub(/@.*/, "", $3); print $3 }' | sort; }
only_ours() { [[ -n $(symbols) ]] && ! symbols | grep -v '^wrackline_'; }
keeps_symbols() {  # a release's list
  local missing
  missing=$(comm -23 "$1" <(symbols))
  if [[ -n $missing ]]; then echo "gone: $missing"; return 1; fi
}
says "the library shows nothing but wrackline_*" only_ours
for list in "$root"/platform-shims/bindings/c/symbols-*.txt; do
  says "what release $(basename "$list" .txt | sed 's/symbols-//') showed is still there" keeps_symbols "$list"
done

header_is() { "$@" -fsyntax-only -Wall -Wextra -Werror -pedantic -x "${language:?}" "$prefix/include/wrackline/wrackline.h"; }
language=c says "the header is C99" header_is gcc -std=c99
language=c++ says "the header is C++98" header_is g++ -std=c++98
import_of_module() {
  local clang
  clang=$(command -v clang-14 || command -v clang) || { echo "no clang"; return 1; }
  echo '@import Wrackline; int has_version(void) { return wrackline_version() != 0; }' >"$work/import.m"
  "$clang" -x objective-c -fmodules -fmodules-cache-path="$work/modules" -fmodule-map-file="$prefix/include/wrackline/module.modulemap" \
    -I"$prefix/include/wrackline" -fsyntax-only -Werror "$work/import.m"
}
says "clang imports the module" import_of_module

# shellcheck disable=SC2046
build_c() {
  gcc -std=c11 -pedantic -Wall -Wextra -Werror -o "$work/consumer_c" "$here/consumer_c/main.c" $(pkg-config --cflags --libs wrackline libcrypto)
}
build_cpp() {
  cmake -S "$here/consumer_cpp" -B "$work/cpp" -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_BUILD_TYPE=Release && cmake --build "$work/cpp"
}
says "a project in C builds with pkg-config" build_c
says "a project in C++ builds with find_package" build_cpp
# shellcheck disable=SC2046
build_cpp_with_pkg_config() {
  g++ -std=c++17 -Wall -Wextra -Werror -o "$work/consumer_cpp" "$here/consumer_cpp/main.cc" $(pkg-config --cflags --libs wrackline-cpp libcrypto) -pthread
}
says "a project in C++ builds with pkg-config" build_cpp_with_pkg_config
# For C there is nothing of protobuf to find.
build_c_without_protobuf() {
  mkdir -p "$work/c_alone" && cp "$here/consumer_c/main.c" "$work/c_alone" || return 1
  cat >"$work/c_alone/CMakeLists.txt" <<'CMAKE'
cmake_minimum_required(VERSION 3.20)
project(consumer_c LANGUAGES C)
find_package(wrackline 0.1 REQUIRED COMPONENTS c)
find_package(OpenSSL REQUIRED)
add_executable(consumer_c main.c)
target_link_libraries(consumer_c PRIVATE wrackline::wrackline OpenSSL::Crypto)
CMAKE
  cmake -S "$work/c_alone" -B "$work/c_alone/build" -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_DISABLE_FIND_PACKAGE_Protobuf=ON &&
    cmake --build "$work/c_alone/build"
}
says "a project in C builds with find_package, and without protobuf" build_c_without_protobuf
# A loop over what stands in a result that nobody holds would go on after its end.
dangling_is_refused() {
  cat >"$work/dangling.cc" <<'CODE'
#include <wrackline.hpp>
int count(wrackline::Records& records) {
  int n = 0;
  for (const auto& view : records.list({})->records()) n += view.kind() != 0;
  return n;
}
CODE
  # shellcheck disable=SC2046
  ! g++ -std=c++17 -fsyntax-only $(pkg-config --cflags wrackline-cpp) "$work/dangling.cc" 2>"$work/dangling.said" &&
    grep -q "deleted function" "$work/dangling.said"
}
says "a loop over a result that nobody holds does not compile in C++" dangling_is_refused

# The calls of the proto, and the calls that the wrapper has.
calls() {
  awk '/^message Call \{/ { here = 1 } here && /^  oneof what/ { listed = 1; next } listed && /^  }/ { exit } listed { print $2 }' \
    "$prefix/share/wrackline/proto/call.proto" | sort
}
typed_calls() { sed -nE 's/^ *WRACKLINE_(CALL|WRITE)\(([a-z_]+), .*/\2/p' "$prefix/include/wrackline/wrackline.hpp" | sort; }
has_every_call() { [[ -n $(calls) ]] && diff <(calls) <(typed_calls); }
says "every call of the proto has a typed one in C++" has_every_call

answers_as_the_core() {  # name, command...: reads DATABASE KEY CALLS, writes answers
  local database=$work/$1.db
  shift
  cp "$work/script/records.db" "$database" || return 1
  "$@" "$database" "$work/script/key" "$work/script/calls" >"$database.answers" || return 1
  cmp "$database.answers" "$work/script/answers"
}
says "the script is answered through C as by the core" answers_as_the_core c "$work/consumer_c"
says "the script is answered through C++ as by the core" answers_as_the_core cpp "$work/cpp/consumer_cpp"

# ---- The command line -------------------------------------------------------------------------------------

device_of_the_script() {  # directory: one that wrack takes, with the key as a file of its form (RFC 8410)
  mkdir "$1" && cp "$work/script/records.db" "$1/records.db" || return 1
  { printf '\x30\x2e\x02\x01\x00\x30\x05\x06\x03\x2b\x65\x70\x04\x22\x04\x20' && cat "$work/script/key"; } |
    (umask 077 && openssl pkey -inform DER -out "$1/device.key")
}
wrack_call() {  # directory, further arguments
  local directory=$1
  shift
  XDG_STATE_HOME=$work/state "$build/platform-shims/apps/cli/wrack" --dir "$directory" call "$@"
}
answers_through_the_command() {
  gcc -std=c11 -Wall -Wextra -Werror -shared -fPIC -o "$work/script_clock.so" "$here/script_clock.c" || return 1
  device_of_the_script "$work/device" || return 1
  LD_PRELOAD=$work/script_clock.so wrack_call "$work/device" "$work/script/calls" >"$work/command.answers" || return 1
  cmp "$work/command.answers" "$work/script/answers"
}
says "the script is answered through the command line as by the core" answers_through_the_command

cut_off() {
  local whole status
  device_of_the_script "$work/cut" || return 1
  whole=$(($(od -An -tu4 -N4 "$work/script/calls") + 4))
  head -c $((whole + 5)) "$work/script/calls" | wrack_call "$work/cut" >"$work/cut.answers" 2>"$work/cut.errors"
  status=$?
  cmp "$work/cut.answers" <(head -c "$(stat -c %s "$work/cut.answers")" "$work/script/answers") || return 1
  [[ -s $work/cut.answers && $status -eq 2 ]] && grep -q "in the middle of one; 1 before it" "$work/cut.errors"
}
says "calls that end in the middle of one are answered up to there, and told" cut_off

# ---- WebAssembly ------------------------------------------------------------------------------------------

module=$wasm/platform-shims/bindings/wasm/wrackline-core.mjs
if command -v emcc >/dev/null && command -v node >/dev/null; then
  # The suites wasm and browser build it in the same way.
  if says "the core builds as a module in WebAssembly" "$root/platform-shims/bindings/wasm/build" --quick "$wasm" wrackline_module; then
    says "the script is answered through WebAssembly as by the core" answers_as_the_core wasm node "$here/consumer_wasm/main.mjs" "$module"
  fi
else
  echo "SKIPPED the script through WebAssembly: no emscripten, or no node; tests/install tablet"
fi

# ---- The JVM ----------------------------------------------------------------------------------------------

jar=$prefix/share/java/wrackline.jar
if [[ ! -f $jar ]]; then
  echo "SKIPPED the shim for the JVM: it was configured without a JDK or libprotobuf-java; tests/install test, then configure anew"
  exit 0
fi
classes=$work/classes
jdk=$(sed -nE 's/^Java_JAVAC_EXECUTABLE:[A-Z]*=(.*)\/javac$/\1/p' "$build/CMakeCache.txt")
path=$jar:/usr/share/java/protobuf.jar
build_java() { "$jdk/javac" -Xlint:all -cp "$path" -d "$classes" "$here"/consumer_jvm/*.java; }
run_java() {  # The JVM's own check of native code only warns.
  local status
  # Without a path to the core: Java's library finds it from where it stands.
  env -u LD_LIBRARY_PATH "$jdk/java" -Xcheck:jni -cp "$path:$classes" -Djava.library.path="$lib/jni" Consumer "$@" >"$work/java.out" 2>&1
  status=$?
  cat "$work/java.out"
  [[ $status -eq 0 ]] && ! grep -q "in native method" "$work/java.out"
}
says "a project in Java builds with the jar" build_java

says "the jar has a module's name" bash -c '"$0/jar" --describe-module --file "$1" | grep -q "^org.wrackline automatic"' "$jdk" "$jar"

answers_through_java() {
  cp "$work/script/records.db" "$work/java.db"
  run_java script "$work/script/key" "$work/java.db" "$work/script/calls" "$work/java.answers" && cmp "$work/java.answers" "$work/script/answers"
}
in_java() {  # mode
  cp "$work/script/records.db" "$work/$1.db"
  run_java "$1" "$work/script/key" "$work/$1.db"
}
with_a_hub() {
  local server=$build/sync-server/wrackline-server code port pid status
  "$server" init --dir "$work/hub" --name "Test Pier" --time-zone Europe/Oslo --host 127.0.0.1 --admin Ada --no-proofs || return 1
  code=$("$server" code --dir "$work/hub" | head -n 1) || return 1
  "$server" serve --dir "$work/hub" --listen 127.0.0.1:0 --port-file "$work/port" 2>"$work/hub.log" &
  pid=$!
  for _ in {1..500}; do [[ -s $work/port ]] && break; sleep 0.02; done
  port=$(cat "$work/port")
  run_java hub "$work/script/key" "$work/with-hub.db" "https://127.0.0.1:$port" "$work/hub/tls-cert.pem" "$code"
  status=$?
  kill -TERM "$pid"
  wait "$pid"
  return $status
}
says "the script is answered through Java as by the core" answers_through_java
says "every call of the proto has a typed one in Java" in_java every-call
says "what was confirmed goes with the next call that writes, in Java" in_java confirming
says "Java survives no records, a short key, four threads, a second close and a call after it" in_java handles
says "closing waits for another thread's call in Java" in_java closing
says "a device of Java that calls or closes the records that are asking it is refused" in_java reentering
says "records that nobody closed are closed when nobody holds them, in Java" in_java forgetting
says "a device of Java that throws leaves no exception behind" in_java throwing
says "a device of Java whose key cannot be had opens nothing" in_java lost-key
says "a device in Java enrols with a hub, logs, exchanges and reads the trail" with_a_hub
