#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""What the table can't cut is left out by name and the rest is cut. usage: cut_stops.py build/kitwright

Each case edits a copy of tests/cases/_base, plans its week with --keep-going and wants: exit status 1,
the stop with its rule, part and place, the part in left_out and on no sheet, and programs for the
other stock. A last case wants nothing stopped: what lies between two rows is cut where the shop says
so, and never what lies beyond them.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

BASE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "cases", "_base")
TRAY = """kit: tray
name: Tray
revision: A
units: in
parts:
  floor:
    from: {stock}
    per_kit: 1
    base: {{ long: 12, wide: 8 }}
    holes:
      - {{ size: {size}, slot: 2, from_left: 4, from_front: 3 }}
  lid:
    from: 11 ga hot-rolled sheet
    per_kit: 1
    base: {{ long: 10, wide: 6 }}
"""
ORDERS = "order,kit,part,count,due\n2,tray,,3,2026-03-06\n"

# name, edits of shop.yaml, stock, slot width, rule expected (None: cut), place
CASES = [
    ("no cut rule", [("    - from: 14 ga hot-rolled sheet\n      kerf: 0.055\n      feed: 220\n      pierce_delay: 0.2\n"
                      "      pierce_height: 0.15\n      cut_height: 0.06\n      lead_in: 0.2\n", "")],
     "14 ga hot-rolled sheet", "1/2", "no-cut-rule", "kits/tray.yaml:7:11"),
    ("feed above the table's", [("  rapid: 400\n", "  rapid: 400\n  most_feed: 200\n")],
     "14 ga hot-rolled sheet", "1/2", "feed-over-table", "shop.yaml:37:13"),
    ("feed as the table's", [("  rapid: 400\n", "  rapid: 400\n  most_feed: 220\n")],
     "14 ga hot-rolled sheet", "1/2", None, None),
    ("kerf wider than a slot", [], "14 ga hot-rolled sheet", "0.05", "kerf-wider-than-slot", "kits/tray.yaml:11:17"),
    ("between two rows, shop silent", [("  - { from: 14 ga", "  - { from: 12 ga hot-rolled sheet, long: 96, wide: 48 }\n  - { from: 14 ga")],
     "12 ga hot-rolled sheet", "1/2", "no-cut-rule", "kits/tray.yaml:7:11"),
    ("between two rows, in proportion", [("  - { from: 14 ga", "  - { from: 12 ga hot-rolled sheet, long: 96, wide: 48 }\n  - { from: 14 ga"),
                                         ("  rapid: 400\n", "  rapid: 400\n  between_rows: in-proportion\n")],
     "12 ga hot-rolled sheet", "1/2", None, None),
    ("beyond the rows, in proportion", [("  - { from: 14 ga", "  - { from: 1/4 in hot-rolled sheet, long: 48, wide: 48 }\n  - { from: 14 ga"),
                                        ("  rapid: 400\n", "  rapid: 400\n  between_rows: in-proportion\n")],
     "1/4 in hot-rolled sheet", "1/2", "no-cut-rule", "kits/tray.yaml:7:11"),
    ("thinner than the rows, in proportion", [("  - { from: 14 ga", "  - { from: 18 ga hot-rolled sheet, long: 48, wide: 48 }\n  - { from: 14 ga"),
                                              ("  rapid: 400\n", "  rapid: 400\n  between_rows: in-proportion\n")],
     "18 ga hot-rolled sheet", "1/2", "no-cut-rule", "kits/tray.yaml:7:11"),
]


def plan(program, folder, case):
    name, edits, stock, size, rule, place = case
    shutil.copytree(BASE, folder)
    path = os.path.join(folder, "shop.yaml")
    with open(path, encoding="utf-8") as f:
        text = f.read()
    for old, new in edits:
        assert text.count(old) == 1, (name, old)
        text = text.replace(old, new)
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    with open(os.path.join(folder, "kits", "tray.yaml"), "w", encoding="utf-8") as f:
        f.write(TRAY.format(stock=stock, size=size))
    with open(os.path.join(folder, "orders.csv"), "w", encoding="utf-8") as f:
        f.write(ORDERS)
    return subprocess.run([program, "run", folder, "--name", "w", "--date", "2026-03-02", "--keep-going"],
                          capture_output=True, text=True)


def faults(program, case):
    name, edits, stock, size, rule, place = case
    wrong = []
    with tempfile.TemporaryDirectory() as scratch:
        folder = os.path.join(scratch, "shop")
        done = plan(program, folder, case)
        packet = os.path.join(folder, "runs", "w")
        if done.returncode != (1 if rule else 0):
            return [f"status {done.returncode}: {done.stderr}{done.stdout[:600]}"]
        with open(os.path.join(packet, "run.json"), encoding="utf-8") as f:
            run = json.load(f)
        stops = [f for f in run["findings"] if f["level"] == "stop"]
        said = [f'{f["rule"]} {f["part"]} {f["where"]["file"].split("shop/")[-1]}:{f["where"]["line"]}:{f["where"]["column"]}' for f in stops]
        wanted = [f"{rule} floor {place}"] if rule else []
        if said != wanted:
            wrong.append(f"stops {said}, expected {wanted}")
        left = sum(x["count"] for x in run["left_out"] if x["kit"] == "tray" and x["part"] in ("floor", "tray/floor"))
        if left != (3 if rule else 0):
            wrong.append(f"{left} left out: {run['left_out']}")
        placed = [p["part"] for s in run["sheets"] for p in s["placements"] for _ in range(s["times"])]
        if placed.count("tray/floor") != (0 if rule else 3):
            wrong.append(f"{placed.count('tray/floor')} floors on sheets")
        if placed.count("tray/lid") != 3:
            wrong.append("the lids are not all cut")
        for s in run["sheets"]:
            if not os.path.exists(os.path.join(packet, s["program"])):
                wrong.append(f"no {s['program']}")
        if rule and any(s["material"] == stock for s in run["sheets"]):
            wrong.append(f"a sheet of {stock} is written")
    return wrong


def main():
    program = os.path.abspath(sys.argv[1])
    bad = 0
    for case in CASES:
        wrong = faults(program, case)
        bad += bool(wrong)
        for text in wrong:
            print(f"{case[0]}: {text}")
    print(f"{len(CASES)} cases, {bad} failed")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
