#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Compares what each program removes with the outlines of run.json, by shapely.

usage: program_shapely.py PACKET_FOLDER [PACKET_FOLDER ...]

The torch is a disc of the kerf's width: its ways with the torch on are buffered by half a kerf and
taken from the sheet. No placed part loses metal, and the piece that stays round each part is, but for
its tabs, within 0.05 mm (Hausdorff) of the part once inside corners are rounded to half a kerf.
Reads RS-274 with a few lines of its own. Exit status 1 and a line a fault when not.
"""
import json
import math
import os
import re
import sys

from shapely.geometry import LineString, Point
from shapely.ops import unary_union

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from nest_shapely import placed, region  # noqa: E402

WITHIN = 0.05
WORD = re.compile(r"([A-Z])(-?[0-9.]+)")


def arc(a, b, c, ccw):
    r, start = math.hypot(a[0] - c[0], a[1] - c[1]), math.atan2(a[1] - c[1], a[0] - c[0])
    sweep = (math.atan2(b[1] - c[1], b[0] - c[0]) - start) % (2 * math.pi)
    sweep = sweep if ccw else sweep - 2 * math.pi
    sweep = sweep or (2 * math.pi if ccw else -2 * math.pi)
    n = max(2, math.ceil(abs(sweep) / (2 * math.acos(max(1 - 0.001 / r, 0.5)))))
    return [(c[0] + r * math.cos(start + sweep * k / n), c[1] + r * math.sin(start + sweep * k / n)) for k in range(n)] + [b]


def centre_by_radius(a, b, r, ccw):
    d = (b[0] - a[0], b[1] - a[1])
    chord = math.hypot(*d)
    side = (1 if ccw else -1) * math.sqrt(max(0, r * r - chord * chord / 4)) / chord
    return ((a[0] + b[0]) / 2 - side * d[1], (a[1] + b[1]) / 2 + side * d[0])


def burns(text, controller):
    on, off = controller.get("torch_on", "M3"), controller.get("torch_off", "M5")
    unit, mode, here, torch, found = 1, 0, (0, 0), None, []
    for line in text.splitlines():
        line = re.sub(r"\(.*?\)|^N\d+ ", "", line).strip()
        if line == on:
            torch = [here]
            found.append(torch)
        elif line == off:
            torch = None
        words = dict(WORD.findall(re.sub(r"G\d+ ?", "", line)))
        codes = re.findall(r"G(\d+)", line)
        unit = 25.4 if "20" in codes else 1 if "21" in codes else unit
        mode = next((int(c) for c in codes if c in "0123"), mode)
        if not {"X", "Y"} & set(words):
            continue
        at = {k: float(v) * unit for k, v in words.items()}
        to = (at.get("X", here[0]), at.get("Y", here[1]))
        if torch is not None and mode >= 2:
            c = centre_by_radius(here, to, at["R"], mode == 3) if "R" in at else (here[0] + at.get("I", 0), here[1] + at.get("J", 0))
            torch.extend(arc(here, to, c, mode == 3))
        elif torch is not None:
            torch.append(to)
        here = to
    return found


def check_part(name, shape, gone, tabs, half, faults):
    lost = shape.buffer(-0.005).intersection(gone).area
    if lost > 0.01:
        faults.append(f"{name}: loses {lost:.3f} mm2")
    # The piece about the part: what is left within a kerf of it.
    wanted = shape.buffer(half).buffer(-half)
    left = shape.buffer(1.2 * half).difference(gone)
    for t in tabs:
        left = left.difference(Point(t["at"]).buffer(t["width"] / 2 + 3 * half).difference(wanted))
    pieces = getattr(left, "geoms", [left])
    piece = max(pieces, key=lambda g: g.intersection(shape).area)
    off = piece.hausdorff_distance(wanted)
    if off > WITHIN:
        faults.append(f"{name}: {off:.3f} mm off its outline")


def is_along(w, a, b):
    return math.dist(w[0], a) < 0.01 and math.dist(w[-1], b) < 0.01


def check_sheet(folder, run, sheet):
    faults, half = [], sheet["kerf"] / 2
    with open(os.path.join(folder, sheet["program"]), encoding="ascii") as f:
        ways = [w for w in burns(f.read(), sheet.get("controller", {})) if len(w) > 1]
    marks = [(m["from"], m["to"]) for m in sheet.get("marks", [])]
    cuts = [w for w in ways if not any(is_along(w, *m) or is_along(w, *m[::-1]) for m in marks)]
    discs = [LineString(w).buffer(half, resolution=64) for w in cuts]
    shapes = {b["part"]: region(b) for b in run["blanks"]}
    for p in sheet["placements"]:
        shape = placed(shapes[p["part"]], p)
        near = shape.buffer(3 * half)
        gone = unary_union([d for d in discs if d.intersects(near)])
        tabs = [t for t in sheet.get("tabs", []) if shape.distance(Point(t["at"])) < half]
        check_part(f"{p['part']}#{p['copy']}", shape, gone, tabs, half, faults)
    return faults


def main(folders):
    parts = bad = 0
    for folder in folders:
        with open(os.path.join(folder, "run.json"), encoding="utf-8") as f:
            run = json.load(f)
        for sheet in run["sheets"]:
            faults = check_sheet(folder, run, sheet)
            parts += len(sheet["placements"])
            bad += len(faults)
            for text in faults[:5]:
                print(f"{folder} {sheet['id']}: {text}")
    print(f"{parts} parts: {bad} faults" if bad else f"{parts} parts, each within {WITHIN} mm of its outline")
    return 1 if bad or parts == 0 else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
