#!/usr/bin/env bash
# Looks at the hub from outside: TLS and its certificates, HTTP and its limits, stopping. Real server processes
# on free ports of the loopback, asked by openssl and curl and by bytes made by hand.
#
#   tls.sh PATH-OF-wrackline-server
#
# Prints `ok NAME` or `not ok NAME: why` for each check; fails when one does.
source "$(dirname "$0")/helpers.sh"

# name, low, high, got
between() { if (($4 >= $2 && $4 <= $3)); then ok "$1"; else not_ok "$1" "wanted $2 to $3, got $4"; fi; }

make_hub() {  # directory, further options of init
  local directory=$1
  shift
  "$server" init --dir "$directory" --name "Test Pier" --time-zone Europe/Oslo --host hub.test --admin Ada --no-proofs "$@" \
    >"$directory.init" 2>&1 || { not_ok "a hub can be made" "$(cat "$directory.init")"; exit 1; }
}

# Options of s_client; its words come out.
talk() { openssl s_client -connect "127.0.0.1:$port" "$@" </dev/null 2>&1; }
# Options of curl; the HTTP status comes out, the body goes to ./body.
ask() { curl -sS -o body -w '%{http_code}' --cacert hub/tls-cert.pem --max-time 30 "$@" 2>curl.err; }
post() {  # path, body file, options of curl
  local path=$1 body=$2
  shift 2
  ask -H 'Content-Type: application/x-protobuf' --data-binary "@$body" "$@" "https://localhost:$port$path"
}
# The first field of ./body is an ErrorReply's code.
error_code() { od -An -tu1 -N2 body | awk '{ print $1 == 8 ? $2 : "none" }'; }

# ---- TLS ------------------------------------------------------------------------------------------------

make_hub hub
start hub --handshakes-per-address 0  # 128 connections at once are opened below; attack_limits_test.cc tries the quota.

contains "TLS 1.1 is refused" "alert protocol version" "$(talk -tls1_1 -cipher 'DEFAULT@SECLEVEL=0')"
contains "TLS 1.2 is refused by default" "alert protocol version" "$(talk -tls1_2)"
contains "TLS 1.3 is accepted" "Verify return code: 0 (ok)" \
  "$(talk -tls1_3 -CAfile hub/tls-authority.pem -verify_hostname hub.test -verify_return_error)"
contains "the address is in the certificate" "Verify return code: 0 (ok)" \
  "$(talk -CAfile hub/tls-authority.pem -verify_ip 127.0.0.1 -verify_return_error)"
contains "a wrong name is refused by the client" "ostname mismatch" \
  "$(talk -CAfile hub/tls-authority.pem -verify_hostname other.test -verify_return_error)"
make_hub other
contains "an unknown authority is refused by the client" "unable to get local issuer certificate" \
  "$(talk -CAfile other/tls-authority.pem -verify_return_error)"
# The hub's certificate must not be able to sign another's.
openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout leaf.key -subj /CN=leaf -out leaf.csr 2>/dev/null
openssl x509 -req -in leaf.csr -CA hub/tls-cert.pem -CAkey hub/tls-key.pem -CAcreateserial -out leaf.pem 2>/dev/null
if openssl verify -CAfile hub/tls-authority.pem -untrusted hub/tls-cert.pem leaf.pem >/dev/null 2>&1; then
  not_ok "the certificate signs no other" "one it signed was accepted"
else
  ok "the certificate signs no other"
fi
# A certificate that the hub's authority signs is good for the hub's names only: its key may not open other
# doors.
vouched() {  # alternative names: what openssl says of a certificate for them that the authority's key has signed
  printf 'subjectAltName=%s\nextendedKeyUsage=serverAuth\nbasicConstraints=%s\n' "$1" "${2:-CA:FALSE}" >names
  openssl x509 -req -in leaf.csr -CA hub/tls-authority.pem -CAkey hub/tls-authority-key.pem -CAcreateserial -extfile names -out leaf.pem 2>/dev/null
  openssl verify -purpose sslserver -CAfile hub/tls-authority.pem leaf.pem 2>&1
}
equal "the authority vouches for the hub's names" "leaf.pem: OK" "$(vouched DNS:hub.test,IP:127.0.0.1)"
for name in DNS:other.test DNS:test DNS:hub.test.other.test IP:127.0.0.2 IP:192.0.2.7 IP:2001:db8::1 DNS:hub.test,DNS:other.test; do
  contains "and not for $name" "permitted subtree violation" "$(vouched "$name")"
done
vouched DNS:hub.test CA:TRUE >/dev/null
cp leaf.pem below.pem
cp leaf.key below.key
openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout leaf.key -subj /CN=lowest -out leaf.csr 2>/dev/null
openssl x509 -req -in leaf.csr -CA below.pem -CAkey below.key -CAcreateserial -out leaf.pem 2>/dev/null
contains "it makes no authority below it" "path length constraint exceeded" "$(openssl verify -CAfile hub/tls-authority.pem -untrusted below.pem leaf.pem 2>&1)"
# They would come before an answer, after which the hub closes the connection.
no_ticket=$(printf 'GET /healthz HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n' |
  timeout 20 openssl s_client -ign_eof -connect "127.0.0.1:$port" 2>&1 | tee heard | grep -c 'New Session Ticket')
contains "a plain question is answered" "200 OK" "$(cat heard)"
equal "no session tickets are given out" 0 "$no_ticket"

# A general scanner finds this: nothing but TLS 1.3 with authenticated ciphers.
scan() { sslscan --no-colour --no-check-certificate "127.0.0.1:$port" 2>&1; }
# The ciphers it was given, one a line: version and name.
ciphers() { sed -nE 's/^(Preferred|Accepted) +(TLSv1\.[0-9]|SSLv[23]) +[0-9]+ bits +([A-Z0-9_-]+).*/\2 \3/p' <<<"$1" | sort; }
scanned=$(scan)
equal "a scanner finds three ciphers, all of TLS 1.3" \
  "TLSv1.3 TLS_AES_128_GCM_SHA256 TLSv1.3 TLS_AES_256_GCM_SHA384 TLSv1.3 TLS_CHACHA20_POLY1305_SHA256" \
  "$(ciphers "$scanned" | paste -sd' ')"
equal "and no version before it" "0" "$(grep -cE '^(SSLv[23]|TLSv1\.[012]) +enabled' <<<"$scanned")"
contains "no renegotiation" "Session renegotiation not supported" "$scanned"
contains "no compression" "Compression: NONE" "$(talk -tls1_3)"

# ---- HTTP -----------------------------------------------------------------------------------------------

equal "/healthz answers" "200 ok" "$(ask "https://localhost:$port/healthz") $(cat body)"
equal "/metrics answers" 200 "$(ask "https://localhost:$port/metrics")"
contains "/metrics counts" "wrackline_connections_accepted_total" "$(cat body)"
equal "an unknown path is 404" "404 20" "$(ask "https://localhost:$port/v1/nothing") $(error_code)"
equal "a wrong method is 405" "405 21" "$(ask "https://localhost:$port/v1/exchange") $(error_code)"
contains "answers keep a browser on TLS, and say nothing of names below the hub's" "strict-transport-security: max-age=2592000"$'\r' \
  "$(curl -sSv -o /dev/null -D - --cacert hub/tls-cert.pem "https://localhost:$port/v1/nothing" | tr 'A-Z' 'a-z')"
equal "POST to /healthz is 405" 405 "$(post /healthz /dev/null)"
printf 'x' >one
equal "exchange without a session is 401" "401 23" "$(post /v1/exchange one) $(error_code)"
equal "query without a session is 401" "401 23" "$(post /v1/query one) $(error_code)"
equal "an invented token is 401" 401 "$(post /v1/query one -H "Authorization: Wrackline $(printf 'a%.0s' {1..64}).1.$(printf 'b%.0s' {1..64}).$(printf 'c%.0s' {1..128})")"
equal "a body of another type is 415" 415 "$(ask --data x "https://localhost:$port/v1/enrol")"
printf '\377\377\377garbage' >garbage
equal "a garbage body is an ErrorReply" "400 1" "$(post /v1/enrol garbage) $(error_code)"
head -c 70000 /dev/zero >large
equal "a body over 64 KiB before a session is 413" "413 2" "$(post /v1/session large) $(error_code)"
equal "the same in chunks is 413" 413 "$(post /v1/session large -H 'Transfer-Encoding: chunked')"
head -c 20000 /dev/zero | tr '\0' 'h' >long
equal "a header over 16 KiB is 431" 431 "$(ask -H "X-Long: $(cat long)" "https://localhost:$port/healthz")"
# -quiet waits until the hub closes.
raw() { printf '%b' "$1" | timeout 20 openssl s_client -quiet -connect "127.0.0.1:$port" 2>/dev/null | head -n 1; }
contains "what is no HTTP is 400" "400 Bad Request" "$(raw 'no http at all\r\n\r\n')"
contains "two lengths at once are 400" "400 Bad Request" \
  "$(raw 'POST /v1/enrol HTTP/1.1\r\nHost: x\r\nContent-Length: 3\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n')"

# ---- Enrolment and sessions, with bytes made by hand ----------------------------------------------------

make_key() {  # name
  openssl genpkey -algorithm ED25519 -out "$1.key" 2>/dev/null
  openssl pkey -in "$1.key" -pubout -outform DER 2>/dev/null | tail -c 32 >"$1.pub"
}
sign() { openssl pkeyutl -sign -rawin -inkey "$1.key" -in "$2" -out "$3" 2>/dev/null; }
enrol_body() {  # device, code
  { printf 'wrackline/enrol/1'; printf '%s' "$2" | openssl dgst -sha256 -binary; cat "$1.pub"; } >text
  sign "$1" text signature
  printf '\x08\x01\x12%b%s\x1a\x20' "\\x$(printf '%02x' ${#2})" "$2"
  cat "$1.pub"
  printf '\x22\x06tablet\x2a\x40'
  cat signature
}
hex() { od -An -v -tx1 "$1" | tr -d ' \n'; }
# The header for one request in the session whose token is $token; a number is used once.
authorization() {  # device, path, body file
  local number bytes i
  number=$(($(cat number) + 1))
  echo "$number" >number
  for i in 0 8 16 24 32 40 48 56; do bytes+=$(printf '\\x%02x' $((number >> i & 255))); done
  openssl dgst -sha256 -binary "$3" >body_hash
  {
    printf 'wrackline/request/1'
    cat facility
    printf '%s' "$token" | openssl dgst -sha256 -binary
    printf '%b' "$bytes"
    cat body_hash
    printf 'POST\n%s\n\n' "$2"
  } >text
  sign "$1" text signature
  echo "Authorization: Wrackline $token.$number.$(hex body_hash).$(hex signature)"
}
in_session() {  # device, path, body file, options of curl
  local header
  header=$(authorization "$1" "$2" "$3")
  shift
  post "$@" -H "$header"
}
session_body() {  # device [nonce file]
  printf '\x08\x01\x12\x20'
  cat "$1.pub"
  if [[ $# -eq 2 ]]; then
    { printf 'wrackline/session/1'; cat facility "$2"; } >text
    sign "$1" text signature
    printf '\x1a\x20'
    cat "$2"
    printf '\x22\x40'
    cat signature
  fi
}

make_key one_device
make_key two_device
code=$("$server" code --dir hub 2>/dev/null)
enrol_body one_device "$code" >enrol
equal "a running hub takes a new code" 200 "$(post /v1/enrol enrol)"
tail -c +3 body | head -c 16 >facility
equal "the same device may ask again" 200 "$(post /v1/enrol enrol)"
enrol_body two_device "$code" >enrol
equal "a used code is 401 for another device" "401 23" "$(post /v1/enrol enrol) $(error_code)"
session_body two_device >request
equal "an unknown device gets no challenge" "403 7" "$(post /v1/session request) $(error_code)"

session_body one_device >request
equal "an enrolled device gets a challenge" 200 "$(post /v1/session request)"
tail -c +3 body | head -c 32 >nonce
session_body one_device nonce >request
equal "the signed challenge opens a session" 200 "$(post /v1/session request)"
token=$(grep -aoE '[0-9a-f]{64}' body)
equal "a challenge is good once" "401 23" "$(post /v1/session request) $(error_code)"
echo 0 >number
printf '\x12\x00' >status_call
equal "a query is answered in a session" 200 "$(in_session one_device /v1/query status_call)"
equal "the token alone is 401" 401 "$(post /v1/query status_call -H "Authorization: Wrackline $token")"
equal "and so it is with another device's signature" 401 "$(in_session two_device /v1/query status_call)"
in_session one_device /v1/query status_call >/dev/null
contains "it names the facility" "Test Pier" "$(tr -d '\0' <body)"
equal "a garbage exchange is an ErrorReply" "400 1" "$(in_session one_device /v1/exchange garbage) $(error_code)"
head -c 1000000 /dev/zero >large
equal "a body over 64 KiB is read in a session" "400 1" "$(in_session one_device /v1/exchange large) $(error_code)"
head -c 4200000 /dev/zero >large
equal "a body over 4 MiB is 413 in a session too" "413 2" "$(in_session one_device /v1/exchange large) $(error_code)"
equal "the same in chunks is 413 in a session" 413 "$(in_session one_device /v1/exchange large -H 'Transfer-Encoding: chunked')"

enrol_body two_device BCDFG-HJKLM >enrol
wrong=""
for _ in 1 2 3 4 5 6 7 8; do wrong+="$(post /v1/enrol enrol) "; done
equal "wrong codes are 401, however many" "401 401 401 401 401 401 401 401 " "$wrong"

# ---- Deadlines and limits of connections ----------------------------------------------------------------

# A byte now and then must not prolong the header's deadline. The silent one has not even begun TLS.
mkfifo drip
{
  printf 'GET /healthz HTTP/1.1\r\nX-Slow: '
  for _ in {1..20}; do
    sleep 1
    printf 'x' 2>/dev/null || break
  done
} >drip &
dripper=$!
SECONDS=0
openssl s_client -quiet -connect "127.0.0.1:$port" <drip >/dev/null 2>&1 &
slow=$!
exec {silent}<>"/dev/tcp/127.0.0.1/$port"
timeout 20 cat <&"$silent" >/dev/null
between "a connection that begins no TLS is closed" 8 14 $SECONDS
exec {silent}>&-
wait "$slow"
between "a header that drips is cut off" 8 14 $SECONDS
kill "$dripper" 2>/dev/null
wait "$dripper" 2>/dev/null

held=()
for _ in {1..128}; do
  exec {fd}<>"/dev/tcp/127.0.0.1/$port"
  held+=("$fd")
done
equal "connections that nobody uses make room for another from their address" 200 "$(ask "https://localhost:$port/healthz")"
equal "another address is served meanwhile" 200 "$(ask --interface 127.0.0.2 "https://localhost:$port/healthz")"
for fd in "${held[@]}"; do exec {fd}>&-; done

# ---- Stopping -------------------------------------------------------------------------------------------

head -c 60000 /dev/zero >body_to_send
(curl -sS -o /dev/null -w '%{http_code}' --cacert hub/tls-cert.pem --limit-rate 20k -H 'Expect:' \
  -H 'Content-Type: application/x-protobuf' --data-binary @body_to_send \
  "https://localhost:$port/v1/session" >running 2>asking) &
running=$!
for _ in {1..500}; do grep -q '^> POST' asking && break; sleep 0.02; done  # Its body takes three seconds.
stop
equal "SIGTERM exits 0" 0 "$status"
wait "$running"
equal "a running request is answered before" 400 "$(cat running)"
start hub
stop
equal "SIGTERM exits 0 with nobody there" 0 "$status"
start hub
kill -INT "$pid"
wait "$pid"
equal "SIGINT exits 0" 0 $?

bad_lines=$(grep -vcE '^ts=[0-9TZ:.-]+ level=(info|warn|error) event=[a-z_]+( [a-z_]+=("([^"\\]|\\.)*"|[^ "]+))*$' hub.log)
equal "every line of the log is key=value" 0 "$bad_lines"
if grep -qF -e "$token" -e "$code" -e "${code/-/}" hub.log; then
  not_ok "the log holds no token and no code" "it does"
else
  ok "the log holds no token and no code"
fi

# ---- Other ways to serve --------------------------------------------------------------------------------

start hub --allow-tls12
contains "TLS 1.2 is accepted when asked for" "Verify return code: 0 (ok)" \
  "$(talk -tls1_2 -CAfile hub/tls-authority.pem -verify_hostname hub.test -verify_return_error)"
contains "but TLS 1.2 without forward secrecy is not" "alert handshake failure" "$(talk -tls1_2 -cipher 'AES256-GCM-SHA384')"
contains "nor TLS 1.1" "alert protocol version" "$(talk -tls1_1 -cipher 'DEFAULT@SECLEVEL=0')"
scanned=$(scan)
of_tls12=$(ciphers "$scanned" | grep 'TLSv1\.2')
equal "of TLS 1.2 a scanner finds only ECDHE with AEAD" "" "$(grep -vE '^TLSv1\.2 ECDHE-ECDSA-(AES(128|256)-GCM-SHA(256|384)|CHACHA20-POLY1305)$' <<<"$of_tls12")"
contains "and finds that" "ECDHE-ECDSA-AES128-GCM-SHA256" "$of_tls12"
equal "and still nothing before it" "0" "$(grep -cE '^(SSLv[23]|TLSv1\.[01]) +enabled' <<<"$scanned")"
contains "no renegotiation there" "Session renegotiation not supported" "$scanned"
contains "no compression there" "Compression: NONE" "$(talk -tls1_2)"
stop

openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout expired.key -subj /CN=hub.test -out expired.csr 2>/dev/null
printf 'subjectAltName=DNS:localhost,IP:127.0.0.1\n' >names
openssl x509 -req -in expired.csr -signkey expired.key -days -1 -extfile names -out expired.pem 2>/dev/null
make_hub expired --cert expired.pem --key expired.key
start expired
contains "an expired certificate is refused by the client" "certificate has expired" \
  "$(talk -CAfile expired/tls-cert.pem -verify_return_error)"
contains "and the hub says so itself" "event=certificate_expired" "$(cat expired.log)"
stop

openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout ca.key -subj /CN=authority -days 2 -out ca.pem 2>/dev/null
openssl req -newkey ec -pkeyopt ec_paramgen_curve:P-256 -nodes -keyout signed.key -subj /CN=hub.test -out signed.csr 2>/dev/null
openssl x509 -req -in signed.csr -CA ca.pem -CAkey ca.key -CAcreateserial -days 1 -extfile names -out signed.pem 2>/dev/null
make_hub signed --cert signed.pem --key signed.key
start signed
contains "a certificate of one's own authority is served" "Verify return code: 0 (ok)" \
  "$(talk -CAfile ca.pem -verify_hostname localhost -verify_return_error)"
stop

chmod 644 other/tls-key.pem
refused=$("$server" serve --dir other --listen 127.0.0.1:0 2>&1)
equal "a TLS key that others may read is not used" 1 $?
contains "and the message says what to do" "chmod 600" "$refused"
chmod 600 other/tls-key.pem
chmod 644 other/hub.key
"$server" serve --dir other --listen 127.0.0.1:0 >/dev/null 2>&1
equal "nor a hub key that others may read" 1 $?

exit $failed
