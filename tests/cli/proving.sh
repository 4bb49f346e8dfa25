# Proofs of who is at a device, in a facility of their own; sourced by run.sh.

the_hub_knows_who_signed_in_and_holds_what_nobody_proved() {
  local own=$work/proving
  serving=
  mkdir "$own"
  "$server" init --dir "$own/hub" --name "Test Pier" --time-zone Etc/UTC --host localhost --admin Ada >/dev/null
  serve() {
    rm -f "$own/port"
    "$server" serve --dir "$own/hub" --listen "127.0.0.1:${1:-0}" --port-file "$own/port" >>"$own/log" 2>&1 &
    serving=$!
    trap 'kill "$serving" 2>/dev/null || true' EXIT
    for _ in {1..200}; do [[ -s $own/port ]] && break; sleep 0.05; done
  }
  serve
  local port; port=$(<"$own/port")
  for device in desk tablet; do
    expect 0 "$wrack" --dir "$own/$device" enrol --hub "localhost:$port" --cert "$own/hub/tls-cert.pem" \
      --code "$("$server" code --dir "$own/hub" 2>/dev/null | head -n 1)" --device "$device"
  done
  at() { local device=$1; shift; "$wrack" --dir "$own/$device" "$@"; }
  with_pin() {  # exit code, PIN, command
    local wanted=$1 pin=$2 rc=0
    shift 2
    out=$("$@" 2>&1 <<<"$pin") || rc=$?
    [[ $rc -eq $wanted ]] || why "exit $rc instead of $wanted from: $* (it said: $out)"
  }

  # The first PIN is given at the hub; the admin signs in, gives a vet a PIN, and switches the rule on.
  with_pin 0 824613 "$server" set-pin --dir "$own/hub" Ada --reason "her first"; says "Ada has a new PIN"
  with_pin 1 1234 "$server" set-pin --dir "$own/hub" Ada --reason "easy"; says "stand in a row"
  with_pin 1 824613 "$server" set-pin --dir "$own/hub" Nobody --reason "who"; says 'no person called "Nobody"'
  expect 0 at desk exchange
  with_pin 0 824613 at desk sign-in Ada --pin-stdin; says_not "the hub"
  expect 0 at desk --as Ada add person name="Dr. Mara Lund" roles=vet
  expect 0 at desk --as Ada add person name="Tove Holm" roles=officer
  with_pin 0 604812 at desk --as Ada set-pin mara --reason "her first" --pin-stdin
  expect 0 at desk --as Ada correct "$(at desk --json list facility | python3 -c 'import json,sys; print(json.load(sys.stdin)["records"][0]["record"])')" \
    proof_required=yes --reason "orders are to be proven"
  expect 0 at desk --as tove add animal name=Sila
  expect 0 at desk exchange
  expect 0 at tablet exchange

  # Without a proof a plan waits and an observation counts.
  expect 0 at tablet --as tove add pool name="Otter pool"
  expect 0 at tablet --as tove add observation animal=Sila text="lively"
  expect 0 at tablet exchange
  expect 0 at tablet held; says "had not proved to the hub"; says "Otter pool"; says_not "lively"
  expect 0 at desk exchange
  expect 0 at desk list pool; says_not "Otter pool"
  expect 0 at desk list observation; says "lively"

  # Somebody signs in within reach of the hub: what they order counts, and the trail says so.
  with_pin 0 604812 at tablet sign-in mara --pin-stdin; says "the hub knows so until"
  expect 0 at tablet --as mara add treatment_order animal=Sila preparation="Tablet 250 mg" dose=250mg route="in fish" slots=08:30 \
    first_day=2024-01-01 ordered_by=mara
  local order; order=$(first_id)
  expect 0 at tablet exchange
  expect 0 at desk exchange
  expect 0 at desk trail "$order"; says "by Dr. Mara Lund on tablet, proven"; says "Proven: its author had proved to the hub"
  expect 0 at desk --json trail "$order"; [[ $(field 'd["entries"][0]["authorship"]') == proven ]] || why "the JSON does not say proven"

  expect 0 at desk list presence; says "Dr. Mara Lund"; says "tablet"

  # Out of reach nobody is kept from working.
  kill "$serving"; wait "$serving" || true
  with_pin 0 604812 at desk sign-in mara --pin-stdin; says "the hub does not know so"; says "count all the same"
  expect 0 at desk --as mara add observation animal=Sila text="breathes well"
  expect 0 at desk --as mara correct "$order" instructions="with the first fish" --reason "as always"
  serve "$port"
  expect 0 at desk exchange
  expect 0 at desk held; says "treatment_order"; says_not "breathes well"
  kill "$serving"; wait "$serving" || true
}
