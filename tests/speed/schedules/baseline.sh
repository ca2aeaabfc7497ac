#!/bin/bash
# Times a plain CP model under a general CP solver on the published projects, for the ratios that speed_schedules
# prints. The solver (Debian: minizinc, with Gecode) serves as a yardstick only; nothing of ours uses it.
#
#   tests/speed/schedules/baseline.sh PROGRAM SCHEDULES SECONDS EVERY SETS > times.csv
#   e.g. tests/speed/schedules/baseline.sh build/release/speed_schedules ../shared/schedules 5 8 "j30 sm_j30" > times.csv
#        build/release/speed_schedules --seconds 5 --baseline times.csv
# One line a case: set,instance,closed|open,CPU seconds (the model's flattening is not counted: only the search).
set -eu
program=$1 schedules=$2 seconds=$3 every=$4 sets=$5
command -v minizinc >/dev/null || { apt-get install -y --no-install-recommends minizinc fzn-gecode >&2 2>/dev/null || apt-get install -y --no-install-recommends minizinc >&2; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
for set in $sets; do
  i=0
  for file in $(ls "$schedules/$set"/*.txt | sort); do
    i=$((i + 1))
    [ $(((i - 1) % every)) -eq 0 ] || continue
    "$program" --data "$file" >"$work/case.dzn"
    if ! minizinc --solver gecode -c "$schedules/baseline.mzn" "$work/case.dzn" --fzn "$work/case.fzn" --ozn "$work/case.ozn" >"$work/flat" 2>&1; then
      echo "$set,$(basename "$file" .txt),open,0" ; continue
    fi
    TIMEFORMAT=%U
    # The limit is on CPU time, as ours is: on a busy machine a limit on the clock would cut the search short.
    used=$( { time bash -c "ulimit -t $seconds; exec fzn-gecode $work/case.fzn >$work/out" || true; } 2>&1 | tail -1)
    state=open
    grep -q -e '^==========' -e '=====UNSATISFIABLE' "$work/out" && state=closed
    grep -q 'UNSATISFIABLE' "$work/flat" && state=closed
    echo "$set,$(basename "$file" .txt),$state,$used"
  done
done
