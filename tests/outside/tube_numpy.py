#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Bends random tubes segment by segment with 4x4 matrices, as a bender does, and compares.

The tube module turns points into straight, rotation, angle. Here a straight stick lies along +x,
its far parts still unbent; each row of the table is applied as matrices (advance, turn about the
stick, bend about an axis square to it). The tube that comes out is laid onto the points asked for
by its first two directions; corners, ends, arcs, cut length and box are then compared. No formula
of the module is used. Usage: tube_numpy.py [COUNT] (default 500).
"""
import math
import os
import subprocess
import sys
import tempfile

import numpy as np

from tube_driver import build

TOLERANCE = 1e-7  # mm, over tubes of up to some 20 m


def random_tube(rng):
    """Points with turns of 2 to 170 degrees and radii that fit."""
    n = int(rng.integers(3, 14))
    d = rng.normal(size=3)
    d /= np.linalg.norm(d)
    points = [rng.uniform(-500, 500, 3)]
    turns = []
    for _ in range(n - 1):
        points.append(points[-1] + d * rng.uniform(100, 1500))
        side = np.cross(d, rng.normal(size=3))
        side /= np.linalg.norm(side)
        turn = math.radians(rng.uniform(2, 170))
        if rng.random() < 0.2:
            turn = math.pi / 2
        turns.append(turn)
        d = d * math.cos(turn) + side * math.sin(turn)
        d /= np.linalg.norm(d)
    radii = [0.0] * n
    for i in range(1, n - 1):
        legs = [np.linalg.norm(points[i + k] - points[i + k - 1]) for k in (0, 1)]
        most = 0.49 * min(legs) / math.tan(turns[i - 1] / 2)
        radii[i] = float(min(most, rng.uniform(30, 300)))
    od = 2 * 0.9 * min(radii[1:-1]) * rng.uniform(0.1, 0.9)
    return np.array(points), radii, od


def turn_about(axis, angle):
    """4x4 rotation about a coordinate axis through the origin (0 = x, 2 = z)."""
    m = np.eye(4)
    c, s = math.cos(angle), math.sin(angle)
    i, j = {0: (1, 2), 2: (0, 1)}[axis]
    m[i, i], m[i, j], m[j, i], m[j, j] = c, -s, s, c
    return m


def advance(x):
    m = np.eye(4)
    m[0, 3] = x
    return m


def bend_about(radius, angle):
    """Bends about the axis through (0, radius, 0) along z."""
    to, back = np.eye(4), np.eye(4)
    to[1, 3], back[1, 3] = radius, -radius
    return to @ turn_about(2, angle) @ back


def bend_stick(rows, last, od):
    """Corners, arcs' fine points, ends: the tube as bent, in the frame of its first straight."""
    m = np.eye(4)
    corners, fine = [np.zeros(3)], [m[:3, 3].copy()]
    frames = []
    for straight, rotate, angle, radius in rows:
        m = m @ turn_about(0, rotate)
        frames.append((m.copy(), straight, 0.0, 0.0))
        m = m @ advance(straight)
        corners.append((m @ advance(radius * math.tan(angle / 2)))[:3, 3])
        frames.append((m.copy(), 0.0, radius, angle))
        fine.append(m[:3, 3].copy())
        m = m @ bend_about(radius, angle)
        fine.append(m[:3, 3].copy())
    frames.append((m.copy(), last, 0.0, 0.0))
    m = m @ advance(last)
    corners.append(m[:3, 3].copy())
    fine.append(m[:3, 3].copy())
    return np.array(corners), np.array(fine), frames


def lay(corners, points):
    """Rigid motion that brings the first two directions of `corners` onto those of `points`."""
    def frame(p):
        x = p[1] - p[0]
        x /= np.linalg.norm(x)
        y = p[2] - p[1]
        y -= x * (y @ x)
        y /= np.linalg.norm(y)
        return np.column_stack([x, y, np.cross(x, y)])
    r = frame(points) @ frame(corners).T
    return r, points[0] - r @ corners[0]


def surface_box(frames, r, t, od):
    """Box of many points on the tube's outside."""
    ring = np.array([[0, math.cos(q), math.sin(q)] for q in np.linspace(0, 2 * math.pi, 181)])
    ring *= od / 2
    cloud = []
    for m, straight, radius, angle in frames:
        steps = [advance(0), advance(straight)]
        if angle > 0:
            steps = [bend_about(radius, q) for q in np.linspace(0, angle, 181)]
        for s in steps:
            k = m @ s
            cloud.append(ring @ k[:3, :3].T + k[:3, 3])
    cloud = np.vstack(cloud) @ r.T + t
    return cloud.min(axis=0), cloud.max(axis=0)


def compare(points, od, line, closely):
    """Largest differences of one tube: corner, cut length, tangent points, box shortfall, box
    excess, chord gap; the last three only when asked to look closely (they are slow)."""
    w = line.split()
    assert w[0] != "problem", line
    bends = int(w[0])
    assert bends == len(points) - 2, (bends, len(points))
    v = np.array([float(x) for x in w[1:]])
    rows, v = v[:4 * bends].reshape(-1, 4), v[4 * bends:]
    last, cut, low, high, n = v[0], v[1], v[2:5], v[5:8], int(v[8])
    samples = v[9:].reshape(-1, 3)
    assert len(samples) == n
    assert rows[0][1] == 0 and np.all(rows[:, 0] > 0) and last > 0
    corners, fine, frames = bend_stick(rows, last, od)
    r, t = lay(corners, points)
    corner = np.abs(corners @ r.T + t - points).max()
    length = abs(cut - (rows[:, 0].sum() + last + (rows[:, 2] * rows[:, 3]).sum()))
    fine = fine @ r.T + t
    sample = max(np.linalg.norm(samples - p, axis=1).min() for p in fine)
    if not closely:
        return corner, length, sample, -1.0, 0.0, 0.0
    box_low, box_high = surface_box(frames, r, t, od)
    short = max((low - box_low).max(), (box_high - high).max())
    excess = max((box_low - low).max(), (high - box_high).max())
    return corner, length, sample, short, excess, polyline_gap(samples, frames, r, t)


def polyline_gap(samples, frames, r, t):
    """Furthest that a fine point of an arc lies from the sampled polyline."""
    worst = 0.0
    a, b = samples[:-1], samples[1:]
    d = b - a
    dd = (d * d).sum(axis=1)
    for m, _, radius, angle in frames:
        if angle == 0:
            continue
        for q in np.linspace(0, angle, 13):
            p = r @ (m @ bend_about(radius, q))[:3, 3] + t
            s = np.clip(((p - a) * d).sum(axis=1) / dd, 0, 1)
            worst = max(worst, np.linalg.norm(a + d * s[:, None] - p, axis=1).min())
    return worst


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    rng = np.random.default_rng(20240611)
    tubes = [random_tube(rng) for _ in range(count)]
    text = "".join(
        f"{len(p)} {od!r} " + " ".join(map(repr, radii)) + " "
        + " ".join(repr(float(x)) for x in p.ravel()) + "\n"
        for p, radii, od in ((p, r, float(od)) for p, r, od in tubes))
    with tempfile.TemporaryDirectory() as folder:
        out = subprocess.run([build(folder, "tube_dump")], input=text, capture_output=True, text=True,
                             check=True).stdout.splitlines()
    assert len(out) == count
    worst = np.max([compare(p, od, line, i % 5 == 0)
                    for i, ((p, _, od), line) in enumerate(zip(tubes, out))], axis=0)
    corner, length, sample, short, excess, gap = worst
    print(f"{count} tubes: corners within {corner:.1e} mm, cut length {length:.1e}, tangent "
          f"points {sample:.1e}, box short by {short:.1e}, over by {excess:.3f} mm, chords off "
          f"{gap:.4f} mm")
    # The cloud of surface points is coarse (1 degree by 2): it lies inside the true box.
    good = (corner < TOLERANCE and length < TOLERANCE and sample < TOLERANCE and short < TOLERANCE
            and excess < 0.5 and gap < 0.0101)
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
