# Enrolling by a link, and keys that take the place of others. Sourced by run.sh. Each test has a hub of its own, since it
# stops and alters it.

pier_pid=
start_pier() {  # further options of serve; sets pier_pid and pier_at
  rm -f "$work/pier.port"
  "$server" serve --dir "$work/pier" --listen "127.0.0.1:${pier_at##*:}" --port-file "$work/pier.port" >>"$work/pier.log" 2>&1 &
  pier_pid=$!
  for _ in {1..1500}; do [[ -s $work/pier.port ]] && break; sleep 0.02; done
  [[ -s $work/pier.port ]] || why "the hub does not start: $(tail -n 1 "$work/pier.log")"
  pier_at=127.0.0.1:$(<"$work/pier.port")
}
stop_pier() {
  kill "$pier_pid" 2>/dev/null || return 0
  wait "$pier_pid" 2>/dev/null || true
}
make_pier() {
  rm -rf "$work/pier" "$work/north" "$work/south"
  pier_at=127.0.0.1:0
  expect 0 "$server" init --dir "$work/pier" --name "Test Pier" --time-zone Europe/Oslo --host 127.0.0.1 --admin "Ada Moe" --no-proofs
  trap stop_pier EXIT
  start_pier
}
link() { "$server" code --dir "$work/pier" --link --hub "$pier_at" 2>/dev/null | grep '^WRACKLINE'; }
north() { "$wrack" --dir "$work/north" --as "Ada Moe" "$@"; }
south() { "$wrack" --dir "$work/south" --as "Ada Moe" "$@"; }
pier_key() { "$server" devices --dir "$work/pier" | sed -n "s/^The hub's key is \(.*\)\.$/\1/p"; }

a_link_is_all_a_device_needs_and_a_false_one_keeps_the_code() {
  make_pier
  local right false; right=$(link)
  false=${right/ENROL\/?/ENROL/Z}
  expect 2 "$wrack" --dir "$work/north" enrol --link "$false" --device north; says "64 hexadecimal digits"
  false=${right%/*}; false=${false%?}; false=$false$([[ $right == "$false"0* ]] && echo 1 || echo 0)/${right##*/}
  expect 6 "$wrack" --dir "$work/north" enrol --link "$false" --device north; says "nothing was sent"; says "not the one that the link names"
  [[ ! -e $work/north/hub.pem && ! -e $work/north/records.db ]] || why "something of a false hub was kept"
  if grep -q v1/enrol "$work/pier.log"; then why "the code was sent"; fi
  expect 0 "$wrack" --dir "$work/north" enrol --link "$right" --device north; says 'enrolled as "north" at Test Pier'
  cmp "$work/north/hub.pem" "$work/pier/tls-cert.pem" || why "another certificate was kept"
  expect 0 north exchange
  expect 2 "$wrack" --dir "$work/south" enrol --device south; says "--link"
}

a_device_goes_on_under_another_key() {
  make_pier
  expect 0 "$wrack" --dir "$work/north" enrol --link "$(link)" --device north
  expect 0 "$wrack" --dir "$work/south" enrol --link "$(link)" --device south
  expect 0 north add person name="Ines Vik" roles=keeper
  cp "$work/north/device.key" "$work/stolen.key"
  stop_pier
  expect 0 north add person name="Ivar Moe" roles=keeper
  expect 6 north rekey
  start_pier
  expect 0 north rekey; says "another key"; says "sent"
  if cmp -s "$work/north/device.key" "$work/stolen.key"; then why "the key is the old one"; fi
  [[ ! -e $work/north/device.key.next ]] || why "the new key lies beside"
  expect 0 north add person name="Siv Rud" roles=vet
  expect 0 north exchange
  expect 0 south exchange; expect 0 south people; says "Ines Vik"; says "Ivar Moe"; says "Siv Rud"
  expect 0 south digest --hub; says "the same"
  expect 0 "$server" devices --dir "$work/pier"; says "key replaced"; says "continues "
  expect 0 north verify
  # The thief of the old key.
  cp -r "$work/north" "$work/thief"; cp "$work/stolen.key" "$work/thief/device.key"
  expect 5 "$wrack" --dir "$work/thief" people; says "not the one this database was made with"
  # A change that was cut off when the hub had agreed and the answer was lost: the next goes on with the same key.
  expect 0 north rekey --json
  field 'd["refusals"]' | grep -qx '\[\]' || why "something was refused"
  rm -rf "$work/thief"
}

a_hubs_key_is_replaced_by_plan_and_when_it_is_lost() {
  make_pier
  expect 0 "$wrack" --dir "$work/north" enrol --link "$(link)" --device north
  expect 0 "$wrack" --dir "$work/south" enrol --link "$(link)" --device south
  expect 0 north add person name="Ines Vik" roles=keeper; expect 0 north exchange
  expect 1 "$server" rekey --dir "$work/pier" --by "Ada Moe" --reason "every two years"; says "stop it first"
  stop_pier
  local first second third; first=$(pier_key)
  expect 0 "$server" rekey --dir "$work/pier" --by "Ada Moe" --reason "every two years"; says "Devices follow"
  second=$(pier_key); [[ $first != "$second" ]] || why "the key is the same"
  start_pier
  expect 0 north exchange; says_not "not taken in"
  expect 0 "$server" devices --dir "$work/pier"; says "(hub, before)"; says "(hub, continues"
  # One that has not met the hub since hears of it by bundle.
  expect 0 north bundle export "$work/k.bundle"; expect 0 south bundle import "$work/k.bundle"
  expect 0 south digest --hub; says "the same"
  # Lost: each device is told by a person.
  stop_pier; rm "$work/pier/hub.key"
  expect 0 "$server" rekey --dir "$work/pier" --by "Ada Moe" --reason "the disk was stolen" --lost; says "wrack repin"
  third=$(pier_key)
  start_pier
  expect 0 north add person name="Siv Rud" roles=vet
  expect 1 north exchange; says "$third"; says "repin"
  expect 4 north repin --hub-key "$third"; says "pinned here is $first"; says "is to be $third"; says "--yes"
  expect 2 north repin --hub-key "${third%?}"; says "64 hexadecimal digits"
  expect 0 north --yes repin --hub-key "$third"; says "all records stay"
  expect 0 north exchange; says_not "repin"
  expect 1 south exchange
  expect 0 south --yes repin --link "$(link)"; says "all records stay"
  expect 0 south repin --link "$(link)"; says "known here already"
  expect 0 north digest --hub; says "the same"; expect 0 south digest --hub; says "the same"
  expect 0 south verify; expect 0 south people; says "Ines Vik"; says "Siv Rud"
  expect 0 "$wrack" --dir "$work/north" devices; says "south"
}
