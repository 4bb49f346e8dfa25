#!/usr/bin/env bash
# Runs the section "A day and a month" of the guide of the command line as it stands, so that it cannot rot.
#
#   tests/cli/walkthrough.sh BUILD_DIR
#
# Every line of its code blocks is run in one shell, in order. A line must end with 0, or with N where its comment
# begins `exit N`. One with a `…` stands for the commands of that name that `wrack review` has just printed, and those
# are run as printed, with what stands behind the `…`. What it makes goes into a scratch folder; the hub it starts is stopped.
# The last line of its output says how many commands ran, or what went wrong.
set -uo pipefail
build=$(cd "${1:?usage: tests/cli/walkthrough.sh BUILD_DIR}" && pwd)
root=$(cd "$(dirname "$0")/../.." && pwd)
guide=platform-shims/apps/cli/README.md
scratch=$(mktemp -d)
finish() {
  local hub
  if hub=$(cat "$scratch/build/demo-centre/hub.pid" 2>/dev/null) && kill "$hub" 2>/dev/null; then
    timeout 20 tail --pid="$hub" -f /dev/null || kill -9 "$hub"
  fi
  rm -rf "$scratch"
}
trap finish EXIT
unset WRACKLINE_DIR WRACKLINE_PERSON WRACKLINE_CLOCK_OFFSET_S

give_up() { echo "$guide, A day and a month: $*"; exit 1; }

# The relative paths of the guide, with a build that has its programs and nothing of an explored demo.
mkdir "$scratch/build"
ln -s "$root/platform-shims" "$scratch/platform-shims"
ln -s "$build/platform-shims" "$build/sync-server" "$scratch/build/"
cd "$scratch" || give_up "no scratch folder"

mapfile -t lines < <(awk '/^## / { here = $0 == "## A day and a month" } here && sub(/^    /, "")' "$root/$guide")

ran=0
run_line() {  # the line, what it must end with
  local wanted=$2 rc=0
  echo "\$ $1"
  eval "$1" >output 2>&1 </dev/null || rc=$?
  cat output
  [[ $rc -eq $wanted ]] || give_up "exit $rc instead of $wanted from: $1 ($(tail -n 1 output))"
  ran=$((ran + 1))
}

for line in "${lines[@]}"; do
  wanted=$(sed -nE 's/.*# exit ([0-9]+).*/\1/p' <<<"$line")
  command=$(sed -E 's/ +#.*$//' <<<"$line")
  case $command in
    ./platform-shims/demo*) run_line "$command --build build" 0 ;;
    *…*)
      # `settle it: wrack settle 8506.26150 value "84.196 kg" --reason "..."`
      wrack review >to-type || give_up "review failed"
      mapfile -t printed < <(sed -n "s/^.*: \(${command%% …*} .*\)\$/\1/p" to-type)
      [[ ${#printed[@]} -gt 0 ]] || give_up "review prints no line to type for: $command"
      for typed in "${printed[@]}"; do run_line "${typed/'"..."'/'"both were asked"'}${command#*…}" 0; done
      ;;
    *) run_line "$command" "${wanted:-0}" ;;
  esac
done
[[ $ran -ge 25 ]] || give_up "only $ran commands were found; is the section still there?"

# The entries of the day are everywhere, and as they were typed.
run_line 'wrack digest --hub' 0
grep -qF "the same" output || give_up "hub and desk differ"
run_line 'wrack review' 0
grep -qF "nothing to review" output || give_up "something is left in the review"
run_line 'wrack intake Sila --from 2026-11-01 --to 2026-11-01 --json' 0
# 2.2 kg less 250 g with 80 g left, and 200 g of training.
grep -qF '"eaten_mg": 2070000' output || give_up "the day's intake is not what was weighed"
[[ -s sila.html && -s meals.csv ]] || give_up "the files of the month are not there"
echo "$ran commands ran"
