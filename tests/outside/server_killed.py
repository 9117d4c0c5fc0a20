# SPDX-License-Identifier: Apache-2.0
# A server killed (SIGKILL) at any moment of a save leaves the kit file whole: the old text or the
# new one, never a mixture and never nothing.
# usage: server_killed.py build/kitwright TIMES
import http.client
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

program, times = sys.argv[1], int(sys.argv[2])
root = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
shop = os.path.join(tempfile.mkdtemp(), "shop")
os.makedirs(shop)
for name in ("shop.yaml", "coupons.csv", "orders.csv", "kits", "drawings"):
    source = os.path.join(root, "demo", name)
    (shutil.copytree if os.path.isdir(source) else shutil.copy)(source, os.path.join(shop, name))
path = os.path.join(shop, "kits", "fire-ring.yaml")
kit = open(path).read()
# Large enough that writing takes a while: lines of remarks.
texts = [kit + "".join(f"# remark {i} of {which}, {'x' * 60}\n" for i in range(9000)) for which in ("one", "two")]
open(path, "w").write(texts[0])
seen = {0: 0, 1: 0}
during = 0
chance = random.Random(8)


def saves(port, token, begun, done):
    """Saves the two texts in turn until the server is gone."""
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    head = {"X-Kitwright-Token": token, "Host": f"127.0.0.1:{port}"}
    try:
        link.request("GET", "/api/kits/fire-ring", headers=head)
        look = json.loads(link.getresponse().read())
        now, was = texts.index(look["text"]), look["hash"]
        while True:
            now = 1 - now
            body = json.dumps({"text": texts[now], "was": was})
            begun.set()
            link.request("PUT", "/api/kits/fire-ring", body, head)
            answer = json.loads(link.getresponse().read())
            if not answer.get("written"):
                done.append(answer)
                return
            was = answer["hash"]
    except (OSError, http.client.HTTPException, ValueError):
        pass


for i in range(times):
    server = subprocess.Popen([program, "serve", shop, "--port", "0", "--json"], stdout=subprocess.PIPE, env={**os.environ, "KITWRIGHT_TEST_NO_LIMITS": "1"})
    address = json.loads(server.stdout.readline())["address"]
    port = int(re.search(r":(\d+)/", address).group(1))
    link = http.client.HTTPConnection("127.0.0.1", port)
    link.request("GET", "/")
    token = re.search(r'name="token" content="(\w+)"', link.getresponse().read().decode()).group(1)
    link.close()
    begun, refused = threading.Event(), []
    saver = threading.Thread(target=saves, args=(port, token, begun, refused))
    saver.start()
    begun.wait(20)
    time.sleep(chance.uniform(0, 0.25))
    server.send_signal(signal.SIGKILL)
    server.wait()
    saver.join()
    if refused:
        sys.exit(f"a save was refused: {refused[0]}")
    text = open(path).read()
    if text not in texts:
        sys.exit(f"kill {i + 1}: the file is neither the old text nor the new one ({len(text)} bytes)")
    seen[texts.index(text)] += 1
    left = [f for f in os.listdir(os.path.join(shop, "kits")) if f.startswith(".")]
    during += bool(left)
server = subprocess.Popen([program, "serve", shop, "--port", "0", "--json"], stdout=subprocess.PIPE)
server.stdout.readline()
left = [f for f in os.listdir(os.path.join(shop, "kits")) if f.startswith(".")]
server.terminate()
server.wait()
shutil.rmtree(os.path.dirname(shop))
print(f"{times} kills, {seen[0]} times the one text, {seen[1]} times the other, {during} in the middle of writing")
if left:
    sys.exit(f"half-written files are left after the next start: {left}")
if not (seen[0] and seen[1]):
    sys.exit("only one of the texts was ever seen: this test can't fail")
