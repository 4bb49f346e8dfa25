#!/usr/bin/env bash
# Lists what a package was made of, as SPDX 2.3 (JSON), to standard output:
#
#   BUILD=DIR NINJA=PROGRAM COMPILER=PROGRAM SOURCE_DATE_EPOCH=SECONDS sbom.sh PACKAGE VERSION STAGING PART...
#
#   DYNAMIC_LINK            Debian packages whose shared libraries its programs ask for by name
#   RUNTIME_DEPENDENCY_OF   those that these bring along (ldd)
#   BUILD_DEPENDENCY_OF     whose headers were compiled in (what ninja noted of the objects below each PART); Boost, CLI11
#                           and date are headers alone, so this is where they stand
#   BUILD_TOOL_OF           the compiler
#
# The list holds what dpkg knows. dpkg states no licences that a program could read: NOASSERTION.
set -euo pipefail
package=$1 version=$2 staging=$3
shift 3
fail() { echo "sbom.sh: listing what is in $package: $1" >&2; exit 1; }

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Names of the packages that own the files on standard input. With merged /usr a file has two names, and dpkg knows one.
owners() {
  sort -u | xargs -r realpath | awk '{ print } sub("^/usr/lib", "/lib")' | sort -u | { xargs -r dpkg-query -S 2>/dev/null || true; } |
    sed '/^diversion /d; s/: .*//; s/, /\n/g' | sort -u
}

mapfile -t programs < <(find "$staging" -type f ! -name "*.a" -print0 | xargs -0 -r grep -lE $'^\x7fELF' || true)
: >"$work/asked" ; : >"$work/brought"
own_library=""
for program in "${programs[@]}"; do
  # A library of ours lies beside, not yet installed.
  found=$(LD_LIBRARY_PATH=$(dirname "$(find "$staging/.." -name 'libwrackline.so.*' | head -n 1)") ldd "$program")
  if grep -q 'not found' <<<"$found"; then fail "$program asks for what is not there: $(grep 'not found' <<<"$found")"; fi
  if grep -q 'libwrackline\.so' <<<"$found"; then own_library=yes; fi
  grep -oE '/[^ ]+' <<<"$found" | grep -v "^$(realpath "$staging/..")" | grep -v 'libwrackline\.so' >>"$work/brought"
  objdump -p "$program" | awk '$1 == "NEEDED" { print $2 }' >"$work/needed"
  grep -F -f "$work/needed" <<<"$found" | grep -oE '/[^ ]+' | grep -v 'libwrackline\.so' >>"$work/asked"
done
owners <"$work/asked" >"$work/DYNAMIC_LINK"
owners <"$work/brought" | comm -23 - "$work/DYNAMIC_LINK" >"$work/RUNTIME_DEPENDENCY_OF"
"$NINJA" -C "$BUILD" -t deps |
  awk -v parts="^($(IFS='|'; echo "$*"))" '/^[^ ]/ { ours = $1 ~ parts } /^ / && ours && $1 ~ "^/usr/" { print $1 }' |
  sort -u | owners >"$work/BUILD_DEPENDENCY_OF"
[[ -s $work/BUILD_DEPENDENCY_OF ]] || fail "ninja noted no headers of: $*; build first"
readlink -f "$(command -v "$COMPILER")" | owners >"$work/BUILD_TOOL_OF"
cat "$work"/[A-Z]*_* | sort -u | xargs dpkg-query -W -f '${Package} ${Version} ${Architecture}\n' | sort -u >"$work/facts"

# An id has letters, digits, dots and dashes alone; a plus is worth telling apart (libc6, libstdc++6).
id_of() { id=SPDXRef-${1//+/-plus}; id=${id//[^a-zA-Z0-9.]/-}; }
id_of "$package"
package_id=$id
unknown='"filesAnalyzed": false, "downloadLocation": "NOASSERTION", "licenseConcluded": "NOASSERTION", "licenseDeclared": "NOASSERTION", "copyrightText": "NOASSERTION"'
distribution=$(. /etc/os-release && echo "$ID")
{
  printf '  "packages": [\n    {"SPDXID": "%s", "name": "%s", "versionInfo": "%s", "supplier": "Organization: Wrackline developers", %s}' \
    "$package_id" "$package" "$version" "$unknown"
  if [[ -n $own_library ]]; then
    printf ',\n    {"SPDXID": "SPDXRef-own-library", "name": "libwrackline", "versionInfo": "%s", "supplier": "Organization: Wrackline developers", %s}' \
      "$version" "$unknown"
  fi
  while read -r name its_version architecture; do
    id_of "$name"
    in_url=$name@$its_version
    in_url=${in_url//+/%2B} in_url=${in_url//:/%3A} in_url=${in_url//\~/%7E}
    printf ',\n    {"SPDXID": "%s", "name": "%s", "versionInfo": "%s", %s,\n     "externalRefs": [{"referenceCategory": "PACKAGE-MANAGER", "referenceType": "purl", "referenceLocator": "pkg:deb/%s/%s?arch=%s"}]}' \
      "$id" "$name" "$its_version" "$unknown" "$distribution" "$in_url" "$architecture"
  done <"$work/facts"
  printf '\n  ],\n  "relationships": [\n    {"spdxElementId": "SPDXRef-DOCUMENT", "relationshipType": "DESCRIBES", "relatedSpdxElement": "%s"}' "$package_id"
  if [[ -n $own_library ]]; then
    printf ',\n    {"spdxElementId": "%s", "relationshipType": "DYNAMIC_LINK", "relatedSpdxElement": "SPDXRef-own-library"}' "$package_id"
  fi
  for kind in DYNAMIC_LINK RUNTIME_DEPENDENCY_OF BUILD_DEPENDENCY_OF BUILD_TOOL_OF; do
    while IFS=: read -r name _; do
      id_of "$name"
      from=$id to=$package_id
      if [[ $kind == DYNAMIC_LINK ]]; then from=$package_id to=$id; fi
      printf ',\n    {"spdxElementId": "%s", "relationshipType": "%s", "relatedSpdxElement": "%s"}' "$from" "$kind" "$to"
    done < <(sort -u "$work/$kind")
  done
  printf '\n  ]\n}\n'
} >"$work/body"

# The name of a document has to be its own: the same for the same contents.
digest=$(sha256sum "$work/body" | cut -c 1-32)
cat <<EOF
{
  "spdxVersion": "SPDX-2.3",
  "dataLicense": "CC0-1.0",
  "SPDXID": "SPDXRef-DOCUMENT",
  "name": "$package-$version",
  "documentNamespace": "urn:uuid:${digest:0:8}-${digest:8:4}-8${digest:13:3}-8${digest:17:3}-${digest:20:12}",
  "creationInfo": {
    "created": "$(date -u -d "@$SOURCE_DATE_EPOCH" +%Y-%m-%dT%H:%M:%SZ)",
    "creators": ["Organization: Wrackline developers", "Tool: wrackline-sbom-$version"]
  },
EOF
cat "$work/body"
