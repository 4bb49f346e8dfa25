#!/usr/bin/env bash
# The Debian packages (platform-shims/packages): made, looked at, made again, and used on a machine that has nothing else.
#
#   tests/packages/run.sh
#
# Prints `ok NAME` or `not ok NAME: why` for each test and `SKIPPED WHAT: why`. Builds in build-package. The packages stay in
# build-package/packages. WRACKLINE_REPRODUCE=all builds everything a second time, elsewhere, and not the library alone.
set -uo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
build=$root/build-package
packages=$build/packages
jobs=${WRACKLINE_JOBS:-$(nproc)}
work=$(mktemp -d)
trap 'rm -rf --one-file-system "$work"' EXIT
trap 'exit 1' INT TERM HUP
cd "$root" || exit 1

says() {  # name, command...: one test
  local name=$1
  shift
  if "$@" >"$work/out" 2>&1; then echo "ok $name"; else
    tail -n 30 "$work/out"
    echo "not ok $name: see above"
    return 1
  fi
}
silent() {  # A checker that is silent has found nothing.
  local said
  said=$("$@" 2>&1) && [[ -z $said ]] && return
  head -n 20 <<<"$said"
  return 1
}

"$root/tests/install" packages || { echo "not ok the packages that make and look at packages are installed: see above"; exit 1; }
SOURCE_DATE_EPOCH=$(git log -1 --format=%ct) || { echo "not ok the release has a day: there is no commit here"; exit 1; }
export SOURCE_DATE_EPOCH

# ---- Made -------------------------------------------------------------------------------------------------
make_packages() {  # build directory, where to, components
  rm -rf "$2"
  (cd "$1" && cpack -G DEB -B "$2" -D CPACK_COMPONENTS_ALL="$3")
}
launcher=()
if command -v ccache >/dev/null; then launcher=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache); fi
says "the packages' build is configured" cmake -C platform-shims/packages/release.cmake -S . -B "$build" -G Ninja "${launcher[@]}" || exit 1
says "it builds" nice cmake --build "$build" -j "$jobs" || exit 1
components="tools;server;library;dev"
names=(wrackline-tools wrackline-server libwrackline0 libwrackline-dev)
if [[ -f $build/platform-shims/bindings/jvm/wrackline.jar ]]; then
  components+=";jvm" names+=(libwrackline-java)
else
  echo "SKIPPED the package for Java: no JDK or libprotobuf-java; tests/install test, then configure anew"
fi
says "the packages are made" make_packages "$build" "$packages" "$components" || exit 1
package() { echo "$packages/$1"_*.deb; }
all_there() {
  local name
  for name in "${names[@]}"; do [[ -f $(package "$name") ]] || { echo "no $name"; return 1; }; done
}
says "they are ${names[*]}" all_there || exit 1
unpack() {
  local name
  mkdir "$work/unpacked"
  for name in "${names[@]}"; do dpkg-deb -x "$(package "$name")" "$work/unpacked/$name" || return 1; done
}
says "they unpack" unpack || exit 1

# ---- Looked at --------------------------------------------------------------------------------------------
if command -v lintian >/dev/null; then
  # Nobody answers mail about them yet, so they name no host that could.
  says "lintian finds no error" lintian --allow-root --fail-on error --tag-display-limit 0 \
    --suppress-tags bogus-mail-host,bogus-mail-host-in-debian-changelog "$packages"/*.deb
  grep -E '^[EW]:' "$work/out" | sed 's/^/  /'
else
  echo "SKIPPED lintian: it is not installed; tests/install packages"
fi
private_paths() {  # Where it was built, and by whom, is in no file.
  ! grep -rlF -e "$root" -e "$HOME/" "$work/unpacked"
}
says "nothing in them tells where they were built" private_paths
says "each lists what it was made of, in SPDX 2.3" python3 "$here/sbom_check.py" "$work"/unpacked/*/usr/share/doc/*/sbom.spdx.json
cat "$work/out"

# ---- The manual and the completion, beside what the programs say ------------------------------------------
man_pages=("$work"/unpacked/wrackline-*/usr/share/man/man1/*.gz)
gunzip -k "${man_pages[@]}"
man_pages=("${man_pages[@]%.gz}")
says "groff finds nothing wrong with ${#man_pages[@]} manual pages" silent groff -man -ww -Tutf8 -z "${man_pages[@]}"
says "nor does mandoc" silent mandoc -Tlint "${man_pages[@]}"
reads() { man -l "${man_pages[@]}" | grep -q 'WRACK-ROUND(1)'; }
says "man shows them" reads
wrack=$work/unpacked/wrackline-tools/usr/bin/wrack
server=$work/unpacked/wrackline-server/usr/bin/wrackline-server
evidence=$work/unpacked/wrackline-tools/usr/bin/wrackline-evidence
for program in "$wrack" "$server" "$evidence"; do
  name=$(basename "$program")
  says "every command and option that $name tells of is in its manual, and no page is of another" \
    python3 "$here/manual_check.py" "$program" "$(dirname "$program")/../share/man/man1"
  cat "$work/out"
done
says "bash completes commands, options and files" "$here/completion.sh" "$work"/unpacked/wrackline-{tools,server}/usr/share/bash-completion/completions/*

# ---- Made again -------------------------------------------------------------------------------------------
same_packages() {  # of these names, from another directory
  local directory=$1 name
  shift
  for name in "$@"; do cmp "$(package "$name")" "$directory/$(basename "$(package "$name")")" || return 1; done
}
says "they are packed a second time" make_packages "$build" "$work/again" "$components"
says "the second time they are the same, byte for byte: ${names[*]}" same_packages "$work/again" "${names[@]}"

# Elsewhere, from nothing: another path for the sources, another name for the build, no cache.
elsewhere=$work/a-longer-path/to-the-sources
mkdir -p "$elsewhere"
git ls-files -z | tar -c --null -T - | tar -x -C "$elsewhere"
if [[ ${WRACKLINE_REPRODUCE:-} == all ]]; then
  targets=(all) again=$components again_names=("${names[@]}")
else
  targets=(wrackline wrackline-evidence wrackline_changelog) again="library;dev" again_names=(libwrackline0 libwrackline-dev)
fi
build_elsewhere() {
  cmake -C "$elsewhere/platform-shims/packages/release.cmake" -S "$elsewhere" -B "$elsewhere/another-build" -G Ninja &&
    CCACHE_DISABLE=1 nice cmake --build "$elsewhere/another-build" -j "$jobs" --target "${targets[@]}"
}
if says "they are built a second time, elsewhere: ${targets[*]}" build_elsewhere; then
  for file in platform-shims/bindings/c/libwrackline.so.0.1.0 platform-shims/apps/evidence/wrackline-evidence proto/libwrackline_proto.a; do
    says "$(basename "$file") comes out the same, byte for byte" cmp "$build/$file" "$elsewhere/another-build/$file"
  done
  says "they are packed from there" make_packages "$elsewhere/another-build" "$work/elsewhere" "$again"
  says "these packages come out the same, byte for byte: ${again_names[*]}" same_packages "$work/elsewhere" "${again_names[@]}"
fi

# ---- Used -------------------------------------------------------------------------------------------------
if [[ $(id -u) -ne 0 ]] || ! unshare --mount --pid --fork --mount-proc true 2>/dev/null; then
  echo "SKIPPED the packages on a clean machine: a tree of it needs root and namespaces of its own; run this as root, not in a confined container"
  exit 0
fi
# Everything that is mounted or runs there ends with its namespaces, however they end.
unshare --mount --pid --fork --kill-child --mount-proc "$here/in_tree.sh" "$packages" "$work/tree" "$root/tests/shims/consumer_c/main.c"
