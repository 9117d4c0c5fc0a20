#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The open strip cases nested by us, judged by shapely.

usage: strips_shapely.py KW-BENCH FOLDER [STEPS]     every case of the folder (STEPS 100000)
       strips_shapely.py --layout CASE LAYOUT ...    layouts that kw-bench wrote, by pairs

Every item so often as the case says, only in its rotations, no two that overlap deeper than
0.00002 of the strip's width (its unit is not said), none beyond strip or length, and the density told
is that of the outlines. Exit status 1 and one line a fault when not.
"""
import json
import os
import subprocess
import sys
import tempfile

from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

INWARDS = 1e-5  # of the width: ten times what six digits leave open


def placed(case, layout, faults):
    items = [Polygon(item["outline"]) for item in case["items"]]
    left = [item["count"] for item in case["items"]]
    shapes = []
    for p in layout["placements"]:
        item = case["items"][p["item"]]
        left[p["item"]] -= 1
        if min(abs((p["rotation"] - r + 180) % 360 - 180) for r in item["rotations"]) > 1e-6:
            faults.append(f"item {p['item']} is turned by {p['rotation']}")
        turned = rotate(items[p["item"]], p["rotation"], origin=(0, 0))
        shapes.append(translate(turned, p["x"], p["y"]))
    faults += [f"item {i}: {n} missing" for i, n in enumerate(left) if n]
    return shapes


def faults_of(case, layout):
    faults = []
    width, length = case["strip_width"], layout["length"]
    shapes = placed(case, layout, faults)
    touch = INWARDS * width
    for shape in shapes:
        x0, y0, x1, y1 = shape.bounds
        if min(x0, y0, length - x1, width - y1) < -touch:
            faults.append(f"a piece is outside, at ({x0:g}, {y0:g})")
    smaller = [shape.buffer(-touch, join_style=2) for shape in shapes]
    for i, a in enumerate(smaller):
        faults += [f"pieces {k} and {i} overlap" for k in range(i) if a.intersects(smaller[k])]
    return faults, sum(s.area for s in shapes) / (width * length)


def check(case, layout, told=None):
    faults, density = faults_of(case, layout)
    if told is not None and abs(told - density) > 2e-6:
        faults.append(f"told {told}, is {density:.6f}")
    for fault in faults[:20]:
        print(f"{case['name']}: {fault}")
    print(f"{case['name']}: {len(layout['placements'])} pieces, {100 * density:.2f} %, "
          f"{len(faults)} faults")
    return not faults


def read(path):
    with open(path, encoding="utf-8") as f:
        return json.load(f)


def nested(bench, path, steps, folder):
    out = os.path.join(folder, "layout.json")
    done = subprocess.run([bench, "strips", path, "--steps", str(steps), "--seed", "1",
                           "--layout", out], check=True, capture_output=True, text=True)
    told = json.loads(done.stdout.splitlines()[0])["density"]
    layout = read(out)
    os.unlink(out)
    return check(read(path), layout, told)


def main(words):
    if words[0] == "--layout":
        return all([check(read(c), read(l)) for c, l in zip(words[1::2], words[2::2])])
    steps = int(words[2]) if len(words) > 2 else 100000
    paths = sorted(os.path.join(words[1], n) for n in os.listdir(words[1]) if n.endswith(".json"))
    with tempfile.TemporaryDirectory() as folder:
        return len(paths) > 0 and all([nested(words[0], p, steps, folder) for p in paths])


if __name__ == "__main__":
    sys.exit(0 if main(sys.argv[1:]) else 1)
