#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Writes random drawings with ezdxf and compares what our reader makes of them.

Each is an outline of lines and arcs with round, oblong and keyhole holes, in one of seven versions
of the format, in one of four units, as polylines of either kind or as separate lines and arcs in
random order and direction, some of them drawn from below (extrusion 0,0,-1), some in blocks within
blocks that are moved, turned, scaled, mirrored and repeated in rows and columns, with texts and
pieces that are drawn twice about. Area and length are taken twice without our code: by Green's
theorem on the arcs in closed form, and by shapely on 4000 chords an arc; both must agree with ours
to 1e-6. Where a block puts things, ezdxf says. Usage: dxf_ezdxf.py [COUNT] (default 60).
"""
import math
import os
import random
import subprocess
import sys
import tempfile

import ezdxf
from ezdxf.math import Vec3
from shapely.geometry import Polygon

from drawing_driver import build

TOLERANCE = 1e-6  # relative
UNITS = {4: 1.0, 1: 25.4, 5: 10.0, 6: 1000.0}  # $INSUNITS: mm a unit
VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
CHORDS = 4000


# A loop is a list of (x, y, bulge); the bulge belongs to the segment that leaves the point.
def segments(loop):
    for i, (x, y, b) in enumerate(loop):
        x2, y2, _ = loop[(i + 1) % len(loop)]
        yield x, y, x2, y2, b


def arc_of(x, y, x2, y2, b):
    """Centre, radius, start angle and signed sweep of an arc by its bulge."""
    sweep = 4 * math.atan(b)
    chord = math.hypot(x2 - x, y2 - y)
    radius = chord / (2 * abs(math.sin(sweep / 2)))
    away = chord / 2 / math.tan(sweep / 2)  # from the chord's middle to the centre, leftwards
    cx = (x + x2) / 2 - (y2 - y) / chord * away
    cy = (y + y2) / 2 + (x2 - x) / chord * away
    return cx, cy, radius, math.atan2(y - cy, x - cx), sweep


def area_and_length(loop):
    area = length = 0.0
    for x, y, x2, y2, b in segments(loop):
        area += (x * y2 - x2 * y) / 2
        if b == 0:
            length += math.hypot(x2 - x, y2 - y)
            continue
        _, _, r, _, sweep = arc_of(x, y, x2, y2, b)
        area += r * r / 2 * (sweep - math.sin(sweep))
        length += r * abs(sweep)
    return abs(area), length


def points_of(loop, chords):
    out = []
    for x, y, x2, y2, b in segments(loop):
        out.append((x, y))
        if b == 0:
            continue
        cx, cy, r, start, sweep = arc_of(x, y, x2, y2, b)
        for k in range(1, chords):
            t = start + sweep * k / chords
            out.append((cx + r * math.cos(t), cy + r * math.sin(t)))
    return out


def star(rng):
    """A simple outline about the origin, at least 60 from it."""
    while True:
        n = rng.randint(3, 14)
        loop = []
        for k in range(n):
            t = 2 * math.pi * (k + 0.3 * rng.random()) / n
            r = rng.uniform(90, 150)
            loop.append((r * math.cos(t), r * math.sin(t),
                         rng.choice([0, 0, rng.uniform(-0.2, 0.6)])))
        polygon = Polygon(points_of(loop, 60))
        if polygon.is_valid and polygon.exterior.distance(Polygon([(0, 0), (1, 0), (0, 1)])) > 45:
            return loop


def hole(rng, x, y):
    kind = rng.choice(["round", "slot", "box", "keyhole"])
    r = rng.uniform(1, 5)
    if kind == "round":
        return [(x - r, y, 1), (x + r, y, 1)]
    if kind == "slot":
        return [(x - r, y - r / 2, 0), (x + r, y - r / 2, 1), (x + r, y + r / 2, 0),
                (x - r, y + r / 2, 1)]
    if kind == "box":
        return [(x - r, y - r, 0), (x + r, y - r, 0), (x + r, y + r, 0), (x - r, y + r, 0)]
    big = math.tan(math.radians(rng.uniform(200, 330)) / 4)  # more than a half circle: bulge > 1
    w = r * 0.4
    return [(x + w, y, big), (x - w, y, 0), (x - w, y - 1.5 * r, 0), (x + w, y - 1.5 * r, 0)]


def write_loop(space, rng, loop, layer, old):
    attributes = {"layer": layer}
    below = rng.random() < 0.2
    sign = -1 if below else 1
    if below:
        attributes["extrusion"] = (0, 0, -1)
    if rng.random() < 0.5:
        loop = [(x, y, -b) for (x, y, _), b in
                zip(loop[::-1], [loop[i - 2][2] for i in range(len(loop), 0, -1)])]
    if len(loop) == 2 and loop[0][2] == loop[1][2] and abs(loop[0][2]) == 1 and rng.random() < 0.7:
        (x, y, _), (x2, y2, _) = loop
        r = math.hypot(x2 - x, y2 - y) / 2
        space.add_circle((sign * (x + x2) / 2, (y + y2) / 2), r, dxfattribs=attributes)
        return
    way = rng.choice(["new", "old", "loose"])
    if way == "loose":
        pieces = list(segments(loop))
        rng.shuffle(pieces)
        for x, y, x2, y2, b in pieces:
            if b == 0:
                ends = [(x, y), (x2, y2)]
                rng.shuffle(ends)
                space.add_line(*ends, dxfattribs={"layer": layer})
                continue
            cx, cy, r, start, sweep = arc_of(x, y, x2, y2, b)
            first, last = (start, start + sweep) if sweep > 0 else (start + sweep, start)
            if below:
                first, last = math.pi - last, math.pi - first
            space.add_arc((sign * cx, cy), r, math.degrees(first), math.degrees(last),
                          dxfattribs=attributes)
        return
    points = [(sign * x, y, sign * b) for x, y, b in loop]
    if way == "new" and not old:
        space.add_lwpolyline(points, format="xyb", close=True, dxfattribs=attributes)
    else:
        line = space.add_polyline2d(points, format="xyb", dxfattribs=attributes)
        line.close(True)


def mapped(loop, matrix):
    """The loop where a block's matrix puts it; mirrored, its arcs turn the other way."""
    o, u, v = (matrix.transform(Vec3(*p, 0)) for p in ((0, 0), (1, 0), (0, 1)))
    turn = 1 if (u - o).x * (v - o).y > (u - o).y * (v - o).x else -1
    out = []
    for x, y, b in loop:
        p = matrix.transform(Vec3(x, y, 0))
        out.append((p.x, p.y, turn * b))
    return out


def random_insert(space, rng, name, layer, step):
    """An insert that keeps circles round; `step`: drawing units from copy to copy, or None."""
    scale = rng.uniform(0.3, 3)
    attributes = {"layer": layer, "xscale": scale * rng.choice([1, -1]), "zscale": scale,
                  "yscale": scale * rng.choice([1, -1]), "rotation": rng.uniform(-400, 400)}
    if step is not None:
        attributes.update(column_count=2, column_spacing=step, row_count=1, row_spacing=0)
    elif rng.random() < 0.2:
        attributes["extrusion"] = (0, 0, -1)
    return space.add_blockref(name, (rng.uniform(-9, 9), rng.uniform(-9, 9)), attributes)


def write_in_block(doc, space, rng, loop, layer, old, depth):
    """The loop in a block of its own, which may hold the next block."""
    block = doc.blocks.new(f"B{len(doc.blocks)}", base_point=(rng.uniform(-9, 9), 3, 0))
    insert = random_insert(space, rng, block.name, layer if depth == 0 else "0", None)
    inverse = insert.matrix44()
    inverse.inverse()
    inner = mapped(loop, inverse)
    if depth < 3 and rng.random() < 0.4:
        write_in_block(doc, block, rng, inner, layer, old, depth + 1)
    else:
        write_loop(block, rng, inner, rng.choice([layer, "0"]), old)


def write_twice(doc, space, rng, loop, layer, old, size):
    """Two copies side by side as columns of one insert; the loops as ezdxf places them."""
    block = doc.blocks.new(f"B{len(doc.blocks)}")
    insert = random_insert(space, rng, block.name, layer, size)
    copies = list(insert.multi_insert())
    inverse = copies[0].matrix44()
    inverse.inverse()
    inner = mapped(loop, inverse)
    write_loop(block, rng, inner, "0", old)
    return [mapped(inner, c.matrix44()) for c in copies]


def write_drawing(rng, path):
    version = rng.choice(VERSIONS)
    unit = rng.choice(list(UNITS))
    doc = ezdxf.new(version)
    doc.header["$INSUNITS"] = unit
    doc.header["$MEASUREMENT"] = rng.choice([0, 1]) if version != "R12" else 1
    if version == "R12":
        unit = 4  # this version of the format names no unit: millimetres by $MEASUREMENT
    turn, dx, dy = rng.uniform(0, 7), rng.uniform(-400, 400), rng.uniform(-400, 400)
    shrink = rng.uniform(0.5, 3) / UNITS[unit]
    c, s = math.cos(turn) * shrink, math.sin(turn) * shrink

    def placed(loop):
        return [(c * x - s * y + dx / UNITS[unit], s * x + c * y + dy / UNITS[unit], b)
                for x, y, b in loop]

    outer = placed(star(rng))
    spots = [(x, y) for x in (-25, 0, 25) for y in (-25, 0, 25) if math.hypot(x, y) < 40]
    holes = [placed(hole(rng, x, y)) for x, y in rng.sample(spots, rng.randint(0, len(spots)))]
    space = doc.modelspace()
    loops = [(outer, "CUT")] + [(h, rng.choice(["CUT", "Holes"])) for h in holes]
    rng.shuffle(loops)
    old = version == "R12"
    for loop, layer in loops:
        if rng.random() < 0.35:
            write_in_block(doc, space, rng, loop, layer, old, 0)
        else:
            write_loop(space, rng, loop, layer, old)
        if rng.random() < 0.1:
            write_loop(space, rng, loop, layer, old)  # drawn twice
        space.add_text("note", dxfattribs={"layer": "NOTES"})
    pair = []
    if rng.random() < 0.5:  # two copies of a small hole where no spot and no outline reaches
        r = rng.uniform(0.4, 0.7)
        small = placed([(-r, 40, 1), (r, 40, 1)])
        pair = write_twice(doc, space, rng, small, "CUT", old, 3 * r * shrink)
    doc.saveas(path)
    return outer, holes + pair, UNITS[unit]


def by_closed_form(outer, holes):
    area, length = area_and_length(outer)
    for h in holes:
        a, l = area_and_length(h)
        area, length = area - a, length + l
    return area, length


def by_shapely(outer, holes):
    p = Polygon(points_of(outer, CHORDS), [points_of(h, CHORDS) for h in holes])
    assert p.is_valid
    return p.area, p.length


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rng = random.Random(20260306)
    bad = 0
    worst = 0.0
    with tempfile.TemporaryDirectory() as folder:
        program = build(folder)
        wanted, paths = [], []
        for k in range(count):
            paths.append(os.path.join(folder, f"{k}.dxf"))
            wanted.append(write_drawing(rng, paths[-1]))
        lines = subprocess.run([program, *paths], check=True, capture_output=True,
                               text=True).stdout.splitlines()
        assert len(lines) == count, f"{len(lines)} lines for {count} drawings"
        for k, (line, (outer, holes, mm)) in enumerate(zip(lines, wanted)):
            got = line.split()
            if got[0] == "refused" or int(got[2]) != len(holes):
                print(f"drawing {k}: {len(holes)} holes wanted, got: {line}")
                bad += 1
                continue
            for area, length in (by_closed_form(outer, holes), by_shapely(outer, holes)):
                off = max(abs(float(got[0]) / (area * mm * mm) - 1),
                          abs(float(got[1]) / (length * mm) - 1))
                worst = max(worst, off)
                if not off <= TOLERANCE:
                    print(f"drawing {k}: off by {off:.2e}: {line}")
                    bad += 1
    print(f"{count} drawings, {bad} wrong, worst relative difference {worst:.1e}")
    sys.exit(1 if bad else 0)


main()
