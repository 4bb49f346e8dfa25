#!/usr/bin/env python3
"""Checks an evidence file from its description in core/README.md alone: hashlib, and openssl for Ed25519.

    check.py FILE [HUB_KEY_HEX]

Shares no code with Wrackline. Prints `GOOD changes=N seals=N arrivals=N`; or `BAD line N: why` and exits 1; or, without the
hub's key, `UNVOUCHED changes=N seals=N arrivals=N` and exits 3.
"""
import json
import sys

from check_parts import Tree, data, fields_of, id_in, id_of, last, little, root_of, sha256, verifies


class Bad(Exception):
    pass


def expect(yes, line, why):
    if not yes:
        raise Bad(f"line {line}: {why}")


def read(path):
    """The header, the logs with their reaches and changes, the end, and the first line that is not as it was written."""
    with open(path, "rb") as file:
        lines = file.read().split(b"\n")
    expect(lines.pop() == b"", len(lines) + 1, "cut short")
    chain, header, logs, log, entry, damaged = sha256(b"wrackline/evidence/2"), None, {}, None, {}, None
    for at, line in enumerate(lines, 1):
        expect(entry.get("type") != "end", at, "it stands behind the end")
        chain = sha256(chain, line[:line.rfind(b',"check":')])
        entry = {**json.loads(line), "line": at}
        kind = entry["type"]
        if not line.endswith(f',"check":"{(chain if kind == "end" else chain[:4]).hex()}"}}'.encode()):
            damaged = damaged or at
        if kind == "evidence":
            expect(at == 1 and entry["version"] == 2, at, "no beginning of an evidence file of version 2")
            header = entry
        elif kind == "log":
            expect(header and entry["log"] not in logs and 0 < entry["size"] < 1 << 24, at, "it cannot stand there")
            log = logs[entry["log"]] = {**entry, "reach": [], "change": []}
        elif kind in ("reach", "change"):
            key, most = ("size", log["size"] - 1) if kind == "reach" else ("seq", log["size"])
            first = log[kind][-1][key] + 1 if log[kind] else log.get("branch_after", 0) + 1 if kind == "change" else 1
            expect(first <= entry[key] <= most and (kind == "change" or not log["change"]), at, "out of order")
            log[kind].append(entry)
        else:
            expect(kind == "end" or (kind == "name" and header and not log), at, "it cannot stand there")
    expect(entry.get("type") == "end", len(lines), "cut short")
    counts = (len(lines), sum(len(log["change"]) for log in logs.values()), len(logs))
    expect((entry["lines"], entry["changes"], entry["seals"]) == counts, len(lines), "lines are missing")
    return header, logs, entry, damaged


def check_log(facility, header, log):
    """Seal and tree; leaves in `roots` the root at each size that is shown, in each change its `fields`."""
    line, size, whole, root = log["line"], log["size"], log.get("whole"), data(log, "root", 32)
    device = log["key"] = data(log, "device", 32) if "device" in log else data(header, "hub_key", 32)
    area = id_of(log["area"]) if "area" in log else (0, 0)
    opening = bytes([log.get("class", 0)]) + little(area[0], 8) + little(area[1], 4)
    sealed_as = id_in(sha256(b"wrackline/log/2", facility, device, opening, data(log, "nonce", 16)))
    if log.get("class", 0) == 255:
        sealed_as = log.get("sealed_as", log["log"])
    expect(sealed_as == log.get("sealed_as", log["log"]), line, "the log's id does not follow from who opened it")
    text = b"wrackline/seal/2" + facility + little(int(sealed_as, 16), 8) + opening + little(size, 8) + root
    text += little(int(log.get("seen_log", "0"), 16), 8) + little(log.get("seen_size", 0), 8)
    text += data(log, "seen_root", 32) if "seen_size" in log else bytes(32)
    log["text"] = text + (device if log.get("class", 0) == 255 else b"")
    log["sealed"] = verifies(device, log["text"], data(log, "signature", 64))
    expect(log["sealed"] or log.get("class", 0) == 255, line, "the seal is not its device's")
    tree, leaves, log["roots"] = Tree(size, root), [], {size: root}
    expect(log["change"], line, "no change of the log is there")
    for entry in log["reach"] + log["change"]:
        path = data(entry, "path") if "path" in entry else b""
        expect(len(path) % 32 == 0 and not (path and whole), entry["line"], "no path can stand there")
        path = [path[i:i + 32] for i in range(0, len(path), 32)]
        if entry["type"] == "reach":
            reached = log["roots"][entry["size"]] = None if whole else tree.root_at(entry["size"], path)
            expect(whole or reached, entry["line"], "the path does not lead to what was sealed")
            continue
        envelope, content = data(entry, "envelope"), b"" if "commit" in entry else data(entry, "content")
        commit = data(entry, "commit", 32) if "commit" in entry else sha256(b"\2", data(entry, "salt", 16), content)
        leaves.append(sha256(b"\0", commit, envelope))
        right = whole or tree.learn((entry["seq"] - 1, 1), leaves[-1], path)
        expect(right, entry["line"], f"log {sealed_as}, change {entry['seq']}: not what its device sealed")
        entry["fields"] = {**fields_of(envelope), **fields_of(content)}
    if whole:
        expect(len(leaves) == size and root_of(leaves) == root, line, "its changes are not what its device sealed")
        log["roots"].update((reach["size"], root_of(leaves[:reach["size"]])) for reach in log["reach"])
    if "branch_of" in log:
        text = b"wrackline/branch/2" + little(int(sealed_as, 16), 8) + little(log["branch_after"], 8) + leaves[0]
        begins = log["change"][0]["seq"] == log["branch_after"] + 1
        expect(begins and id_in(sha256(text)) == log["log"], line, "the branch's id does not follow from its first change")


def births(logs, kind):
    """Of each birth of that kind that is shown: the log's entry, the change, the record's fields; by log and seq."""
    for log in (logs[name] for name in sorted(logs)):
        for change in log["change"]:
            if last(change["fields"], 3) == kind and 4 not in change["fields"] and "commit" not in change:
                yield log, change, fields_of(last(change["fields"], 6, b""))


def hub_keys(logs, known):
    """The hub's keys, and of those that were given up the ends of their logs."""
    keys, ends = [], {}
    records = [(log, change["seq"], fields) for log, change, fields in births(logs, 3)
               if last(fields, 5) == 1 and "branch_of" not in log and len(last(fields, 2, b"")) == 32]

    def follow(key):
        keys.append(key)
        for log, seq, fields in records:
            named = last(fields, 2)
            if log["key"] != key or named == key or seq > ends.get(key, {}).get(log["log"], 0 if key in ends else seq):
                continue
            for end in map(fields_of, fields.get(6, [])):
                of, name = ends.setdefault(named, {}), f"{last(end, 1):016x}"
                of[name] = max(of.get(name, 0), last(end, 2))
            if named not in keys:
                follow(named)

    follow(known)
    return keys, ends


def check(path, known):
    header, logs, end, damaged = read(path)
    for log in logs.values():
        check_log(data(header, "facility", 16), header, log)
    for _ in logs:  # A key of the hub's may stand in a log that another of its keys sealed.
        keys, ends = hub_keys({n: log for n, log in logs.items() if log["sealed"]}, known or data(header, "hub_key", 32))
        for log in logs.values():
            by_hub = [key for key in keys if not log["sealed"] and verifies(key, log["text"], data(log, "signature", 64))]
            log["sealed"], log["vouched"] = log["sealed"] or bool(by_hub), log.get("vouched") or bool(by_hub)
    for log in logs.values():
        expect(log["sealed"], log["line"], "the seal is neither its device's nor the hub's")
    expect(data(header, "hub_key", 32) in keys, 1, "made for another hub")
    for log in logs.values():  # How far it is the hub's word.
        log["reaches"] = 0 if log["key"] not in keys else ends.get(log["key"], {log["log"]: log["size"]}).get(log["log"], 0)
    word = {name: log for name, log in logs.items() if "branch_of" not in log}
    enrolled = {last(fields, 2) for log, change, fields in births(word, 3) if change["seq"] <= log["reaches"]}
    arrivals, shown = 0, set()
    for log in logs.values():
        owned = log["key"] in keys or (log.get("class", 0) != 5 and log["key"] in enrolled)
        expect(owned, log["line"], "sealed by a device that the hub has not enrolled")
        for change in log["change"]:
            kept = log["key"] not in keys or change["seq"] <= log["reaches"]
            expect(kept, change["line"], "sealed by a key that the hub has given up")
            record = fields_of(last(change["fields"], 4)) if 4 in change["fields"] else {1: [int(log["log"], 16)], 2: [change["seq"]]}
            shown.add((last(record, 1), last(record, 2), log["log"]))
    for log, change, fields in births({name: log for name, log in word.items() if log.get("class", 0) == 5}, 63):
        for span in map(fields_of, fields.get(1, [])):
            roots = logs.get(f"{last(span, 1):016x}", {"roots": {}})["roots"]
            if last(span, 3) in roots:
                expect(roots[last(span, 3)] == last(span, 4), change["line"], "the hub came to hold another log")
                arrivals += 1
                logs[f"{last(span, 1):016x}"]["vouched"] = True
    for log in logs.values():
        vouched = log.get("class", 0) != 255 or log["key"] in keys or log["vouched"]
        expect(vouched, log["line"], "the hub does not vouch for the log's id")
    for record in map(id_of, header["records"]):
        touched = [logs[log] for a, b, log in shown if (a, b) == record]
        expect(touched, 1, f"no change of {record} is there")
        for log in touched if header["whole"] else []:
            expect(log.get("whole") or "branch_of" in log, log["line"], "the file says that it holds whole logs")
    expect(not damaged, damaged, "not as it was written")
    return f"changes={end['changes']} seals={end['seals']} arrivals={arrivals}"


def main():
    known = bytes.fromhex(sys.argv[2]) if len(sys.argv) > 2 else None
    try:
        counts = check(sys.argv[1], known)
    except Bad as bad:
        print(f"BAD {bad}")
        return 1
    except (AttributeError, KeyError, TypeError, ValueError, IndexError, OverflowError, RecursionError) as fault:
        print(f"BAD a line says what cannot stand there ({ascii(fault)})")
        return 1
    print(("GOOD " if known else "UNVOUCHED ") + counts)
    return 0 if known else 3


sys.exit(main())
