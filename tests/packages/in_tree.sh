#!/usr/bin/env bash
# A clean machine in a directory: the packages are installed there, a hub and a device live a short life, the packages go
# again. For run.sh, which gives it namespaces of its own; by itself it would leave mounts behind.
#
#   in_tree.sh PACKAGES TREE CONSUMER_C
set -uo pipefail
packages=$1 tree=$2 consumer=$3
state=/var/lib/wrackline-server
unit=/usr/lib/systemd/system/wrackline-server.service
mkdir -p "$tree"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

says() {  # name, command...: one test
  local name=$1
  shift
  if "$@" >"$work/out" 2>&1 </dev/null; then echo "ok $name"; else
    tail -n 30 "$work/out"
    echo "not ok $name: see above"
    return 1
  fi
}
prints() {  # words, command...
  local words=$1 out rc=0
  shift
  out=$("$@" 2>&1) || rc=$?
  echo "$out"
  [[ $rc -eq 0 && $out == *"$words"* ]]
}
there() { chroot "$tree" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive ${http_proxy:+http_proxy="$http_proxy"} "$@"; }
as_hub() { there runuser -u wrackline -- "$@"; }
wrack() { there wrack --dir /srv/tablet --as "$@"; }  # person, command...

# ---- The machine ------------------------------------------------------------------------------------------
# Where Debian comes from is what this machine's apt says.
release=$(. /etc/os-release && echo "$VERSION_CODENAME")
sources() { apt-get indextargets --format '$(ORIGIN) $(CODENAME) $(RELEASE) $(COMPONENT) $(REPO_URI)' 'Created-By: Packages' | awk '$1 == "Debian"'; }
mirror=$(sources | awk -v release="$release" '$2 == release && $4 == "main" { print $5; exit }')
if [[ -z $mirror ]]; then
  echo "SKIPPED the packages on a clean machine: apt here knows no mirror of Debian $release; apt-get update, with one in its sources"
  exit 0
fi
make_tree() { debootstrap --variant=minbase --include=ca-certificates "$release" "$tree" "$mirror"; }
make_tree_again() {  # A mirror in the middle of its own update lacks a file for some minutes.
  make_tree && return
  echo "once more, from nothing"
  rm -rf --one-file-system "${tree:?}"/*
  sleep 60
  make_tree || { echo "run this again when the mirror has caught up, or with another mirror in apt's sources"; return 1; }
}
says "a clean Debian $release is made" make_tree_again || exit 1
sources | awk '{ print "deb", $5, $3, $4 }' | sort -u >"$tree/etc/apt/sources.list"
printf '#!/bin/sh\nexit 101\n' >"$tree/usr/sbin/policy-rc.d"  # Installing starts no services there.
chmod +x "$tree/usr/sbin/policy-rc.d"
cp -L /etc/resolv.conf "$tree/etc/resolv.conf"
mount -t proc proc "$tree/proc"
cp "$(dirname "$0")/../apt-again" "$tree/srv/apt-again"
mkdir "$tree/packages"
cp "$packages"/*.deb "$tree/packages"
install_there() {
  local names=() name
  for name in "$@"; do names+=("/packages/$(basename "$packages/$name"_*.deb)"); done
  there /srv/apt-again install --no-install-recommends "${names[@]}"
}
says "it finds its updates" there /srv/apt-again update || exit 1

# ---- Installed --------------------------------------------------------------------------------------------
says "tools and hub install, with all they depend on" install_there wrackline-tools wrackline-server || exit 1
version=$(dpkg-deb -f "$packages"/wrackline-tools_*.deb Version)
says "wrack is there, of the packages' version" prints "wrack $version" there wrack --version
says "so are its checker and the hub" there sh -c 'wrackline-evidence --help && wrackline-server --help'
# A minimal machine may be told to leave manuals out; this one was not.
says "so are the manual pages" there test -s /usr/share/man/man1/wrack-round.1.gz -a -s /usr/share/man/man1/wrackline-server-init.1.gz
verified() {
  local said
  said=$(there systemd-analyze verify --man=no "$unit" 2>&1) && [[ -z $said ]] && return
  echo "$said"
  return 1
}
says "systemd finds nothing wrong with the unit" verified
exposure() { there systemd-analyze security --offline=true --threshold=15 "$unit" | tail -n 1 | grep .; }
says "and its exposure is at most 1.5 of 10" exposure
sed 's/^/  /' "$work/out"
not_enabled() { [[ ! -L $tree/etc/systemd/system/multi-user.target.wants/wrackline-server.service ]]; }
says "the hub does not start by itself" not_enabled
condition() { sed -n 's/^ConditionPathExists=//p' "$tree$unit"; }
waits() { [[ -n $(condition) && ! -e $tree$(condition) ]]; }
says "nor when it is asked to, while there is no hub" waits

# ---- A short life -----------------------------------------------------------------------------------------
says "an admin makes the hub" as_hub wrackline-server init --dir $state/hub --name "Test Pier" --time-zone Europe/Oslo \
  --host 127.0.0.1 --admin Ada --no-proofs || exit 1
ready() { [[ -e $tree$(condition) ]]; }
says "now it may start" ready
# The hub is started as the unit starts it, but for the port.
command=$(sed -n 's/^ExecStart=//p' "$tree$unit")
as_hub env "$(sed -n 's/^Environment="\(WRACKLINE_SERVE_OPTIONS=.*\)"$/\1/p' "$tree$unit")" WRACKLINE_LISTEN=127.0.0.1:0 \
  sh -c "umask 077; exec $command --port-file $state/port" 2>"$work/hub.log" &
for _ in {1..500}; do [[ -s $tree$state/port ]] && break; sleep 0.02; done
port=$(cat "$tree$state/port")
says "it serves" test -n "$port" || { cat "$work/hub.log"; exit 1; }
link() { as_hub wrackline-server code --dir $state/hub --link --hub "127.0.0.1:$port" 2>"$work/told" | tail -n 1; }
says "a device enrols" prints "enrolled" wrack Ada enrol --link "$(link)" --device "Pool tablet"
says "an admin writes down a curator" wrack Ada add person name="Tove Holm" roles=curator
says "who writes down an animal" wrack "Tove Holm" add animal name=Sila taxon="grey seal"
says "and the hub gets both" wrack Ada exchange
hub_id() { there pidof wrackline-server; }
reloads() {  # Runs what ExecReload says.
  kill -HUP "$(hub_id)" || return 1
  for _ in {1..500}; do grep -q certificate_taken "$work/hub.log" && break; sleep 0.02; done
  grep certificate_taken "$work/hub.log" && wrack Ada exchange
}
says "the hub takes a certificate anew and goes on" reloads
same_records() {
  local digest
  digest=$(wrack Ada digest | grep -oE '[0-9a-f]{16,}' | head -n 1)
  [[ -n $digest ]] && prints "$digest" as_hub wrackline-server verify --dir $state/hub
}
says "hub and device hold the same" same_records
stops() { kill -TERM "$(hub_id)" && wait %1; }
says "it stops when it is told to" stops
private() { [[ $(stat -c '%a %U' "$tree$state" 2>/dev/null | cut -d' ' -f1) == 700 ]] && ! find "$tree$state/hub" -perm /077 | grep .; }
says "nobody else can read its directory" private

# ---- Developed with ---------------------------------------------------------------------------------------
says "the library installs, and what to develop with it" install_there libwrackline0 libwrackline-dev
says "so does what a program in C needs" there /srv/apt-again install --no-install-recommends libc6-dev libssl-dev
# The compiler is this machine's, all it reads is the other's.
builds() {
  local libraries
  libraries=$(ls -d "$tree"/usr/lib/*-linux-gnu/pkgconfig)
  # shellcheck disable=SC2046
  gcc --sysroot="$tree" -std=c11 -Wall -Wextra -Werror -o "$tree/srv/consumer_c" "$consumer" \
    $(PKG_CONFIG_SYSROOT_DIR=$tree PKG_CONFIG_LIBDIR=$libraries pkg-config --cflags --libs wrackline libcrypto)
}
says "a project in C builds from the package, by pkg-config" builds
runs() {  # On a copy of the tablet's records, with its key: what is not sealed yet is sealed, for an exchange (Call.exchange, empty).
  wrack "Tove Holm" add animal name=Brisk taxon="thornback ray" || return 1
  cp "$tree/srv/tablet/records.db" "$tree/srv/consumer.db"
  openssl pkey -in "$tree/srv/tablet/device.key" -outform DER | tail -c 32 >"$tree/srv/key"
  printf '\2\0\0\0\x6a\0' >"$tree/srv/calls"
  there /srv/consumer_c /srv/consumer.db /srv/key /srv/calls >"$work/answers" && [[ $(stat -c %s "$work/answers") -gt 100 ]]
}
says "and opens the device's records, and is answered" runs
if compgen -G "$packages/libwrackline-java_*.deb" >/dev/null; then
  says "the package for Java could be installed" there apt-get -q -y -s install /packages/"$(basename "$packages"/libwrackline-java_*.deb)"
fi

# ---- Upgraded and gone ------------------------------------------------------------------------------------
digests() { (cd "$tree$state" && find . -type f -exec sha256sum {} + | sort -k 2); }
before=$(digests)
as_before() { [[ -n $before ]] && diff <(echo "$before") <(digests); }
there systemctl enable wrackline-server.service >"$work/out" 2>&1
is_enabled() { ! not_enabled; }
says "it is enabled when an admin wants it" is_enabled
says "installing the hub anew" there dpkg -i /packages/"$(basename "$packages"/wrackline-server_*.deb)"
says "changes no record" as_before
says "and leaves it enabled" is_enabled
says "a purge takes the hub and says what it leaves" prints "are left as they are" there apt-get -q -y purge wrackline-server
gone() { [[ ! -e $tree/usr/bin/wrackline-server && ! -e $tree$unit ]] && not_enabled; }
says "nothing of the program is left, nor starts" gone
says "every record is left" as_before
says "the others go as well" there apt-get -q -y purge wrackline-tools libwrackline-dev libwrackline0
