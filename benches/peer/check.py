"""Holds the peer's answers against a slow solver of the same pairings: exact 1/K, eight Gauss points, bisection, a scan for the stress.

    python3 check.py [PAIRINGS]

Prints the largest difference of each output, over the larger of the value and its scale, and ends with 1 when one is above
what pairings.py states or a verdict on gap or free cones differs.
"""

import sys

import numpy as np

sys.dont_write_bytecode = True
import pairings as peer

SCALES = (("draw-up", 1.0, 1e-6), ("clamp load", 25e3, 1e-6), ("contact share", 1.0, 2e-4), ("bore stress", 160.0, 2e-6))
NODES, WEIGHTS = np.polynomial.legendre.leggauss(8)


class Pairings:
    """The pairings of some scores."""

    def __init__(self, z):
        angle = peer.ALPHA + peer.ALPHA_SD * z[2:4]
        tan_m, self.tan_f = np.tan(angle)
        tan = np.tan(angle.mean(axis=0))
        mu = peer.MU + peer.MU_SD * z[6]
        a_m = peer.A_M + peer.A_M_SD * z[5]
        self.t = peer.T + peer.T_SD * z[4]
        self.k = tan_m - self.tan_f
        d_m, d_f = peer.D_M + peer.D_SD * z[0], peer.D_F + peer.D_SD * z[1]
        self.c0 = 0.5 * (d_f - d_m) + peer.A_F * self.tan_f - a_m * tan_m
        self.thrust = 2.0 * np.pi * (tan + mu) / (1.0 - mu * tan)
        self.bolt = (peer.TORQUE + peer.TORQUE_SD * z[7]) / ((peer.NUT + peer.NUT_SD * z[8]) * peer.BOLT)
        x, u = np.where(self.k > 0, peer.X1, peer.X2), np.where(self.k > 0, peer.U1, peer.U2)
        self.h0 = np.minimum(-(self.c0 + self.k * u) / tan_m, -(self.c0 + self.k * x) / self.tan_f)

    def interference(self, x, h):
        return -(self.c0 + h * self.tan_f + self.k * x)

    def patch(self, h):
        low, high = np.maximum(peer.X1, h + peer.U1), np.minimum(peer.X2, h + peer.U2)
        edge = np.clip(self.interference(0.0, h) / self.k, low, high)
        return np.where(self.k > 0, low, edge), np.where(self.k > 0, edge, high), high - low

    def load(self, h):
        start, end, _ = self.patch(h)
        middle, half = 0.5 * (start + end), 0.5 * (end - start)
        places = ((middle + half * node, weight) for node, weight in zip(NODES, WEIGHTS))
        return self.thrust * half * sum(weight * self.interference(x, h) * peer.weight(x) for x, weight in places)

    def solve(self):
        spring = peer.RING / self.t
        gap = self.load(self.t) > self.bolt
        inner, outer = np.where(gap, self.t, self.t - self.bolt / spring), np.where(gap, self.h0, self.t)
        for _ in range(60):
            h = 0.5 * (inner + outer)
            enough = self.load(h) + np.where(gap, 0.0, spring * (self.t - h)) >= self.bolt
            inner, outer = np.where(enough, h, inner), np.where(enough, outer, h)
        load, (start, end, overlap) = self.load(h), self.patch(h)
        stress = np.zeros_like(h)
        for share in np.linspace(0.0, 1.0, 401):
            x = start + share * (end - start)
            stress = np.maximum(stress, self.interference(x, h) * peer.stress_weight(x))
        stress = np.where(end > start, stress, 0.0)
        return gap, load <= 0.0, (self.h0 - self.t, self.bolt - load, (end - start) / overlap, stress)


def main():
    n = int(float(sys.argv[1])) if len(sys.argv) > 1 else 100_000
    z, lanes = np.empty((9, n)), peer.Lanes(n)
    peer.normals(np.random.Generator(np.random.SFC64(9)), z, lanes)
    gap, free, expected = Pairings(z).solve()
    peer.solve(z, lanes)
    closed = ~gap
    wrong = np.count_nonzero(gap != lanes.masks[0]) + np.count_nonzero(free[closed] != (lanes.load <= 0.0)[closed])
    print(f"{wrong} of {n} pairings differ in gap or free cones; {np.count_nonzero(gap)} gaps, {np.count_nonzero(free)} free")
    gaps = peer.Gaps(np.count_nonzero(gap) + 1)
    gaps.take(np.flatnonzero(gap), lanes, peer.Tally())
    held = gaps.held
    gaps.solve(peer.Tally())
    lanes.clamp[gap], expected[1][gap] = 0.0, 0.0
    lanes.share[gap], lanes.stress[gap] = gaps.w.share[:held], gaps.w.stress[:held]
    got = (-lanes.y0, lanes.clamp, lanes.share, -lanes.stress)
    for (name, scale, allowed), value, want in zip(SCALES, got, expected):
        error = np.abs(value - want) / np.maximum(scale, np.abs(want))
        print(f"{name:14} largest difference {error.max():.1e}, {np.count_nonzero(error > 1e-6)} above 1e-6")
        wrong += np.count_nonzero(error > allowed)
    sys.exit(1 if wrong else 0)


main()
