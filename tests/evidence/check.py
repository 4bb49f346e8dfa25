#!/usr/bin/env python3
"""Checks an evidence file from its description in core/README.md alone: hashlib, and openssl for Ed25519.

    check.py FILE [HUB_KEY_HEX]

Shares no code with Wrackline. Prints one line: `GOOD changes=N seals=N receipts=N`, or `BAD line N: what` and exits 1.
"""
import base64
import hashlib
import json
import os
import subprocess
import sys
import tempfile


class Bad(Exception):
    pass


def sha256(*parts):
    digest = hashlib.sha256()
    for part in parts:
        digest.update(part)
    return digest.digest()


def verifies(key, text, signature):
    """Ed25519 (RFC 8032) by openssl; the key as RFC 8410 writes it."""
    with tempfile.TemporaryDirectory() as folder:
        def put(name, content):
            path = os.path.join(folder, name)
            with open(path, "wb") as file:
                file.write(content)
            return path

        command = ["openssl", "pkeyutl", "-verify", "-rawin", "-pubin", "-keyform", "DER",
                   "-inkey", put("key", bytes.fromhex("302a300506032b6570032100") + key),
                   "-in", put("text", text), "-sigfile", put("signature", signature)]
        return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode == 0


def fields_of(message):
    """Number and value of each field of a protobuf message; bytes for what has a length, numbers otherwise."""
    at = 0

    def varint():
        nonlocal at
        value = shift = 0
        while True:
            byte = message[at]
            at += 1
            value |= (byte & 0x7F) << shift
            if byte < 0x80:
                return value
            shift += 7

    out = []
    while at < len(message):
        tag = varint()
        kind = tag & 7
        if kind == 0:
            value = varint()
        else:
            size = {1: 8, 5: 4}[kind] if kind != 2 else varint()
            value = message[at:at + size]
            at += size
        out.append((tag >> 3, value))
    return out


def id64(text):
    return bytes.fromhex(text)[::-1]  # Signed texts hold the number's least significant byte first.


def check(path, hub_key):
    with open(path, "rb") as file:
        lines = file.read().split(b"\n")
    if lines.pop() != b"":
        raise Bad(f"line {len(lines) + 1}: cut short")
    chain_of_lines = sha256(b"wrackline/evidence/1")
    header = part = None
    count = {"change": 0, "seal": 0, "receipt": 0}
    enrolled, used = set(), []
    for number, line in enumerate(lines, 1):
        body = line[:line.rfind(b',"check":')]
        chain_of_lines = sha256(chain_of_lines, body)
        # The check of a line tells where a file was damaged; it is looked at after what is signed.
        try:
            entry = json.loads(line)
        except ValueError:
            raise Bad(f"line {number}: no JSON")
        last = entry["type"] == "end"
        is_as_written = entry["check"] == (chain_of_lines if last else chain_of_lines[:4]).hex()
        if entry["type"] == "evidence":
            header = entry
            facility = bytes.fromhex(entry["facility"])
            if hub_key is None:
                hub_key = bytes.fromhex(entry["hub_key"])
            if entry["version"] != 1 or bytes.fromhex(entry["hub_key"]) != hub_key:
                raise Bad(f"line {number}: another version or another hub")
        elif entry["type"] == "log":
            if part and part["sealed"] != part["last"]:
                raise Bad(f"line {number}: the log before it does not end with a seal")
            part = entry
            part["at"], part["sealed"] = entry["first"] - 1, entry["first"] - 1
            chain = bytes.fromhex(entry["before"])
            device = bytes.fromhex(entry["device"])
            used.append((number, device))
            start = sha256(b"wrackline/log/1", facility, id64(entry["sealed_as"]), device)
            if entry["first"] == 1 and chain != start:
                raise Bad(f"line {number}: h(0) is not of this facility, log and device")
            parted, waiting = None, []
        elif entry["type"] == "change":
            if entry["seq"] != part["at"] + 1:
                raise Bad(f"line {number}: a change is missing before it")
            part["at"] += 1
            change = base64.b64decode(entry["bytes"], validate=True)
            chain = sha256(chain, change)
            if parted is None and chain[:4].hex() != entry["mark"]:
                parted = (number, entry["seq"])
            waiting.append(change)
            count["change"] += 1
        elif entry["type"] == "seal":
            text = (b"wrackline/seal/1" + facility + id64(part["sealed_as"]) + entry["seq"].to_bytes(4, "little") + chain)
            if entry["seq"] != part["at"]:
                raise Bad(f"line {number}: the seal is of another change")
            if not verifies(device, text, bytes.fromhex(entry["signature"])):
                where = parted or (number, entry["seq"])
                raise Bad(f"line {where[0]}: log {part['log']}, change {where[1]}: not what its device sealed")
            if bytes.fromhex(entry["hash"]) != chain:
                raise Bad(f"line {number}: the hash beside the seal is not the chain's")
            if parted:
                raise Bad(f"line {parted[0]}: the mark of change {parted[1]} is not its hash's")
            part["sealed"] = entry["seq"]
            if device == hub_key:
                for change in waiting:
                    given = dict(fields_of(change))
                    if given.get(3) == 3:  # The birth of a record of kind 3, a device.
                        enrolled.add(dict(fields_of(given[6])).get(2))
            waiting = []
            count["seal"] += 1
        elif entry["type"] == "receipt":
            text = (b"wrackline/receipt/1" + facility + id64(part["log"]) + entry["seq"].to_bytes(4, "little") + chain[:8]
                    + entry["held_ms"].to_bytes(8, "little"))
            if entry["seq"] != part["at"] or not verifies(hub_key, text, bytes.fromhex(entry["signature"])):
                raise Bad(f"line {number}: log {part['log']}: the receipt is not the hub's word for change {entry['seq']}")
            count["receipt"] += 1
        elif last:
            if (entry["lines"], entry["changes"], entry["seals"], entry["receipts"]) != (
                    number, count["change"], count["seal"], count["receipt"]) or number != len(lines):
                raise Bad(f"line {number}: lines are missing")
            if part and part["sealed"] != part["last"]:
                raise Bad(f"line {number}: the log before it does not end with a seal")
        elif entry["type"] != "name":
            raise Bad(f"line {number}: of no known type")
        if not is_as_written:
            # In a change, seal or receipt the signature speaks when its seal comes; here only a line was damaged.
            damaged = f"line {number}: not as it was written"
            if entry["type"] not in ("change", "log"):
                raise Bad(damaged)
            header.setdefault("damaged", damaged)
    if not lines or not last:
        raise Bad(f"line {len(lines)}: cut short")
    for number, device in used:
        if device != hub_key and device not in enrolled:
            raise Bad(f"line {number}: a device the hub has not enrolled")
    if "damaged" in header:
        raise Bad(header["damaged"])
    return count


def main():
    hub_key = bytes.fromhex(sys.argv[2]) if len(sys.argv) > 2 else None
    try:
        count = check(sys.argv[1], hub_key)
    except Bad as bad:
        print(f"BAD {bad}")
        return 1
    except (KeyError, TypeError, ValueError, IndexError, OverflowError) as fault:
        print(f"BAD a line says what cannot stand there ({fault!r})")
        return 1
    print(f"GOOD changes={count['change']} seals={count['seal']} receipts={count['receipt']}")
    return 0


sys.exit(main())
