#!/usr/bin/env bash
# A script can see some faults of plain words. This one looks for them in comments, in test names and in documents.
#
#   tests/words.sh [DIR]    looks at the tree in DIR, or else at the tree it stands in
#
# A comment must not begin with one of the words of $fragment: such a comment is half a sentence, and its reader has to
# find the other half in the code. After the tree it looks at copies of a small tree, each with one mistake planted, and
# fails unless it names that mistake. Prints `ok NAME` or `not ok NAME: why`.
set -uo pipefail
tree=$(cd "${1:-$(dirname "$0")/..}" && pwd) || exit
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
trap 'exit 1' INT TERM HUP

fragment='What|Of|As|Whose|By'
columns=110     # The widest line of a document.
characters=90   # The longest name of a test.
export fragment columns characters

check() {  # name, command...: one test; the command's words are shown when it fails
  local name=$1
  shift
  if "$@" >"$work/said" 2>&1; then echo "ok $name"; else
    cat "$work/said"
    echo "not ok $name: see above"
  fi
}

# Names the files of the tree that match a pattern, without those that a build made: git knows which they are.
files() {  # pattern
  if [[ -e .git ]]; then git ls-files --cached --others --exclude-standard | sed 's|^|./|'; else find . -type f; fi |
    grep -E "$1" | grep -v '^\./tests/fuzz/corpus/' | sort | while IFS= read -r file; do if [[ -f $file ]]; then echo "$file"; fi; done
}
# Runs a program of Perl over files: $file is the name, $_ is all of the text, and line_of($at) counts its lines. Each
# complaint is a line that it prints; it fails when there is one, and also when there was no file to look at.
over() {  # program, files...
  local program=$1 found
  shift
  [[ $# -gt 0 ]] || { echo "there is no file to look at"; return 1; }
  found=$(perl -CSDA -Mutf8 -e '
    undef $/;
    sub line_of { 1 + (substr($_, 0, $_[0]) =~ tr/\n//) }
    sub found { my ($at, $why) = @_; printf "%s:%d: %s\n", substr($file, 2), line_of($at), $why }
    for $file (@ARGV) { open my $in, "<", $file or die "$file: $!"; local $_ = <$in>; '"$program"' }' -- "$@" 2>&1)
  [[ -z $found ]] || { echo "$found"; return 1; }
}

# The first line of a comment, or of a paragraph in it, is one that no other line of a comment comes before.
comments() {
  local slashes hashes result=0
  mapfile -t slashes < <(files '\.(h|cc|c|hpp|cpp|ts|tsx|mjs|js|css|proto|java)$')
  mapfile -t hashes < <(files '(\.(sh|py|cmake|R|service)|CMakeLists\.txt)$'; with_interpreter)
  over 'my ($at, $inside) = (0, 0);
    for my $line (split /\n/) {
      my $is_whole = $line =~ m{^\s*(?://+!?<?|\{?/\*+|\*(?!/))\s*(.*)};
      my $text = $is_whole ? $1 : $line =~ m{[^\s:]\s*(?://+!?<?|/\*+)\s(.*)} ? $1 : "";
      found($at, "a comment begins with \"$1\"") if !$inside && $text =~ /^($ENV{fragment})\b/;
      $inside = $is_whole && $text =~ /\w/;
      $at += 1 + length $line;
    }' "${slashes[@]}" || result=1
  over 'my ($at, $inside) = (0, 0);
    for my $line (split /\n/) {
      my $is_whole = $line =~ /^\s*#+(?!!)\s*(.*)/;
      my $text = $is_whole ? $1 : $line =~ /\S\s+#\s(.*)/ ? $1 : "";
      found($at, "a comment begins with \"$1\"") if !$inside && $text =~ /^($ENV{fragment})\b/;
      $inside = $is_whole && $text =~ /\w/;
      $at += 1 + length $line;
    }' "${hashes[@]}" || result=1
  return $result
}
# A script without an ending in its name has its interpreter in its first line.
with_interpreter() {
  local file
  for file in $(files '/[a-z0-9_-]+$'); do
    if [[ $(head -c 2 "$file" | tr -d '\0') == '#!' ]] && ! head -n 1 "$file" | grep -q node; then echo "$file"; fi
  done
}

# Test names stand in the macros of Catch2, as snake_case words of scripts, and in quotes after a script's own checks.
names() {
  local cases scripts result=0
  mapfile -t cases < <(files '^\./.*\.cc$')
  mapfile -t scripts < <(files '^\./tests/.*\.(sh|mjs)$')
  over 'while (/\b(?:TEST_CASE|SECTION)\(\s*((?:"(?:[^"\\]|\\.)*"\s*)+)/g) {
      my ($at, $name) = ("$-[0]", "$1");
      $name = join "", $name =~ /"((?:[^"\\]|\\.)*)"/g;
      found($at, length($name) . " characters: $name") if length $name > $ENV{characters};
    }' "${cases[@]}" || result=1
  over 'while (/\b([a-z0-9]+(?:_[a-z0-9]+)+)\b|^\s*(?:if .*; then )?(?:check|contains|equal|between|ends|says|ok|not_ok) "([^"]*)"/gm) {
      my $name = $1 // $2;
      found($-[0], length($name) . " characters: $name") if length $name > $ENV{characters};
    }' "${scripts[@]}" || result=1
  return $result
}

documents() { files '\.md$'; }
widths() {
  local all
  mapfile -t all < <(documents)
  over 'while (/^(.*)$/gm) { found($-[0], length($1) . " columns") if length $1 > $ENV{columns} }' "${all[@]}"
}
links() {
  local all
  mapfile -t all < <(documents)
  over 'while (/\]\((?!\w+:|#)([^)#\s]+)[^)]*\)/g) {
      my ($at, $link) = ("$-[0]", "$1");
      my $directory = $file =~ s{/[^/]*$}{}r;
      found($at, "the link $link points to nothing") unless -e "$directory/$link";
    }' "${all[@]}"
}
# Documents name a file from the root of the tree, from where they stand, or as an include of the core does.
paths() {
  local all
  mapfile -t all < <(documents)
  over 's/^```.*?^```$/$& =~ tr{\n}{}cdr/gmse;
    while (/`((?:[^`\n]|\n(?!\n))+)`/g) {
      my ($at, $quoted) = ("$-[0]", "$1");
      my $directory = $file =~ s{/[^/]*$}{}r;
      for my $path (split /[\s=]+/, $quoted) {
        next unless $path =~ m{^(?:\./)?[a-z][\w.-]*(?:/[\w.-]+)*/[\w.-]+\.[a-z]+$} && $path !~ m{^build|[A-Z]{3}};
        found($at, "there is no $path") unless grep { -e "$_/$path" } ".", $directory, "core";
      }
    }' "${all[@]}"
}

cd "$tree" || exit
check no_comment_begins_with_a_fragment comments
check test_names_are_short_enough_to_read_at_once names
check lines_of_documents_are_not_too_wide widths
check links_of_documents_lead_to_files links
check paths_in_documents_exist paths

# ---- Planted mistakes -------------------------------------------------------------------------------------
plant() {  # file, text: a small tree without a fault, and one more file in it
  rm -rf "$work/planted"
  mkdir -p "$work/planted/tests/cli" "$work/planted/core" && cd "$work/planted" || return
  printf '// A small tree has a comment. What follows in the same paragraph may begin with any word.\n' >core/good.h
  printf 'TEST_CASE("a name is short",\n          "[tag]") {}\n' >core/good_test.cc
  printf '#!/bin/sh\n# It has a script.\ncheck a_name\n' >tests/cli/good.sh
  printf '# A document\n\nThe file `core/good.h` is [here](core/good.h), `good.h` has no directory.\n' >README.md
  if [[ $# -gt 0 ]]; then printf '%b' "$2" >"$1"; fi
}
# Only the check that the mistake is for may find it, and it must name the file.
finds() {  # the check that must find it, file, text
  local one
  plant "$2" "$3" || return
  for one in comments names widths links paths; do
    if "$one" >"$work/found" 2>&1; then
      if [[ $one == "$1" ]]; then echo "$1 did not find it"; return 1; fi
    elif [[ $one != "$1" ]] || ! grep -q "^$2:" "$work/found"; then
      cat "$work/found"
      echo "$one complained"
      return 1
    fi
  done
}
finds_nothing() {
  local one
  plant || return
  for one in comments names widths links paths; do "$one" || return; done
}
long=$(printf 'x%.0s' {1..60})
check a_tree_without_mistakes_is_let_through finds_nothing
check a_fragment_above_code_is_found finds comments core/bad.h '// What it holds.\nint held;\n'
check a_fragment_behind_code_is_found finds comments core/bad.proto 'uint32 kind = 1;  // Of the entry.\n'
check a_fragment_in_a_block_is_found finds comments core/bad.ts '/**\n * Whose it is.\n */\n'
check a_fragment_in_a_second_paragraph_is_found finds comments core/bad.cc '// A file.\n//\n// As long as it is.\n'
check a_fragment_in_a_script_is_found finds comments tests/cli/bad.sh 'true  #\x20By hand.\n'
check a_fragment_in_a_script_without_ending_is_found finds comments tests/bad '#!/bin/sh\n# What it does.\n'
check a_long_name_of_a_case_is_found finds names core/bad_test.cc "TEST_CASE(\n    \"$long \"\n    \"$long\", \"[tag]\") {}\n"
check a_long_name_in_a_script_is_found finds names tests/cli/bad.sh "check ${long}_$long\n"
check a_long_name_in_quotes_is_found finds names tests/cli/bad.sh "equal \"$long $long\" 1 1\n"
check a_long_name_of_a_step_is_found finds names tests/bad.mjs "await step(\"${long}_$long\", act);\n"
check a_wide_line_is_found finds widths core/bad.md "$long $long\n"
check a_link_to_nothing_is_found finds links core/bad.md 'See [this](../nowhere.md#part).\n'
check a_path_to_nothing_is_found finds paths core/bad.md 'See `cat core/nowhere.h`.\n'
