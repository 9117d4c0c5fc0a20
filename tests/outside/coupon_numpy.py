#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Random coupons through `kitwright learn --json`, recomputed by numpy's least squares.

The bend arithmetic is written anew from its definition: allowance = blank - legs + 2 (r + t)
tan(angle / 2), legs past a square bend to the outside tangent. The 95 % factor comes from numpy's
own integration of Student's density, odd coupons from fits that leave each out in turn.
usage: coupon_numpy.py build/kitwright [COUNT]
"""
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile

import numpy as np

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
IN = 25.4
NOISE_MM, NOISE_DEG = 0.1, 0.1
OPENING = {"V-08": 12.7, "V-16": 25.4}
NOMINAL = {"11 ga": 0.1196 * IN, "14 ga": 0.0747 * IN}


def student(outside, freedom):
    """Two-sided point of Student's t by integrating its density (Simpson) and halving."""
    c = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2)) / math.sqrt(
        freedom * math.pi)

    def inside(t):
        # x = tan(u) maps the tail to a short interval
        u = np.linspace(0, math.atan(t), 4001)
        y = c * (1 + np.tan(u) ** 2 / freedom) ** (-(freedom + 1) / 2) / np.cos(u) ** 2
        h = u[1] - u[0]
        return 2 * h / 3 * (y[0] + 4 * y[1:-1:2].sum() + 2 * y[2:-1:2].sum() + y[-1])

    low, high = 0.0, 1.0
    while inside(high) < 1 - outside:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if inside(middle) < 1 - outside else (low, middle)
    return (low + high) / 2


def fit(x, y, terms):
    a = np.column_stack([x, np.ones_like(x)][:terms])
    b = np.linalg.lstsq(a, y, rcond=None)[0]
    freedom = len(x) - terms
    s = math.sqrt(((y - a @ b) ** 2).sum() / freedom) if freedom > 0 else 0.0
    return a, b, s, freedom


def half_at(x, y, terms, at):
    a, _, s, freedom = fit(x, y, terms)
    if freedom < 1:
        return None
    row = np.array([at, 1.0][:terms])
    return student(0.05, freedom) * s * math.sqrt(row @ np.linalg.inv(a.T @ a) @ row)


def odd(names, x, y, terms, noise):
    """Those whose value a fit of the others does not foretell."""
    out = []
    a, b, _, freedom = fit(x, y, terms)
    if freedom < 2:
        return out
    limit = student(0.05 / len(x), freedom - 1)
    for i, name in enumerate(names):
        keep = np.arange(len(x)) != i
        if terms == 2 and np.ptp(x[keep]) < 1e-12:
            continue
        ai, bi, si, _ = fit(x[keep], y[keep], terms)
        row = a[i]
        error = si * math.sqrt(1 + row @ np.linalg.inv(ai.T @ ai) @ row)
        if abs(y[i] - row @ b) > noise and abs(y[i] - row @ bi) > limit * error:
            out.append(name)
    return out


def setback(angle, r, t):
    return (r + t) * (math.tan(angle / 2) if angle <= math.pi / 2 else 1)


def random_group(rng, number, gauge, die):
    """Rows of one group as text, in thousandths and tenths as people read them."""
    rows = []
    n = int(rng.integers(1, 13))
    k, r = rng.uniform(0.33, 0.48), 0.16 * OPENING[die]
    slope, offset = rng.uniform(1.0, 1.03), rng.uniform(0, 1)
    square = rng.random() < 0.4
    for i in range(n):
        t = NOMINAL[gauge] * rng.uniform(0.95, 1.03)
        angle = rng.normal(90, 0.7) if square else rng.uniform(20, 140)
        blank = rng.uniform(90, 160)
        legs = blank - math.radians(angle) * (r + k * t) + 2 * setback(math.radians(angle), r, t)
        legs += rng.normal(0, 0.08) + (0.8 if rng.random() < 0.08 else 0)
        a = rng.uniform(0.3, 0.7) * legs
        angle_set = slope * angle + offset + rng.normal(0, 0.15)
        rows.append((f"C{number}-{i}", f"{gauge} hot-rolled sheet", die, round(blank / IN, 3),
                     round(a / IN, 3), round((legs - a) / IN, 3), round(angle, 1),
                     round(angle_set, 1) if rng.random() < 0.8 else "", round(t / IN, 4)))
    return rows


def compare(group, rows):
    """Largest differences of one group: K, deduction mm, half mm, spring deg; and the odd ones."""
    gauge, die = rows[0][1][:5], rows[0][2]
    r, nominal = 0.16 * OPENING[die], NOMINAL[gauge]
    angle = np.radians([row[6] for row in rows])
    t = np.array([row[8] for row in rows]) * IN
    allowance = np.array([(row[3] - row[4] - row[5]) * IN + 2 * setback(a, r, tt)
                          for row, a, tt in zip(rows, angle, t)])
    x, y = angle * t, allowance - angle * r
    _, b, s, _ = fit(x, y, 1)
    deduction = 2 * (r + nominal) - math.pi / 2 * (r + b[0] * nominal)
    worst = [abs(b[0] - group["k"]), abs(deduction - group["deduction"]),
             abs(s - group["deviation"])]
    half = half_at(x, y, 1, math.pi / 2 * nominal)
    assert (half is None) == (group["half_interval"] is None), (half, group)
    worst.append(0 if half is None else abs(half - group["half_interval"]))
    names = [row[0] for row in rows]
    flagged = odd(names, x, y, 1, NOISE_MM)
    assert flagged == group["odd"], (flagged, group["odd"])
    sets = [row for row in rows if row[7] != ""]
    assert bool(sets) == ("springback" in group)
    if sets:
        x, y = np.array([row[6] for row in sets]), np.array([row[7] for row in sets])
        terms = 2 if len(sets) >= 3 and np.ptp(x) >= 20 - 1e-9 else 1
        _, b, s, _ = fit(x, y, terms)
        told = group["springback"]
        worst += [abs(b[0] - told["slope"]), abs((b[1] if terms == 2 else 0) - told["offset"]),
                  abs(s - told["deviation"])]
        half = half_at(x, y, terms, x.max())
        assert (half is None) == (told["half_interval"] is None)
        worst.append(0 if half is None else abs(half - told["half_interval"]))
        assert odd([row[0] for row in sets], x, y, terms, NOISE_DEG) == told["odd"]
    return max(worst), len(flagged)


def main():
    program, count = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 60
    rng = np.random.default_rng(20261127)
    worst, flagged, groups = 0.0, 0, 0
    with tempfile.TemporaryDirectory() as scratch:
        shop = os.path.join(scratch, "shop")
        shutil.copytree(os.path.join(ROOT, "tests/cases/_base"), shop)
        for trial in range(count):
            drawn = [random_group(rng, i, g, d)
                     for i, (g, d) in enumerate((g, d) for g in NOMINAL for d in OPENING)]
            rows = [row for group in drawn for row in group]
            with open(os.path.join(shop, "coupons.csv"), "w", encoding="utf-8") as f:
                f.write("coupon,from,die,blank,leg_a,leg_b,angle,angle_set,thickness\n")
                for i in rng.permutation(len(rows)):
                    f.write(",".join(str(v) for v in rows[i]) + "\n")
            with open(os.path.join(shop, "coupons.csv"), encoding="utf-8") as f:
                order = [line.split(",")[0] for line in f][1:]
            out = json.loads(subprocess.run([program, "learn", shop, "--json"], check=True,
                                            stdout=subprocess.PIPE).stdout)
            assert len(out["bends"]) == len(drawn) and out["coupons"] == len(rows)
            for group in drawn:
                group.sort(key=lambda row: order.index(row[0]))
                mine = [g for g in out["bends"] if g["from"] == group[0][1]
                        and g["die"] == group[0][2]]
                assert len(mine) == 1 and mine[0]["coupons"] == len(group)
                off, n = compare(mine[0], group)
                worst, flagged, groups = max(worst, off), flagged + n, groups + 1
    print(f"{groups} groups of coupons: largest difference {worst:.1e}, {flagged} odd coupons "
          f"flagged alike")
    sys.exit(0 if worst < 2e-8 and flagged > 0 else 1)


if __name__ == "__main__":
    main()
