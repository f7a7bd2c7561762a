"""The peer of the kernel: the joint of scenarios/nine-normals.toml, vectorised with numpy as well as we know how.

    python3 pairings.py PAIRINGS [--processes P] [--chunk N] [--seed S]

Nine normal draws a pairing, a closed-form solve of the ring law with an elastic spacer, the verdict's six counts, and for
draw-up, clamp load, contact share and bore stress the sum, the sum of squares and a histogram of 2048 bins. Shares, means
and deviations go to stdout; the time of the simulation alone, in one line of `name value` pairs, to stderr.

Every output is right to 1e-6 of the larger of its value and its scale (check.py), but for the contact share of flanks that
are parallel within a few millionths (7 pairings in 10,000), where it is off by up to 2e-4. What makes it quick:

* Every array is allocated once; every step writes into one of them (out=). No temporaries, no masks of floats.
* Places along the cone count from the point where the quadratic through W = 1/K is stationary, so that W = c2 (x^2 + C)
  and the load of the cones is a product of few terms (`load`).
* One Newton step from the closed spacer and one more with the same slope (the cones are 300 times softer than the spacer).
* The stress has one candidate: the root of a quadratic, brought into the patch (`stress`).
* Normals by Box and Muller with one polynomial (`normals`): quicker than the generator's own.
* Pairings with a gap left (1 in 500) wait until a whole array of them can be solved.
* One thread a process: the linear algebra library would otherwise take a second core for the dot products.
"""

import os

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import argparse
import functools
import multiprocessing
import resource
import sys
import time

import numpy as np

# Sizes (mm, N, MPa, rad) of scenarios/nine-normals.toml.
X1, X2, U1, U2 = 3.0, 38.0, 0.0, 30.0
R_O, E_H, NU_H, E_S, NU_S = 27.0, 70e3, 0.33, 210e3, 0.29
ALPHA, ALPHA_SD = np.deg2rad(1.432096), np.deg2rad(0.01)
D_M, D_F, D_SD = 30.0, 29.6884, 0.008
A_M, A_M_SD, A_F = 4.0, 0.02, 4.0
T, T_SD = 6.0, 0.015
MU, MU_SD = 0.14, 0.02
TORQUE, TORQUE_SD, NUT, NUT_SD, BOLT = 60e3, 2400.0, 0.2, 0.016, 12.0
RING = np.pi / 4 * (43.0**2 - 30.605**2) * 210e3
CLAMP_MIN, SHARE_MIN, STRESS_MAX = 6000.0, 0.5, 160.0

MODES = ["good", "gap_left", "clamp_low", "cones_free", "contact_low", "bore_overstressed"]
OUTPUTS = ["draw_up", "clamp_load", "contact_share", "bore_stress"]
FRAMES = [(-1.5, 2.5), (0.0, 60e3), (0.0, 1.0), (0.0, 250.0)]
BINS = 2048
# Adding 1.5 2^52 leaves the rounded number in the low bits of a float: a conversion without a pass of its own.
MAGIC = 1.5 * 2.0**52
MAGIC_BITS = int(np.float64(MAGIC).view(np.int64))


def radius(x):
    return 0.5 * D_M - (x - A_M) * np.tan(ALPHA)


def weight(x):
    """W = 1/K of the ring law."""
    r2 = radius(x) ** 2
    return 1.0 / (((R_O**2 + r2) / (R_O**2 - r2) + NU_H) / E_H + (1.0 - NU_S) / E_S)


def stress_weight(x):
    """V: Tresca stress at the bore per radial interference."""
    return 2.0 * R_O**2 / ((R_O**2 - radius(x) ** 2) * radius(x)) * weight(x)


def through(function, degree):
    """The polynomial through Chebyshev nodes of the male flank."""
    nodes = 0.5 * (X1 + X2) + 0.5 * (X2 - X1) * np.cos(np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1))
    return np.polynomial.Polynomial(np.polynomial.polynomial.polyfit(nodes, function(nodes), degree))


def square(polynomial):
    """A quadratic as c2 ((x - x0)^2 + C): c2, x0, C."""
    c0, c1, c2 = polynomial.coef
    x0 = -0.5 * c1 / c2
    return c2, x0, c0 / c2 - x0 * x0


W2, ORIGIN, W_C = square(through(weight, 2))
# Cubic in the place from ORIGIN, and where its quadratic is stationary.
V = through(stress_weight, 3)(np.polynomial.Polynomial([ORIGIN, 1.0])).coef
_, V_STATIONARY, V_C = square(through(stress_weight, 2))
V_PLACE = V_STATIONARY - ORIGIN
# d V rises with x only beyond the smaller of the two roots of its derivative, whose product is V_C / 3: no patch of
# this joint reaches down to it, so the larger root is the only maximum (see `stress`).
assert V_C > 0.0 and np.sqrt(V_C / 3.0) < X1 - V_STATIONARY
# 2 pi tan(alpha + phi) times the factor -c2/3 of the load (see `load`); c2 is negative: W bends down along this cone.
THRUST = -4.0 * np.pi * W2 / 3.0
assert THRUST > 0.0
MALE_1, MALE_2, HUB = X1 - ORIGIN, X2 - ORIGIN, U2 - U1


def tangent(centre, sd):
    """Coefficients of tan(centre + sd z) in z, to second order."""
    t = np.tan(centre)
    return t, (1.0 + t * t) * sd, t * (1.0 + t * t) * sd * sd


class Lanes:
    """Everything that is known of some pairings: one array each, allocated once."""

    INPUTS = ["base", "k", "k75", "edge_k", "small", "thrust", "bolt"]
    STATE = ["low", "high", "overlap", "clearance", "edge_raw", "edge", "fixed", "length", "load", "p", "a", "b"]
    REST = ["t", "y", "y0", "kj", "u", "clamp", "share", "stress"]

    def __init__(self, n):
        self.n = n
        for name in self.INPUTS + self.STATE + self.REST:
            setattr(self, name, np.empty(n))
        self.scores, self.pair = np.empty((9, n)), np.empty((2, n))
        self.tan_m, self.tan_f = self.pair
        self.slots = np.empty(n, dtype=np.int64)
        self.masks = np.empty((5, n), dtype=bool)
        self.left = np.empty(n, dtype=bool)


def half_sine():
    """Coefficients in f^2 of sqrt(2) sin(pi f)/f for f in [-1/2, 1/2]: off by 4e-11 at most, Chebyshev nodes."""
    nodes = 0.125 + 0.125 * np.cos(np.pi * (np.arange(6) + 0.5) / 6)
    f = np.sqrt(nodes)
    return np.polynomial.polynomial.polyfit(nodes, np.sqrt(2.0) * np.sin(np.pi * f) / f, 5)


HALF_SINE = half_sine()


def normals(rng, z, w):
    """Fills z with standard normals, two from two uniform numbers (Box and Muller).

    With s = sqrt(2) sin(t) for an angle t in [-pi/2, pi/2] the cosine of 2 t is 1 - s^2 and its sine s sqrt(2 - s^2): one
    polynomial. Quicker by a fifth than the generator's own normals, whose tables are looked up one by one.
    """
    rng.random(out=z)
    radii, angles = z.reshape(2, 9, -1)
    q, s = w.pair.reshape(4, -1)[:2]
    for r, f in zip(radii, angles):
        np.subtract(1.0, r, out=r)
        np.log(r, out=r)
        np.multiply(r, -2.0, out=r)
        np.sqrt(r, out=r)
        np.subtract(f, 0.5, out=f)
        np.multiply(f, f, out=q)
        np.multiply(q, HALF_SINE[5], out=s)
        for coefficient in HALF_SINE[4:0:-1]:
            np.add(s, coefficient, out=s)
            np.multiply(s, q, out=s)
        np.add(s, HALF_SINE[0], out=s)
        np.multiply(s, f, out=s)
        np.multiply(s, s, out=f)
        np.subtract(2.0, f, out=q)
        np.sqrt(q, out=q)
        np.multiply(q, s, out=q)
        np.subtract(1.0, f, out=f)
        np.multiply(f, r, out=f)
        np.multiply(r, q, out=r)


@functools.lru_cache(maxsize=2)
def room(n):
    """Arrays for n pairings, made once in a process."""
    return Lanes(n)


def affine(z, mean, sd, out):
    np.multiply(z, sd, out=out)
    np.add(out, mean, out=out)
    return out


def prepare(z, w):
    """From scores to everything that does not depend on the stand-off. Uses up the scores."""
    d_m, d_f, tangents, t, a_m, mu, torque, nut = z[0], z[1], z[2:4], z[4], z[5], z[6], z[7], z[8]
    affine(t, T, T_SD, w.t)
    t0, t1, t2 = tangent(ALPHA, ALPHA_SD)
    np.multiply(tangents, t2, out=w.pair)
    np.add(w.pair, t1, out=w.pair)
    np.multiply(w.pair, tangents, out=w.pair)
    np.add(w.pair, t0, out=w.pair)
    tan_m, tan_f = w.pair
    np.subtract(tan_m, tan_f, out=w.k)
    # Clearance at the origin with the hub's large end there: (D_f - D_m)/2 + (a_f - u1) tan a_f + (origin - a_m) tan a_m.
    affine(a_m, ORIGIN - A_M, -A_M_SD, w.base)
    np.multiply(w.base, tan_m, out=w.base)
    np.subtract(d_f, d_m, out=w.a)
    affine(w.a, 0.5 * (D_F - D_M), 0.5 * D_SD, w.a)
    np.add(w.base, w.a, out=w.base)
    np.multiply(tan_f, A_F - U1, out=w.a)
    np.add(w.base, w.a, out=w.base)
    # Bolt load T / (k d).
    affine(nut, NUT * BOLT / TORQUE_SD, NUT_SD * BOLT / TORQUE_SD, w.a)
    np.add(torque, TORQUE / TORQUE_SD, out=w.bolt)
    np.divide(w.bolt, w.a, out=w.bolt)
    # tan(alpha + phi) = 2 (s + m) / (4 - m s) with s = tan a_m + tan a_f and m = 2 mu.
    affine(mu, 2.0 * MU, 2.0 * MU_SD, w.a)
    np.add(tan_m, tan_f, out=w.b)
    np.add(w.a, w.b, out=w.thrust)
    np.multiply(w.a, w.b, out=w.a)
    np.subtract(4.0, w.a, out=w.a)
    np.divide(w.thrust, w.a, out=w.thrust)
    # The thrust carries the sign of the mismatch, because `load` takes the patch from its deeper end to the other;
    # `small` is 1 where the deeper end is the small one, else 0.
    np.copysign(THRUST, w.k, out=w.a)
    np.multiply(w.thrust, w.a, out=w.thrust)
    affine(w.a, 0.5, -0.5 / THRUST, w.small)
    np.divide(-1.0, w.k, out=w.edge_k)
    np.multiply(w.k, 0.75, out=w.k75)
    # First touch, minus its stand-off: max((base + k u)/tan a_m, (base + k x)/tan a_f), at the end that touches.
    np.minimum(w.k, 0.0, out=w.a)
    np.multiply(w.a, HUB, out=w.y0)
    np.add(w.y0, w.base, out=w.y0)
    np.divide(w.y0, tan_m, out=w.y0)
    np.multiply(w.a, MALE_2 - MALE_1, out=w.a)
    np.multiply(w.k, MALE_1, out=w.b)
    np.add(w.a, w.b, out=w.a)
    np.add(w.a, w.base, out=w.a)
    np.divide(w.a, tan_f, out=w.a)
    np.maximum(w.y0, w.a, out=w.y0)


def load(y, w):
    """Axial load of the cones, their patch and overlap, with the hub's large end at y.

    With e and f the ends of the patch (f the deeper), clearance c + k x and W = c2 (x^2 + C) the integral of -(c + k x) W is
    -(c2/3) (e - f) [ c (e^2 + e f + f^2 + 3 C) + (3/4) k (e + f) (e^2 + f^2 + 2 C) ].
    """
    np.maximum(y, MALE_1, out=w.low)
    np.add(y, HUB, out=w.high)
    np.minimum(w.high, MALE_2, out=w.high)
    np.subtract(w.high, w.low, out=w.overlap)
    np.multiply(y, w.tan_f, out=w.clearance)
    np.add(w.clearance, w.base, out=w.clearance)
    np.multiply(w.clearance, w.edge_k, out=w.edge_raw)
    np.maximum(w.edge_raw, w.low, out=w.edge)
    np.minimum(w.edge, w.high, out=w.edge)
    np.multiply(w.overlap, w.small, out=w.fixed)
    np.add(w.fixed, w.low, out=w.fixed)
    np.subtract(w.edge, w.fixed, out=w.length)
    np.add(w.edge, w.fixed, out=w.a)
    np.multiply(w.edge, w.fixed, out=w.b)
    np.multiply(w.a, w.a, out=w.p)
    np.subtract(w.p, w.b, out=w.p)
    np.subtract(w.p, w.b, out=w.b)
    np.add(w.b, 2.0 * W_C, out=w.b)
    np.add(w.p, 3.0 * W_C, out=w.p)
    np.multiply(w.a, w.k75, out=w.a)
    np.multiply(w.a, w.b, out=w.a)
    np.multiply(w.clearance, w.p, out=w.b)
    np.add(w.a, w.b, out=w.b)
    np.multiply(w.length, w.thrust, out=w.a)
    np.multiply(w.a, w.b, out=w.load)


def slope(w):
    """Into w.p: rate of the load with the stand-off, after `load`. What the moving end of the overlap adds is left out."""
    np.multiply(w.p, w.a, out=w.p)
    np.multiply(w.p, w.tan_f, out=w.p)


def stress(w):
    """Into w.stress: minus the largest d V over the patch, 0 or below.

    With V = v2 ((x - v)^2 + C) the derivative of d V vanishes at v + a +- sqrt(a^2 - C/3), a a third of the way from v to the
    end of the contact. The upper root is the maximum when the large end touches first; it lies inside the contact. When
    the small end does, that end is the maximum, and being the lower bound here it is what comes out.
    """
    affine(w.edge_raw, -V_PLACE / 3.0, 1.0 / 3.0, w.a)
    np.multiply(w.a, w.a, out=w.b)
    np.subtract(w.b, V_C / 3.0, out=w.b)
    np.maximum(w.b, 0.0, out=w.b)
    np.sqrt(w.b, out=w.b)
    np.add(w.a, w.b, out=w.a)
    np.add(w.a, V_PLACE, out=w.a)
    np.maximum(w.a, w.fixed, out=w.a)
    np.minimum(w.a, w.high, out=w.a)
    np.multiply(w.a, V[3], out=w.stress)
    for coefficient in V[2:0:-1]:
        np.add(w.stress, coefficient, out=w.stress)
        np.multiply(w.stress, w.a, out=w.stress)
    np.add(w.stress, V[0], out=w.stress)
    np.multiply(w.a, w.k, out=w.a)
    np.add(w.a, w.clearance, out=w.a)
    np.multiply(w.stress, w.a, out=w.stress)
    np.minimum(w.stress, 0.0, out=w.stress)


def share(w):
    np.abs(w.length, out=w.share)
    np.divide(w.share, w.overlap, out=w.share)


def balance(w):
    """Closed spacer, one Newton step, one more with the same slope: clamp load, and the patch where the hub stops."""
    y = affine(w.t, U1 - ORIGIN, 1.0, w.y)
    load(y, w)
    slope(w)
    # kj = k_c / (k_c - dF/dh) with k_c = RING / t.
    np.multiply(w.p, w.t, out=w.p)
    np.subtract(RING, w.p, out=w.p)
    np.divide(RING, w.p, out=w.kj)
    np.subtract(w.bolt, w.load, out=w.u)
    np.less_equal(w.u, 0.0, out=w.masks[0])
    np.multiply(w.u, w.kj, out=w.u)
    # The draw-up's place is kept before y moves on.
    np.add(w.y0, y, out=w.y0)
    np.multiply(w.u, w.t, out=w.a)
    np.multiply(w.a, 1.0 / RING, out=w.a)
    np.subtract(y, w.a, out=y)
    load(y, w)
    np.subtract(w.bolt, w.load, out=w.clamp)
    np.subtract(w.clamp, w.u, out=w.clamp)
    np.multiply(w.clamp, w.kj, out=w.clamp)
    np.add(w.clamp, w.u, out=w.clamp)


class Tally:
    """Counts, sums, sums of squares and histograms."""

    def __init__(self):
        self.counts = np.zeros(len(MODES), dtype=np.int64)
        self.sums, self.squares = np.zeros(4), np.zeros(4)
        self.tables = np.zeros((4, BINS), dtype=np.int64)

    def output(self, i, values, sign, w):
        """Adds an output that is kept with this sign; what lies outside is counted in the end bins."""
        low, high = FRAMES[i]
        self.sums[i] += sign * values.sum()
        self.squares[i] += np.dot(values, values)
        # Only draw-up can lie below its first bin; half a bin is taken off because the addition of MAGIC rounds.
        scale, bins = BINS / (high - low), w.a[: len(values)]
        np.multiply(values, sign * scale, out=bins)
        if low < 0.0:
            np.maximum(bins, low * scale + 0.5, out=bins)
        np.add(bins, MAGIC - low * scale - 0.5, out=bins)
        slots = w.slots[: len(values)]
        np.subtract(bins.view(np.int64), MAGIC_BITS, out=slots)
        found = np.bincount(slots, minlength=BINS)
        self.tables[i] += found[:BINS]
        self.tables[i, -1] += found[BINS:].sum()

    def verdicts(self, w):
        gap, low_clamp, free, low_share, over = w.masks
        np.less(w.clamp, CLAMP_MIN, out=low_clamp)
        np.less_equal(w.load, 0.0, out=free)
        np.less(w.share, SHARE_MIN, out=low_share)
        np.less(w.stress, -STRESS_MAX, out=over)
        left = w.left
        np.logical_not(gap, out=left)
        before = w.n
        for place, mask in enumerate((None, low_clamp, free, low_share, over), 1):
            if mask is not None:
                np.greater(left, mask, out=left)
            now = np.count_nonzero(left)
            self.counts[place] += before - now
            before = now
        self.counts[0] += before


class Gaps:
    """Pairings with a gap left, kept until there are many."""

    NEEDED = ["tan_f", "base", "k", "k75", "edge_k", "small", "thrust", "bolt", "t", "y0"]

    def __init__(self, room):
        self.w = Lanes(room)
        self.held = 0

    def take(self, lanes, w, tally):
        while len(lanes):
            now = lanes[: self.w.n - self.held]
            place = slice(self.held, self.held + len(now))
            for name in self.NEEDED:
                getattr(self.w, name)[place] = getattr(w, name)[now]
            self.held += len(now)
            lanes = lanes[len(now) :]
            if self.held == self.w.n:
                self.solve(tally)

    def solve(self, tally):
        """Newton from the closed spacer outward, where the load falls to the bolt's: from the steep side, so it never overshoots."""
        n, w = self.held, self.w
        self.held = 0
        if n == 0:
            return
        for name in self.NEEDED:
            getattr(w, name)[n:] = getattr(w, name)[0]
        affine(w.t, U1 - ORIGIN, 1.0, w.t)
        # y0 holds minus the draw-up: first touch lies there.
        np.subtract(w.t, w.y0, out=w.y0)
        np.copyto(w.y, w.t)
        for _ in range(10):
            load(w.y, w)
            slope(w)
            np.subtract(w.bolt, w.load, out=w.a)
            np.divide(w.a, np.minimum(w.p, -1.0, out=w.p), out=w.a)
            np.add(w.y, w.a, out=w.y)
            np.clip(w.y, w.t, w.y0, out=w.y)
        load(w.y, w)
        share(w)
        stress(w)
        tally.output(2, w.share[:n], 1.0, w)
        tally.output(3, w.stress[:n], -1.0, w)


def solve(z, w):
    """From scores to outputs; the scores are used up."""
    prepare(z, w)
    balance(w)
    share(w)
    stress(w)


def simulate(pairings, seed, chunk):
    rng = np.random.Generator(np.random.SFC64(seed))
    tally, gaps = Tally(), Gaps(4096)
    done, w = 0, None
    while done < pairings:
        n = min(chunk, pairings - done)
        if w is None or w.n != n:
            w = room(n)
            z = w.scores
        normals(rng, z, w)
        solve(z, w)
        lanes = np.flatnonzero(w.masks[0])
        gaps.take(lanes, w, tally)
        w.clamp[lanes] = 0.0
        w.share[lanes] = 0.0
        w.stress[lanes] = 0.0
        tally.verdicts(w)
        for i, (values, sign) in enumerate(((w.y0, -1.0), (w.clamp, 1.0), (w.share, 1.0), (w.stress, -1.0))):
            tally.output(i, values, sign, w)
        # Share and stress of the gaps come later.
        tally.tables[2:, 0] -= len(lanes)
        done += n
    gaps.solve(tally)
    if not np.isfinite(tally.squares).all():
        raise ArithmeticError("an output is not a finite number")
    return tally.counts, tally.sums, tally.squares, tally.tables


def task(arguments):
    return simulate(*arguments)


def run(pairings, seed, chunk, processes):
    seeds = np.random.SeedSequence(seed).spawn(4 * processes)
    if processes == 1:
        return [simulate(pairings, seeds[0], chunk)]
    # Whole chunks where they go round; the last task takes what is left.
    each = -(-pairings // (len(seeds) * chunk)) * chunk
    sizes = [max(0, min(each, pairings - i * each)) for i in range(len(seeds))]
    with multiprocessing.get_context("fork").Pool(processes) as pool:
        results = pool.map(task, [(n, s, chunk) for n, s in zip(sizes, seeds) if n > 0], chunksize=1)
        pool.close()
        pool.join()
    return results


def used():
    """Processor seconds and peak memory (KiB) of this process and its children; of the children's, the largest."""
    own, children = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    cpu = own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime
    return cpu, max(own.ru_maxrss, children.ru_maxrss)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("pairings", type=lambda text: int(float(text)))
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--chunk", type=int, default=32_768)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    if options.pairings < 1 or options.pairings % 2 or options.chunk < 2 or options.chunk % 2 or options.processes < 1:
        parser.error("pairings and chunk are even numbers above 0 (normals come in pairs), processes at least 1")
    begun, (before, _) = time.perf_counter(), used()
    results = run(options.pairings, options.seed, options.chunk, options.processes)
    seconds, (cpu, peak) = time.perf_counter() - begun, used()
    counts, sums, squares, tables = (sum(part) for part in zip(*results))
    for mode, count in zip(MODES, counts):
        print(f"{mode:17} {100.0 * count / options.pairings:8.4f} %  {count}")
    for name, total, square_sum, table in zip(OUTPUTS, sums, squares, tables):
        assert table.sum() == options.pairings
        mean = total / options.pairings
        print(f"{name:17} mean {mean:.6g} sd {np.sqrt(square_sum / options.pairings - mean * mean):.6g}")
    rate = 1e9 * seconds / options.pairings
    print(f"seconds {seconds:.6f} cpu {cpu - before:.3f} peak_kib {peak} ns {rate:.2f}", file=sys.stderr)


if __name__ == "__main__":
    main()
