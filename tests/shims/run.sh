#!/usr/bin/env bash
# Programs of other projects, in C, C++ and Java, against an installed Wrackline: they build with what is installed alone, and a script of
# calls is answered through each shim byte for byte as by the core.
#
#   tests/shims/run.sh BUILD_DIR
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "$1" && pwd)
here=$root/tests/shims
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
prefix=$work/prefix
export LD_LIBRARY_PATH="" PKG_CONFIG_PATH=""

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
for list in "$root"/platform-shims/c/symbols-*.txt; do
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

answers_as_the_core() {  # program
  local database
  database=$work/$(basename "$1").db
  cp "$work/script/records.db" "$database" || return 1
  "$1" "$database" "$work/script/key" "$work/script/calls" >"$database.answers" || return 1
  cmp "$database.answers" "$work/script/answers"
}
says "the script is answered through C as by the core" answers_as_the_core "$work/consumer_c"
says "the script is answered through C++ as by the core" answers_as_the_core "$work/cpp/consumer_cpp"

# ---- The JVM ----------------------------------------------------------------------------------------------

jar=$prefix/share/java/wrackline.jar
if [[ ! -f $jar ]]; then
  echo "SKIPPED the shim for the JVM: it was configured without a JDK or libprotobuf-java; tests/install test, then configure anew"
  exit 0
fi
classes=$work/classes
jdk=$(sed -nE 's/^Java_JAVAC_EXECUTABLE:[A-Z]*=(.*)\/javac$/\1/p' "$build/CMakeCache.txt")
path=$jar:/usr/share/java/protobuf.jar
build_java() { "$jdk/javac" -Xlint:all -cp "$path" -d "$classes" "$here/consumer_jvm/Consumer.java"; }
run_java() { "$jdk/java" -Xcheck:jni -cp "$path:$classes" -Djava.library.path="$lib/jni" Consumer "$@"; }
says "a project in Java builds with the jar" build_java

answers_through_java() {
  cp "$work/script/records.db" "$work/java.db"
  run_java script "$work/script/key" "$work/java.db" "$work/script/calls" "$work/java.answers" && cmp "$work/java.answers" "$work/script/answers"
}
misused() {
  cp "$work/script/records.db" "$work/misused.db"
  run_java misuse "$work/script/key" "$work/misused.db"
}
with_a_hub() {
  local server=$build/sync-server/wrackline-server code port pid status
  "$server" init --dir "$work/hub" --name "Test Pier" --time-zone Europe/Oslo --host 127.0.0.1 --admin Ada || return 1
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
says "closed records, four threads at once and a key that throws do no harm in Java" misused
says "a device in Java enrols with a hub, logs, exchanges and reads the trail" with_a_hub
