"""The peer of the kernel: the same joint (scenarios/nine-normals.toml), vectorised with numpy as well as we know how.

    python3 pairings.py PAIRINGS [--processes P] [--chunk N]

Nine normal draws a pairing, closed-form solve of the ring law with an elastic spacer, the verdict's six counts, and for
four outputs sum, sum of squares and a histogram of 2048 bins. Prints the counts and the time of the simulation alone.
"""

import argparse
import multiprocessing
import sys
import time

import numpy as np

# Sizes (mm, N, MPa, rad) of scenarios/nine-normals.toml.
X1, X2, U1, U2 = 3.0, 38.0, 0.0, 30.0
R_O, E_H, NU_H, E_S, NU_S = 27.0, 70e3, 0.33, 210e3, 0.29
ALPHA = np.deg2rad(1.432096)
D_M, D_F, A_M, A_F, T = 30.0, 29.6884, 4.0, 4.0, 6.0
RING = np.pi / 4 * (43.0**2 - 30.605**2) * 210e3
CLAMP_MIN, SHARE_MIN, STRESS_MAX = 6000.0, 0.5, 160.0
MODES = ["good", "gap left", "clamp low", "cones free", "contact low", "over-stressed"]
FRAMES = [(-1.5, 2.5), (0.0, 60e3), (0.0, 1.0), (0.0, 250.0)]
BINS = 2048


def radius(x):
    return 0.5 * (D_M - 2.0 * (x - A_M) * np.tan(ALPHA))


def weight(x):
    """1/K of the ring law."""
    r2 = radius(x) ** 2
    return 1.0 / (((R_O**2 + r2) / (R_O**2 - r2) + NU_H) / E_H + (1.0 - NU_S) / E_S)


def fitted(function, degree=3):
    """Coefficients, lowest first, of a polynomial in x through Chebyshev nodes of the male flank."""
    nodes = 0.5 * (X1 + X2) + 0.5 * (X2 - X1) * np.cos(np.pi * (np.arange(degree + 1) + 0.5) / (degree + 1))
    return np.polynomial.polynomial.polyfit(nodes, function(nodes), degree)


W = fitted(weight)
V = fitted(lambda x: 2.0 * R_O**2 / ((R_O**2 - radius(x) ** 2) * radius(x)) * weight(x))


def horner(c, x):
    y = c[3] * x
    y += c[2]
    y *= x
    y += c[1]
    y *= x
    y += c[0]
    return y


def patch(h, c0, k, tan_f):
    """Patch of contact at a stand-off: ends, overlap, and the clearance's constant."""
    low = np.maximum(X1, h + U1)
    high = np.minimum(X2, h + U2)
    overlap = high - low
    s = -(c0 + h * tan_f)
    edge = np.clip(s / k, low, high)
    steep = k > 0
    return np.where(steep, low, edge), np.where(steep, edge, high), overlap, s


def load(h, c0, k, tan_f, two_pi_tau):
    """Axial load of the cones at a stand-off (two Gauss points, exact for the fitted weight up to its last term)."""
    low, high, overlap, s = patch(h, c0, k, tan_f)
    half = np.maximum(0.5 * (high - low), 0.0)
    middle = 0.5 * (high + low)
    g = half * (1.0 / np.sqrt(3.0))
    wa, wb = horner(W, middle - g), horner(W, middle + g)
    d = s - k * middle
    total = wa + wb
    force = two_pi_tau * half * (d * total + k * g * (wa - wb))
    slope = -two_pi_tau * half * tan_f * total
    return force, slope, low, high, overlap, s


def simulate(pairings, seed, chunk):
    rng = np.random.Generator(np.random.SFC64(seed))
    counts = np.zeros(len(MODES), dtype=np.int64)
    sums, squares = np.zeros(4), np.zeros(4)
    tables = np.zeros((4, BINS), dtype=np.int64)
    z = np.empty((9, chunk))
    for start in range(0, pairings, chunk):
        n = min(chunk, pairings - start)
        z_ = z[:, :n]
        if n == chunk:
            rng.standard_normal(out=z)
        else:
            z_[...] = rng.standard_normal((9, n))
        d_m, d_f = D_M + 0.008 * z_[0], D_F + 0.008 * z_[1]
        scatter = np.deg2rad(0.01)
        tan_m, tan_f = np.tan(ALPHA + scatter * z_[2]), np.tan(ALPHA + scatter * z_[3])
        t = T + 0.015 * z_[4]
        a_m = A_M + 0.02 * z_[5]
        mu = 0.14 + 0.02 * z_[6]
        bolt = (60e3 + 2400.0 * z_[7]) / ((0.2 + 0.016 * z_[8]) * 12.0)
        k = tan_m - tan_f
        k[np.abs(k) < 1e-12] = 1e-12
        c0 = 0.5 * (d_f - d_m) + A_F * tan_f - a_m * tan_m
        steep = k > 0
        h0 = np.minimum(
            -(c0 + k * np.where(steep, U1, U2)) / tan_m,
            -(c0 + k * np.where(steep, X1, X2)) / tan_f,
        )
        tan_a = 0.5 * (tan_m + tan_f)
        two_pi_tau = 2.0 * np.pi * (tan_a + mu) / (1.0 - mu * tan_a)
        k_c = RING / t
        f_t, slope, *_ = load(t, c0, k, tan_f, two_pi_tau)
        gap = f_t >= bolt
        chord = 1.0 / (slope - k_c)
        h1 = t + (bolt - f_t) * chord
        f_1, _, low, high, overlap, s = load(h1, c0, k, tan_f, two_pi_tau)
        h = h1 + (bolt - f_1 - k_c * (t - h1)) * chord
        clamp = k_c * (t - h)
        if gap.any():
            lanes = np.flatnonzero(gap)
            c, kk, tf, tau, b = c0[lanes], k[lanes], tan_f[lanes], two_pi_tau[lanes], bolt[lanes]
            at, end = t[lanes].copy(), h0[lanes]
            for _ in range(6):
                f, g, l_, h_, o_, s_ = load(at, c, kk, tf, tau)
                at = np.clip(at + (b - f) / np.where(g < 0, g, -1.0), t[lanes], end)
            clamp[lanes] = 0.0
            low[lanes], high[lanes], overlap[lanes], s[lanes] = l_, h_, o_, s_
        length = np.maximum(high - low, 0.0)
        share = length / overlap
        # Tresca at both ends of the patch and at the stationary point between.
        half, middle = 0.5 * length, 0.5 * (low + high)
        stress = np.maximum((s - k * low) * horner(V, low), (s - k * high) * horner(V, high))
        v1 = V[1] + middle * (2.0 * V[2] + middle * 3.0 * V[3])
        v2 = 2.0 * V[2] + 6.0 * V[3] * middle
        d = s - k * middle
        first = d * v1 - k * horner(V, middle)
        second = d * v2 - 2.0 * k * v1
        inner = middle + np.clip(np.where(second < 0, -first / second, 0.0), -half, half)
        stress = np.maximum(stress, (s - k * inner) * horner(V, inner))
        stress = np.where(length > 0, np.maximum(stress, 0.0), 0.0)
        draw_up = h0 - t
        free = (f_t <= 0) & ~gap
        low_clamp = clamp < CLAMP_MIN
        low_share = share < SHARE_MIN
        over = stress > STRESS_MAX
        left = np.ones(n, dtype=bool)
        for place, mask in enumerate((gap, low_clamp, free, low_share, over), 1):
            mask &= left
            left ^= mask
            counts[place] += np.count_nonzero(mask)
        counts[0] += np.count_nonzero(left)
        for i, (values, (a, b)) in enumerate(zip((draw_up, clamp, share, stress), FRAMES)):
            sums[i] += values.sum()
            squares[i] += np.dot(values, values)
            bins = ((values - a) * (BINS / (b - a))).astype(np.int32)
            np.clip(bins, 0, BINS - 1, out=bins)
            tables[i] += np.bincount(bins, minlength=BINS)
    return counts, sums, squares, tables


def task(arguments):
    return simulate(*arguments)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("pairings", type=lambda text: int(float(text)))
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--chunk", type=int, default=65_536)
    options = parser.parse_args()
    begun = time.perf_counter()
    if options.processes == 1:
        results = [simulate(options.pairings, 1, options.chunk)]
    else:
        tasks = 4 * options.processes
        each = -(-options.pairings // tasks)
        with multiprocessing.get_context("fork").Pool(options.processes) as pool:
            results = pool.map(task, [(each, i + 1, options.chunk) for i in range(tasks)])
    seconds = time.perf_counter() - begun
    counts = sum(r[0] for r in results)
    n = sum(r[3][0].sum() for r in results)
    for mode, count in zip(MODES, counts):
        print(f"{mode:14} {100.0 * count / n:8.4f} %")
    print(f"{1e9 * seconds / n:.1f} ns a pairing, {seconds:.2f} s", file=sys.stderr)


main()
