"""Ed25519 signatures on the edge of what is one, as the table edge_signatures.h: python3 edge_signatures.py >edge_signatures.h

Curve, encoding and signing are computed here from RFC 8032, section 5.1, in plain integers. Each row says whether its
signature satisfies the equation without the cofactor, and whether the rule of crypto/signing.h takes it. The kinds of
edges are those of Chalkias, Garillot, Nikolaenko, "Taming the many EdDSAs" (2020), from memory; no value is taken from it.
"""
import hashlib

P = 2**255 - 19
L = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P
ROOT = pow(2, (P - 1) // 4, P)  # A square root of -1.


def add(a, b):
    (x1, y1), (x2, y2) = a, b
    t = D * x1 * x2 * y1 * y2 % P
    return (x1 * y2 + x2 * y1) * pow(1 + t, -1, P) % P, (y1 * y2 + x1 * x2) * pow(1 - t, -1, P) % P


def times(n, a):
    out = (0, 1)
    while n:
        if n & 1:
            out = add(out, a)
        a, n = add(a, a), n >> 1
    return out


def point(y, sign):  # None where there is none.
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if x * x % P != square:
        x = x * ROOT % P
    if x * x % P != square:
        return None
    return (-x % P if x & 1 != sign else x), y % P


def raw(y, sign):
    return (y | sign << 255).to_bytes(32, "little")


def encode(a):
    return raw(a[1], a[0] & 1)


def negative(a):
    return -a[0] % P, a[1]


def hashed(*parts):
    return int.from_bytes(hashlib.sha512(b"".join(parts)).digest(), "little") % L


B = point(4 * pow(5, -1, P) % P, 0)
secret = hashlib.sha512(b"a key for edges").digest()
a = int.from_bytes(secret[:32], "little") & (2**254 - 8) | 2**254
r = int.from_bytes(secret[32:], "little") % L
A, R = times(a, B), times(r, B)
# A point of order 8 is L times any point outside of the great subgroup.
T = next(t for t in (times(L, q) for q in (point(y, 0) for y in range(2, 99)) if q) if times(4, t) != (0, 1))
assert times(8, T) == (0, 1) and times(L, B) == (0, 1)
small = [times(i, T) for i in range(8)]
ORDER = [1, 8, 4, 8, 2, 8, 4, 8]
rows = []


def holds(key_point, r_bytes, key, text, s):  # s B == R + h A, compared by encoding R canonically, with no cofactor.
    h = hashed(r_bytes, key, text)
    return encode(add(times(s % L, B), negative(times(h, key_point)))) == r_bytes


def row(name, key_point, key, r_bytes, s, text, sound):
    rows.append((name, key, text, r_bytes + s.to_bytes(32, "little"), holds(key_point, r_bytes, key, text, s), sound))


def texts():
    return (b"edge %d" % i for i in range(1000))


def signed(name, key_point, r_point, is_wanted, sound, r_bytes=None, key=None):
    """The first text of which h is wanted. The key's part of known logarithm is a, or none where it is of small order."""
    key, r_bytes = key or encode(key_point), r_bytes or encode(r_point)
    scalar = 0 if key_point in small else a
    start = r if r_point not in small else 0
    for text in texts():
        h = hashed(r_bytes, key, text)
        if is_wanted(h):
            row(name, key_point, key, r_bytes, (start + h * scalar) % L, text, sound)
            return
    raise AssertionError(name)


def closes(key_point, r_small):  # The parts of small order cancel: the equation holds without a cofactor.
    index = small.index(times(L * pow(L, -1, 8), key_point))
    return lambda h: (h * index + r_small) % 8 == 0


def always(h):
    return True


signed("as RFC 8032 says", A, R, always, True)
text = b"edge 0"
s = (r + hashed(encode(R), encode(A), text) * a) % L
for more in (1, 2, 7):
    row(f"S is {more} L too large", A, encode(A), encode(R), s + more * L, text, False)
row("S has its highest bit set", A, encode(A), encode(R), s + 2**255, text, False)
for i, t in enumerate(small):
    signed(f"A of order {ORDER[i]}", t, R, closes(t, 0), False)
    mixed = add(A, t)
    signed(f"R of order {ORDER[i]}, A with a part of order {ORDER[i]}", mixed, t, closes(mixed, i), False)
    signed(f"A and R of order {ORDER[i]}", t, t, closes(t, i), False)
    if i:
        signed(f"A with a part of order {ORDER[i]}, the equation holds", mixed, R, closes(mixed, 0), True)
        signed(f"A with a part of order {ORDER[i]}, it holds with the cofactor alone", mixed, R, lambda h: not closes(mixed, 0)(h), False)
        signed(f"R with a part of order {ORDER[i]}, it holds with the cofactor alone", A, add(R, t), always, False)
        signed(f"A and R with parts of order 8 and {ORDER[i]}, the equation holds", add(A, T), add(R, t), closes(add(A, T), i), True)
for name, y, sign, p in (
    ("p, 0", P, 0, point(0, 0)), ("p, 1", P, 1, point(0, 1)), ("p + 1, 0", P + 1, 0, (0, 1)), ("p + 1, 1", P + 1, 1, (0, 1)),
    ("1, 1", 1, 1, (0, 1)), ("p - 1, 1", P - 1, 1, (0, P - 1)),
):
    signed(f"A written as {name}", p, R, closes(p, 0), False, key=raw(y, sign))
    signed(f"R written as {name}", A, p, always, False, r_bytes=raw(y, sign))
y = next(y for y in range(2, 19) if point(y, 0))
row(f"A written as p + {y}, of large order", point(y, 0), raw(P + y, 0), encode(R), s, text, False)
row("A is no point", A, raw(next(y for y in range(2, 99) if not point(y, 0)), 0), encode(R), s, text, False)

print("// Written by edge_signatures.py, which says what this is. Not to be edited.")
print("#pragma once\n\nnamespace wrackline {\n")
print("struct EdgeSignature {\n  const char* name;\n  const char* key;\n  const char* text;\n  const char* signature;")
print("  bool holds;     // The equation, without the cofactor.\n  bool is_taken;  // By the rule.\n};\n")
print("constexpr EdgeSignature kEdgeSignatures[] = {")
for name, key, text, signature, holding, sound in rows:
    flags = ", ".join(str(flag).lower() for flag in (holding, sound))
    print(f'    {{"{name}", "{key.hex()}", "{text.hex()}",\n     "{signature.hex()}", {flags}}},')
print("};\n")
print("// Every way to write a point of small order, in 32 bytes.\nconstexpr const char* kSmallOrderKeys[] = {")
for y in sorted({p[1] for p in small} | {P, P + 1}):
    for sign in (0, 1):
        print(f'    "{raw(y, sign).hex()}",')
print("};\n\n}  // namespace wrackline")
