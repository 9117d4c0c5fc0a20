#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""A scrapped part into planned sheets, end to end, seen with shapely.

usage: again.py KITWRIGHT

In a copy of the demo: the week is planned, then small parts are asked for again and again. Every
time the earlier packets keep their bytes, and the new part keeps the spacing to all that lies on
the sheet by all of them (shapely, which shares no code with us); a drop by itself, a wrong part, a
wrong sheet and a count that finds no room end as they should. Exit status 1 and a line when not.
"""
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from nest_shapely import WITHIN, placed, region  # noqa: E402

faults = []


def run(kw, shop, *words):
    return subprocess.run([kw, "run", shop, "--name", "w", "--date", "2026-11-30", *words],
                          capture_output=True, text=True)


def sums(folder):
    found = {}
    for root, _, names in os.walk(folder):
        for name in names:
            with open(os.path.join(root, name), "rb") as f:
                found[os.path.join(root, name)] = hashlib.sha256(f.read()).hexdigest()
    return found


def load(shop, name):
    with open(f"{shop}/runs/{name}/run.json", encoding="utf-8") as f:
        return json.load(f)


def outlines(packet, sheet):
    shapes = {b["part"]: region({"outer": b["outer"], "holes": []}) for b in packet["blanks"]}
    return [placed(shapes[p["part"]], p) for p in sheet["placements"]]


def check_new(shop, names):
    """The last of the packets against all of them."""
    lying = {}
    for name in names[:-1]:
        for s in load(shop, name)["sheets"]:
            lying.setdefault(s["id"], []).extend(outlines(load(shop, name), s))
    packet, count = load(shop, names[-1]), 0
    for s in packet["sheets"]:
        if "-" not in s["id"] and len(s["taken"]) < len(lying[s["id"]]):
            faults.append(f"{names[-1]}: {s['id']} forgets what lies there")
        for part in outlines(packet, s):
            count += 1
            near = min((part.distance(o) for o in lying.get(s["id"], [])), default=1e9)
            if near < s["spacing"] - WITHIN:
                faults.append(f"{names[-1]}: {s['id']}: {near:.3f} mm to what lies there")
    return count


def standing(kw, shop):
    """Proven sheets are cut again as they were, but for test pieces and fillers."""
    done = subprocess.run([kw, "run", shop, "--name", "v", "--date", "2026-12-07",
                           "--standing", "w"], capture_output=True, text=True)
    if done.returncode > 1:
        faults.append(f"--standing w: {done.stdout}{done.stderr}")
        return 0

    def lie(s):
        return sorted((p["part"], round(p["x"], 4), round(p["y"], 4), round(p["rotation"], 4),
                       p["mirrored"]) for p in s["placements"])
    old = {f"w/{s['id']}": s for s in load(shop, "w")["sheets"]}
    again = [s for s in load(shop, "v")["sheets"] if "standing" in s]
    for s in again:
        if lie(s) != lie(old[s["standing"]]):
            faults.append(f"{s['id']} is not {s['standing']} as it was")
    if not again:
        faults.append("no sheet stood")
    return len(again)


def main():
    kw, shop = os.path.abspath(sys.argv[1]), tempfile.mkdtemp(prefix="again") + "/shop"
    shutil.copytree("demo", shop)
    shutil.rmtree(f"{shop}/runs", ignore_errors=True)
    with open(f"{shop}/shop.yaml", encoding="utf-8") as f:
        text = f.read()
    text = text.replace("coupons: when-missing", "coupons: never")
    head, rest = text.split("fillers:\n")
    while rest.startswith("  - "):  # fillers would have taken the free space
        rest = rest.split("\n", 1)[1]
    with open(f"{shop}/shop.yaml", "w", encoding="utf-8") as f:
        f.write(head + rest)
    if run(kw, shop).returncode > 1:
        sys.exit("the week can't be planned")
    blanks = [b for b in load(shop, "w")["blanks"] if not b.get("use")]
    small = [b["part"] for b in sorted(blanks, key=lambda b: b["area"])][:8]
    names, total = ["w"], 0
    for part in small + small[:3]:
        before = sums(f"{shop}/runs")
        done = run(kw, shop, "--again", part)
        after = sums(f"{shop}/runs")
        if any(after.get(f) != h for f, h in before.items()):
            faults.append("an earlier packet was changed")
        if done.returncode == 1 and "no free space" in " ".join(done.stdout.split()):
            if after != before:
                faults.append(f"--again {part}: written though there is no room")
            continue
        if done.returncode != 0:
            faults.append(f"--again {part}: {done.stdout}{done.stderr}")
            break
        names.append("w-again" if len(names) == 1 else f"w-again-{len(names)}")
        total += check_new(shop, names)
    if total != len(names) - 1 or total < 3:
        faults.append(f"{total} placed in {len(names) - 1} packets")
    drop = next((s["id"] for s in load(shop, "w")["sheets"] if s["drops"]), None)
    stock = next((s for s in load(shop, "w")["sheets"] if s["id"] == drop), None)
    fits = next((b["part"] for b in load(shop, "w")["blanks"]
                 if stock and b["material"] == stock["material"] and not b.get("use")), None)
    before = sums(f"{shop}/runs")
    for words, status in ((["--again", small[0], "--on", "S99"], 2), (["--again", "nothing/here"], 2),
                          (["--again", "nothing"], 64), (["--on", "S1"], 64),
                          (["--again", f"{small[0]}=90000"], 1), (["--again", f"{small[0]}=0"], 64)):
        done = run(kw, shop, *words)
        if done.returncode != status:
            faults.append(f"{words}: exit {done.returncode}, expected {status}: {done.stderr}")
        if status != 1 and sums(f"{shop}/runs") != before:
            faults.append(f"{words}: something was written")
    if drop:
        done = run(kw, shop, "--again", fits, "--on", f"{drop}-A")
        if done.returncode != 0:
            faults.append(f"--again {fits} --on {drop}-A: {done.stdout}{done.stderr}")
    stood = standing(kw, shop)
    for fault in faults:
        print(fault)
    print(f"{stood} sheets stood; {total} parts put into planned sheets, {len(faults)} faults")
    shutil.rmtree(os.path.dirname(shop))
    sys.exit(1 if faults else 0)


main()
