#!/usr/bin/env bash
# Lays our computations beside those of other people's libraries, on random inputs of a printed seed.
#
#   tests/cross/run.sh BUILD_DIR
#
# Prints `ok`, or `not ok` with the figures, for each function; for each library that is not there a line `SKIPPED`
# with what brings it. A library that is not there has compared nothing, so it is never a pass. `libraries` beside
# this file brings them all. $WRACKLINE_SEED runs a seed again.
set -uo pipefail
build=$(cd "${1:?usage: tests/cross/run.sh BUILD_DIR}" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
figures=$build/tests/cross/wrackline_figures
seed=${WRACKLINE_SEED:-$((RANDOM * 32768 + RANDOM))}
# Debian's own python, whatever else is first on the path: the packages are built for it.
python=/usr/bin/python3
export PYTHONPATH=$build/cross-libraries/usr/lib/python3/dist-packages
export OPENBLAS_NUM_THREADS=1
failed=0

compare() {  # group, what brings it, then the command that tells that it is there, --, and the one that compares
  local group=$1 package=$2
  shift 2
  local there=()
  while [[ $1 != -- ]]; do there+=("$1"); shift; done
  shift
  if ! "${there[@]}" >/dev/null 2>&1; then
    echo "SKIPPED cross $group: $package is not installed, nothing was compared with it; tests/cross/libraries brings it"
  else
    local status=0
    "$@" "$group" "$figures" "$seed" || status=$?
    if [[ $status -ne 0 ]]; then failed=1; fi
    # With 3 it has said itself what differs.
    if [[ $status -ne 0 && $status -ne 3 ]]; then echo "not ok $group: it ended with status $status before its end"; fi
  fi
}

echo "seed $seed; WRACKLINE_SEED=$seed tests/run cross runs it again"
compare gsw python3-gsw "$python" -c 'import gsw' -- "$python" "$here/compare.py"
compare scipy python3-scipy "$python" -c 'import scipy.stats' -- "$python" "$here/compare.py"
compare statsmodels python3-statsmodels "$python" -c 'import statsmodels.api' -- "$python" "$here/compare.py"
compare r r-base-core Rscript --version -- Rscript --vanilla "$here/compare.R"
compare nlme r-cran-nlme Rscript --vanilla -e 'library(nlme)' -- Rscript --vanilla "$here/compare.R"
exit "$failed"
