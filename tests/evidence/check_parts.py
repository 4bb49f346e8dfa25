"""The parts of check.py that know no evidence file: bytes in JSON, Ed25519, protobuf's wire format, trees of RFC 9162."""
import base64
import hashlib
import os
import subprocess
import tempfile


def sha256(*parts):
    return hashlib.sha256(b"".join(parts)).digest()


def little(number, size):
    return number.to_bytes(size, "little")


def id_in(digest):
    return f"{int.from_bytes(digest[:8], 'little'):016x}"


def data(entry, member, size=None):
    out = base64.b64decode(entry[member], validate=True)
    if base64.b64encode(out).decode() != entry[member] or (size is not None and len(out) != size):
        raise ValueError(member)
    return out


def id_of(text):
    log, seq = text.split(".")
    return int(log, 16), int(seq)


def verifies(key, text, signature):
    """Ed25519 (RFC 8032) by openssl; the key as RFC 8410 writes it."""
    with tempfile.TemporaryDirectory() as folder:
        key = bytes.fromhex("302a300506032b6570032100") + key
        for name, content in (("key", key), ("text", text), ("signature", signature)):
            with open(os.path.join(folder, name), "wb") as file:
                file.write(content)
        command = "openssl pkeyutl -verify -rawin -pubin -keyform DER -inkey key -in text -sigfile signature".split()
        return subprocess.run(command, cwd=folder, capture_output=True).returncode == 0


def fields_of(message):
    """The values of each field by its number; bytes for what has a length, numbers otherwise."""
    at, out = 0, {}

    def take(size):
        nonlocal at
        at += size
        return message[at - size:at]

    def varint():
        byte = take(1)[0]
        return byte if byte < 0x80 else (byte & 0x7F) | varint() << 7

    while at < len(message):
        tag = varint()
        read = {0: varint, 1: lambda: int.from_bytes(take(8), "little"), 2: lambda: take(varint()),
                5: lambda: int.from_bytes(take(4), "little")}[tag & 7]
        out.setdefault(tag >> 3, []).append(read())
    return out


def last(fields, number, absent=0):
    return fields.get(number, [absent])[-1]


class Tree:
    """The hashes that are known of a tree, each by its subtree: (first leaf, number of leaves)."""

    def __init__(self, size, root):
        self.size, self.known = size, {(0, size): root}

    def way(self, at):
        """Each subtree on the way and the one beside it, the lowest first."""
        here, out = (0, self.size), []
        while here != at:
            k = 1 << (here[1] - 1).bit_length() - 1
            left, right = (here[0], k), (here[0] + k, here[1] - k)
            here, beside = (left, right) if at[0] < right[0] else (right, left)
            out.insert(0, (here, beside))
        return out

    def learn(self, at, value, path):
        for on, beside in self.way(at):
            if on in self.known or not path:
                return not path and self.known.get(on) == value
            self.known[on], self.known[beside] = value, path[0]
            value, path = sha256(b"\1", *((value, path[0]) if on < beside else (path[0], value))), path[1:]
        return not path and self.known[0, self.size] == value

    def root_at(self, size, path):
        at = (size - (size & -size), size & -size)
        if (path if at in self.known else not path or not self.learn(at, path[0], path[1:])):
            return None
        value = self.known[at]
        for on, beside in self.way(at):
            value = sha256(b"\1", self.known[beside], value) if beside < on else value
        return value


def root_of(leaves):
    if len(leaves) == 1:
        return leaves[0]
    k = 1 << (len(leaves) - 1).bit_length() - 1
    return sha256(b"\1", root_of(leaves[:k]), root_of(leaves[k:]))
