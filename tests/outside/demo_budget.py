"""Planning the demo week: figures measured, and a generous ceiling against runaways only (the bars
of 5 s and 300 MB are reported by make bench; a timed test would fail on a busy machine)."""
import os, resource, shutil, subprocess, sys, tempfile, time

with tempfile.TemporaryDirectory() as d:
    shutil.copytree("demo", d + "/shop", ignore=shutil.ignore_patterns("runs"))
    begun = time.time()
    code = subprocess.run([sys.argv[1], "run", d + "/shop", "--date", "2026-11-30"], stdout=subprocess.DEVNULL).returncode
    seconds = time.time() - begun
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"demo week: {seconds:.2f} s, {peak:.0f} MB")
    assert code in (0, 1), code
    assert peak < 300, "more memory than the demo week may take"
