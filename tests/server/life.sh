#!/usr/bin/env bash
# The life of a hub through its commands: codes as pictures, backup and restore, revoking, a renewed certificate, a
# stop under load. Real processes on the loopback.
#
#   life.sh PATH-OF-wrackline-server
#
# Prints `ok NAME` or `not ok NAME: why` for each check; fails when one does.
source "$(dirname "$0")/helpers.sh"

exits() {  # name, status, command
  local name=$1 wanted=$2 got
  shift 2
  out=$("$@" 2>&1)
  got=$?
  if [[ $wanted == "$got" ]]; then ok "$name"; else not_ok "$name" "exit $got instead of $wanted: ${out:0:300}"; fi
}

exits "a hub can be made" 0 "$server" init --dir hub --name "Test Pier" --time-zone Europe/Oslo --host hub.test --admin Ada --no-proofs
start hub

# ---- Codes as pictures ----------------------------------------------------------------------------------

# Modules of a picture, as rows of 0 and 1, on standard input; a PGM that a camera's software reads.
cat >to_pgm.py <<'PY'
import sys
rows = [line.strip() for line in sys.stdin]
scale = 6
print("P2", len(rows[0]) * scale, len(rows) * scale, 255, sep="\n")
for row in rows:
    line = " ".join(" ".join(["0" if c == "1" else "255"] * scale) for c in row)
    for _ in range(scale):
        print(line)
PY
cat >halves.py <<'PY'
import sys
drawn_is_dark = sys.argv[1] == "inverted"
halves = {" ": (0, 0), "\u2580": (1, 0), "\u2584": (0, 1), "\u2588": (1, 1)}
for line in sys.stdin.read().splitlines():
    for half in (0, 1):
        print("".join(str(halves[c][half] if drawn_is_dark else 1 - halves[c][half]) for c in line))
PY
cat >svg.py <<'PY'
import re, sys
text = sys.stdin.read()
side = int(re.search(r'viewBox="0 0 (\d+)', text).group(1))
dark = {(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1", text)}
for y in range(side):
    print("".join("1" if (x, y) in dark else "0" for x in range(side)))
PY
picture=$("$server" code --dir hub --link --qr --hub Hub.Test:9000 2>/dev/null)
code=$(sed -n 1p <<<"$picture")
link=$(sed -n 2p <<<"$picture")
fingerprint=$(openssl x509 -in hub/tls-cert.pem -noout -fingerprint -sha256 | sed 's/.*=//; s/://g')
equal "a link names host, port, certificate and code" "WRACKLINE://HUB.TEST:9000/ENROL/$fingerprint/${code/-/}" "$link"
sed 1,2d <<<"$picture" | python3 halves.py normal | python3 to_pgm.py >terminal.pgm
equal "a camera reads it from the terminal" "$link" "$(zbarimg -q --raw terminal.pgm 2>/dev/null)"
picture=$("$server" code --dir hub --link --qr --inverted --qr-svg code.svg 2>/dev/null)
link=$(sed -n 2p <<<"$picture")
contains "host and port come from the certificate when none are given" "WRACKLINE://HUB.TEST:8443/ENROL/" "$link"
sed 1,2d <<<"$picture" | python3 halves.py inverted | python3 to_pgm.py >terminal.pgm
equal "and from a light terminal" "$link" "$(zbarimg -q --raw terminal.pgm 2>/dev/null)"
python3 svg.py <code.svg | python3 to_pgm.py >svg.pgm
equal "and from the SVG file" "$link" "$(zbarimg -q --raw svg.pgm 2>/dev/null)"
exits "a picture is written over no file" 1 "$server" code --dir hub --qr-svg code.svg
exits "a link needs a proper host" 1 "$server" code --dir hub --link --hub "no host:1"
codes=("$code" "${code/-/}" "${link##*/}")

# ---- Devices, backup, verify, restore, by their commands --------------------------------------------------

exits "devices are listed" 0 "$server" devices --dir hub
contains "the hub is one of them" "(hub)" "$out"
exits "nobody can be revoked who is not there" 1 "$server" revoke --dir hub "tablet 9" --reason lost
exits "revoking needs a reason" 2 "$server" revoke --dir hub "tablet 9"
exits "a serving hub is backed up" 0 "$server" backup --dir hub --to one.db --with-keys
exits "never over a file" 1 "$server" backup --dir hub --to one.db
exits "a backup verifies" 0 "$server" verify --backup one.db --dir hub
contains "and says so in a word" "GOOD" "$out"
exits "by its own word alone it is not called good" 3 "$server" verify --backup one.db
contains "and the key it names is told" "own word" "$out"
key=$("$server" devices --dir hub | sed -nE 's/.*key is ([0-9a-f]{64}).*/\1/p')
contains "the same that the hub has" "$key" "$out"
exits "with the hub's key it verifies" 0 "$server" verify --backup one.db --hub-key "$key"
exits "and with another hub's key it does not" 1 "$server" verify --backup one.db --hub-key "${key//[0-7]/f}"
exits "what is no key is no key" 1 "$server" verify --backup one.db --hub-key abc
exits "so does a serving hub" 0 "$server" verify --dir hub
cp one.db spoilt.db
python3 - <<'PY'
import sqlite3
db = sqlite3.connect("spoilt.db")
db.execute("UPDATE segment SET marks=zeroblob(length(marks)) WHERE first=(SELECT min(first) FROM segment)")
db.commit()
PY
exits "a spoilt one does not" 1 "$server" verify --backup spoilt.db
contains "and the place is named" "change 1: " "$out"
exits "and is not restored" 1 "$server" restore --dir back --from spoilt.db --keys one.db.keys
exits "a good one is" 0 "$server" restore --dir back --from one.db
exits "over nothing" 1 "$server" restore --dir back --from one.db
exits "the restored hub verifies" 0 "$server" verify --dir back
exits "retention is listed" 0 "$server" retention --dir hub
contains "and nothing is removed" "Nothing is removed" "$out"
exits "a look at it is written down" 0 "$server" retention --dir hub --by Ada --reason "yearly look"
contains "with who and why" 'by="Ada" reason="yearly look"' "$(cat hub/retention-acts)"
exits "not without a name" 1 "$server" retention --dir hub --reason "yearly look"
(timeout -s KILL 0.02 "$server" backup --dir hub --to killed.db) 2>/dev/null
exits "a backup that was killed can be made again" 0 "$server" backup --dir hub --to killed2.db
[[ -e killed.db ]] || exits "under the same name too" 0 "$server" backup --dir hub --to killed.db
exits "and is whole" 0 "$server" verify --backup killed.db --dir hub
equal "every file is its owner's alone" "" "$(find hub back ./*.db ./*.keys code.svg -perm /077 2>&1)"

# ---- Another key for the hub -----------------------------------------------------------------------------

exits "a serving hub keeps its key" 1 "$server" rekey --dir hub --by Ada --reason "every two years"
exits "a key is changed by somebody, and for a reason" 2 "$server" rekey --dir back --by Ada
cp back/hub.key old.key
exits "a hub at rest gets another key" 0 "$server" rekey --dir back --by Ada --reason "every two years"
contains "and is told what to do next" "Make a new backup" "$out"
contains "that devices follow" "Devices follow with their next exchange" "$out"
exits "it verifies" 0 "$server" verify --dir back
exits "its devices are listed" 0 "$server" devices --dir back
contains "with the key before" "(hub, before)" "$out"
exits "a backup of it is made" 0 "$server" backup --dir back --to rekeyed.db --with-keys
exits "and restored" 0 "$server" restore --dir again --from rekeyed.db
exits "not with the key from before" 1 "$server" restore --dir twice --from one.db --keys again
contains "which is said" "not of its time" "$out"
exits "after its loss a key is replaced all the same" 0 "$server" rekey --dir again --by Ada --reason "read by others" --lost
contains "and each device is to be told" "wrack repin --hub-key" "$out"
exits "which verifies too" 0 "$server" verify --dir again
exits "restoring says first that it needs the keys" 0 "$server" restore --help
contains "in its first line" "have the keys file at hand" "$(sed -n 1,2p <<<"$out")"

# ---- A certificate renewed while serving ----------------------------------------------------------------

cat >renew.py <<'PY'
# Holds one connection across a renewal and tells what it sees.
import hashlib, http.client, os, signal, ssl, sys, time
port, pid = int(sys.argv[1]), int(sys.argv[2])
context = ssl.create_default_context()
context.check_hostname, context.verify_mode = False, ssl.CERT_NONE

def connect():
    connection = http.client.HTTPSConnection("127.0.0.1", port, context=context, timeout=30)
    connection.connect()
    return connection

def get(connection):
    connection.request("GET", "/healthz")
    answer = connection.getresponse()
    answer.read()
    return answer.status

def shown():
    connection = connect()
    return hashlib.sha256(connection.sock.getpeercert(True)).hexdigest()[:16]

def waits_for(wanted):
    for _ in range(300):
        if shown() == wanted:
            return True
        time.sleep(0.05)
    return False

def fingerprint(path):
    return hashlib.sha256(ssl.PEM_cert_to_DER_cert(open(path).read())).hexdigest()[:16]

old, new = fingerprint("hub/tls-cert.pem"), fingerprint("new.pem")
held = connect()
print("before", get(held), shown() == old)
open("hub/tls-cert.pem", "w").write("not a certificate\n")
os.kill(pid, signal.SIGHUP)
for _ in range(300):
    if "certificate_not_taken" in open("hub.log").read():
        break
    time.sleep(0.05)
print("broken", get(held), shown() == old)
os.replace("new.key", "hub/tls-key.pem")
os.replace("new.pem", "hub/tls-cert.pem")
os.kill(pid, signal.SIGHUP)
print("renewed", waits_for(new), get(held))
PY
make_pair() {  # name
  openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -days 30 -subj /CN=hub.test \
    -addext subjectAltName=DNS:hub.test,IP:127.0.0.1 -keyout "$1.key" -out "$1.pem" 2>/dev/null
  chmod 600 "$1.key" "$1.pem"
}
make_pair new
seen=$(python3 renew.py "$port" "$pid" 2>&1)
contains "before a renewal the old certificate is shown" "before 200 True" "$seen"
contains "a broken file changes nothing" "broken 200 True" "$seen"
contains "and is told in the log" "event=certificate_not_taken" "$(cat hub.log)"
contains "new connections get the new one, old ones go on" "renewed True 200" "$seen"
make_pair third
third=$(openssl x509 -in third.pem -noout -fingerprint -sha256)
mv third.key hub/tls-key.pem
mv third.pem hub/tls-cert.pem
for _ in {1..60}; do
  shown=$(openssl s_client -connect "127.0.0.1:$port" </dev/null 2>/dev/null | openssl x509 -noout -fingerprint -sha256)
  [[ $shown == "$third" ]] && break
  sleep 0.25
done
equal "new files are noticed without a signal too" "$third" "$shown"

# ---- The next certificate, by the hub's own authority -----------------------------------------------------

"$server" init --dir pier --name "Other Pier" --time-zone Europe/Oslo --host hub.test --admin Ada >/dev/null
life_pid=$pid life_port=$port
start pier
trusted() { openssl s_client -connect "127.0.0.1:$port" -CAfile authority.pem -verify_hostname hub.test -verify_return_error </dev/null 2>&1; }
cp pier/tls-authority.pem authority.pem
before=$(openssl x509 -in pier/tls-cert.pem -noout -fingerprint -sha256)
contains "what trusts the authority trusts the hub" "Verify return code: 0 (ok)" "$(trusted)"
exits "the next certificate is made while the hub serves" 0 "$server" new-certificate --dir pier
for _ in {1..60}; do
  shown=$(openssl s_client -connect "127.0.0.1:$port" </dev/null 2>/dev/null | openssl x509 -noout -fingerprint -sha256)
  [[ $shown != "$before" ]] && break
  sleep 0.25
done
equal "the hub shows it" "$(openssl x509 -in pier/tls-cert.pem -noout -fingerprint -sha256)" "$shown"
contains "and nothing has to be done where the authority is trusted" "Verify return code: 0 (ok)" "$(trusted)"
exits "none is made where no hub is" 1 "$server" new-certificate --dir nowhere
stop
pid=$life_pid port=$life_port

# ---- Stopped under load ----------------------------------------------------------------------------------

cat >load.py <<'PY'
# Asks as fast as it can from several threads until the hub has gone. Every answer must be whole; no answer at all is
# what a peer must be ready for.
import http.client, ssl, sys, threading
port = int(sys.argv[1])
context = ssl.create_default_context()
context.check_hostname, context.verify_mode = False, ssl.CERT_NONE
whole, torn, lock = 0, 0, threading.Lock()

def ask():
    global whole, torn
    connection, begun = None, False
    while True:
        try:
            if connection is None:
                connection = http.client.HTTPSConnection("127.0.0.1", port, context=context, timeout=30)
            begun = False
            connection.request("GET", "/metrics")
            answer = connection.getresponse()
            begun = True
            body = answer.read()  # Fails when less comes than was announced.
            with lock:
                whole += 1
                if whole == 50: open("under_load", "w").close()
                torn += answer.status not in (200, 429) or not body
            if answer.getheader("Connection", "").lower() == "close":
                connection.close()
                connection = None
        except ConnectionRefusedError:
            return
        except (OSError, http.client.HTTPException):
            with lock:
                torn += begun
            connection = None

threads = [threading.Thread(target=ask) for _ in range(8)]
for thread in threads: thread.start()
for thread in threads: thread.join()
print(whole, torn)
PY
python3 load.py "$port" >load.out 2>&1 &
load=$!
for _ in {1..1500}; do [[ -e under_load ]] && break; sleep 0.02; done
SECONDS=0
stop
took=$SECONDS
wait "$load"
read -r whole torn <load.out
equal "a stop under load exits 0" 0 "$status"
equal "and tears no answer" "0" "$torn"
if ((whole > 20)); then ok "of the many it gave ($whole)"; else not_ok "of the many it gave" "only '$(cat load.out)'"; fi
if ((took <= 11)); then ok "within its ten seconds"; else not_ok "within its ten seconds" "$took s"; fi

leaked=$(grep -cF -e "${codes[0]}" -e "${codes[1]}" -e "${codes[2]}" -e 'PRIVATE KEY' hub.log)
equal "the log holds no code and no key" 0 "$leaked"

exit $failed
