# Photographs and documents attached to records; sourced by run.sh, whose helpers it uses.

picture() {  # size in bytes, file: begins as a JPEG does, the rest by chance
  { printf '\xff\xd8\xff\xe0'; head -c $(($1 - 4)) /dev/urandom; } >"$2"
}

files_are_attached_sent_and_fetched() {
  picture 2400000 "$work/flipper.jpg"
  printf 'Blood, 12 May: Hb 14.2 g/dl\n' >"$work/report.txt"
  expect 0 tablet observe Sila --code wound "left flipper"
  local seen photo paper
  seen=$(first_id)
  expect 0 tablet attach "$work/flipper.jpg" --to "$seen" --note "before the bath"
  says "attachment flipper.jpg"; says "The picture goes to the hub as it is"
  photo=$(first_id)
  expect 0 tablet attach "$work/report.txt" --to Sila; says_not "The picture goes"
  paper=$(first_id)
  expect 0 tablet attachments --no-hub; says "2.4 MB"; says "What the hub has is not known"
  expect 0 tablet attachments "$seen"; says "before"; says_not "report.txt"
  expect 0 tablet attachments Sila; says "report.txt"; says "here, not sent yet"; says_not "flipper"
  expect 0 tablet show "$photo"; says "2400000"; says "$(sha256sum <"$work/flipper.jpg" | cut -c1-64)"
  expect 0 tablet list attachment --of Sila; says "report.txt"; says_not "flipper.jpg"
  expect 0 tablet trail "$photo"; says "Ines Vik"

  # The desk hears of it before the file has come.
  expect 0 tablet exchange --no-files; says_not "files:"
  expect 0 desk exchange
  expect 0 desk attachments Sila; says "not at the hub yet"
  expect 3 desk fetch "$photo"; says "does not have all of it yet"
  expect 0 tablet exchange; says "files: 2 sent, 2.4 MB"
  expect 0 tablet exchange; says_not "files:"
  expect 0 tablet attachments Sila; says_not "not sent"
  expect 0 desk attachments "$seen" --json
  [[ $(field '[d["attachments"][0][k] for k in ("name", "bytes", "here", "at_hub")]') == "['flipper.jpg', 2400000, False, True]" ]] || why "JSON: $out"
  expect 0 desk fetch "$photo" --to "$work/fetched.jpg"; says "fetched flipper.jpg, 2.4 MB"
  cmp "$work/flipper.jpg" "$work/fetched.jpg" || why "what was fetched is not what was attached"
  expect 4 desk fetch "$photo" --to "$work/fetched.jpg"; says "left as it is"
  expect 0 desk fetch "$photo"; says "already here"
  expect 0 desk fetch "$paper" --to "$work/fetched.txt"; says "28 bytes"
  cmp "$work/report.txt" "$work/fetched.txt" || why "the text is not what was attached"
  expect 4 desk fetch "$seen"; says "has no file"
  [[ -z $(find "$work/tablet/blobs" "$work/hub/blobs" -perm /077) ]] || why "others can read the files"

  # The bytes are in no database, bundle or backup, and that is said.
  for database in "$work"/*/*.db "$work"/*/*.db-wal; do
    [[ ! -e $database ]] || ! grep -qF "$(head -c 400 "$work/fetched.txt")" "$database" || why "the file is in $database"
  done
  expect 0 "$server" backup --dir "$work/hub" --to "$work/with-files.db"; says "not in it: copy $work/hub/blobs"
  expect 0 "$server" retention --dir "$work/hub"; says "attachment"; says "2 files of 2400028 bytes"

  # A table of attachments goes out and comes in as that of any kind.
  expect 0 desk export attachment --csv "$work/attachments.csv"
  expect 4 desk import attachment "$work/attachments.csv"; says "already"
  expect 0 desk strike "$paper" --reason "of another animal"
  expect 0 desk attachments; says_not "report.txt"

  # A path that leads to no file is refused.
  expect 3 tablet attach "$work/nothing.jpg" --to Sila
  : >"$work/empty.jpg"
  expect 4 tablet attach "$work/empty.jpg" --to Sila; says "is empty"
  printf 'MZ\x90\x00\x03' >"$work/program.jpg"
  expect 4 tablet attach "$work/program.jpg" --to Sila; says "not its name"
  truncate -s 67108865 "$work/large.jpg"
  expect 4 tablet attach "$work/large.jpg" --to Sila; says "64 MiB"
  expect 2 tablet attach "$work" --to Sila; says "is no file"
  expect 3 tablet attach "$work/report.txt" --to Nobody
}

# A hub of its own, since it is stopped and started: its second argument is the room it has for files.
narrow_hub() {  # port, bytes
  "$server" serve --dir "$work/narrow" --listen "127.0.0.1:$1" --port-file "$work/narrow.port" --blobs-max "$2" 2>>"$work/narrow.log" &
  narrow_pid=$!
  until [[ -s $work/narrow.port ]]; do kill -0 "$narrow_pid" || why "the hub does not start: $(tail -n 1 "$work/narrow.log")"; sleep 0.05; done
}

files_wait_for_records_and_never_the_other_way_round() {
  local photo part port
  picture 1200000 "$work/second.jpg"
  expect 0 "$server" init --dir "$work/narrow" --name "Narrow Bay" --time-zone Europe/Oslo --host 127.0.0.1 --admin Ada --no-proofs
  narrow_hub 0 1000000
  trap 'kill "$narrow_pid" 2>/dev/null || true' EXIT  # In the subshell of this test.
  port=$(<"$work/narrow.port")
  local first=("$wrack" --dir "$work/first" --as "Ines Vik") second=("$wrack" --dir "$work/second" --as "Ines Vik") device
  for device in first second; do
    expect 0 "$wrack" --dir "$work/$device" enrol --hub "127.0.0.1:$port" --cert "$work/narrow/tls-cert.pem" \
      --code "$("$server" code --dir "$work/narrow" 2>/dev/null | head -n 1)" --device "$device"
  done
  expect 0 "$wrack" --dir "$work/first" --as Ada add person name="Ines Vik" roles=keeper,curator
  expect 0 "${first[@]}" add animal name=Kobb
  expect 0 "${first[@]}" attach "$work/second.jpg" --to Kobb
  photo=$(first_id)
  # A hub that may hold no more: the records go through, and the file is told of in a line.
  expect 0 "${first[@]}" exchange; says "files: 1 left to send"; says "The records are exchanged all the same"
  expect 0 "${first[@]}" exchange --json
  [[ $(field '[d["unsent"], d["files"]["sent"], d["files"]["left"]]') == "[0, 0, 1]" ]] || why "JSON: $out"
  expect 0 "${second[@]}" exchange
  expect 0 "${second[@]}" show "$photo"; says "second.jpg"
  kill "$narrow_pid"; wait "$narrow_pid"
  expect 0 "${second[@]}" attachments; says "not here; hub not"; says "What the hub has is not known"
  expect 6 "${second[@]}" fetch "$photo"
  rm "$work/narrow.port"
  narrow_hub "$port" 5000000
  expect 0 "${first[@]}" exchange; says "files: 1 sent, 1.2 MB"

  # A fetch that was cut off goes on; what is spoilt on the disk is found out.
  part=$(sha256sum <"$work/second.jpg" | cut -c1-64)
  mkdir -p "$work/second/blobs/${part:0:2}"
  head -c 700000 "$work/second.jpg" >"$work/second/blobs/${part:0:2}/$part.part"
  expect 0 "${second[@]}" attachments Kobb; says "at the hub; 700 kB here"
  expect 0 "${second[@]}" fetch "$photo" --to "$work/second-again.jpg"
  cmp "$work/second.jpg" "$work/second-again.jpg" || why "a fetch that went on is not what was attached"
  printf x | dd of="$work/first/blobs/${part:0:2}/$part" bs=1 seek=99 conv=notrunc status=none
  expect 5 "${first[@]}" fetch "$photo" --to "$work/spoilt.jpg"; says "no longer what its hash says"
  [[ ! -e $work/spoilt.jpg ]] || why "a spoilt file was written"
  kill "$narrow_pid"; wait "$narrow_pid"
}
