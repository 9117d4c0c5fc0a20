#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Random files out of the tables of fields: our reader and npm's ajv must say the same of each.

Half of the files have one fault of a kind that a schema can see. Usage: schema_samples.py [COUNT]
(default 1000 of each form). Needs tests/node_modules (make setup).
"""
import glob
import json
import os
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SEED = "20260331"


def build(folder):
    """Compiles the driver against the modules' sources."""
    program = os.path.join(folder, "form_samples")
    sources = [f for part in ("base", "geom", "form", "shop")
               for f in sorted(glob.glob(f"{ROOT}/src/{part}/*.c"))]
    subprocess.run(["gcc", "-std=c17", "-O1", "-ffp-contract=off", "-D_GNU_SOURCE", f"-I{ROOT}/src",
                    "-o", program, f"{ROOT}/tests/outside/drivers/form_samples.c",
                    *sources, "-lfyaml", "-ljansson", "-lgeos_c", "-lm"], check=True)
    return program


def compare(program, form, count, folder):
    """True when ajv agrees with the reader and both verdicts were well represented."""
    os.makedirs(folder)
    subprocess.run([program, form, folder, str(count), SEED], check=True)
    with open(f"{folder}/list.json", encoding="utf-8") as f:
        verdicts = [item["valid"] for item in json.load(f)]
    valid = sum(verdicts)
    done = subprocess.run(["node", f"{ROOT}/tests/outside/schema_ajv.mjs", f"{folder}/schema.json",
                           f"{folder}/list.json"], stdout=subprocess.PIPE, text=True)
    print(f"{form}: {valid} valid and {count - valid} faulty files")
    print("\n".join(done.stdout.splitlines()[-12:]))
    if not all(verdicts[::2]):
        print("a file without a fault was refused by the reader")
    enough = valid >= count // 2 and count - valid >= count // 4
    return done.returncode == 0 and enough and all(verdicts[::2])


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory() as scratch:
        program = build(scratch)
        good = [compare(program, form, count, f"{scratch}/{form}") for form in ("all", "shop")]
    return 0 if all(good) else 1


if __name__ == "__main__":
    sys.exit(main())
