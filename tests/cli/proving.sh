# Proofs of who is at a device, in a facility of their own; sourced by run.sh.

the_hub_knows_who_signed_in_and_holds_what_nobody_proved() {
  local own=$work/proving
  serving=
  mkdir "$own"
  out=$("$server" init --dir "$own/hub" --name "Test Pier" --time-zone Etc/UTC --host localhost --admin Ada)
  local code; code=$(sed -n 's/^ *\([B-Z]\{5\}-[B-Z]\{5\}\) .*/\1/p' <<<"$out")
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
    out=$("$@" 2>&1 < <(printf "$pin\n")) || rc=$?
    [[ $rc -eq $wanted ]] || why "exit $rc instead of $wanted from: $* (it said: $out)"
  }

  # The first admin chooses a PIN with the code that init told; what only the hub may write it writes for her.
  with_pin 1 "123456" "$server" set-pin --dir "$own/hub" Ada --reason "easy"; says "stand in a row"
  with_pin 1 "824613" "$server" set-pin --dir "$own/hub" Nobody --reason "who"; says 'no person called "Nobody"'
  expect 2 at desk --as Ada add person name="Dr. Mara Lund" roles=vet; says "the hub writes this; the PIN of Ada is typed on a terminal"
  with_pin 4 "824613" at desk --as Ada add person name="Dr. Mara Lund" roles=vet --pin-stdin; says "Ada has none"
  with_pin 4 "BCDFG-HJKLM\n824613" at desk --as Ada set-pin --pin-stdin
  with_pin 0 "$code\n824613" at desk --as Ada set-pin --pin-stdin; says "Ada has a new PIN"
  with_pin 4 "824614" at desk --as Ada add person name="Dr. Mara Lund" roles=vet --pin-stdin; says "not Ada's"
  with_pin 0 "824613" at desk sign-in Ada --pin-stdin; says "the hub knows so until"
  with_pin 0 "824613" at desk add person name="Dr. Mara Lund" roles=vet --pin-stdin; says "person Dr. Mara Lund"
  local person; person=$(first_id)
  expect 0 at desk trail "$person"; says "by Ada on hub, asked from desk, proven"
  with_pin 0 "824613" at desk add person name="Tove Holm" roles=officer --pin-stdin
  expect 0 at desk attention; says "Dr. Mara Lund"; says "Ada, from desk"; says "was changed at the hub"
  with_pin 0 "824613" at desk add person name="Lone Moe" roles=curator --pin-stdin
  with_pin 0 "824613" at desk pin-code mara --pin-stdin
  code=$(head -n 1 <<<"$out")
  expect 0 at tablet exchange
  with_pin 0 "$code\n604812" at tablet --as mara set-pin --pin-stdin
  # Nobody but an admin, and only with her PIN.
  with_pin 4 "604812" at tablet --as mara add person name="Eve" roles=admin --pin-stdin; says "this is for an admin"
  with_pin 4 "604812" at tablet --as Ada add person name="Eve" roles=admin --pin-stdin; says "not Ada's"
  with_pin 0 "604812" at tablet sign-in mara --pin-stdin; says "the hub knows so until"
  with_pin 0 "824613" at desk pin-code tove --pin-stdin
  code=$(head -n 1 <<<"$out")
  with_pin 0 "$code\n731904" at desk --as tove set-pin --pin-stdin
  with_pin 0 "731904" at desk sign-in tove --pin-stdin
  expect 0 at desk add animal name=Sila
  expect 0 at desk exchange
  expect 0 at tablet exchange

  # Without a proof a plan waits and an observation counts.
  expect 4 at tablet --as tove add pool name="Otter pool"; says "takes care from them and no more"
  expect 0 at tablet --as lone add pool name="Otter pool"
  expect 0 at tablet --as tove add observation animal=Sila text="lively"
  expect 0 at tablet exchange
  expect 0 at tablet held; says "had not proved to the hub"; says "Otter pool"; says_not "lively"
  expect 0 at desk exchange
  expect 0 at desk list pool; says_not "Otter pool"
  expect 0 at desk list observation; says "lively"
  expect 0 at desk report day; says "Tove Holm (not proven)"

  # Somebody has signed in within reach of the hub: what they order counts, and the trail says so.
  expect 0 at tablet --as mara add treatment_order animal=Sila preparation="Tablet 250 mg" dose=250mg route="in fish" slots=08:30 \
    first_day=2024-01-01 ordered_by=mara
  local order; order=$(first_id)
  expect 0 at tablet exchange
  expect 0 at desk exchange
  expect 0 at desk trail "$order"; says "by Dr. Mara Lund on tablet, proven"; says "Proven: its author had proved to the hub"
  expect 0 at desk --json trail "$order"; [[ $(field 'd["entries"][0]["authorship"]') == proven ]] || why "the JSON does not say proven"

  expect 0 at desk list presence; says "Dr. Mara Lund"; says "tablet"

  # An order by telephone names the vet, and is asked about until she says that it is so.
  with_pin 0 "731904" at desk sign-in tove --pin-stdin
  expect 0 at desk add treatment_order animal=Sila preparation="Drops 5 mg/mL" dose=10mg route="in fish" slots=08:30 first_day=2024-01-01 ordered_by=mara
  local phoned; phoned=$(first_id)
  expect 0 at desk show "$phoned"; says "not confirmed by whom it names: Dr. Mara Lund"
  expect 0 at desk attention; says "an order was taken by telephone"
  expect 4 at desk confirm "$phoned"; says "nobody else can give it"
  expect 0 at desk exchange
  expect 0 at tablet exchange
  expect 0 at tablet --as mara confirm "$phoned"; says "confirmed"
  expect 4 at tablet --as mara confirm "$phoned"; says "nothing that waits to be confirmed"
  expect 0 at tablet exchange
  expect 0 at desk exchange
  expect 0 at desk show "$phoned"; says_not "not confirmed"
  expect 0 at desk attention; says_not "an order was taken by telephone"

  expect 0 at desk sign-out --at-hub; says "nobody is signed in"
  expect 0 at desk exchange

  # Out of reach nobody is kept from working.
  kill "$serving"; wait "$serving" || true
  with_pin 6 604812 at desk sign-in mara --pin-stdin; says "does not know Dr. Mara Lund's PIN yet"; says "care can be written in their name"
  expect 0 at desk --as mara add observation animal=Sila text="breathes well"
  expect 4 at desk --as mara correct "$order" instructions="with the first fish" --reason "as always"; says "takes care from them and no more"
  with_pin 4 604813 at tablet sign-in mara --pin-stdin; says "not Dr. Mara Lund's PIN"
  with_pin 0 604812 at tablet sign-in mara --pin-stdin; says "the hub knows so until"
  expect 0 at tablet correct "$order" instructions="with the first fish" --reason "as always"
  with_pin 6 824613 at desk --as Ada add person name="Eve" roles=admin --pin-stdin; says "reaching the hub"
  serve "$port"
  expect 0 at desk exchange
  expect 0 at tablet exchange
  expect 0 at desk exchange
  expect 0 at desk held; says_not "treatment_order"; says_not "breathes well"
  expect 0 at desk report day; says "Dr. Mara Lund (not proven)"
  expect 0 at tablet add observation animal=Sila text="eats well"
  expect 0 at tablet report day; says "Dr. Mara Lund "; says "eats well"
  expect 0 at desk trail "$order"; says "with the first fish"; says_not "device's word"

  # Every device tells whose PIN is tried at the hub.
  expect 0 at tablet attention; says_not "wrong PINs"
  for try in 1 2 3; do
    with_pin 4 "82461$((try + 5))" at desk --as Ada add person name="Eve" roles=keeper --pin-stdin; says "not Ada's"
  done
  expect 0 at tablet exchange
  expect 0 at tablet attention; says "Ada"; says "desk (3)"; says "wrong PINs"
  expect 0 at tablet --json attention; [[ $out == *'"wrong_pins"'* ]] || why "the JSON does not name the rule"
  expect 0 at tablet list pin_warning; says "Ada"
  kill "$serving"; wait "$serving" || true
}
