#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Cuts random copes as a saw would and compares with the tube module's curves.

The main tube is a parametric surface: points (s, w) = axis + s m + R (cos w e + sin w f). Each line
along the branch is taken as a ray that marches towards it; where it enters is found by Newton's
method on the two parameters and the distance along the ray, three equations in three unknowns,
started from the nearest of a grid of surface points. No formula of the module is used.
Usage: cope_numpy.py [COUNT] (default 200).
"""
import math
import os
import subprocess
import sys
import tempfile

import numpy as np

from tube_driver import build



def surface(s, w, frame, radius, at):
    m, e, f = frame
    return at + s * m + radius * (math.cos(w) * e + math.sin(w) * f)


def first_meeting(start, along, frame, radius, at):
    """Least distance along the ray at which it is on the main tube's surface."""
    m, e, f = frame
    best = None
    for guess in np.linspace(0, 2 * math.pi, 16, endpoint=False):
        # s and z that bring the surface point of this w nearest to the ray
        p0 = at + radius * (math.cos(guess) * e + math.sin(guess) * f) - start
        a = np.column_stack([m, -along])
        s, z = np.linalg.lstsq(a, -p0, rcond=None)[0]
        x = np.array([s, guess, z])
        for _ in range(60):
            gap = surface(x[0], x[1], frame, radius, at) - start - x[2] * along
            slope = radius * (-math.sin(x[1]) * e + math.cos(x[1]) * f)
            j = np.column_stack([m, slope, -along])
            if abs(np.linalg.det(j)) < 1e-12:
                break
            step = np.linalg.solve(j, -gap)
            x = x + step
            if np.abs(step).max() < 1e-13:
                break
        gap = surface(x[0], x[1], frame, radius, at) - start - x[2] * along
        if np.linalg.norm(gap) < 1e-9 and (best is None or x[2] < best):
            best = x[2]
    return best


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    rng = np.random.default_rng(5)
    cases = []
    for _ in range(count):
        onto = rng.uniform(20, 200)
        radius = rng.uniform(0.1, 0.9) * onto / 2
        offset = rng.uniform(-1, 1) * (onto / 2 - radius) * 0.98
        cases.append((onto, rng.uniform(math.radians(15), math.pi / 2), offset, radius))
    text = "".join(" ".join(repr(float(v)) for v in c) + "\n" for c in cases)
    with tempfile.TemporaryDirectory() as folder:
        out = subprocess.run([build(folder, "cope_dump")], input=text, capture_output=True, text=True,
                             check=True).stdout.splitlines()
    assert len(out) == count
    worst = looked = 0
    for (onto, angle, offset, radius), line in zip(cases, out):
        z = [float(v) for v in line.split()]
        m = np.array([0.0, math.sin(angle), math.cos(angle)])
        e = np.array([1.0, 0.0, 0.0])
        frame = (m, e, np.cross(m, e))
        at = np.array([offset, 0.0, 0.0])
        far = 20 * onto
        for i in range(0, 72, 5):
            q = i * math.pi / 36
            start = np.array([radius * math.cos(q), radius * math.sin(q), -far])
            met = first_meeting(start, np.array([0.0, 0.0, 1.0]), frame, onto / 2, at)
            assert met is not None, (onto, angle, offset, radius, i)
            worst = max(worst, abs(met - far - z[i]))
            looked += 1
    print(f"{count} copes, {looked} lines: within {worst:.1e} mm")
    sys.exit(0 if looked == 15 * count and worst < 1e-6 else 1)


if __name__ == "__main__":
    main()
