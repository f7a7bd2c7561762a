#!/usr/bin/env python3
"""Words and scores of the random streams, computed a second time.

Written from the doc comments of `Stream` and `fill_scores` alone, in whole numbers modulo 2^64 and, for the scores, with
50 digits (mpmath) from the definition of Box and Muller, so that neither the program's code nor its polynomials enter.

    python3 crates/sampling/tests/golden/stream.py > crates/sampling/tests/golden/stream.csv

Needs mpmath. `crates/sampling/tests/stream_golden.rs` compares.
"""
import csv
import sys

from mpmath import cos, log, mp, mpf, pi, sin, sqrt

mp.dps = 50
MASK = 2**64 - 1
STEP = 0x9E3779B97F4A7C15


def keyed_mix(w, k):
    w = ((w ^ (w >> 30)) * 0xBF58476D1CE4E5B9 & MASK) ^ k
    w = (w ^ (w >> 27)) * 0x94D049BB133111EB & MASK
    return w ^ (w >> 31)


def mix(w):
    return keyed_mix(w, 0)


def absorbed(point, characteristic, attempt):
    """The list of words that an id absorbs after its seed."""
    name = characteristic.encode("utf-8")
    yield from [0] if point is None else [1, point]
    yield len(name)
    for start in range(0, len(name), 8):
        yield int.from_bytes(name[start : start + 8].ljust(8, b"\0"), "little")
    yield attempt


def key(seed, point, characteristic, attempt):
    state = mix(seed + STEP & MASK)
    for a in absorbed(point, characteristic, attempt):
        state = mix((state ^ mix(a + STEP & MASK)) + STEP & MASK)
    return mix(state ^ 0x5851F42D4C957F2D), mix(state ^ 0x14057B7EF767814F)


def word(stream, i):
    before, between = stream
    return keyed_mix(before + (i + 1) * STEP & MASK, between)


def score(stream, i):
    """Pairing i of its block of 128: word o gives the scores of pairings o (cosine) and o + 64 (sine)."""
    w = word(stream, i // 128 * 64 + i % 64)
    u = 1 - mpf(w >> 24) / 2**40
    angle = ((mpf(w % 2**22) + mpf(1) / 2) / 2**22 - mpf(1) / 2) * pi / 2
    s, c = sin(angle), cos(angle)
    if w >> 23 & 1:
        c = -c
    if w >> 22 & 1:
        s, c = c, s
    return sqrt(-2 * log(u)) * (c if i % 128 < 64 else s)


IDS = [
    (0, None, "", 0),
    (7, None, "shaft.gauge_diameter", 0),
    (8, None, "shaft.gauge_diameter", 0),
    (7, 0, "shaft.gauge_diameter", 0),
    (7, 2**64 - 1, "shaft.gauge_diameter", 0),
    (7, None, "shaft.gauge_diameter", 1),
    (7, None, "shaft.gauge_diameter", 2**32 - 1),
    (2**64 - 1, None, "hub.half_angle", 0),
    (1, None, "8 bytes.", 0),
    (1, None, "9 bytes..", 0),
    (1, 3, "shaft.index_error/143", 2),
    (2**63, 41, "a long name; " * 40 + "ångström µm", 399),
]
PLACES = list(range(48)) + [63, 64, 65, 111, 127, 128, 192, 10**6, 2**32, 2**40 + 200, 2**53 - 1, 2**53, 2**63]
PLACES += [2**63 - 65, 2**63 - 64, 2**63 - 1]


def main():
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["seed", "point", "characteristic", "attempt", "index", "word", "score"])
    for seed, point, name, attempt in IDS:
        stream = key(seed, point, name, attempt)
        for i in PLACES:
            z = mp.nstr(score(stream, i), 20, strip_zeros=False, min_fixed=-5)
            shared = "shared" if point is None else point
            out.writerow([seed, shared, name, attempt, i, f"{word(stream, i):016x}", z])


if __name__ == "__main__":
    main()
