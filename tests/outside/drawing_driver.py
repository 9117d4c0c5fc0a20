# SPDX-License-Identifier: Apache-2.0
"""Builds the program that reads drawings for the checks beside this file, and runs it."""
import os
import subprocess

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def build(folder):
    program = os.path.join(folder, "drawing_area")
    sources = [os.path.join(ROOT, "tests/outside/drivers/drawing_area.c")]
    for part in ("base", "geom", "form", "shop", "tube", "kit"):
        where = os.path.join(ROOT, "src", part)
        sources += sorted(os.path.join(where, f) for f in os.listdir(where) if f.endswith(".c"))
    subprocess.run(
        ["gcc", "-std=c17", "-O1", "-ffp-contract=off", "-D_GNU_SOURCE", "-I" + ROOT + "/src",
         "-o", program, *sources, "-Wl,--as-needed", "-lfyaml", "-lgeos_c", "-ljansson", "-lexpat",
         "-lm"],
        check=True)
    return program


def read_outlines(program, paths):
    """For each drawing (words of its first line, loops) or (line, None) when it was refused."""
    lines = iter(subprocess.run([program, "--outlines", *paths], check=True, capture_output=True,
                                text=True).stdout.splitlines())
    out = []
    for line in lines:
        if line.startswith("refused"):
            out.append((line, None))
            continue
        words = line.split()
        loops = []
        for _ in range(1 + int(words[2])):
            loops.append([tuple(float(v) for v in p.split(",")) for p in next(lines).split()])
        out.append((words, loops))
    return out
