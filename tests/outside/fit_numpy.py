#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Wraps cope templates round tubes and stands the tubes where the kit says: do they fit?

Kits of two posts and a rung, all askew, are added to a copy of the demo shop (or the demo's own
packet is looked at). The templates are read from the DXF that the shop prints: by the words on the
paper 0 lies on the reference line, degrees run counter-clockwise looking at the end, the highest
point is the end of the tube as sawn. The tube is then slid along its own middle line, as one would,
until its start fits: every point of both templates must lie on the surface of what it goes onto.
Only what is cut (templates, length sawn) is taken from the program; where pieces stand is known here.
Usage: fit_numpy.py KITWRIGHT [COUNT] (default 40).
"""
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile

import ezdxf
import numpy as np

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
IN = 25.4
RUNG, POST = 1.25 * IN, 2 * IN
CLOSE = 0.02  # mm; a template is drawn in chords, its points are exact


def turn(axis, degrees):
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    i, k = [(1, 2), (2, 0), (0, 1)]["xyz".index(axis)]
    m = np.eye(3)
    m[i, i] = m[k, k] = c
    m[i, k], m[k, i] = -s, s
    return m


class Piece:
    """A straight tube or bar: length along x, its section behind and above its zero."""

    def __init__(self, at, turns, od):
        self.r = np.eye(3)
        for axis, degrees in turns:
            self.r = turn(axis, degrees) @ self.r
        self.at, self.od = np.array(at, float), od

    def put(self, p):
        return self.r @ np.array(p, float) + self.at

    def off(self, p):
        """Distance of a point from the surface of an endless tube there."""
        a, d = self.put((0, self.od / 2, self.od / 2)), self.r[:, 0]
        return np.linalg.norm(np.cross(p - a, d)) - self.od / 2


def askew(rng):
    """Two posts, and a rung between points near their middle lines."""
    while True:
        posts, ends = [], []
        for x in (0, 500):
            p = Piece((x, 0, -600) + rng.uniform(-30, 30, 3),
                      [("x", rng.uniform(-180, 180)), ("y", -90 + rng.uniform(-25, 25)),
                       ("z", rng.uniform(-25, 25))], POST)
            aside = rng.normal(size=3)
            aside -= aside @ p.r[:, 0] * p.r[:, 0]
            aside *= rng.uniform(0, 0.4) * (POST - RUNG) / np.linalg.norm(aside)
            posts.append(p)
            ends.append(p.put((rng.uniform(450, 750), POST / 2, POST / 2)) + aside)
        d = ends[1] - ends[0]
        length = np.linalg.norm(d)
        d /= length
        if all(abs(d @ p.r[:, 0]) < math.cos(math.radians(20)) for p in posts):
            break
    turns = [("x", rng.uniform(-180, 180)), ("y", -math.degrees(math.asin(d[2]))),
             ("z", math.degrees(math.atan2(d[1], d[0])))]
    rung = Piece((0, 0, 0), turns, RUNG)
    shift = rng.uniform(-20, 20)  # the kit file's length is only about right
    rung.at = ends[0] - rung.put((shift, RUNG / 2, RUNG / 2))
    for piece, t in zip(posts + [rung], [p_turns(p) for p in posts] + [turns]):
        piece.turns = t
    return posts, rung, length + rng.uniform(-20, 20)


def p_turns(p):
    """Turns about x, y, z that give its rotation."""
    y = math.degrees(math.asin(-p.r[2, 0]))
    return [("x", math.degrees(math.atan2(p.r[2, 1], p.r[2, 2]))), ("y", y),
            ("z", math.degrees(math.atan2(p.r[1, 0], p.r[0, 0])))]


def kit_text(name, posts, rung, length):
    def standing(key, part, p):
        at = ", ".join(f"{v:.9f}" for v in p.at)
        turns = ", ".join(f"{a} {d:.9f}" for a, d in p.turns)
        return f"  {key}: {{ part: {part}, at: [{at}], turns: [{turns}] }}\n"
    return (f"kit: {name}\nname: Askew\nrevision: A\nunits: mm\nparts:\n"
            f"  post: {{ from: 2 in x 0.12 in round tube, per_kit: 2, length: 1400 }}\n"
            f"  rung: {{ from: 1-1/4 in x 0.083 in round tube, per_kit: 1, length: {length:.6f}, ends: "
            f"{{ start: {{ cope: {{ onto: post }} }}, end: {{ cope: {{ onto: post }} }} }} }}\n"
            "assembly:\n" + standing("left", "post", posts[0]) + standing("right", "post", posts[1]) +
            standing("rung", "rung", rung))


def template(path):
    """Points of the curve: the way round the tube in radians, and mm below the highest."""
    (outline,) = ezdxf.readfile(path).modelspace()
    v = np.array([list(p.dxf.location)[:2] for p in outline.vertices]) * IN
    wide, curve = v[:, 0].max(), v[2:]
    assert abs(wide - math.pi * RUNG) < 1e-3, (path, wide)
    return 2 * math.pi * curve[:, 0] / wide, curve[:, 1].max() - curve[:, 1]


def cut_points(rung, end, length, around, below):
    """Of a tube that begins at its zero. Reference line on top; looking at the start along +x
    counter-clockwise goes from up to behind, looking at the end the other way."""
    r = RUNG / 2
    side = np.sin(around) * (-1 if end else 1)
    x = length - below if end else below
    return [rung.put(p) for p in zip(x, r + r * side, r + r * np.cos(around))]


def slide(points, way, post):
    """How far along `way` brings them onto the surface, by Newton's method on their mean."""
    s = 80.0  # from outside
    for _ in range(60):
        f = np.mean([post.off(p + s * way) for p in points])
        g = (np.mean([post.off(p + (s + 1e-5) * way) for p in points]) - f) / 1e-5
        if abs(f) < 1e-10:
            break
        s -= max(-20, min(20, f / g))
    return s


def worst_of(packet, name, posts, rung, length):
    off = 0
    curves = [template(os.path.join(packet, f"templates/{name}-rung-{e}.dxf"))
              for e in ("start", "end")]
    points = [cut_points(rung, i, length, *curves[i]) for i in (0, 1)]
    s = slide(points[0], rung.r[:, 0], posts[0])
    for at, post in zip(points, posts):
        off = max(off, max(abs(post.off(p + s * rung.r[:, 0])) for p in at))
        # and from outside: a little back along the tube it is clear
        into = rung.r[:, 0] * (5 if at is points[0] else -5)
        assert all(post.off(p + s * rung.r[:, 0] + into) > -CLOSE for p in at), name
    return off


def main():
    program, count = os.path.abspath(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 40
    rng = np.random.default_rng(12)
    with tempfile.TemporaryDirectory() as folder:
        where = os.path.join(folder, "shop")
        shutil.copytree(os.path.join(ROOT, "demo"), where, ignore=shutil.ignore_patterns("runs", "*.db"))
        with open(os.path.join(where, "shop.yaml")) as f:
            text = f.read()
        text = text.replace("\nsticks:\n", "\nsticks:\n  - { from: 2 x 0.12 round tube, long: 20 ft, "
                            "on_hand: 0, price: 60 }\n", 1)
        with open(os.path.join(where, "shop.yaml"), "w") as f:
            f.write(text)
        cases = {}
        orders = "order,kit,size,options,part,count,due\n"
        for i in range(count):
            cases[f"askew-{i}"] = askew(rng)
            with open(os.path.join(where, f"kits/askew-{i}.yaml"), "w") as f:
                f.write(kit_text(f"askew-{i}", *cases[f"askew-{i}"]))
            orders += f"{900 + i},askew-{i},,,rung,1,2026-12-30\n"
        with open(os.path.join(where, "orders.csv"), "w") as f:
            f.write(orders)
        run = subprocess.run([program, "run", "--name", "t", "--date", "2026-12-01"], cwd=where,
                             capture_output=True, text=True)
        assert run.returncode in (0, 1), run.stdout + run.stderr
        packet = os.path.join(where, "runs/t")
        with open(os.path.join(packet, "run.json")) as f:
            made = {t["part"]: t for t in json.load(f)["tubes"]}
        worst, fitted = 0, 0
        for name, case in cases.items():
            tube = made.get(f"{name}/rung")
            if not tube or not os.path.exists(os.path.join(packet, f"templates/{name}-rung-end.dxf")):
                continue
            fitted += 1
            worst = max(worst, worst_of(packet, name, case[0], case[1], tube["cut_length"]))
    print(f"{fitted} of {count} rungs, both ends: within {worst:.4f} mm")
    sys.exit(0 if fitted > 0.9 * count and worst < CLOSE else 1)


if __name__ == "__main__":
    main()
