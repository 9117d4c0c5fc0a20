#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks the nests of a run.json with shapely, which shares no code with us.

usage: nest_shapely.py RUN.JSON [RUN.JSON ...]
       nest_shapely.py --random COUNT RUN-TESTS   so many random nests (polygons with arcs and
       holes, rotations, spacings, torn sheets), which the unit tests make and judge themselves

Arcs become chords within 0.001 mm with their ends on the arc. Then, on every sheet: no two parts
share an area of more than 1e-6 mm2 when each is drawn in by 0.002 mm (they may touch), parts keep
the spacing and the margin within 0.01 mm, nothing is outside, drops are free and within the sheet,
areas are those that run.json states; over all sheets every copy is there once or named as left
out. Exit status 1 and one line a fault when not.
"""
import json
import math
import os
import subprocess
import sys
import tempfile

from shapely.affinity import affine_transform
from shapely.geometry import Polygon

CHORD = 0.001
WITHIN = 0.01


def chords(outline):
    points = []
    for (x, y, *rest), nxt in zip(outline, outline[1:] + outline[:1]):
        bulge = rest[0] if rest else 0
        points.append((x, y))
        if bulge == 0:
            continue
        u, v = nxt[0] - x, nxt[1] - y
        off = (1 - bulge * bulge) / (4 * bulge)
        cx, cy = (x + nxt[0]) / 2 - v * off, (y + nxt[1]) / 2 + u * off
        radius, sweep = math.hypot(x - cx, y - cy), 4 * math.atan(bulge)
        half = math.acos(max(1 - CHORD / radius, 0.5))
        steps = max(1, math.ceil(abs(sweep) / (2 * half)))
        start = math.atan2(y - cy, x - cx)
        for k in range(1, steps):
            a = start + sweep * k / steps
            points.append((cx + radius * math.cos(a), cy + radius * math.sin(a)))
    return points


def region(blank):
    return Polygon(chords(blank["outer"]), [chords(h) for h in blank["holes"]])


def placed(shape, p):
    a = math.radians(p["rotation"])
    c, s, m = math.cos(a), math.sin(a), -1 if p["mirrored"] else 1
    return affine_transform(shape, [c * m, -s, s * m, c, p["x"], p["y"]])


def apart(a, b, gap):
    return a[0] - b[2] > gap or b[0] - a[2] > gap or a[1] - b[3] > gap or b[1] - a[3] > gap


def check_sheet(sheet, shapes, faults):
    outline = Polygon(chords(sheet["outline"]))
    edge_off = sheet["margin"] - WITHIN
    keep_out = [Polygon(chords(k)) for k in sheet.get("keep_out", [])]
    names, parts = [], []
    for p in sheet["placements"]:
        if p["part"] not in shapes:
            faults.append(f"sheet {sheet['id']}: {p['part']} is not a blank of this run")
            continue
        names.append(f"{p['part']}#{p['copy']}")
        parts.append(placed(shapes[p["part"]], p))
    for name, part in zip(names, parts):
        if not outline.covers(part.buffer(-WITHIN)) or part.distance(outline.exterior) < edge_off:
            faults.append(f"sheet {sheet['id']}: {name} is outside or within the margin")
        if any(part.distance(k) < edge_off for k in keep_out):
            faults.append(f"sheet {sheet['id']}: {name} lies on a clamp or a spoiled place")
    least = sheet["spacing"] - WITHIN
    for i, part in enumerate(parts):
        for j in range(i + 1, len(parts)):
            if apart(part.bounds, parts[j].bounds, sheet["spacing"]):
                continue
            pair = f"sheet {sheet['id']}: {names[i]} and {names[j]}"
            shared = part.buffer(-0.002).intersection(parts[j].buffer(-0.002)).area
            if shared > 1e-6:
                faults.append(f"{pair} overlap: {shared:g} mm2")
            elif least > 0 and part.distance(parts[j]) < least:
                gap = part.distance(parts[j])
                faults.append(f"{pair} are {gap:.4f} mm apart")
    for drop in sheet.get("drops", []):
        free = Polygon(chords(drop)).buffer(-WITHIN, join_style=2)
        if not outline.covers(free) or any(free.intersects(part) for part in parts):
            faults.append(f"sheet {sheet['id']}: a drop is not free or not within the sheet")
    if "density" in sheet and parts:
        density = sum(part.area for part in parts) / outline.area
        if abs(density - sheet["density"]) > 1e-3:
            faults.append(f"sheet {sheet['id']}: density {sheet['density']} is {density:.6f}")
    return len(parts)


def named_left_out(run, part):
    total = 0
    for entry in run["left_out"]:
        kit, name = entry.get("kit") or "", entry.get("part") or ""
        whole = name if "/" in name else f"{kit}/{name}"
        if name and (part == whole or part.startswith(whole + " ")):
            total += entry["count"]
        elif not name and part.startswith(kit + "/"):
            return math.inf
    return total


def check_counts(run, faults):
    count, seen = {}, set()
    for sheet in run["sheets"]:
        for p in sheet["placements"]:
            count[p["part"]] = count.get(p["part"], 0) + sheet["times"]
            for copy in range(p["copy"], p["copy"] + sheet["times"]):
                if (p["part"], copy) in seen:
                    faults.append(f"{p['part']}#{copy} is placed more than once")
                seen.add((p["part"], copy))
    for blank in run["blanks"]:
        have, want = count.get(blank["part"], 0), blank["count"]
        if have > want or have + named_left_out(run, blank["part"]) < want:
            faults.append(f"{blank['part']}: {want} wanted, {have} placed")


def check(path, quiet=False):
    with open(path, encoding="utf-8") as f:
        run = json.load(f)
    faults, shapes = [], {}
    for blank in run["blanks"]:
        shape = region(blank)
        if blank["part"] in shapes:
            faults.append(f"blank {blank['part']} is listed twice")
        if not shape.is_valid:
            faults.append(f"blank {blank['part']} is no simple outline")
        if "area" in blank and abs(shape.area - blank["area"]) > 0.01 + shape.length * CHORD:
            faults.append(f"blank {blank['part']}: area {blank['area']} is {shape.area:.3f}")
        shapes[blank["part"]] = shape
    looked_at = sum(check_sheet(sheet, shapes, faults) for sheet in run["sheets"])
    check_counts(run, faults)
    everything_out = all(named_left_out(run, b["part"]) >= b["count"] for b in run["blanks"])
    if run["blanks"] and looked_at == 0 and not everything_out:
        faults.append("nothing is placed")
    for fault in faults[:50]:
        print(f"{path}: {fault}")
    if not quiet or faults:
        print(f"{path}: {len(run['sheets'])} sheets, {looked_at} placements, {len(faults)} faults")
    return not faults


def check_random(count, tests):
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([tests, "--filter", "packet_nest_judged/more_random*"],
                              env={**os.environ, "KW_NEST_CASES": str(count), "KW_NESTS": folder},
                              capture_output=True, text=True)
        if done.returncode != 0:
            print(done.stdout[-2000:], done.stderr[-2000:])
            return False
        paths = sorted(os.path.join(folder, name) for name in os.listdir(folder))
        good = sum(check(path, quiet=True) for path in paths)
    print(f"{len(paths)} random nests through the judge and shapely, {len(paths) - good} with faults")
    return good == count


if __name__ == "__main__":
    if len(sys.argv) == 4 and sys.argv[1] == "--random":
        sys.exit(0 if check_random(int(sys.argv[2]), sys.argv[3]) else 1)
    if len(sys.argv) < 2:
        sys.exit("usage: nest_shapely.py RUN.JSON ...")
    sys.exit(0 if all([check(path) for path in sys.argv[1:]]) else 1)
