#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Writes random SVG drawings and compares what our reader makes of them.

Paths with every letter, absolute and relative, spelt with as few characters as the grammar allows or
with many; rectangles with round corners, circles, ellipses, polygons; groups in groups with every
kind of transform; `use`; views in several units. The true curves are points by the mathematics of
Bezier curves and ellipses in numpy, moved by 3 x 3 matrices made here. Every point of ours must be
within 0.02 mm of them and the other way round. Where all is straight or circles and no transform
skews, area and length must agree to 1e-6. Usage: svg_numpy.py [COUNT] (default 60).
"""
import math
import os
import random
import re
import sys
import tempfile

import numpy as np
from shapely.geometry import Polygon

from drawing_compare import faults_of
from drawing_driver import build, read_outlines

POINTS = 400  # a curve
T = np.linspace(0, 1, POINTS)[:, None]


def number(rng, v):
    """One of the ways to write a number."""
    text = f"{v:.10f}".rstrip("0").rstrip(".") or "0"
    if text in ("-0", ""):
        text = "0"
    if rng.random() < 0.2 and v != 0:
        text = f"{v:.13e}"
    elif rng.random() < 0.5:
        text = text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text
    return text


def joined(rng, values):
    """Numbers one after the other, with only the blanks that are needed or with more."""
    out = ""
    for v in values:
        text = number(rng, v)
        if out:
            tight = text[0] == "-" or (text[0] == "." and ("." in last or "e" in last))
            out += "" if tight and rng.random() < 0.7 else rng.choice([" ", ",", " , ", "\n"])
        out += text
        last = text
    return out


class Path:
    """Path data and the points of what it draws."""

    def __init__(self, rng, start):
        self.rng, self.at, self.start = rng, np.array(start, float), np.array(start, float)
        self.data = ("m" if rng.random() < 0.5 else "M") + joined(rng, start)
        self.points = [self.at[None, :]]
        self.control = None  # of the curve before, with its kind
        self.exact = True

    def write(self, letter, points):
        rng = self.rng
        small = rng.random() < 0.5
        base = self.at if small else np.zeros(2)
        values = [c for p in points for c in (np.array(p) - base)]
        self.data += (rng.choice(["", " "]) + (letter.lower() if small else letter) +
                      rng.choice(["", " "]) + joined(rng, values))

    def add(self, curve, end, control=None):
        self.points.append(curve)
        self.at = np.array(end, float)
        self.control = control

    def line(self, to):
        to = np.array(to, float)
        curve = self.at + (to - self.at) * np.linspace(0, 1, 20)[1:, None]
        if abs(to[1] - self.at[1]) < 1e-12 and self.rng.random() < 0.7:
            small = self.rng.random() < 0.5
            self.data += ("h" if small else "H") + number(self.rng, to[0] - small * self.at[0])
        elif abs(to[0] - self.at[0]) < 1e-12 and self.rng.random() < 0.7:
            small = self.rng.random() < 0.5
            self.data += ("v" if small else "V") + number(self.rng, to[1] - small * self.at[1])
        else:
            self.write("L", [to])
        self.add(curve, to)

    def cubic(self, a, b, to):
        kind = self.control
        a, b, to = (np.array(p, float) for p in (a, b, to))
        if kind and kind[0] == "C" and self.rng.random() < 0.6:
            a = 2 * self.at - kind[1]
            self.write("S", [b, to])
        else:
            self.write("C", [a, b, to])
        p = self.at
        curve = p * (1 - T)**3 + 3 * a * T * (1 - T)**2 + 3 * b * T**2 * (1 - T) + to * T**3
        self.exact = False
        self.add(curve[1:], to, ("C", b))

    def quadratic(self, a, to):
        kind = self.control
        a, to = np.array(a, float), np.array(to, float)
        if kind and kind[0] == "Q" and self.rng.random() < 0.4:
            a = 2 * self.at - kind[1]
            self.write("T", [to])
        else:
            self.write("Q", [a, to])
        curve = self.at * (1 - T)**2 + 2 * a * T * (1 - T) + to * T**2
        self.exact = False
        self.add(curve[1:], to, ("Q", a))

    def arc(self, rx, ry, degrees, sweep, to_centre):
        """An arc of `sweep` rad about the centre that is (rx, ry)-away in direction to_centre."""
        rng = self.rng
        turn = math.radians(degrees)
        m = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])

        def on(t):
            return (m @ np.array([rx * np.cos(t), ry * np.sin(t)])).T

        centre = self.at - on(to_centre)
        to = centre + on(to_centre + sweep)
        curve = centre + on(to_centre + sweep * T[:, 0])
        small = rng.random() < 0.5
        end = to - (self.at if small else 0)
        flags = rng.choice(["{0} {1} ", "{0}{1}", "{0},{1},"]).format(int(abs(sweep) > math.pi),
                                                                      int(sweep > 0))
        self.data += (("a" if small else "A") + joined(rng, (rx, ry, degrees)) +
                      rng.choice([" ", ","]) + flags + joined(rng, end))
        self.exact &= rx == ry
        self.add(curve[1:], to)

    def close(self):
        self.data += self.rng.choice(["z", "Z", " z "])
        back = self.at + (self.start - self.at) * np.linspace(0, 1, 40)[1:-1, None]
        return np.vstack(self.points + [back])


# ------------------------------------------------------------------ shapes about the origin, 20 big


def wavy(rng):
    """The first outline that is simple: pieces of all kinds from corner to corner of a star."""
    while True:
        text, points, exact = any_wavy(rng)
        if Polygon(points).is_valid and np.abs(points).max() < 24:
            gaps = Polygon(points).buffer(-0.05)
            # Nowhere thin, and no spike thinner than the arcs' band (corners from 12 degrees stay).
            whole = Polygon(points).buffer(-0.02).buffer(0.2)
            if gaps.geom_type == "Polygon" and gaps.area > 20 and whole.covers(Polygon(points)):
                return text, points, exact


def any_wavy(rng):
    n = rng.randint(4, 8)
    corners = [np.array([r * math.cos(t), r * math.sin(t)]) for t, r in
               ((2 * math.pi * (k + 0.3 * rng.random()) / n, rng.uniform(14, 18))
                for k in range(n))]
    path = Path(rng, corners[0])
    kinds = rng.choice([["L", "A"], ["L", "C", "Q", "A", "E"]])
    for k in range(1, n + 1):
        to = corners[k % n]
        way = to - path.at
        left = np.array([-way[1], way[0]])
        kind = rng.choice(kinds)
        if kind == "L":
            if rng.random() < 0.3:  # level, then upright
                path.line((to[0], path.at[1]))
            path.line(to)
        elif kind == "C":
            path.cubic(path.at + 0.3 * way + rng.uniform(-0.1, 0.1) * left,
                       path.at + 0.7 * way + rng.uniform(-0.1, 0.1) * left, to)
        elif kind == "Q":
            path.quadratic(path.at + 0.5 * way + rng.uniform(-0.1, 0.1) * left, to)
        else:  # an arc that ends where it likes, then a line
            ry = rng.uniform(1, 2)
            rx = ry if kind == "A" else ry * rng.uniform(0.5, 1)
            path.arc(rx, ry, rng.choice([0, 30, rng.uniform(-180, 180)]),
                     rng.choice([-1, 1]) * rng.uniform(0.3, 0.9), math.atan2(*path.at[::-1]))
            path.line(to)
    points = path.close()
    return f'<path d="{path.data}"', points, path.exact


def moons(rng):
    """Large and small arcs either way: a disc with a piece off, by one arc and a line."""
    r = rng.uniform(5, 18)
    path = Path(rng, (r, 0))
    ry = r if rng.random() < 0.5 else r * rng.uniform(0.3, 0.9)
    path.arc(r, ry, 0, rng.choice([-1, 1]) * rng.uniform(0.6, 5.8), 0)
    points = path.close()
    return f'<path d="{path.data}"', points, path.exact


def rect(rng):
    w, h = rng.uniform(4, 28), rng.uniform(4, 28)
    rx = rng.choice([0, rng.uniform(0, 20)])
    ry = rng.choice([None, rng.uniform(0, 20)]) if rx else None
    text = f'<rect x="{-w / 2!r}" y="{-h / 2!r}" width="{w!r}" height="{h!r}"'
    if rx:
        text += f' rx="{rx!r}"' + (f' ry="{ry!r}"' if ry else "")
    a, b = min(rx, w / 2), min(ry or rx, h / 2)
    corners = []
    for sx, sy, first in ((1, 1, 0), (-1, 1, 1), (-1, -1, 2), (1, -1, 3)):
        t = (first + np.linspace(0, 1, POINTS)) * math.pi / 2
        corners.append(np.column_stack((sx * (w / 2 - a) + a * np.cos(t),
                                        sy * (h / 2 - b) + b * np.sin(t))))
    return text, np.vstack(corners), a == b


def round_shape(rng):
    a = rng.uniform(2, 18)
    b = a if rng.random() < 0.5 else rng.uniform(2, 18)
    t = np.linspace(0, 2 * math.pi, 4 * POINTS)[:-1]
    text = f'<circle r="{a!r}"' if a == b else f'<ellipse rx="{a!r}" ry="{b!r}"'
    return text, np.column_stack((a * np.cos(t), b * np.sin(t))), a == b


def polygon(rng):
    n = rng.randint(3, 9)
    p = np.array([[rng.uniform(6, 18) * f(2 * math.pi * k / n) for f in (math.cos, math.sin)]
                  for k in range(n)])
    p = np.array([v / np.linalg.norm(v) * rng.uniform(6, 18) if np.linalg.norm(v) > 1e-9 else v
                  for v in p])
    return f'<polygon points="{joined(rng, p.ravel())}"', p, True


SHAPES = [wavy, wavy, moons, rect, round_shape, polygon]


# ---------------------------------------------------------------------------------------- transforms


def transform(rng, skewed):
    """Text, matrix: a few functions that about keep the size."""
    text, m = [], np.eye(3)
    for _ in range(rng.randint(0, 3)):
        kind = rng.choice(["rotate", "rotate3", "scale1", "mirror", "matrix"] +
                          (["scale2", "skewX", "skewY"] if skewed else []))
        a = rng.uniform(-180, 180)
        c, s = math.cos(math.radians(a)), math.sin(math.radians(a))
        one = np.eye(3)
        if kind == "rotate":
            one[:2, :2] = [[c, -s], [s, c]]
            text.append(f"rotate({a!r})")
        elif kind == "rotate3":
            x, y = rng.uniform(-1, 1), rng.uniform(-1, 1)
            one[:2, :2] = [[c, -s], [s, c]]
            one[:2, 2] = [x - c * x + s * y, y - s * x - c * y]
            text.append(f"rotate( {a!r},{x!r} {y!r})")
        elif kind == "scale1":
            k = rng.uniform(0.8, 1)
            one[0, 0] = one[1, 1] = k
            text.append(f"scale({k!r})")
        elif kind == "scale2":
            one[0, 0], one[1, 1] = rng.uniform(0.6, 1), -rng.uniform(0.6, 1)
            text.append(f"scale({one[0, 0]!r} {one[1, 1]!r})")
        elif kind == "mirror":
            one[0, 0] = -1
            text.append("scale(-1,1)")
        elif kind == "matrix":
            x, y = rng.uniform(-1, 1), rng.uniform(-1, 1)
            one[:2] = [[c, s, x], [s, -c, y]]
            text.append(f"matrix({c!r} {s!r} {s!r} {-c!r} {x!r} {y!r})")
        else:
            k = rng.uniform(-20, 20)
            one[(0, 1) if kind == "skewX" else (1, 0)] = math.tan(math.radians(k))
            text.append(f"{kind}({k!r})")
        m = m @ one
    return rng.choice([" ", ",", ""]).join(text), m


def attribute(text):
    return f' transform="{text}"' if text else ""


def place(rng, shape, spot, skewed, defs):
    """Text of the shape in groups at its spot, and the matrix that it has in the drawing."""
    move = np.eye(3)
    move[:2, 2] = spot
    one, m1 = transform(rng, skewed)
    two, m2 = transform(rng, skewed)
    body = shape + attribute(two)
    if rng.random() < 0.25:
        defs.append(body + f' id="d{len(defs)}"/>')
        body = f'<use href="#d{len(defs) - 1}"/>'
    else:
        body += "/>"
    if rng.random() < 0.5:
        lead = f"translate({spot[0]!r}, {spot[1]!r}) {one}"
        return f'<g transform="{lead}">{body}</g>', move @ m1 @ m2
    return (f'<g transform="translate({spot[0]!r} {spot[1]!r})"><g{attribute(one)}>{body}</g></g>',
            move @ m1 @ m2)


SIZES = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72, "px": 25.4 / 96, "pc": 25.4 / 6}


def write_drawing(rng, path):
    skewed = rng.random() < 0.5
    unit = rng.choice(list(SIZES))
    scale = rng.uniform(0.5, 2)  # mm a unit of the view
    width, height = 230, 170
    x0, y0 = rng.uniform(-50, 50), rng.uniform(-50, 50)
    plate = np.array([(x0 + 5, y0 + 5), (x0 + 225, y0 + 5), (x0 + 225, y0 + 165), (x0 + 5, y0 + 165)])
    loops, body, defs, exact = [plate], [], [], True
    body.append(f'<path d="M{plate[0][0]!r} {plate[0][1]!r}h220v160h-220z"/>')
    spots = [(x0 + x, y0 + y) for x in (43, 115, 187) for y in (45, 125)]
    for spot in rng.sample(spots, rng.randint(1, 6)):
        text, points, straight = rng.choice(SHAPES)(rng)
        text, m = place(rng, text, spot, skewed, defs)
        body.append(text)
        loops.append((np.column_stack((points, np.ones(len(points)))) @ m.T)[:, :2])
        exact &= straight and not skewed
    rng.shuffle(body)
    w, h = width * scale / SIZES[unit], height * scale / SIZES[unit]
    look = rng.choice(['fill="none" stroke="#345"', 'style="stroke:none;fill:black"'])
    with open(path, "w", encoding="utf-8") as f:
        f.write(f'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="{w!r}{unit}" '
                f'height="{h!r}{unit}" viewBox="{x0!r} {y0!r} {width} {height}">\n'
                f'<defs>{"".join(defs)}</defs>\n<g id="cut" {look}>\n' + "\n".join(body) +
                "\n</g></svg>\n")
    flip = np.array([scale, -scale])
    return [l * flip for l in loops], exact


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rng = random.Random(20261128)
    bad, worst, exact_count, off, letters = 0, 0.0, 0, 0.0, set()
    with tempfile.TemporaryDirectory() as folder:
        program = build(folder)
        paths, wanted = [], []
        for k in range(count):
            paths.append(os.path.join(folder, f"{k}.svg"))
            wanted.append(write_drawing(rng, paths[-1]))
        for k, ((words, got), (want, exact)) in enumerate(zip(read_outlines(program, paths),
                                                              wanted)):
            if got is None:
                print(f"drawing {k}: {words}")
                bad += 1
                continue
            with open(paths[k], encoding="utf-8") as f:
                letters |= set("".join(re.findall(r' d="([^"]*)"', f.read())))
            faults, far = faults_of(got, want, True)
            worst = max(worst, far)
            if exact and far > 1e-6:
                faults.append(f"lines and circles are {far:.1e} mm off")
            exact_count += exact
            off = max(off, far) if exact else off
            bad += bool(faults)
            for f in faults:
                print(f"drawing {k}: {f}")
    missing = set("MmLlHhVvCcSsQqTtAaZz") - letters
    if count >= 60 and missing:
        print("letters that no path has:", missing)
        bad += 1
    print(f"{count} drawings, {bad} wrong, curves at most {worst:.4f} mm off, the {exact_count} of "
          f"lines and circles {off:.1e} mm")
    sys.exit(1 if bad or (count >= 20 and exact_count == 0) else 0)


main()
