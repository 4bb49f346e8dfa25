# The scripts beside this one share it; each sources it with the path of wrackline-server in $1. It makes a scratch
# directory, goes there, and cleans up at the end. Checks print `ok NAME` or `not ok NAME: why`; `failed` is 1 when one does.
set -u

server=$(realpath "${1:?usage: $0 PATH-OF-wrackline-server}")
work=$(mktemp -d)
failed=0
pids=()
cleanup() {
  for pid in "${pids[@]}"; do kill -KILL "$pid" 2>/dev/null; done
  rm -rf "$work"
}
trap cleanup EXIT
cd "$work" || exit 1

ok() { echo "ok $1"; }
not_ok() {
  echo "not ok $1: $2"
  failed=1
}
# name, wanted, got
equal() { if [[ $2 == "$3" ]]; then ok "$1"; else not_ok "$1" "wanted '$2', got '${3:0:300}'"; fi; }
# name, pattern, text
contains() { if [[ $3 == *"$2"* ]]; then ok "$1"; else not_ok "$1" "no '$2' in '${3:0:300}'"; fi; }

start() {  # directory, further options of serve; sets pid and port
  local directory=$1
  shift
  rm -f "$directory.port"
  "$server" serve --dir "$directory" --listen 127.0.0.1:0 --port-file "$directory.port" "$@" 2>>"$directory.log" &
  pid=$!
  pids+=("$pid")
  for _ in {1..1500}; do
    [[ -s $directory.port ]] && break
    sleep 0.02
  done
  port=$(cat "$directory.port" 2>/dev/null)
  [[ -n $port ]] || { not_ok "the hub starts" "$(cat "$directory.log")"; exit 1; }
}

stop() {  # sets status
  kill -TERM "$pid"
  wait "$pid"
  status=$?
}
