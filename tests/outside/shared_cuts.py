#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""One cut between straight neighbours, only where the shop says so. usage: shared_cuts.py build/kitwright

Plans the same week of trays with shared_cuts left out and with `straight`: without the key no two
parts share a cut; with it the torch goes less far by at least nine tenths of the shared edges, the
parts are nested and cut as the outside judges want, and no bend's edge is shared.
"""
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
KIT = """kit: tray
name: Tray
revision: A
units: in
parts:
  lid:
    from: 11 ga hot-rolled sheet
    per_kit: 1
    base: { long: 11, wide: 7 }
    holes:
      - { size: 1, from_left: 4, from_front: 3 }
  bracket:
    from: 11 ga hot-rolled sheet
    per_kit: 1
    base: { long: 9, wide: 7 }
    bends:
      A: { along: back, height: 1-1/2, turn: 90, way: up }
"""


def plan(program, scratch, word):
    folder = os.path.join(scratch, word)
    shutil.copytree(os.path.join(HERE, "..", "cases", "_base"), folder)
    path = os.path.join(folder, "shop.yaml")
    with open(path, encoding="utf-8") as f:
        text = f.read().replace("  stroke: 4\n", "  stroke: 9\n")
    if word != "default":
        text = text.replace("  margin: 3/8\n", f"  margin: 3/8\n  shared_cuts: {word}\n")
    with open(path, "w", encoding="utf-8") as f:
        f.write(text)
    with open(os.path.join(folder, "kits", "tray.yaml"), "w", encoding="utf-8") as f:
        f.write(KIT)
    with open(os.path.join(folder, "orders.csv"), "w", encoding="utf-8") as f:
        f.write("order,kit,part,count,due\n2,tray,,8,2026-03-06\n")
    done = subprocess.run([program, "run", folder, "--name", "w", "--date", "2026-03-02"], capture_output=True, text=True)
    if done.returncode > 1:
        raise SystemExit(f"{word}: {done.stderr}")
    packet = os.path.join(folder, "runs", "w")
    with open(os.path.join(packet, "run.json"), encoding="utf-8") as f:
        return packet, json.load(f)


def shared(run):
    return [(math.dist(c["from"], c["to"]), c, s) for s in run["sheets"] for c in s["shared_cuts"]]


def main():
    program, wrong = os.path.abspath(sys.argv[1]), []
    with tempfile.TemporaryDirectory() as scratch:
        _, usual = plan(program, scratch, "default")
        _, never = plan(program, scratch, "never")
        packet, straight = plan(program, scratch, "straight")
        cuts = shared(straight)
        if shared(usual) or shared(never):
            wrong.append("cuts are shared although the shop does not say so")
        if len(cuts) < 3:
            wrong.append(f"only {len(cuts)} cuts are shared")
        length = [sum(s["cut_length"] for s in r["sheets"]) for r in (never, straight)]
        edges = sum(c[0] for c in cuts)
        if length[0] - length[1] < 0.9 * edges:
            wrong.append(f"{length[0] - length[1]:.0f} mm saved of {edges:.0f} mm shared")
        if any(s["spacing"] > s["kerf"] + 1e-6 for _, _, s in cuts):
            wrong.append("a sheet with shared cuts says a spacing that it does not keep")
        for command in (["node", os.path.join(HERE, "program_retrace.mjs"), packet],
                        ["/usr/bin/python3", os.path.join(HERE, "program_shapely.py"), packet],
                        ["/usr/bin/python3", os.path.join(HERE, "nest_shapely.py"), os.path.join(packet, "run.json")]):
            done = subprocess.run(command, capture_output=True, text=True)
            if done.returncode:
                wrong.append(done.stdout[-800:] + done.stderr[-400:])
    for text in wrong:
        print(text)
    print(f"{len(cuts)} shared cuts, {edges:.0f} mm of edge, {length[0] - length[1]:.0f} mm saved")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
