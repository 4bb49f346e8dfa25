#!/usr/bin/env bash
# These tests look from outside at which tablet app a hub serves: keys, signatures, a pin, lies, and what openssl and
# sha256sum say of a release. Real processes on the loopback; an app of three files.
#
#   app.sh PATH-OF-wrackline-server
#
# Prints `ok NAME` or `not ok NAME: why` for each check; fails when one does.
source "$(dirname "$0")/helpers.sh"

"$server" init --dir hub --name "Test Pier" --time-zone Europe/Oslo --host hub.test --admin Ada >init.log 2>&1 || { not_ok "a hub can be made" "$(cat init.log)"; exit 1; }
mkdir -p built/assets
printf '<!doctype html><title>good</title>' >built/index.html
printf 'good()' >built/assets/main-1a2b.js
printf '0.1.0\n' >built/version.txt

ask() { curl -sS -D headers -o body -w '%{http_code}' --cacert hub/tls-cert.pem --max-time 30 "https://localhost:$port$1" 2>curl.err; }
# Serves `app` as it is now; what the hub says of it is in hub.log.
serve_app() {
  : >hub.log
  start hub --app app
}
# name, words of the log: the app is not served, and records are.
refused() {
  serve_app
  contains "$1" "$2" "$(grep event=app_refused hub.log)"
  equal "$1, and is not served" "404 404" "$(ask /assets/main-1a2b.js) $(ask /release.txt)"
  ask / >/dev/null
  contains "$1, and a page says so" "This hub serves no app now" "$(cat body)"
  equal "$1, and records go on" "200 ok" "$(ask /healthz) $(cat body)"
  stop
}
again() { rm -rf app; cp -r "$1" app; }

# ---- Signed and pinned ----------------------------------------------------------------------------------

key=$("$server" app-key --to release.key 2>/dev/null)
equal "a release key is a private file" 600 "$(stat -c %a release.key)"
equal "its public part is what openssl says" "$(openssl pkey -in release.key -pubout -outform DER | tail -c 32 | od -An -tx1 | tr -d ' \n')" "$key"
"$server" app-key --to release.key >/dev/null 2>&1
equal "no key is written over another" 1 $?
again built
refused "a hub with no pinned key serves no app" "none is pinned at this hub"
"$server" pin-app --dir hub "$key" >pin.log
equal "an admin pins it" 0 $?
refused "an app that nobody signed is refused" "it is not signed"
"$server" sign-app --app app --key release.key >sign.log
contains "signing says the version" "Signed 0.1.0 of 20" "$(cat sign.log)"
cp -r app signed
serve_app
equal "a signed app is served" "200 <!doctype html><title>good</title>" "$(ask /) $(cat body)"
equal "so are its manifest and the hub's key" "200 200" "$(ask /hub-key.txt) $(ask /release.txt)"
groups() { sed 's/..../& /g; s/ $//'; }
hash=$(sha256sum <body | cut -c1-64 | groups)
contains "the hub says its version and manifest when it starts" "version=0.1.0 released=20" "$(grep event=app hub.log)"
contains "and the manifest as sha256sum has it" "manifest=\"$hash\"" "$(grep event=app hub.log)"
ask /hub-key.txt >/dev/null
contains "and its own key, as the tablet gets it" "hub_key=\"$(cat body)\"" "$(grep event=serving hub.log)"
shown=$("$server" show-app --dir hub --app app)
contains "a command says the same key" "The hub's key:     $(cat body)" "$shown"
contains "and the same manifest" "Its manifest:      $hash" "$shown"
equal "that key is the one that devices pin" "$("$server" devices --dir hub | sed -n "s/^The hub's key is \([0-9a-f]*\).*/\1/p" | groups)" "$(cat body)"
stop

# ---- Checked by others' tools ---------------------------------------------------------------------------

sed -n 's/^\([0-9a-f]\{64\}\) [0-9]* \/\(.*\)/\1  \2/p' app/release.txt >sums
equal "sha256sum finds every file as the manifest has it" "0 3" "$(cd app && sha256sum --quiet -c ../sums >/dev/null; echo $?) $(wc -l <sums)"
openssl pkey -in release.key -pubout -out release.pub
{ printf 'wrackline/app-release/1'; cat app/release.txt; } >text
equal "openssl finds the signature good" "Signature Verified Successfully" "$(openssl pkeyutl -verify -pubin -inkey release.pub -rawin -in text -sigfile app/release.sig)"

# ---- Lies -----------------------------------------------------------------------------------------------

printf 'evil()' >app/assets/main-1a2b.js
refused "a file of the same size with other content is refused" "/assets/main-1a2b.js is not as it was signed"
again signed
rm app/assets/main-1a2b.js
refused "a missing file is refused" "/assets/main-1a2b.js is missing"
again signed
printf 'evil()' >app/assets/more.js
refused "a file more is refused" "/assets/more.js is in no manifest"
again signed
printf 'evil()' >app/assets/main-1a2b.js
"$server" app-key --to other.key >other.public 2>/dev/null
"$server" sign-app --app app --key other.key >/dev/null
refused "an altered app that another key has signed properly is refused" "signed by the key $(cat other.public)"
sed -i "s/^key .*/key $key/" app/release.txt
{ printf 'wrackline/app-release/1'; cat app/release.txt; } >text
openssl pkeyutl -sign -rawin -inkey other.key -in text -out app/release.sig
refused "and so it is when it names the pinned key" "not as the pinned key signed it"
again signed
ln -sf /etc/hostname app/assets/link.js
serve_app
equal "a link is not followed" "200 404" "$(ask /) $(ask /assets/link.js)"
stop

# ---- Older than what was served -------------------------------------------------------------------------

again signed
printf '0.2.0\n' >app/version.txt
"$server" sign-app --app app --key release.key >/dev/null
serve_app
contains "a newer release is served" "version=0.2.0" "$(grep event=app hub.log)"
stop
again signed
refused "an older release than the last one is refused" "this hub has served one of"
# The key is written as somebody writes it who has heard it.
"$server" pin-app --dir hub "$(groups <<<"$key")" >/dev/null
serve_app
contains "an admin goes back by pinning the key once more" "version=0.1.0" "$(grep event=app hub.log)"
stop

"$server" pin-app --dir hub 0100000000000000000000000000000000000000000000000000000000000000 >/dev/null 2>pin.err
equal "a key under which anybody could sign is not pinned" 1 $?
contains "and the message says so" "anybody could sign under this one" "$(cat pin.err)"
"$server" pin-app --dir nowhere "$key" >/dev/null 2>&1
equal "nothing is pinned where no hub is" 1 $?
serve_app
equal "the pin from before holds" 200 "$(ask /)"
stop

exit $failed
