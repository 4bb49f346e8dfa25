#!/usr/bin/env bash
# A mirror, or a registry, that lacks what it names: the scripts that bring packages go on with what can be had.
#
#   tests/install_test.sh
#
# The mirror is a directory, its lists signed with a key made here; apt and dpkg-source check them as they check Debian's.
# Prints `ok NAME` or `not ok NAME: why`. Needs neither network nor root.
set -uo pipefail
root=$(cd "$(dirname "$0")/.." && pwd)
work=$(mktemp -d)
export GNUPGHOME=$work/keys
trap 'gpgconf --kill all 2>/dev/null; rm -rf "$work"' EXIT
trap 'exit 1' INT TERM HUP
mirror=$work/mirror lists=$work/lists out=$work/out
mkdir -m 700 "$GNUPGHOME"
mkdir -p "$mirror/dists/test/main/source" "$lists" "$work/bin"

check() {  # name, command...: one test; the command's words are shown when it fails
  local name=$1
  shift
  if "$@" >"$work/said" 2>&1; then echo "ok $name"; else
    tail -n 20 "$work/said"
    echo "not ok $name: see above"
  fi
}
run() {  # expected status, what each of stdout and stderr together must hold..., --, command...
  local status=$1 words=() said result=0
  shift
  while [[ $1 != -- ]]; do words+=("$1"); shift; done
  shift
  said=$("$@" 2>&1) || result=$?
  echo "$said"
  [[ $result -eq $status ]] || { echo "it ended with $result, not $status"; return 1; }
  for word in "${words[@]}"; do [[ $said == *"$word"* ]] || { echo "it does not say: $word"; return 1; }; done
}

# ---- Sources for WebAssembly ------------------------------------------------------------------------------
make_source() {  # package, version, files...
  local tree=$work/trees/$1-$2 file
  mkdir -p "$tree/debian"
  printf '%s (%s) test; urgency=low\n\n  * Made up.\n\n -- Nobody <nobody@localhost>  Thu, 01 Jan 2026 00:00:00 +0000\n' "$1" "$2" >"$tree/debian/changelog"
  printf 'Source: %s\nMaintainer: Nobody <nobody@localhost>\nStandards-Version: 4.6.2\n\nPackage: %s\nArchitecture: all\nDescription: made up\n' \
    "$1" "$1" >"$tree/debian/control"
  for file in "${@:3}"; do mkdir -p "$(dirname "$tree/$file")" && echo "$2" >"$tree/$file"; done
  # A configure like SQLite's makes the makefile that puts its files in one.
  if [[ $1 == sqlite3 ]]; then printf '#!/bin/sh\nprintf "sqlite3.c sqlite3.h:\\n\\techo %s >\\$@\\n" >Makefile\n' "$2" >"$tree/configure" && chmod +x "$tree/configure"; fi
  (cd "$mirror" && dpkg-source -b "$tree") >>"$work/log" 2>&1
}
publish() {
  (cd "$mirror" && dpkg-scansources . >dists/test/main/source/Sources) 2>>"$work/log"
  local file=main/source/Sources
  cd "$mirror/dists/test" || return
  printf 'Suite: test\nCodename: test\nComponents: main\nArchitectures: all\nDate: %s\nSHA256:\n %s %s %s\n' \
    "$(LC_ALL=C date -Ru | sed 's/+0000/UTC/')" "$(sha256sum $file | cut -d' ' -f1)" "$(stat -c %s $file)" $file >Release
  gpg --batch --yes -q --clearsign -o InRelease Release
  cd "$root" || return
}
gpg --batch -q --passphrase '' --quick-generate-key nobody@localhost ed25519 sign never 2>>"$work/log"
gpg --batch -q --export >"$work/key.gpg"
echo "deb [signed-by=$work/key.gpg] copy:$mirror test main" >"$lists/test.list"
make_source sqlite3 3.9-1 README
make_source protobuf 3.1-1 src/file
make_source libzstd 1.9-1 lib/file
make_source libzstd 1.10-1 lib/file
make_source libzstd 1.10-1+u1 lib/file
make_source libsodium 1.0-1 src/file
publish
sources() { WRACKLINE_SOURCE_LISTS=$lists "$root/platform-shims/bindings/wasm/sources" "$out"; }
holds() { [[ $(cat "$out/$1") == "$2" ]] || { echo "$1 is of $(cat "$out/$1")"; return 1; }; }

mv "$mirror"/libzstd_1.10-1* "$work"
nothing_newer() {
  run 0 "took the source of libzstd 1.9-1; newer, and could not be had: 1.10-1+u1 1.10-1" "took the source of protobuf 3.1-1"$'\n' -- sources &&
    holds zstd/lib/file 1.9-1 && holds sqlite3/sqlite3.c 3.9-1 && [[ -d $out/sodium/src && -d $out/protobuf/src ]]
}
check the_newest_source_that_can_be_had_is_taken_and_told nothing_newer
check it_does_nothing_when_all_are_there run 0 -- sources

mv "$work"/libzstd_1.10-1.* "$mirror"
rm -rf "$out/zstd"
check a_source_that_is_there_again_is_taken run 0 "took the source of libzstd 1.10-1; newer, and could not be had: 1.10-1+u1" -- sources

mv "$work"/libzstd_1.10-1+u1.* "$mirror"
for file in "$mirror"/libzstd_1.10-1+u1.tar.*; do printf 'x' | dd of="$file" bs=1 seek=100 conv=notrunc 2>/dev/null; done
rm -rf "$out"
changed() { run 0 "took the source of libzstd 1.10-1; newer, and could not be had: 1.10-1+u1" -- sources && holds zstd/lib/file 1.10-1; }
check a_source_changed_on_the_way_is_not_taken changed

rm -rf "$out" "$mirror"/libzstd_*
check without_any_source_it_says_which_were_tried_and_what_to_do \
  run 1 "the source of libzstd could not be fetched, tried: 1.10-1+u1 1.10-1 1.9-1" "Run this again when the mirror has caught up" -- sources

sed -i 's/^Date: .*/&\nLabel: changed/' "$mirror/dists/test/InRelease"
rm -rf "$out"
check lists_changed_after_they_were_signed_name_nothing run 1 "no list of sources names sqlite3" "Add one of Debian's" -- sources

# ---- Packages of Debian and of npm ------------------------------------------------------------------------
# Programs of those names that note how they were asked, and fail as often as they are told to.
for program in apt-get npm dpkg; do
  cat >"$work/bin/$program" <<'END'
#!/usr/bin/env bash
echo "$(basename "$0") $*" >>"$ASKED"
eval "$ANSWERS"
END
  chmod +x "$work/bin/$program"
done
printf '#!/bin/sh\nexec "$@"\n' >"$work/bin/sudo" && chmod +x "$work/bin/sudo"
export ASKED=$work/asked ANSWERS
again() { : >"$ASKED"; PATH=$work/bin:$PATH run "$@"; }
asked() { [[ $(grep -c -e "$1" "$ASKED") -eq $2 ]] || { cat "$ASKED"; return 1; }; }

ANSWERS='[[ $* == *" update"* ]] || [[ $(grep -c " update" "$ASKED") -eq 1 ]]'
updated() { again 0 -- "$root/tests/apt-again" install thing && asked ' install thing' 2 && asked ' -t ' 0; }
check a_package_that_is_missing_is_asked_for_after_reading_the_lists_anew updated

ANSWERS='[[ $* != *" install"* || $* == *" -t "* ]]'
older() { again 0 "not the newest versions" -- "$root/tests/apt-again" install thing && asked ' install thing' 3; }
check then_the_releases_own_version_is_taken_and_told older

ANSWERS='echo "404 Not Found"; exit 100'
check a_package_that_cannot_be_had_ends_with_what_apt_said again 1 "apt-get install thing failed three times" "404 Not Found" -- "$root/tests/apt-again" install thing

ANSWERS='[[ $0 == */apt-get && $* != *gsw* ]]'
one_by_one() {
  again 1 "these could not be installed: python3-gsw"$'\n' "apt-get install python3-gsw=VERSION" -- env TMPDIR="$work" "$root/tests/install" cross &&
    asked ' install.* python3-pandas$' 1
}
check one_package_that_cannot_be_had_does_not_keep_the_others_away one_by_one

app=$work/app
mkdir -p "$app"
echo '{"packages": {"node_modules/kept": {"version": "1.0.0"}, "node_modules/gone": {"version": "1.0.0"}}}' >"$app/package-lock.json"
ANSWERS='[[ $1 == install ]] && mkdir -p node_modules && sed "s/\(gone.*\)1.0.0/\11.0.1/" package-lock.json >node_modules/.package-lock.json'
moved() {
  again 0 "node_modules/gone 1.0.1, not 1.0.0" -- "$root/tests/npm-packages" "$app" && asked 'npm ci' 2 && asked 'npm install --no-package-lock' 1 &&
    ! grep 1.0.1 "$app/package-lock.json" && ! grep kept "$work/said"
}
check a_version_gone_from_the_registry_is_replaced_by_one_allowed_and_told moved
check npm_is_not_asked_when_all_is_there again 0 -- "$root/tests/npm-packages" "$app"
rm -rf "$app/node_modules"
ANSWERS='echo "npm error 404"; exit 1'
check packages_that_cannot_be_had_end_with_what_to_do again 1 "npm error 404" "Run this again when the registry answers" -- "$root/tests/npm-packages" "$app"
