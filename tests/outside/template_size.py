#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Measures cope templates as they leave the program: 100 mm on the ruler is 100 mm in the PDF.

A kit with copes on three sizes of tube is added to a copy of the demo shop and planned. Each
template page of packet.pdf is turned into drawing operators by poppler; the ruler's lines and the
strip's straight edge are measured there (points of 1/72 in). The DXF is read by ezdxf: it is as wide
as the tube is round, and as deep as the closed form of a right-angled cope says.
Usage: template_size.py KITWRIGHT
"""
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile

import ezdxf

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
MM = 25.4 / 72

KIT = """kit: copes
name: Copes
revision: A
units: in
parts:
  brace:
    from: 1-1/4 x 0.083 round tube
    per_kit: 2
    length: 20
    ends: { start: { cope: { onto: 1-1/4 in } }, end: { cope: { onto: brace, angle: 45 }, turn: 90 } }
    drill: [{ size: 1/4, from_start: [3, 6], turn: 90, sides: both }, { size: 5/16, from_end: 2 }]
  strut:
    from: 1-1/4 x 0.083 round tube
    per_kit: 1
    length: 12
    ends: { start: { miter: 30, turn: 45 }, end: { flatten: 1-1/2 } }
  arm:
    from: 1-1/4 x 0.083 round tube
    per_kit: 1
    bend_table: [{ straight: 10, angle: 45 }, { straight: 9, rotate: 70, angle: 30 }, { straight: 8 }]
"""
ORDER = "copes,,3,2026-12-30,900\n"
OD = 1.25 * 25.4


def shop(folder):
    where = os.path.join(folder, "shop")
    shutil.copytree(os.path.join(ROOT, "demo"), where, ignore=shutil.ignore_patterns("runs", "*.db"))
    with open(os.path.join(where, "kits/copes.yaml"), "w") as f:
        f.write(KIT)
    file = os.path.join(where, "shop.yaml")
    with open(file) as f:
        text = f.read()
    with open(file, "w") as f:  # the kit is not for the parcel service
        f.write(re.sub(r"\n(cartons|parcel):.*(\n  .*)*", "", text))
    orders = os.path.join(where, "orders.csv")
    with open(orders) as f:
        head = f.readline()
    row = {"kit": "copes", "what": "copes", "count": "3", "due": "2026-12-30", "order": "900"}
    with open(orders, "w") as f:
        f.write(head + ",".join(row.get(k.strip(), "") for k in head.split(",")) + "\n")
    return where


def segments(svg):
    """Straight strokes of a page as (x0, y0, x1, y1) in mm, y down."""
    found = []
    number = r"(-?[\d.]+)"
    for path in re.finditer(r"<path ([^>]*)>", svg):
        text = path.group(1)
        d = re.search(rf'd="M {number} {number} L {number} {number} ?"', text)
        if not d or "stroke-width" not in text:
            continue
        x0, y0, x1, y1 = map(float, d.groups())
        m = re.search(rf'matrix\({number}, ?{number}, ?{number}, ?{number}, ?{number}, ?{number}\)', text)
        if m:
            a, b, c, e, tx, ty = map(float, m.groups())
            x0, y0, x1, y1 = (a * x0 + c * y0 + tx, b * x0 + e * y0 + ty,
                              a * x1 + c * y1 + tx, b * x1 + e * y1 + ty)
        found.append(tuple(v * MM for v in (x0, y0, x1, y1)))
    return found


def pages_with(pdf, words):
    text = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True,
                          check=True).stdout.split("\f")
    return [i + 1 for i, page in enumerate(text) if words in page]


def measure(pdf, page):
    svg = subprocess.run(["pdftocairo", "-svg", "-f", str(page), "-l", str(page), pdf, "-"],
                         capture_output=True, text=True, check=True).stdout
    level = [abs(s[2] - s[0]) for s in segments(svg) if abs(s[3] - s[1]) < 1e-3]
    assert level, "no straight lines on the page"
    for want in (100.0, 101.6, math.pi * OD):
        nearest = min(level, key=lambda v: abs(v - want))
        assert abs(nearest - want) < 0.02, (page, want, nearest)
    return len(level)


def measure_strip(pdf, page):
    """The tape round a tube that is turned by hand: as long as the tube is round, its second line
    70 degrees on."""
    svg = subprocess.run(["pdftocairo", "-svg", "-f", str(page), "-l", str(page), pdf, "-"],
                         capture_output=True, text=True, check=True).stdout
    lines, round_ = segments(svg), math.pi * OD
    ends = [s for s in lines if abs(s[3] - s[1]) < 1e-3 and abs(abs(s[2] - s[0]) - round_) < 0.02]
    assert len(ends) == 2, (page, "top and bottom of the strip", len(ends))
    left, top = min(ends[0][0], ends[0][2]), min(ends[0][1], ends[1][1])
    tall = sorted(s[0] - left for s in lines if abs(s[2] - s[0]) < 1e-3
                  and abs(abs(s[3] - s[1]) - 12) < 0.02 and abs(min(s[1], s[3]) - top) < 0.02)
    want = [0, 0, round_ * 70 / 360, round_]  # its two ends, and a line for each bend
    assert len(tall) == 4 and max(abs(a - b) for a, b in zip(tall, want)) < 0.02, (tall, want)


def main():
    program = os.path.abspath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        where = shop(folder)
        run = subprocess.run([program, "run", "--name", "t", "--date", "2026-12-01"], cwd=where,
                             capture_output=True, text=True)
        assert run.returncode in (0, 1), run.stdout + run.stderr
        packet = os.path.join(where, "runs/t")
        pages = pages_with(os.path.join(packet, "packet.pdf"), "Cope template")
        assert len(pages) == 2, pages
        for page in pages:
            measure(os.path.join(packet, "packet.pdf"), page)
        strips = pages_with(os.path.join(packet, "packet.pdf"), "Turning by hand")
        arms = [page for page in strips if page in pages_with(
            os.path.join(packet, "packet.pdf"), "copes/arm")]
        assert len(arms) == 1, (strips, arms)
        measure_strip(os.path.join(packet, "packet.pdf"), arms[0])
        files = sorted(os.listdir(os.path.join(packet, "templates")))
        assert len(files) == 2, files
        for name in files:
            drawing = ezdxf.readfile(os.path.join(packet, "templates", name))
            (outline,) = drawing.modelspace()
            v = [p.dxf.location * 25.4 for p in outline.vertices]
            assert outline.is_closed
            wide = max(p.x for p in v) - min(p.x for p in v)
            assert abs(wide - math.pi * OD) < 1e-4, (name, wide)
            if name.endswith("start.dxf"):
                # equal tubes at a right angle: half a diameter deep, |sin| between (crossed
                # cylinders of one diameter meet in two ellipses)
                high = max(p.y for p in v)
                for p in v[2:]:
                    deep = OD / 2 * abs(math.sin(2 * math.pi * p.x / wide))
                    assert abs(high - p.y - deep) < 1e-4, (p, deep)
    print(f"{len(pages)} template pages: rulers of 100 mm and 4 in and the way round the tube within "
          "0.02 mm; DXF exact; the strip for turning by hand likewise")


if __name__ == "__main__":
    main()
