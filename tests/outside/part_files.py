#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Has `kitwright part` write the files of every sheet part of the demo shop and reads them back.

DXF: ezdxf reads it without a fault, and shapely's area of what lies on the cut layer (4000 chords an
arc) is the blank's to 1e-6. SVG: the same by an XML parser and our own reading of its arcs here. STL:
each edge of a triangle comes once in either direction, its volume is that of the folded part; GLB:
the same mesh in metres with y up, read with numpy, and the npm validator of the standard finds no
fault. Both meshes hold faces times thickness plus, a bend, angle x thickness x (radius + thickness /
2) x length, to 1e-3: holes are chords there. Both drawings read back by our own reader as a part.
usage: part_files.py build/kitwright
"""
import json
import math
import os
import re
import struct
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
from shapely.geometry import Polygon

from drawing_driver import build, read_outlines

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
CHORDS = 4000
faults = []


def claim(what, truth):
    if not truth:
        faults.append(what)
        print("wrong:", what)


def options_of_demo():
    """Parts that come or go with an option, and parts with slits, which the mesh leaves out."""
    optional, slit = set(), set()
    for file in sorted(os.listdir(os.path.join(ROOT, "demo/kits"))):
        with open(os.path.join(ROOT, "demo/kits", file), encoding="utf-8") as f:
            text = f.read()
        kit = re.search(r"^kit: *(\S+)", text, re.M).group(1)
        for name, body in re.findall(r"^  ([\w-]+):\n((?:    .*\n)+)", text, re.M):
            if re.search(r"^    (with|without): ", body, re.M):
                optional.add(f"{kit}/{name}")
            if "by_hand:" in body:
                slit.add(f"{kit}/{name}")
    return optional, slit


def parts_of_demo():
    for file in sorted(os.listdir(os.path.join(ROOT, "demo/kits"))):
        with open(os.path.join(ROOT, "demo/kits", file), encoding="utf-8") as f:
            text = f.read()
        kit = re.search(r"^kit: *(\S+)", text, re.M).group(1)
        block = re.search(r"^parts:.*\n((?:(?: .*|#.*)?\n)*)", text, re.M).group(1)
        for part in re.findall(r"^  ([\w-]+):", block, re.M):
            if f"{kit}/{part}" not in OPTIONAL:
                yield f"{kit}/{part}"


OPTIONAL, SLIT = options_of_demo()


def arc(x, y, x2, y2, bulge):
    """Points after the first of an arc by its bulge."""
    if bulge == 0:
        return [(x2, y2)]
    sweep = 4 * math.atan(bulge)
    chord = complex(x2 - x, y2 - y)
    centre = complex(x + x2, y + y2) / 2 + chord * 1j / 2 / math.tan(sweep / 2)
    first = complex(x, y) - centre
    turns = np.exp(1j * sweep * np.arange(1, CHORDS + 1) / CHORDS)
    return [(p.real, p.imag) for p in centre + first * turns]


def net_area(loops):
    polygons = sorted((Polygon(l) for l in loops), key=lambda p: -p.area)
    claim("outlines are simple", all(p.is_valid for p in polygons))
    return polygons[0].area - sum(p.area for p in polygons[1:])


def dxf_area(path, cut):
    doc = ezdxf.readfile(path)
    claim(f"{path}: ezdxf finds no fault", not doc.audit().has_errors)
    mm = {1: 25.4, 4: 1.0}[doc.header["$INSUNITS"]]
    loops = []
    for e in doc.modelspace():
        if e.dxf.layer != cut:
            continue
        if e.dxftype() == "CIRCLE":
            c, r = e.dxf.center, e.dxf.radius
            t = 2 * math.pi * np.arange(CHORDS) / CHORDS
            loops.append(np.column_stack((c.x + r * np.cos(t), c.y + r * np.sin(t))) * mm)
            continue
        v = [(p.dxf.location.x, p.dxf.location.y, p.dxf.bulge) for p in e.vertices]
        loop = [v[0][:2]]
        for i, (x, y, b) in enumerate(v):
            loop += arc(x, y, *v[(i + 1) % len(v)][:2], b)
        loops.append(np.array(loop[:-1]) * mm)
    bends = [e for e in doc.modelspace() if e.dxf.layer.startswith("BEND") and e.dxftype() == "LINE"]
    words = [e.dxf.text for e in doc.modelspace() if e.dxftype() == "TEXT"]
    return net_area(loops), len(bends), words


def svg_loop(data):
    numbers = r"-?\d*\.?\d+"
    at, loop = None, []
    for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        v = [float(n) for n in re.findall(numbers, rest)]
        if letter in "ML":
            at = (v[0], v[1])
            loop.append(at)
        elif letter == "A":  # r r 0 0 sweep x y, never more than a half circle
            r, sweep, end = v[0], v[4], (v[5], v[6])
            chord = math.dist(at, end)
            half = math.asin(min(1, chord / 2 / r))
            loop += arc(*at, *end, (1 if sweep else -1) * math.tan(half / 2))
            at = end
    return loop[:-1] if math.dist(loop[0], loop[-1]) < 1e-6 else loop


def svg_area(path, cut):
    root = ET.parse(path).getroot()
    space = "{http://www.w3.org/2000/svg}"
    box = [float(v) for v in root.get("viewBox").split()]
    claim(f"{path}: a unit is a millimetre",
          root.get("width") == f"{root.get('viewBox').split()[2]}mm" and box[0] == box[1] == 0)
    groups = {g.get("id"): g for g in root.findall(space + "g")}
    loops = [svg_loop(p.get("d")) for p in groups[cut].findall(space + "path")]
    bends = sum(len(g.findall(space + "path")) for k, g in groups.items() if k.startswith("BEND"))
    words = [t.text for t in groups["TEXT"].findall(space + "text")]
    return net_area(loops), bends, words


def closed_volume(name, points, triangles):
    edges = {}
    for t in triangles:
        for k in range(3):
            e = (int(t[k]), int(t[(k + 1) % 3]))
            edges[e] = edges.get(e, 0) + 1
    claim(f"{name}: each edge once either way",
          all(n == 1 and edges.get((b, a)) == 1 for (a, b), n in edges.items()))
    p, q, r = (points[triangles[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", p, np.cross(q, r)).sum() / 6)


def stl_volume(path):
    with open(path, "rb") as f:
        data = f.read()
    count = struct.unpack_from("<I", data, 80)[0]
    claim(f"{path}: as long as it says", len(data) == 84 + 50 * count and data[:5] != b"solid")
    facets = np.frombuffer(data, np.dtype([("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")]),
                           offset=84)
    corners = facets["v"].reshape(-1, 3)
    points, index = np.unique(corners, axis=0, return_inverse=True)
    triangles = index.reshape(-1, 3)
    v = facets["v"].astype(float)
    n = np.cross(v[:, 1] - v[:, 0], v[:, 2] - v[:, 0])
    size = np.linalg.norm(n, axis=1)
    claim(f"{path}: normals look outwards", (np.einsum("ij,ij->i", n, facets["n"]) >=
                                            0.999 * size - 1e-3).all())
    return closed_volume(path, points.astype(float), triangles), points.astype(float)


def glb_volume(path):
    with open(path, "rb") as f:
        data = f.read()
    magic, version, length = struct.unpack_from("<4sII", data)
    claim(f"{path}: header", (magic, version, length) == (b"glTF", 2, len(data)))
    size, kind = struct.unpack_from("<I4s", data, 12)
    claim(f"{path}: chunks", kind == b"JSON" and size % 4 == 0)
    tree = json.loads(data[20:20 + size])
    blob = data[20 + size + 8:]
    accessors, views = tree["accessors"], tree["bufferViews"]

    def array(i, kind, columns):
        view = views[accessors[i]["bufferView"]]
        return np.frombuffer(blob, kind, accessors[i]["count"] * columns,
                             view.get("byteOffset", 0)).reshape(-1, columns)

    points = array(0, "<f4", 3)
    triangles = array(1, "<u4", 1).reshape(-1, 3)
    claim(f"{path}: least and most", np.array_equal(np.float32(accessors[0]["min"]), points.min(0))
          and np.array_equal(np.float32(accessors[0]["max"]), points.max(0)))
    points = points.astype(float) * 1000
    return closed_volume(path, points, triangles), points


def wanted_volume(part):
    t = part["thickness"]
    v = t * part["area"]
    for b in part["bends"]:
        angle = math.radians(b["angle"])
        v += (angle * t * (b["radius"] + t / 2) - t * b["allowance"]) * b["length"]
    return v


def near(a, b, relative):
    return abs(a - b) <= relative * abs(b)


def check_reader(reader, name, base, part):
    """Our own reader takes both drawings back with the same area and bend lines."""
    for path, (words, loops) in zip((base + ".dxf", base + ".svg"),
                                    read_outlines(reader, [base + ".dxf", base + ".svg"])):
        if loops is None:
            claim(f"{name}: read back: {words}", False)
            continue
        claim(f"{name}: {path} reads back", near(float(words[0]), part["area"], 1e-6) and
              int(words[3]) == len(part["bends"]))


def check_part(program, reader, name, folder):
    """True when it is a sheet part with a blank; its GLB is left in the folder."""
    base = os.path.join(folder, name.replace("/", "-"))
    run = subprocess.run([program, "part", "demo", name, "--json", "--svg", base + ".svg", "--dxf",
                          base + ".dxf", "--glb", base + ".glb", "--stl", base + ".stl"],
                         cwd=ROOT, capture_output=True, text=True)
    if run.returncode == 64 and "no sheet part" in run.stderr:
        return False
    claim(f"{name}: ends with 0 or 1, got {run.returncode} {run.stderr}", run.returncode in (0, 1))
    part = json.loads(run.stdout)
    if "area" not in part:
        claim(f"{name}: nothing is written without a blank", not os.path.exists(base + ".dxf"))
        return False
    for kind, (area, bends, words) in (("DXF", dxf_area(base + ".dxf", "CUT")),
                                       ("SVG", svg_area(base + ".svg", "CUT"))):
        claim(f"{name}: {kind} area {area} for {part['area']}", near(area, part["area"], 1e-6))
        claim(f"{name}: {kind} has {bends} bend lines", bends == len(part["bends"]))
        for b in part["bends"]:
            claim(f"{name}: {kind} names bend {b['id']}", any(
                w.startswith(f"{b['id']} {b['angle']:.10g} DEG {b['toward'].upper()} R")
                for w in words))
    check_reader(reader, name, base, part)
    stl, one = stl_volume(base + ".stl")
    glb, other = glb_volume(base + ".glb")
    want = wanted_volume(part)
    # Slits that cross the bend zone take metal from the blank but not from the mesh.
    claim(f"{name}: STL volume {stl} for {want}",
          near(stl, want, 1e-3) or (name in SLIT and want < stl < 1.01 * want))
    claim(f"{name}: GLB volume {glb} for {stl}", near(glb, stl, 1e-4))
    turned = np.column_stack((other[:, 0], -other[:, 2], other[:, 1]))
    claim(f"{name}: GLB stands as STL does", np.allclose(turned.min(0), one.min(0), atol=1e-3) and
          np.allclose(turned.max(0), one.max(0), atol=1e-3))
    return True


def main():
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        reader = build(folder)
        names = [n for n in parts_of_demo() if check_part(program, reader, n, folder)]
        glbs = [os.path.join(folder, f) for f in sorted(os.listdir(folder)) if f.endswith(".glb")]
        judge = subprocess.run(["node", os.path.join(ROOT, "tests/outside/glb_validate.mjs"), *glbs],
                               capture_output=True, text=True)
        print(judge.stdout.strip(), judge.stderr.strip())
        claim("the validator is content", judge.returncode == 0 and len(glbs) == len(names))
    claim(f"{len(names)} sheet parts, expected 8 or more", len(names) >= 8)
    print(f"{len(names)} sheet parts, {len(faults)} faults")
    sys.exit(1 if faults else 0)


main()
