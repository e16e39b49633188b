"""Checking Ed25519 signatures, after the sample code of RFC 8032, section 6: slow and short."""
import hashlib

P = 2**255 - 19
Q = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, P - 2, P) % P
ROOT = pow(2, (P - 1) // 4, P)


def add(a, b):
    x = (a[1] - a[0]) * (b[1] - b[0]) % P
    y = (a[1] + a[0]) * (b[1] + b[0]) % P
    t, z = 2 * a[3] * b[3] * D % P, 2 * a[2] * b[2] % P
    e, f, g, h = y - x, z - t, z + t, y + x
    return e * f % P, g * h % P, f * g % P, e * h % P


def times(number, point):
    out = (0, 1, 1, 0)
    while number:
        if number & 1:
            out = add(out, point)
        point, number = add(point, point), number >> 1
    return out


def same(a, b):
    return (a[0] * b[2] - b[0] * a[2]) % P == 0 and (a[1] * b[2] - b[1] * a[2]) % P == 0


def point(encoded):
    y = int.from_bytes(encoded, "little")
    sign, y = y >> 255, y & (2**255 - 1)
    square = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(square, (P + 3) // 8, P)
    if (x * x - square) % P:
        x = x * ROOT % P
    if y >= P or (x * x - square) % P or (x == 0 and sign):
        return None
    if x & 1 != sign:
        x = P - x
    return x, y, 1, x * y % P


BASE = point((4 * pow(5, P - 2, P) % P).to_bytes(32, "little"))


def is_signed(key, message, signature):
    if len(key) != 32 or len(signature) != 64:
        return False
    a, r, s = point(key), point(signature[:32]), int.from_bytes(signature[32:], "little")
    if a is None or r is None or s >= Q:
        return False
    h = int.from_bytes(hashlib.sha512(signature[:32] + key + message).digest(), "little") % Q
    return same(times(s, BASE), add(r, times(h, a)))
