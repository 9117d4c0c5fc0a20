#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Sheets cut up by shapely, filled again by us, judged by shapely.

usage: sheets_shapely.py KW-BENCH [COUNT]

COUNT cases (12 unless given): two or three squares are split along random lines, straight or bent,
until each is in 6 to 14 pieces; the pieces are turned by quarters, shuffled, written with six digits
and nested by `kw-bench sheets`. No more sheets than were cut up, every piece once, no two that
overlap deeper than 0.00002 mm, none beyond the edge. Exit status 1 and one line a
fault when not.
"""
import json
import os
import random
import subprocess
import sys
import tempfile

from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box
from shapely.ops import split

SIDE = 1000.0
DIGITS = 6
INWARDS = 1e-5  # mm: ten times what the digits leave open


def line_through(piece, rng, bent):
    """From one point of the outline to another, beyond it where straight."""
    ring = piece.exterior
    ends = [ring.interpolate(rng.random(), normalized=True) for _ in range(2)]
    (x0, y0), (x1, y1) = [(p.x, p.y) for p in ends]
    far = 3 * SIDE
    length = max(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5, 1e-9)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    if not bent:
        return LineString([(x0 - far * dx, y0 - far * dy), (x1 + far * dx, y1 + far * dy)])
    middle = ((x0 + x1) / 2 - dy * length * rng.uniform(-0.3, 0.3),
              (y0 + y1) / 2 + dx * length * rng.uniform(-0.3, 0.3))
    reach = 1e-3 * length  # a little beyond both ends
    return LineString([(x0 - reach * dx, y0 - reach * dy), middle, (x1 + reach * dx, y1 + reach * dy)])


def sound(piece):
    xy = list(piece.exterior.coords)
    edges = [((xy[i][0] - xy[i - 1][0]) ** 2 + (xy[i][1] - xy[i - 1][1]) ** 2) ** 0.5
             for i in range(1, len(xy))]
    return (piece.geom_type == "Polygon" and not piece.interiors and min(edges) > 5
            and piece.area > 4000 and piece.minimum_clearance > 3)


def cut_up(rng, count):
    pieces = [box(0, 0, SIDE, SIDE)]
    for _ in range(4000):
        if len(pieces) >= count:
            break
        piece = max(rng.sample(pieces, min(len(pieces), 3)), key=lambda p: p.area)
        parts = list(split(piece, line_through(piece, rng, rng.random() < 0.4)).geoms)
        if len(parts) == 2 and all(sound(p) for p in parts):
            pieces.remove(piece)
            pieces += parts
    return pieces


def case(seed):
    rng = random.Random(seed)
    sheets = rng.randint(2, 3)
    items = []
    for _ in range(sheets):
        for piece in cut_up(rng, rng.randint(6, 14)):
            turned = rotate(piece, 90 * rng.randint(0, 3), origin=(0, 0))
            x, y = turned.bounds[:2]
            xy = list(translate(turned, -x, -y).exterior.coords)[:-1]
            items.append({"count": 1, "rotations": [0, 90, 180, 270],
                          "outline": [[round(p[0], DIGITS), round(p[1], DIGITS)] for p in xy]})
    rng.shuffle(items)
    return {"name": f"cut{seed}", "sheet": [SIDE, SIDE], "best_known": sheets, "items": items}


def faults(c, sheets):
    used = [0] * len(c["items"])
    if len(sheets) > c["best_known"]:
        yield f"{len(sheets)} sheets, {c['best_known']} were cut up"
    for number, sheet in enumerate(sheets):
        lie = []
        for p in sheet["placements"]:
            used[p["item"]] += 1
            piece = Polygon(c["items"][p["item"]]["outline"])
            lie.append(translate(rotate(piece, p["rotation"], origin=(0, 0)), p["x"], p["y"]))
            low_x, low_y, high_x, high_y = lie[-1].bounds
            if min(low_x, low_y) < -1e-5 or max(high_x, high_y) > SIDE + 1e-5:
                yield f"sheet {number}: item {p['item']} is beyond the edge"
        # drawn in: GEOS takes two that share an edge to the last digits for one within the other
        lie = [piece.buffer(-INWARDS, join_style=2) for piece in lie]
        for i, piece in enumerate(lie):
            for k in range(i):
                if piece.intersection(lie[k]).area > 1e-9:
                    yield f"sheet {number}: {piece.intersection(lie[k]).area:g} mm2 are shared"
    for item, times in enumerate(used):
        if times != 1:
            yield f"item {item} is there {times} times"


def main():
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 12
    cases = [case(seed) for seed in range(1, count + 1)]
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "cases.json")
        with open(path, "w") as f:
            json.dump({"cases": cases}, f)
        subprocess.run([sys.argv[1], "sheets", path, "--steps", "1000000", "--layout", folder],
                       stdout=subprocess.DEVNULL, check=True)
        for c in cases:
            with open(os.path.join(folder, c["name"] + ".json")) as f:
                for fault in faults(c, json.load(f)["sheets"]):
                    print(f"{c['name']}: {fault}")
                    bad += 1
    print(f"{count} cut-up cases filled again, {bad} faults")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
