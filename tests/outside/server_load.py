# SPDX-License-Identifier: Apache-2.0
# What the server bears: readers while a week is planned, check-while-typing, memory after many
# edits and runs. Prints figures; fails on errors, not on speed.
# usage: server_load.py build/kitwright [--edits N] [--runs N] [--clients N] [--seconds S] [--typing N]
import argparse
import http.client
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time

parser = argparse.ArgumentParser()
parser.add_argument("program")
parser.add_argument("--edits", type=int, default=1000)
parser.add_argument("--runs", type=int, default=50)
parser.add_argument("--clients", type=int, default=20)
parser.add_argument("--seconds", type=float, default=20)
parser.add_argument("--typing", type=int, default=300)
args = parser.parse_args()

root = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
shop = os.path.join(tempfile.mkdtemp(), "shop")
os.makedirs(shop)
for name in ("shop.yaml", "coupons.csv", "orders.csv", "kits", "drawings"):
    source = os.path.join(root, "demo", name)
    (shutil.copytree if os.path.isdir(source) else shutil.copy)(source, os.path.join(shop, name))
server = subprocess.Popen([args.program, "serve", shop, "--port", "0", "--json"], stdout=subprocess.PIPE, env={**os.environ, "KITWRIGHT_TEST_NO_LIMITS": "1"})
port = int(re.search(r":(\d+)/", json.loads(server.stdout.readline())["address"]).group(1))
errors = []


class Client:
    def __init__(self):
        self.link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.head = {"Host": f"127.0.0.1:{port}"}

    def ask(self, method, target, body=None):
        self.link.request(method, target, json.dumps(body) if body is not None else None, self.head)
        answer = self.link.getresponse()
        data = answer.read()
        if answer.status >= 400:
            errors.append((method, target, answer.status, data[:200]))
        return data

    def json(self, method, target, body=None):
        return json.loads(self.ask(method, target, body))


def rss():
    for line in open(f"/proc/{server.pid}/status"):
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024


def share(times, part):
    return sorted(times)[min(len(times) - 1, int(len(times) * part))] * 1000


def run_week(c, name):
    job = c.json("POST", "/api/runs", {"name": name, "date": "2026-11-30"})["job"]
    while True:
        state = c.json("GET", f"/api/jobs/{job}")
        if state["state"] != "running":
            break
        time.sleep(0.1)
    if state["state"] != "done":
        errors.append(("run", name, state))


c = Client()
c.head["X-Kitwright-Token"] = re.search(r'name="token" content="(\w+)"', c.ask("GET", "/").decode()).group(1)
glance = c.json("GET", "/api/shop")
out = {"kits": len(glance["kits"]), "rss_start_mb": round(rss(), 1)}

# --- check while typing: each text is new, nothing is kept of it. Largest kit by its text and parts.
looks = {k["kit"]: c.json("GET", f"/api/kits/{k['kit']}") for k in glance["kits"]}
out["typing"] = {}
for kit in sorted(looks):
    text, times = looks[kit]["text"], []
    for i in range(max(1, args.typing // len(looks))):
        begun = time.monotonic()
        c.ask("POST", f"/api/kits/{kit}/look", {"text": text + f"# {i} {time.time()}\n"})
        times.append(time.monotonic() - begun)
    out["typing"][kit] = {"p50_ms": round(share(times, 0.5), 1), "p95_ms": round(share(times, 0.95), 1)}

# --- readers while a week is planned
if args.clients:
    run_week(c, "first")
    stop = threading.Event()
    times = []

    def read():
        me = Client()
        targets = ["/api/shop", "/api/orders", "/api/monday", "/api/runs/first", "/"]
        for kit, look in looks.items():
            targets += [f"/api/kits/{kit}", f"/api/looks/{look['look']}/{look['parts'][0]['part']}/form?frames=16"]
        i = 0
        while not stop.is_set():
            begun = time.monotonic()
            me.ask("GET", targets[i % len(targets)])
            times.append(time.monotonic() - begun)
            i += 1
            time.sleep(0.1)  # a person looks at what came

    readers = [threading.Thread(target=read) for _ in range(args.clients)]
    for r in readers:
        r.start()
    begun = time.monotonic()
    weeks = 0
    while time.monotonic() - begun < args.seconds or weeks == 0:
        run_week(c, "while-read")
        weeks += 1
    stop.set()
    for r in readers:
        r.join()
    out["readers"] = {"clients": args.clients, "weeks": weeks, "requests": len(times), "p50_ms": round(share(times, 0.5), 1), "p95_ms": round(share(times, 0.95), 1), "most_ms": round(max(times) * 1000, 1)}

# --- memory
small = "order,kit,count,due\n1,herb-box-18,1,2026-12-03\n2,potting-bench,1,2026-12-03\n3,fire-ring,1,2026-12-03\n"
if args.edits or args.runs:
    hash_of = {k: looks[k]["hash"] for k in looks}
    names = sorted(looks)
    for i in range(args.edits):
        kit = names[i % len(names)]
        a = c.json("POST", f"/api/kits/{kit}/set", {"path": ["name"], "value": f"Name {i}", "was": hash_of[kit]})
        if not a.get("written"):
            errors.append(("edit", kit, a.get("error")))
            break
        hash_of[kit] = a["hash"]
        c.ask("GET", f"/api/looks/{a['look']}/{a['parts'][0]['part']}/form?frames=16")
    out["rss_after_edits_mb"] = round(rss(), 1)
    orders = c.json("GET", "/api/orders")
    c.json("PUT", "/api/orders", {"text": small, "was": orders["hash"]})
    sizes = []
    for i in range(args.runs):
        run_week(c, f"w{i % 3}")
        sizes.append(round(rss(), 1))
    if sizes:
        out["rss_runs_mb"] = {"1": sizes[0], "10": sizes[min(9, len(sizes) - 1)], "last": sizes[-1], "most": max(sizes)}
server.terminate()
server.wait()
shutil.rmtree(os.path.dirname(shop))
print(json.dumps(out))
if errors:
    print(f"{len(errors)} errors, the first: {errors[0]}")
sys.exit(1 if errors else 0)
