# SPDX-License-Identifier: Apache-2.0
"""Compares outlines that our reader made of a drawing with dense points of the true curves."""
import math

import numpy as np
from shapely.geometry import Polygon

BAND = 0.02  # mm: how far arcs may be from the curve that they stand for
SLACK = 1e-3  # of the chords that stand for the true curve


def to_polyline(points, ring):
    """Distance of each point from a closed polyline."""
    a, b = ring, np.roll(ring, -1, axis=0)
    d = b - a
    size = np.maximum(np.einsum("ij,ij->i", d, d), 1e-30)
    best = np.full(len(points), np.inf)
    for some in np.array_split(np.arange(len(a)), max(1, len(a) // 200)):
        v = points[:, None, :] - a[None, some, :]
        t = np.clip(np.einsum("pij,ij->pi", v, d[some]) / size[some], 0, 1)
        off = v - t[:, :, None] * d[None, some, :]
        best = np.minimum(best, np.sqrt(np.einsum("pij,pij->pi", off, off)).min(axis=1))
    return best


def arc_of(x, y, x2, y2, bulge):
    """Centre, first radius vector and sweep, as complex numbers."""
    sweep = 4 * math.atan(bulge)
    chord = complex(x2 - x, y2 - y)
    centre = complex(x + x2, y + y2) / 2 + chord * 1j / 2 / math.tan(sweep / 2)
    return centre, complex(x, y) - centre, sweep


def to_loop(points, loop):
    """Distance of each point from a loop of (x, y, bulge), arcs as what they are."""
    best = np.full(len(points), np.inf)
    p = points[:, 0] + 1j * points[:, 1]
    for i, (x, y, b) in enumerate(loop):
        x2, y2, _ = loop[(i + 1) % len(loop)]
        first, last = complex(x, y), complex(x2, y2)
        best = np.minimum(best, np.minimum(abs(p - first), abs(p - last)))
        if b == 0:
            d = last - first
            t = ((p - first) * d.conjugate()).real / max(abs(d) ** 2, 1e-30)
            off = abs(p - first - np.clip(t, 0, 1) * d)
        else:
            centre, radius, sweep = arc_of(x, y, x2, y2, b)
            turn = np.angle((p - centre) / radius)
            turn = np.where(turn * sweep < 0, turn + math.copysign(2 * math.pi, sweep), turn)
            off = np.where(abs(turn) <= abs(sweep), abs(abs(p - centre) - abs(radius)), np.inf)
        best = np.minimum(best, off)
    return best


def points_of(loop, n=12):
    out = []
    for i, (x, y, b) in enumerate(loop):
        x2, y2, _ = loop[(i + 1) % len(loop)]
        if b == 0:
            z = complex(x, y) + complex(x2 - x, y2 - y) * np.arange(n) / n
        else:
            centre, radius, sweep = arc_of(x, y, x2, y2, b)
            z = centre + radius * np.exp(1j * sweep * np.arange(n) / n)
        out.append(np.column_stack((z.real, z.imag)))
    return np.vstack(out)


def area_and_length(loop):
    area = length = 0.0
    for i, (x, y, b) in enumerate(loop):
        x2, y2, _ = loop[(i + 1) % len(loop)]
        area += (x * y2 - x2 * y) / 2
        if b == 0:
            length += math.hypot(x2 - x, y2 - y)
            continue
        _, radius, sweep = arc_of(x, y, x2, y2, b)
        area += abs(radius) ** 2 / 2 * (sweep - math.sin(sweep))
        length += abs(radius) * abs(sweep)
    return abs(area), length


def faults_of(got, want, outer_is_exact):
    """What is wrong with the loops of a drawing, each loop of `want` an array of points, and the
    farthest that they are apart. The first of each is the outer one; ours begins at (0, 0), so that
    theirs is moved there."""
    if len(got) != len(want):
        return [f"{len(want)} loops wanted, got {len(got)}"], 0.0
    low = want[0].min(axis=0)
    want = [w - low for w in want]
    band = BAND + (0 if outer_is_exact else BAND)  # the corner of the box is a curve's too
    faults, worst = [], 0.0
    centres = [Polygon(w).centroid for w in want]
    left = list(range(1, len(want)))
    for i, loop in enumerate(got):
        ours = points_of(loop)
        k = 0
        if i > 0:
            middle = Polygon(ours).centroid
            k = min(left, key=lambda j: centres[j].distance(middle))
            left.remove(k)
        far = to_loop(want[k], loop).max()
        worst = max(worst, far)
        if not far <= band:
            faults.append(f"a curve is {far:.4f} mm off its arcs")
        far = to_polyline(ours, want[k]).max()
        if not far <= band + SLACK:
            faults.append(f"arcs are {far:.4f} mm off their curve")
        area, length = area_and_length(loop)
        true = Polygon(want[k])
        if not abs(area - true.area) <= (BAND + SLACK) * true.length:
            faults.append(f"area {area:.4f} for {true.area:.4f}")
        # Cauchy: of convex outlines within the band, at most 2 pi times the band.
        if not abs(length - true.length) <= 1e-3 * true.length + 2 * math.pi * BAND:
            faults.append(f"length {length:.4f} for {true.length:.4f}")
    return faults, worst
