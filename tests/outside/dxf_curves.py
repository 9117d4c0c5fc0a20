#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Writes random drawings of curves with ezdxf and compares the arcs that our reader makes of them.

Ellipses, parts of ellipses, splines of degree 2 to 5 (closed, open, rational, through points with
given ends), and circles and oblong holes in blocks that stretch them, in plates with straight edges
or with a curved edge, in all versions that know such entities. The true curve is what ezdxf makes of
the entity, taken at some thousand points; every point of ours must be within 0.02 mm of it and the
other way round, areas and lengths accordingly. Usage: dxf_curves.py [COUNT] (default 60).
"""
import math
import os
import random
import sys
import tempfile

import ezdxf
import numpy as np
from ezdxf.math import BSpline, Vec3, fit_points_to_cad_cv

from drawing_compare import faults_of
from drawing_driver import build, read_outlines

UNITS = {4: 1.0, 1: 25.4, 5: 10.0, 6: 1000.0}
VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
POINTS = 2400


def flat(points):
    return np.array([(p.x, p.y) for p in points])


def ring(rng, n, low, high):
    """Points round the origin, from `low` to `high` away."""
    return [(r * math.cos(t), r * math.sin(t)) for t, r in
            ((2 * math.pi * (k + 0.4 * rng.random()) / n, rng.uniform(low, high))
             for k in range(n))]


def at(points, centre):
    return [(x + centre[0], y + centre[1]) for x, y in points]


def spline_points(spline):
    curve = spline.construction_tool()
    return flat(curve.points(np.linspace(curve.knots()[curve.order - 1],
                                         curve.knots()[curve.count], POINTS)))


def full_ellipse(space, rng, c, size, layer):
    t, r = rng.uniform(0, 7), rng.uniform(size / 3, size)
    e = space.add_ellipse(c, (r * math.cos(t), r * math.sin(t)), rng.uniform(0.08, 1),
                          dxfattribs={"layer": layer, "extrusion": (0, 0, rng.choice([1, -1]))})
    return flat(e.construction_tool().vertices(np.linspace(0, 2 * math.pi, POINTS)))[:-1]


def part_ellipse(space, rng, c, size, layer):
    """A piece of an ellipse and the line between its ends."""
    t, r = rng.uniform(0, 7), rng.uniform(size / 3, size)
    first = rng.uniform(0, 2 * math.pi)
    last = first + rng.uniform(0.5, 5.5)
    e = space.add_ellipse(c, (r * math.cos(t), r * math.sin(t)), rng.uniform(0.2, 1), first,
                          last % (2 * math.pi),
                          dxfattribs={"layer": layer, "extrusion": (0, 0, rng.choice([1, -1]))})
    points = flat(e.construction_tool().vertices(np.linspace(first, last, POINTS)))
    space.add_line(points[-1], points[0], dxfattribs={"layer": layer})
    return points


def closed_spline(space, rng, c, size, layer):
    degree = rng.randint(2, 5)
    points = at(ring(rng, rng.randint(degree + 2, 12), size / 2, size), c)
    points = [(x, y, 0) for x, y in points]
    e = space.add_spline(dxfattribs={"layer": layer})
    if rng.random() < 0.5:
        e.set_closed(points, degree=degree)
    else:
        e.set_closed_rational(points, [rng.uniform(0.4, 2.5) for _ in points], degree=degree)
    return spline_points(e)[:-1]


def open_spline(space, rng, c, size, layer):
    """A spline from left to right and the line back below it."""
    degree = rng.randint(2, 5)
    n = rng.randint(degree + 1, 10)
    points = [(-size + 2 * size * k / (n - 1), rng.uniform(size / 4, size)) for k in range(n)]
    points = at([(-size, 0)] + points + [(size, 0)], c)
    if rng.random() < 0.5:
        e = space.add_open_spline(points, degree=degree, dxfattribs={"layer": layer})
    else:
        weights = [rng.uniform(0.4, 2.5) for _ in points]
        e = space.add_rational_spline(points, weights, degree=degree, dxfattribs={"layer": layer})
    space.add_line(points[-1], points[0], dxfattribs={"layer": layer})
    return spline_points(e)


def fitted_spline(space, rng, c, size, layer):
    """A spline through points, its directions at the ends given; closed by a line."""
    n = rng.randint(4, 9)
    points = [(-size + 2 * size * k / (n - 1), rng.uniform(size / 3, size)) for k in range(n)]
    points = at([(-size, 0)] + points[1:-1] + [(size, 0)], c)
    tangents = [Vec3(rng.uniform(0.1, 1), 1, 0).normalize(), Vec3(rng.uniform(0.1, 1), -1, 0).normalize()]
    e = space.add_spline(points, dxfattribs={"layer": layer, "start_tangent": tangents[0],
                                             "end_tangent": tangents[1]})
    assert e.control_point_count() == 0
    curve = fit_points_to_cad_cv(points, tangents=tangents)
    space.add_line(points[-1], points[0], dxfattribs={"layer": layer})
    return flat(curve.points(np.linspace(0, curve.max_t, POINTS)))


def stretched_block(space, rng, c, size, layer):
    """A circle or an oblong hole in a block that is stretched, in a block that is turned."""
    doc = space.doc
    inner = doc.blocks.new(f"B{len(doc.blocks)}", base_point=(rng.uniform(-0.1, 0.1) * size, 0, 0))
    outer = doc.blocks.new(f"B{len(doc.blocks)}")
    r = size * rng.uniform(0.1, 0.25)
    if rng.random() < 0.5:
        inner.add_circle((0, 0), r, dxfattribs={"layer": "0"})
        t = np.linspace(0, 2 * math.pi, POINTS)[:-1]
        points = np.column_stack((r * np.cos(t), r * np.sin(t)))
    else:
        slot = [(-r, -r / 2, 0), (r, -r / 2, 1), (r, r / 2, 0), (-r, r / 2, 1)]
        line = inner.add_polyline2d(slot, format="xyb", dxfattribs={"layer": layer})
        line.close(True)
        t = np.linspace(-math.pi / 2, math.pi / 2, POINTS // 2)
        right = np.column_stack((r + r / 2 * np.cos(t), r / 2 * np.sin(t)))
        points = np.vstack((right, -right))
    one = outer.add_blockref(inner.name, (0, 0), {"layer": "0", "rotation": rng.uniform(0, 360),
                                                  "xscale": rng.uniform(0.4, 1.6),
                                                  "yscale": rng.uniform(-1.6, -0.4)})
    two = space.add_blockref(outer.name, c, {"layer": layer, "rotation": rng.uniform(0, 360),
                                             "xscale": rng.uniform(0.4, 1.6),
                                             "yscale": rng.uniform(0.4, 1.6)})
    m = one.matrix44() * two.matrix44()
    return flat(m.transform_vertices([Vec3(x, y, 0) for x, y in points]))


NEW = [full_ellipse, part_ellipse, closed_spline, open_spline, fitted_spline, stretched_block]


def write_drawing(rng, path):
    version = rng.choice(VERSIONS)
    unit = 4 if version == "R12" else rng.choice(list(UNITS))
    kinds = [stretched_block] if version == "R12" else NEW
    doc = ezdxf.new(version)
    doc.header["$INSUNITS"] = unit
    doc.header["$MEASUREMENT"] = 1
    mm = UNITS[unit]
    space = doc.modelspace()
    straight = version == "R12" or rng.random() < 0.6
    if straight:
        box = [(-110, -80), (110, -80), (110, 80), (-110, 80)]
        space.add_polyline2d([(x / mm, y / mm) for x, y in box],
                             dxfattribs={"layer": "CUT"}).close(True)
        loops = [np.array(box, float)]
        spots = [(x, y) for x in (-72, 0, 72) for y in (-40, 40)]
        size = 24
    else:
        kind = rng.choice([closed_spline, full_ellipse])
        loops = [kind(space, rng, (5 / mm, 7 / mm), 300 / mm, "CUT") * mm]
        spots, size = [], 24
    for spot in rng.sample(spots, rng.randint(0, len(spots))):
        kind = rng.choice(kinds)
        loops.append(kind(space, rng, (spot[0] / mm, spot[1] / mm), size / mm, "CUT") * mm)
    doc.saveas(path)
    return loops, straight


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    rng = random.Random(20261127)
    bad, worst, curves = 0, 0.0, 0
    with tempfile.TemporaryDirectory() as folder:
        program = build(folder)
        paths, wanted = [], []
        for k in range(count):
            paths.append(os.path.join(folder, f"{k}.dxf"))
            wanted.append(write_drawing(rng, paths[-1]))
        for k, ((words, got), (want, straight)) in enumerate(zip(read_outlines(program, paths),
                                                                 wanted)):
            if got is None:
                print(f"drawing {k}: {words}")
                bad += 1
                continue
            faults, far = faults_of(got, want, straight)
            worst = max(worst, far if straight else far / 2)
            curves += len(want) - straight
            bad += bool(faults)
            for f in faults:
                print(f"drawing {k}: {f}")
    print(f"{count} drawings of {curves} curves, {bad} wrong, at most {worst:.4f} mm off")
    sys.exit(1 if bad or curves < count else 0)


main()
