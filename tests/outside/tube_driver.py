# SPDX-License-Identifier: Apache-2.0
"""Compiles a driver of tests/outside/drivers against the tube module's sources."""
import os
import subprocess

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def build(folder, name):
    program = os.path.join(folder, name)
    sources = []
    for part in ("src/tube", "src/base"):
        where = os.path.join(ROOT, part)
        sources += sorted(os.path.join(where, f) for f in os.listdir(where) if f.endswith(".c"))
    driver = os.path.join(ROOT, "tests/outside/drivers", name + ".c")
    subprocess.run(
        ["gcc", "-std=c17", "-O1", "-ffp-contract=off", "-D_GNU_SOURCE", "-I" + ROOT + "/src",
         "-o", program, driver, *sources, "-ljansson", "-pthread", "-lm"], check=True)
    return program
